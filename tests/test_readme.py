"""The pages keep their word: their commands run as they stand, and what they name is there."""

from __future__ import annotations

import importlib.util
import re
import shlex
import shutil
from pathlib import Path

import pytest

from needlewright.cli.main import main, parser

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
DOCS = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
SAMPLES = ROOT / "samples"

#: What stands for something of the reader's, and what it is in the folder that `at_a_desk` makes.
STANDS_FOR = {
    "--raw LO HI": "--raw 0 1023",
    "--angle LO HI": "--angle -40 40",
    "--max-error X": "--max-error 1",
    "--timer-hz F": "--timer-hz 2000000",
    "--wanted DEG": "--wanted 0.6",
    "PANEL": "desk.panel.json",
    "ID": "fuel",
    "DIR": "out",
}


def blocks(page: Path, word: str) -> list[str]:
    """Return the commands that stand on a line of their own, indented or fenced, and begin with a word."""
    return re.findall(rf"^(?:    )?({word} .+)$", page.read_text("utf-8"), re.MULTILINE)


def spans(page: Path, pattern: str) -> list[str]:
    """Return the pieces of code within the text that are of a pattern."""
    return re.findall(rf"`({pattern})`", page.read_text("utf-8"))


@pytest.mark.slow
def test_the_walk_through_one_dial_runs_as_it_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    commands = re.findall(r"^    needlewright (.+)$", README, re.MULTILINE)
    assert len(commands) >= 7
    for command in commands:
        assert main(shlex.split(command, comments=True)) == 0, command + capsys.readouterr().err
    assert (tmp_path / "desk.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "firmware" / "nw_flap.h").exists()
    assert list((tmp_path / "cut").glob("stock-*-sheet-1.svg"))


@pytest.mark.parametrize("page", DOCS, ids=lambda page: page.stem)
def test_every_link_leads_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text("utf-8")):
        if not target.startswith(("http:", "https:", "mailto:")):
            assert (page.parent / target).exists(), target


def test_the_first_paragraph_states_the_job() -> None:
    first = README.split("\n\n")[1]
    for word in ("panel", "face", "servo", "USB", "calibrate", "table", "record"):
        assert word in first


@pytest.fixture
def at_a_desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Be in a folder with the files that the pages' commands speak of, two dials calibrated."""
    monkeypatch.chdir(tmp_path)
    for name in ("rudder.csv", "rudder-2027.csv"):
        shutil.copy(SAMPLES / "ferry-bridge.rudder.readings.csv", name)
    Path("RECORDING.csv").write_text("time_s,fuel\n0,200\n1,400\n2,300\n", "utf-8")
    assert main(["fit", "rudder.csv", "--out", "rudder-2026.json"]) == 0
    shutil.copy("rudder-2026.json", "FIT.json")
    assert main(["new", "ferry", "--like", "ferry-bridge"]) == 0
    for dial in ("rudder", "fuel"):
        readings = str(SAMPLES / f"ferry-bridge.{dial}.readings.csv")
        assert main(["fit", "ferry.panel.json", "--instrument", dial, readings]) in (0, 1)
    shutil.copy("ferry.panel.json", "desk.panel.json")
    return tmp_path


@pytest.mark.slow
@pytest.mark.parametrize(
    "page", [page for page in DOCS[1:] if blocks(page, "needlewright")], ids=lambda p: p.stem
)
def test_the_commands_of_a_page_run_as_they_stand(
    page: Path, at_a_desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for command in blocks(page, "needlewright"):
        words = re.sub(r"[][]", "", command)  # what may be left out is given
        for name, value in STANDS_FOR.items():
            words = re.sub(rf"(?<![\w.]){name}(?![\w.])", value, words)
        shutil.rmtree("out", ignore_errors=True)
        code = main(shlex.split(words, comments=True)[1:])
        assert code in (0, 1), f"{command}: {capsys.readouterr().err}"


@pytest.mark.parametrize("page", DOCS, ids=lambda page: page.stem)
def test_the_verbs_and_options_named_in_the_text_are_there(page: Path) -> None:
    for command in spans(page, r"needlewright [^`]+"):
        parser().parse_args(shlex.split(re.sub(r"[][]", "", command))[1:])


@pytest.mark.parametrize("page", DOCS, ids=lambda page: page.stem)
def test_every_module_that_a_page_runs_is_there(page: Path) -> None:
    for module in re.findall(r"python3? -m ([\w.]+)", page.read_text("utf-8")):
        assert importlib.util.find_spec(module) is not None, module


@pytest.mark.parametrize("page", DOCS, ids=lambda page: page.stem)
def test_every_source_that_a_page_names_is_there(page: Path) -> None:
    named = {name for name in spans(page, r"[\w/.-]+\.py|(?:tests|gaugecore|app|samples|docs)/[\w/.-]+")}
    there = [
        path.relative_to(ROOT).as_posix() + "/" * path.is_dir()
        for folder in ("app", "docs", "gaugecore", "samples", "tests")
        for path in (ROOT / folder).rglob("*")
    ]
    there.append("start.py")
    for name in named:
        if "NAME" not in name and not name.endswith("/translations/"):  # what the reader is to make
            wanted = "/" + name.rstrip("/")
            assert any(f"/{path}".rstrip("/").endswith(wanted) for path in there), name
