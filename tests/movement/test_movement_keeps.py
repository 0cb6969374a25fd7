"""The verb `movement` as it keeps things: a refusal changes no file, a success says what is kept."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.face.scale import LinearScale
from gaugecore.movement.library import load_library, own_library_path
from gaugecore.movement.servo import Servo
from gaugecore.movement.train import CrankLink, GearPair
from gaugecore.panel.document import Session
from gaugecore.panel.edit import with_value
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import load_panel, save_panel
from needlewright.cli.main import main


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a panel file with two instruments, and a library of one's own beside it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))
    panel = starter_panel("Ferry desk")
    second = panel.instruments[0].model_copy(update={"id": "fuel", "title": "Fuel"})
    path = tmp_path / "desk.panel.json"
    save_panel(panel.model_copy(update={"instruments": (*panel.instruments, second)}), path)
    return path


def files_under(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def with_arc(desk: Path, arc_deg: float) -> None:
    scale = LinearScale(low_value=0, high_value=100, low_deg=-arc_deg / 2.0, high_deg=arc_deg / 2.0)
    panel = load_panel(desk)
    save_panel(with_value(panel, ("instruments", "fuel", "face", "scale"), scale), desk)


@pytest.mark.parametrize(
    "words",
    [
        ["--instrument", "fuel", "--like", "servo-standard", "--store", "--remember", "--plot", "{there}"],
        ["--like", "servo-standard", "--store", "--remember", "--plot", "{there}"],
        ["--instrument", "fuel", "--like", "servo-standard", "--store", "--remember", "--trace", "none.csv"],
        ["--instrument", "fuel", "--remember", "--plot", "{there}"],
        ["--instrument", "fuel", "--remember", "--store"],
        ["--instrument", "fuel", "--remember", "--rate", "20"],
        ["--instrument", "fuel", "--like", "servo-standard", "--store", "--train", "link"],
    ],
)
def test_a_refusal_leaves_every_file_as_it_was(
    desk: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    there = desk.parent / "there.png"
    there.write_bytes(b"mine")
    before = files_under(desk.parent)
    assert main(["movement", str(desk), *(word.format(there=there) for word in words)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert files_under(desk.parent) == before


@pytest.mark.slow
def test_a_panel_that_cannot_be_saved_leaves_no_picture_and_nothing_remembered(
    desk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["movement", str(desk), "--instrument", "fuel", "--remember"])
    before = files_under(desk.parent)
    save_anyway = Path.read_bytes

    def changed_meanwhile(path: Path) -> bytes:
        content = save_anyway(path)
        return content + b" " if path == desk and picture.exists() else content

    picture = desk.parent / "response.svg"
    monkeypatch.setattr(Path, "read_bytes", changed_meanwhile)
    monkeypatch.setattr("gaugecore.panel.panel_file.read_panel_bytes", changed_meanwhile)
    words = ["--like", "servo-standard", "--store", "--remember", "--plot", str(picture)]
    assert main(["movement", str(desk), "--instrument", "fuel", *words]) == 2
    monkeypatch.undo()
    assert "another program changed the file" in capsys.readouterr().err
    assert files_under(desk.parent) == before


@pytest.mark.slow
def test_a_success_says_what_was_written_stored_and_remembered(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = desk.parent / "response.svg"
    words = ["--like", "servo-standard", "--store", "--remember", "--plot", str(picture)]
    assert main(["movement", str(desk), "--instrument", "fuel", *words]) == 0
    out = capsys.readouterr().out
    assert f"wrote {picture}" in out
    assert f"stored in {desk}: fuel has the movement 'standard servo', train: direct" in out
    assert f"remembered for every panel as 'standard servo', in {own_library_path()}" in out
    assert [i.movement.name for i in load_panel(desk).instruments] == [Servo().name, "standard servo"]
    assert [movement.name for movement in load_library(own_library_path()).movements] == ["standard servo"]


def test_two_movements_of_one_name_are_not_remembered_over_each_other(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = load_panel(desk)
    save_panel(with_value(panel, ("instruments", "fuel", "movement", "slack_deg"), 3.0), desk)
    assert main(["movement", str(desk), "--remember"]) == 2
    assert "dial-1 and fuel have different movements of one name" in capsys.readouterr().err
    assert not own_library_path().exists()
    assert main(["movement", str(desk), "--remember", "--instrument", "fuel", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["remembered"] == [Servo().name]


def test_a_proposed_gear_is_tried_and_stored_only_when_asked(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_arc(desk, 270.0)
    before = desk.read_bytes()
    assert main(["movement", str(desk), "--instrument", "fuel"]) == 1
    assert main(["movement", str(desk), "--instrument", "fuel", "--train", "gear", "--json"]) == 0
    assert desk.read_bytes() == before
    capsys.readouterr()
    assert main(["movement", str(desk), "--instrument", "fuel", "--train", "gear", "--store"]) == 0
    train = load_panel(desk).instruments[1].train
    assert isinstance(train, GearPair)
    assert (train.movement_teeth, train.pointer_teeth) == (27, 18)
    assert "fuel has the movement '9 g class analogue servo', train: gear 1.5:1 (27 and 18 teeth)" in (
        capsys.readouterr().out
    )
    assert main(["movement", str(desk), "--instrument", "fuel"]) == 0


def test_a_proposed_link_is_stored_and_moves_the_needle_briskly(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_arc(desk, 60.0)
    assert main(["movement", str(desk), "--instrument", "fuel", "--train", "link", "--store"]) == 0
    assert isinstance(load_panel(desk).instruments[1].train, CrankLink)
    capsys.readouterr()
    main(["movement", str(desk), "--instrument", "fuel", "--json"])
    report = json.loads(capsys.readouterr().out)
    # over the part of the travel that the scale takes, not where the crank lies in line with its link
    assert report["instruments"][0]["sweep_s"] < 2.0
    assert not {f["rule"] for f in report["findings"]} & {"slow-needle", "link-jams", "link-at-a-bad-angle"}


def test_a_train_that_does_not_fit_is_refused_with_those_that_do(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_arc(desk, 270.0)
    assert main(["movement", str(desk), "--instrument", "fuel", "--train", "direct"]) == 2
    said = capsys.readouterr().err
    assert (
        "fuel has no such train that carries its movement over the scale, found 'direct'; accepted: gear"
        in said
    )


def test_a_dial_that_was_calibrated_before_is_to_be_calibrated_again(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = load_panel(desk)
    save_panel(with_value(panel, ("instruments", "fuel", "calibration", "sessions"), (Session(),)), desk)
    main(["movement", str(desk), "--like", "servo-standard", "--store"])
    out = capsys.readouterr().out
    assert "fuel was calibrated with what it had before: calibrate it again" in out
    assert "dial-1 was calibrated" not in out


@pytest.mark.parametrize(
    ("option", "value"), [("--rate", "10"), ("--filter", "0.1"), ("--slew", "90"), ("--ramp", "900")]
)
def test_what_shapes_a_trace_is_refused_without_one_and_named_when_it_cannot_be(
    desk: Path, option: str, value: str, capsys: pytest.CaptureFixture[str]
) -> None:
    alone = ["movement", str(desk), "--instrument", "fuel"]
    assert main([*alone, option, value]) == 2
    assert f"{option}: it shapes the replay of a trace, and there is none" in capsys.readouterr().err
    trace = desk.parent / "trace.csv"
    trace.write_text("time_s,fuel\n0,0\n1,1000\n2,1000\n", "utf-8")
    assert main([*alone, "--trace", str(trace), option, value]) in (0, 1)
    capsys.readouterr()
    assert main([*alone, "--trace", str(trace), option, "-1"]) == 2
    assert f"needlewright: {option}: " in capsys.readouterr().err


def test_a_needle_that_cannot_be_drawn_is_refused_with_its_instrument(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = load_panel(desk)
    pointer = panel.instruments[1].pointer.model_copy(update={"bore_mm": 9.0, "boss_diameter_mm": 8.0})
    save_panel(panel.with_instrument(panel.instruments[1].model_copy(update={"pointer": pointer})), desk)
    assert main(["movement", str(desk)]) == 2
    assert "needlewright: instruments.fuel.pointer.bore_mm: " in capsys.readouterr().err
