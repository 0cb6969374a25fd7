"""The demo: the whole job on the samples, and the fit and table of a real servo, into one folder."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from gaugecore.board.board import Board
from gaugecore.board.serial_link import open_link
from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.plot import plot_fit
from gaugecore.calibration.readings import read_readings
from gaugecore.calibration.result import Fit
from gaugecore.errors import OutputError
from gaugecore.files import is_there, write_outputs
from gaugecore.panel.needle_of import port_for
from gaugecore.panel.program_of import program_of
from gaugecore.panel.store import SUFFIX, load_panel, panel_text
from gaugecore.record.record import record_pdf
from gaugecore.table.from_fit import Wanted, straight, table_from_fit
from gaugecore.table.integer import Origin
from gaugecore.table.written import written
from needlewright.plate_files import FORMATS, plate_files
from needlewright.samples import sample_path, samples_folder
from needlewright.whole_job import Done, do_dial, done_panel

PANELS = ("ferry-bridge", "flap-indicator")
#: Seeded, so that two runs see the same crooked servos; the servos run faster than life; a slip in twenty.
PORT = "virtual:?seed=7&pace=500&slips=0.05"
#: What says that a folder is the demo's own and may be written again.
REPORT = "demo.json"
#: Raw values of the measured servo's table, and the dial angles at both.
MEASURED_RAW, MEASURED_DEG = (0, 1023), (-70.0, 70.0)


@dataclass(slots=True)
class Demo:
    """What the demo has done so far."""

    out: Path
    on_step: Callable[[str], None]
    files: list[Path] = field(default_factory=list)
    dials: list[Done] = field(default_factory=list)
    measured: dict[str, Any] = field(default_factory=dict)

    def write(self, folder: str, files: dict[str, bytes]) -> None:
        """Put files into a folder of the demo's."""
        self.files += write_outputs(self.out / folder, files, force=True)


def run_demo(out: Path, on_step: Callable[[str], None]) -> Demo:
    """Do the whole job on every sample.

    Parameters
    ----------
    out : Path
        The folder; one that is there must be an earlier demo's.
    on_step : callable
        Told in words what happens next.

    Raises
    ------
    OutputError
        If the folder holds something else.
    """
    if is_there(out) and not out.is_dir():
        raise OutputError(
            "this is a file, and the demo needs a folder",
            where=str(out),
            accepted="an empty or a new folder: --out DIR",
        )
    if out.exists() and not (out / REPORT).exists() and any(out.iterdir()):
        raise OutputError(
            "the folder holds something that is not an earlier demo",
            where=str(out),
            accepted="an empty or a new folder: --out DIR",
        )
    demo = Demo(out=out, on_step=on_step)
    demo.write(".", {REPORT: b"{}\n"})
    for name in PANELS:
        _panel(demo, name)
    _measured_servo(demo)
    demo.write(".", {REPORT: (json.dumps(report(demo), indent=2) + "\n").encode()})
    return demo


def report(demo: Demo) -> dict[str, Any]:
    """Return what the demo did as JSON values."""
    return {
        "instruments": [
            {
                "instrument": done.instrument.id,
                "readings": len(done.readings),
                "suspect_rows": [row.row for row in _fit(done).suspect_rows],
                "reversal_deg": _fit(done).reversal_deg.value,
                "worst_error_before_deg": round(done.before.worst_deg, 3),
                "error_95_before_deg": round(done.before.most_deg, 3),
                "worst_error_after_deg": round(done.after.worst_deg, 3),
                "error_95_after_deg": round(done.after.most_deg, 3),
                "table_bytes": done.table.flash_bytes,
                "table_worst_error_us": round(done.table.worst_error_in_commands, 3),
            }
            for done in demo.dials
        ],
        "measured_servo": demo.measured,
        "files": sorted({path.relative_to(demo.out).as_posix() for path in demo.files}),
    }


def _panel(demo: Demo, name: str) -> None:
    panel = load_panel(sample_path(name))
    dials: list[Done] = []
    (demo.out / name).mkdir(exist_ok=True)
    with Board(open_link(port_for(PORT, panel))) as board:
        for instrument in panel.instruments:
            demo.files.append(demo.out / name / f"{instrument.id}.readings.csv")

            def step(said: str, title: str = instrument.title) -> None:
                demo.on_step(f"{title}: {said}")

            dials.append(do_dial(board, panel, instrument, out=demo.files[-1], on_step=step))
    panel = done_panel(panel, dials)
    demo.on_step(f"{panel.title}: drawing")
    demo.write(f"{name}/plates", plate_files(panel.instruments, FORMATS))
    demo.write(f"{name}/firmware", program_of([(done.table, done.instrument.movement) for done in dials]))
    for done in dials:
        demo.write(f"{name}/firmware", written(done.table))
        plot = plot_fit(_fit(done), done.readings, file_format="svg")
        demo.write(name, {f"{done.instrument.id}.fit.svg": plot})
    demo.on_step(f"{panel.title}: writing the record")
    demo.write(name, {f"{name}{SUFFIX}": panel_text(panel).encode(), f"{name}.record.pdf": record_pdf(panel)})
    demo.dials += dials


def _measured_servo(demo: Demo) -> None:
    """Fit a real servo's published readings and make a table of them."""
    demo.on_step("a real servo: fitting its published readings")
    readings = read_readings(samples_folder() / "measured-servo.readings.csv")
    fit = fit_readings(readings)
    table = table_from_fit(
        fit,
        raw_range=MEASURED_RAW,
        angle_deg=straight(MEASURED_RAW, MEASURED_DEG),
        wanted=Wanted(),
        origin=Origin.named("measured-servo"),
    )
    demo.measured = {
        "readings": len(readings),
        "suspect_rows": [row.row for row in fit.suspect_rows],
        "table_bytes": table.flash_bytes,
        "table_worst_error_us": round(table.worst_error_in_commands, 3),
    }
    demo.write(
        "measured-servo",
        {
            "measured-servo.fit.json": (fit.model_dump_json(indent=2) + "\n").encode(),
            "measured-servo.fit.svg": plot_fit(fit, readings, file_format="svg"),
            **written(table),
        },
    )


def _fit(done: Done) -> Fit:
    fit = done.instrument.calibration.fit
    assert fit is not None  # do_dial has just made it
    return fit
