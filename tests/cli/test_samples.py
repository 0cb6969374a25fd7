"""The samples keep together: readings that were shipped with a dial calibrate the whole of it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from gaugecore.face.scale import angle_range_deg
from gaugecore.panel.store import load_panel
from needlewright.cli.main import main

SAMPLES = Path(__file__).parents[2] / "samples"
#: Panel and dial of every readings file that belongs to one.
READ = [
    (panel.name.removesuffix(".panel.json"), readings.name.split(".")[1])
    for panel in sorted(SAMPLES.glob("*.panel.json"))
    for readings in sorted(SAMPLES.glob(panel.name.replace(".panel.json", ".*.readings.csv")))
]


@pytest.mark.parametrize(("name", "dial"), READ)
def test_the_readings_of_a_sample_reach_past_both_ends_of_its_scale_and_give_a_table(
    name: str, dial: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = tmp_path / "desk.panel.json"
    shutil.copy(SAMPLES / f"{name}.panel.json", panel)
    readings = str(SAMPLES / f"{name}.{dial}.readings.csv")
    assert main(["fit", str(panel), "--instrument", dial, readings, "--json"]) == 0
    low_deg, high_deg = json.loads(capsys.readouterr().out)["angle_range_deg"]
    instrument = load_panel(panel).instrument(dial)
    assert instrument is not None
    ends_deg = angle_range_deg(instrument.face.scale)
    assert low_deg < ends_deg[0] - 3.0
    assert high_deg > ends_deg[1] + 3.0
    assert main(["check", str(panel)]) == 0
    assert main(["table", str(panel), "--instrument", dial, "--out", str(tmp_path / "firmware")]) == 0
