"""Files that are too much for their reader, each in its own way."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

SAMPLE = Path(__file__).parents[2] / "samples" / "flap-indicator.panel.json"
GIGABYTE = 1_000_000_000


def _panel(change: Callable[[dict[str, Any]], None]) -> str:
    data = json.loads(SAMPLE.read_text("utf-8"))
    change(data)
    return json.dumps(data)


def _huge(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _huge(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_huge(inner) for inner in value]
    return 1e308 if isinstance(value, float) else value


def _fit(**knots: Any) -> str:
    few = list(range(33))
    names = ("angle_deg", "command_up", "command_down", "standard_uncertainty_deg")
    return json.dumps(
        {
            "kind": "servo",
            "command_range": [0, 32],
            "angle_range_deg": [0, 32],
            "knots": {name: knots.get(name, few) for name in names},
            "reversal_deg": {"value": None, "standard_uncertainty": None},
            "repeatability_deg": None,
        }
    )


_ROW = "1500,10\n"
_MARKS = [{"length_mm": 1}] * 400_000

#: What is in each file, by reader and name; None: a gigabyte of nothing.
FILES: dict[tuple[str, str], Callable[[], str | None]] = {
    **{(kind, "1 GB"): lambda: None for kind in ("panel", "readings", "fit", "recording", "font")},
    ("panel", "nested 10,000 deep"): lambda: _panel(lambda d: d.update(note=0)).replace(
        '"note": 0', '"note": ' + "[" * 10_000 + "]" * 10_000
    ),
    ("panel", "nested to the limit"): lambda: '{"a":' * 3_000_000,
    ("panel", "400,000 wrong legends"): lambda: _panel(
        lambda d: d["instruments"][0]["face"].update(legends=_MARKS)
    ),
    ("panel", "values of 1e308"): lambda: json.dumps(_huge(json.loads(SAMPLE.read_text("utf-8")))),
    ("panel", "half a million keys"): lambda: "{" + ",".join(f'"{n:024d}":0' for n in range(499_000)) + "}",
    ("panel", "19,000 wrong instruments"): lambda: _panel(lambda d: d.update(instruments=[{}] * 19_000)),
    ("panel", "legends that are numbers"): lambda: _panel(
        lambda d: d["instruments"][0]["face"].update(legends=[0] * 490_000)
    ),
    ("panel", "wrong readings"): lambda: _panel(
        lambda d: d["instruments"][0].update(calibration={"sessions": [{"readings": [{}] * 490_000}]})
    ),
    ("panel", "one long text"): lambda: _panel(lambda d: d.update(note="x" * 15_900_000)),
    ("readings", "a million rows"): lambda: "command,angle_deg\n" + _ROW * 900_000,
    ("readings", "the last row wrong"): lambda: "command,angle_deg\n" + _ROW * 90_000 + "x,1\n",
    ("readings", "values of 1e308"): lambda: "command,angle_deg\n1e308,1e308\n",
    ("readings", "nothing but commas"): lambda: "," * 7_900_000,
    ("fit", "a million knots"): lambda: _fit(angle_deg=list(range(900_000))),
    ("fit", "a million wrong knots"): lambda: _fit(angle_deg=["x"] * 1_000_000),
    ("fit", "nested 10,000 deep"): lambda: "[" * 10_000,
    ("fit", "values of 1e999"): lambda: _fit().replace("[0, 32]", "[0, 1e999]"),
    ("recording", "five million rows"): lambda: "time_s,a\n" + "0,1\n" * 4_900_000,
    ("recording", "the last row wrong"): lambda: "time_s,a\n" + "0,1\n" * 450_000 + "x,1\n",
    ("recording", "a million columns"): lambda: "time_s," + ",".join(map(str, range(999_000))) + "\n",
    ("recording", "one long cell"): lambda: "time_s,a\n" + "x" * 19_000_000,
    ("recording", "values of 1e309"): lambda: "time_s,a\n0,1e309\n",
    ("font", "30 MB of nothing"): lambda: "\x00\x01\x00\x00" + "x" * 30_000_000,
}


def write(content: str | None, path: Path) -> None:
    """Write a file; a gigabyte of nothing takes no room on most disks."""
    with path.open("wb") as file:
        if content is None:
            file.truncate(GIGABYTE)
        else:
            file.write(content.encode())
