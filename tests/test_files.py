"""Results are put in place whole or not at all, and never over something unasked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from gaugecore.calibration.fit_file import read_fit
from gaugecore.calibration.readings import read_readings
from gaugecore.errors import DocumentError, FitError, InputError, OutputError, ReadingsError
from gaugecore.feed.recording import read_recording
from gaugecore.files import read_at_most, write_files, write_outputs, write_whole
from gaugecore.panel.store import load_panel


def test_what_has_no_end_is_read_no_further_than_asked(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"12345")
    assert read_at_most(tmp_path / "a", 5) == b"12345"
    assert read_at_most(tmp_path / "a", 4) is None
    assert read_at_most(Path("/dev/zero"), 1000) is None


@pytest.mark.parametrize(
    ("read", "error"),
    [
        (load_panel, DocumentError),
        (read_readings, ReadingsError),
        (read_fit, FitError),
        (read_recording, InputError),
    ],
)
def test_every_reader_refuses_what_has_no_end(read: Callable[[Path], object], error: type[Exception]) -> None:
    with pytest.raises(error, match="too large"):
        read(Path("/dev/zero"))


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_bytes(b"old")
    link = tmp_path / "link.txt"
    link.symlink_to("real.txt")
    write_whole(link, b"new")
    assert link.is_symlink()
    assert (tmp_path / "real.txt").read_bytes() == b"new"


def test_a_file_that_is_there_is_kept_unless_told(tmp_path: Path) -> None:
    (tmp_path / "b.txt").write_bytes(b"mine")
    with pytest.raises(OutputError, match="there already"):
        write_outputs(tmp_path, {"a.txt": b"1", "b.txt": b"2"})
    assert not (tmp_path / "a.txt").exists()
    assert (tmp_path / "b.txt").read_bytes() == b"mine"
    write_outputs(tmp_path, {"a.txt": b"1", "b.txt": b"2"}, force=True)
    assert (tmp_path / "b.txt").read_bytes() == b"2"


@pytest.mark.parametrize("name", ["../a", "a/b", "..", "", "/etc/a"])
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(OutputError, match="must not lead out"):
        write_outputs(tmp_path / "out", {name: b""})


def test_a_set_that_fails_half_way_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "b.txt").mkdir()
    with pytest.raises(OutputError, match="cannot write"):
        write_outputs(tmp_path, {"a.txt": b"1", "b.txt": b"2"}, force=True)
    assert not (tmp_path / "a.txt").exists()


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="cannot make the folder"):
        write_outputs(tmp_path / "file" / "out", {"a.txt": b""})


def test_a_set_that_fails_leaves_what_was_there_before_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(b"mine")
    (tmp_path / "b.txt").mkdir()
    with pytest.raises(OutputError, match=r"b\.txt: cannot write the file \(Is a directory\)"):
        write_outputs(tmp_path, {"a.txt": b"1", "b.txt": b"2", "c.txt": b"3"}, force=True)
    assert (tmp_path / "a.txt").read_bytes() == b"mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.txt", "b.txt"]


def test_a_set_whose_last_step_fails_is_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.txt").write_bytes(b"mine")
    real = Path.replace

    def replace(self: Path, target: Path) -> Path:
        if Path(target).name == "c.txt":
            raise PermissionError(13, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(OutputError, match=r"c\.txt: cannot write"):
        write_outputs(tmp_path, {"a.txt": b"1", "b.txt": b"2", "c.txt": b"3"}, force=True)
    assert (tmp_path / "a.txt").read_bytes() == b"mine"
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]


@pytest.mark.parametrize("force", [False, True])
def test_a_name_that_no_disk_takes_is_one_sentence(tmp_path: Path, force: bool) -> None:
    with pytest.raises(OutputError, match=r"x\.svg: cannot write the file \(File name too long\)"):
        write_outputs(tmp_path, {"a" * 300 + "x.svg": b"1"}, force=force)


def test_a_name_as_long_as_the_disk_takes_is_taken(tmp_path: Path) -> None:
    name = "\N{LARGE RED CIRCLE}" * 62 + ".svg"  # 252 bytes
    write_whole(tmp_path / name, b"1")
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_links_that_lead_round_in_a_circle_are_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "a.txt").symlink_to("b.txt")
    (tmp_path / "b.txt").symlink_to("a.txt")
    with pytest.raises(OutputError, match=r"a\.txt: cannot write the file"):
        write_whole(tmp_path / "a.txt", b"1")
    with pytest.raises(OutputError, match=r"a\.txt: cannot write the file"):
        write_outputs(tmp_path, {"a.txt": b"1"}, force=True)


def test_a_set_over_several_folders_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    mine = tmp_path / "two" / "b.txt"
    mine.parent.mkdir()
    mine.write_bytes(b"mine")
    files = {tmp_path / "one" / "a.txt": b"1", mine: b"2"}
    with pytest.raises(OutputError, match=r"b\.txt: the file is there already"):
        write_files(files)
    assert not (tmp_path / "one").exists()
    assert write_files(files, force=True) == list(files)
    assert mine.read_bytes() == b"2"
