"""The directions of import hold, and each rule is seen to fail when it is broken on purpose."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LINT = "from importlinter.cli import lint_imports_command as c; c()"

#: A file of the engine or the front ends, a line to plant in it, and the contract that must catch it.
VIOLATIONS = (
    ("gaugecore/face/scale.py", "import PySide6.QtCore", "core-is-headless"),
    ("gaugecore/panel/store.py", "import needlewright.cli.main", "core-is-headless"),
    ("gaugecore/drawing/elements.py", "import gaugecore.panel.document", "one-way"),
    ("gaugecore/face/face.py", "import gaugecore.movement.servo", "one-way"),
    ("gaugecore/errors.py", "import gaugecore.units", "one-way"),
    ("gaugecore/stray.py", "import math", "one-way"),
    ("gaugecore/drawing/svg.py", "import gaugecore.drawing.lettering", "writers-know-elements"),
    ("gaugecore/board/link.py", "import serial", "one-door-to-serial"),
    ("app/needlewright/cli/new.py", "import serial.tools", "one-door-to-serial"),
    ("app/needlewright/ui/__init__.py", "import needlewright.cli.main", "front-ends-apart"),
)


def lint(tree: Path, *words: str) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONPATH": f"{tree}{os.pathsep}{tree / 'app'}", "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        [sys.executable, "-c", LINT, "--no-cache", *words],
        cwd=tree,
        env=env,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    copy = tmp_path_factory.mktemp("house")
    shutil.copy(ROOT / "pyproject.toml", copy)
    for package in ("gaugecore", "app"):
        shutil.copytree(ROOT / package, copy / package, ignore=shutil.ignore_patterns("__pycache__"))
    return copy


@pytest.mark.slow
@pytest.mark.parametrize(("file", "line", "contract"), VIOLATIONS)
def test_a_planted_violation_is_caught(tree: Path, file: str, line: str, contract: str) -> None:
    planted = tree / file
    before = planted.read_text("utf-8") if planted.exists() else None
    try:
        planted.write_text((before or "") + f"\n{line}\n", "utf-8")
        outcome = lint(tree, "--contract", contract)
    finally:
        if before is None:
            planted.unlink()
        else:
            planted.write_text(before, "utf-8")
    assert outcome.returncode == 1, outcome.stdout + outcome.stderr
    assert "BROKEN" in outcome.stdout


@pytest.mark.slow
def test_the_house_as_it_stands_keeps_every_contract(tree: Path) -> None:
    outcome = lint(tree)
    assert outcome.returncode == 0, outcome.stdout


HEAVY = (
    "scipy",
    "ezdxf",
    "reportlab",
    "matplotlib",
    "pypdf",
    "svgwrite",
    "HersheyFonts",
    "PySide6",
    "serial",
)


def engine_modules() -> list[str]:
    files = sorted((ROOT / "gaugecore").rglob("*.py"))
    names = [".".join(f.relative_to(ROOT).with_suffix("").parts) for f in files]
    return [name.removesuffix(".__init__") for name in names]


@pytest.mark.slow
def test_the_engine_imports_light() -> None:
    # the doors to heavy libraries are themselves opened only when a port is, or when a DXF file is written
    doors = ("serial_link", "dxf_entities", "dxf_frame", "dxf_specimens", "__main__")
    names = [name for name in engine_modules() if not name.endswith(doors)]
    code = f"import sys, importlib\nfor n in {names!r}: importlib.import_module(n)\n"
    code += f"print([h for h in {HEAVY!r} if h in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("file", sorted((ROOT / "gaugecore").rglob("*.py")), ids=lambda f: f.stem)
def test_no_file_of_the_engine_is_longer_than_can_be_read_at_once(file: Path) -> None:
    assert len(file.read_text("utf-8").splitlines()) <= 400


@pytest.mark.parametrize("file", sorted((ROOT / "app").rglob("*.py")), ids=lambda f: f.stem)
def test_no_file_of_the_front_ends_is_longer_than_can_be_read_at_once(file: Path) -> None:
    assert len(file.read_text("utf-8").splitlines()) <= 400


_TURNS = ("radians", "degrees", "deg2rad", "rad2deg")


def _turns_angles(node: ast.AST) -> bool:
    if isinstance(node, ast.ImportFrom):
        return any(alias.name in _TURNS for alias in node.names)
    if isinstance(node, ast.Attribute):
        return node.attr in _TURNS
    name = {ast.Name: "id", ast.arg: "arg", ast.keyword: "arg"}.get(type(node), "")
    return bool(name) and str(getattr(node, name)).endswith("_rad")


#: Angles here are those of sight and of mechanics, not dial angles.
OTHER_ANGLES = ("face/seeing.py", "movement/")


@pytest.mark.parametrize(
    "line", ["import math; math.radians(1)", "phase_rad = 1", "f(phase_rad=1)", "def f(a_rad): 0"]
)
def test_radians_are_seen_however_they_are_named(line: str) -> None:
    assert any(_turns_angles(node) for node in ast.walk(ast.parse(line)))


def test_only_polar_turns_dial_angles_into_radians() -> None:
    knows = {
        path.relative_to(ROOT / "gaugecore").as_posix()
        for path in (ROOT / "gaugecore").rglob("*.py")
        if any(_turns_angles(node) for node in ast.walk(ast.parse(path.read_text("utf-8"))))
    }
    assert {name for name in knows if not name.startswith(OTHER_ANGLES)} == {"polar.py"}
