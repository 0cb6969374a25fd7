"""The README keeps its word: its commands run as they stand, its links and pictures are there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from needlewright.cli.main import main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
DOCS = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]


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
