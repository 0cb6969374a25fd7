"""The pictures of README and docs: ``python -m needlewright.pictures docs/pictures``.

Made by the program from the samples; look at each after a change that could touch it.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.plot import plot_fit
from gaugecore.calibration.readings import read_readings
from gaugecore.drawing.pages import Page
from gaugecore.drawing.paper import PrintCorrection
from gaugecore.drawing.svg import to_svg
from gaugecore.face.face import Marking
from gaugecore.face.layout import lay_out_face
from gaugecore.face.light import LightLayer, draw_mask
from gaugecore.files import write_outputs
from gaugecore.movement.link_picture import explain_link
from gaugecore.movement.train import CrankLink
from gaugecore.panel.document import Instrument
from gaugecore.panel.sheets import sheets_of
from gaugecore.panel.store import load_panel
from needlewright.paper_prints import pages_to_print
from needlewright.samples import sample_names, sample_path, samples_folder

#: Faces that are shown printed, engraved and lit.
_THREE_WAYS: Final = ("rudder", "heading")


def pictures() -> dict[str, bytes]:
    """Return the pictures, content by file name."""
    files: dict[str, bytes] = {}
    for name in sample_names():
        panel = load_panel(sample_path(name))
        for instrument in panel.instruments:
            face = lay_out_face(instrument.face, name=instrument.id, title=instrument.title)
            files[f"{instrument.id}-face.svg"] = to_svg(face)
            if instrument.id in _THREE_WAYS:
                files.update(_other_ways(instrument))
            readings = samples_folder() / f"{name}.{instrument.id}.readings.csv"
            if readings.exists():
                rows = read_readings(readings)
                plot = plot_fit(fit_readings(rows), rows, file_format="svg")
                files[f"{instrument.id}-fit.svg"] = plot
    # the link that the page on movements explains
    link = CrankLink(ground_mm=36.0, crank_mm=7.0, link_mm=36.3, arm_mm=12.0)
    files["crank-link.svg"] = to_svg(explain_link(link))
    ferry = load_panel(sample_path("ferry-bridge"))
    files["nested-sheet.svg"] = to_svg(sheets_of(ferry)[0].drawing)
    files["paper-page.svg"] = to_svg(pages_to_print(ferry, Page.A4, PrintCorrection())[-1])
    return files


def _other_ways(instrument: Instrument) -> dict[str, bytes]:
    """Return a face as it is engraved, and the film behind it that lets light through."""
    engraved = instrument.face.model_copy(update={"marking": Marking.ENGRAVE})
    film = draw_mask(instrument.face, LightLayer(), name=instrument.id, title=instrument.title)
    return {
        f"{instrument.id}-engraved.svg": to_svg(
            lay_out_face(engraved, name=instrument.id, title=instrument.title)
        ),
        f"{instrument.id}-light-mask.svg": to_svg(film),
    }


if __name__ == "__main__":
    write_outputs(Path(sys.argv[1]), pictures(), force=True)
