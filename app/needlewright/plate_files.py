"""Plates as files: every drawing of some instruments in every format asked for, and the test card."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from gaugecore.drawing.elements import Drawing
from gaugecore.panel.document import Instrument

FORMATS = ("svg", "dxf", "pdf")


def plate_files(instruments: Sequence[Instrument], formats: Sequence[str]) -> dict[str, bytes]:
    """Return the plates of instruments and the test card, content by file name.

    Raises
    ------
    DesignError
        If one of them cannot be drawn.
    """
    from gaugecore.drawing.test_card import test_card
    from gaugecore.panel.plates import plates_of

    drawings = [plate for instrument in instruments for plate in plates_of(instrument)]
    drawings.append(test_card())
    return {f"{drawing.name}.{form}": writer(form)(drawing) for drawing in drawings for form in formats}


def writer(form: str) -> Callable[[Drawing], bytes]:
    """Return what turns a drawing into a file of a format."""
    if form == "svg":
        from gaugecore.drawing.svg import to_svg

        return to_svg
    if form == "dxf":
        from gaugecore.drawing.dxf import to_dxf

        return to_dxf
    from gaugecore.drawing.pdf import to_pdf

    return lambda drawing: to_pdf([drawing])
