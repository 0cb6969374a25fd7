"""Inputs that the fuzzer starts from: without any, it spends its time on finding the first brace."""

from __future__ import annotations

import io
import json
from pathlib import Path

from gaugecore.board.messages import frame
from gaugecore.board.stored_table import StoredTable
from gaugecore.calibration.result import FEWEST_KNOTS
from gaugecore.panel.document import Calibration
from gaugecore.panel.store import parse_panel

SAMPLES = Path(__file__).parents[2] / "samples"


def seeds(target: str) -> list[bytes]:
    """Return inputs that are good, for a target."""
    match target:
        case "panel":
            return [_small_panel()]
        case "readings":
            return [path.read_bytes() for path in SAMPLES.glob("*.readings.csv")]
        case "fit" | "table":
            return [_small_fit()]
        case "line":
            return [frame("1 hello 1") + frame("2 move 0 3000 3100"), frame("5 no limit 2000 4000")]
        case "board":
            return [
                b"limits 0 700 5000\nmove 0 3000 3100\nstatus 0\nraw 1 7\nrelax\nloss 1 park 3000",
                b"begin 0 12\nblock 0 0102000000000A00FFFF00\ncommit 0 00000000\ntable 0\nwatchdog 200",
                b"home 0\neye 1\ntruth 0\ncounters\nalive\nloss 0 relax\nlimits 1",
            ]
        case "stored_table":
            return [StoredTable(((0, 2000), (65535, 4000)), ((0, 1990), (65535, 3990))).to_bytes()]
        case "message":
            return [b'{"rudder": 12, "seq": 3, "ship": "ferry"}', b"rudder=12; fuel=0.5, seq=9\n"]
        case "recording":
            return [b"time_s,rudder,fuel\n0,10,\n1.5,,3\n# note\n2,-1e3,0.5\n"]
        case "font":
            return [_small_font()]
    return []


def _small_panel() -> bytes:
    panel = parse_panel((SAMPLES / "ferry-bridge.panel.json").read_text("utf-8"))
    first = panel.instruments[0].model_copy(update={"calibration": Calibration()})
    data = panel.model_copy(update={"instruments": (first,)}).model_dump(mode="json")
    return json.dumps(data).encode()


def _small_fit() -> bytes:
    angles = [float(10 * n) for n in range(FEWEST_KNOTS)]
    commands = [1000.0 + 30.0 * n for n in range(FEWEST_KNOTS)]
    return json.dumps(
        {
            "kind": "servo",
            "command_range": [1000.0, 1960.0],
            "angle_range_deg": [angles[0], angles[-1]],
            "knots": {
                "angle_deg": angles,
                "command_up": commands,
                "command_down": commands,
                "standard_uncertainty_deg": [0.2] * FEWEST_KNOTS,
            },
            "reversal_deg": {"value": None, "standard_uncertainty": None},
            "repeatability_deg": None,
        }
    ).encode()


def _small_font() -> bytes:
    """Return the letters of the target from a free font that comes with matplotlib."""
    import matplotlib
    from fontTools.subset import Subsetter
    from fontTools.ttLib import TTFont

    font = TTFont(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf")
    subset = Subsetter()
    subset.populate(text="H0°8")
    subset.subset(font)
    content = io.BytesIO()
    font.save(content)
    return content.getvalue()
