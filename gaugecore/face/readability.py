"""What a face's design has to be told: first what makes it impossible, then how well it reads.

Each rule says what it measured, what is wanted, who wants it, and what to do about it.
"""

from __future__ import annotations

from gaugecore.drawing.elements import Operation
from gaugecore.drawing.ink import Ink, ink_of
from gaugecore.errors import DesignError
from gaugecore.face.bounds import check_bounds, check_values
from gaugecore.face.clearances import check_clearances
from gaugecore.face.face import Face
from gaugecore.face.layout import lay_out_face
from gaugecore.face.reading_colour import check_colours
from gaugecore.face.reading_making import check_making
from gaugecore.face.reading_marks import check_characters, check_graduations
from gaugecore.face.reading_numerals import check_numerals
from gaugecore.face.reading_pointer import check_pointer
from gaugecore.face.reading_scale import check_scale
from gaugecore.face.reading_spacing import check_spacing
from gaugecore.findings import Finding, Severity


def check_face(
    face: Face,
    pointer_length_mm: float | None = None,
    pointer_gap_mm: float | None = None,
    tip_width_mm: float | None = None,
    error_deg: float | None = None,
    *,
    back_lit: bool = False,
) -> list[Finding]:
    """Return everything there is to say about a face, the worst first.

    Parameters
    ----------
    face : Face
        The design.
    pointer_length_mm, pointer_gap_mm, tip_width_mm : float or None
        Pivot to tip, height above the face, and width of the tip; what needs them is left out without.
    error_deg : float or None
        The worst error of the calibrated needle, once it is known.
    back_lit : bool
        Whether its graduations glow by night.

    Returns
    -------
    list of Finding
        Places are relative: ``face.numerals``. Never raises for a bad design.
    """
    found = check_values(face)
    try:
        drawing = lay_out_face(face, name="face", title="face")
    except DesignError as error:
        return [*found, _cannot_be_drawn(error)]
    # a disc that is only there to be printed on covers nothing
    drawn = [element for element in drawing.elements if element.operation is not Operation.GUIDE]
    inks: list[Ink] = []
    for element in drawn:
        ink = ink_of(element, solid=element.operation is Operation.CUT)
        if ink is not None and ink.part not in ("ground", "outline"):
            inks.append(ink)
    found += check_bounds(face, inks)
    found += check_clearances(inks)
    found += check_spacing(face, inks)
    found += check_scale(face, error_deg=error_deg)
    found += check_numerals(face)
    found += check_graduations(face, back_lit=back_lit)
    found += check_characters(face)
    found += check_colours(face)
    found += check_making(face)
    if pointer_length_mm is not None:
        found += check_pointer(
            face, length_mm=pointer_length_mm, gap_mm=pointer_gap_mm, tip_width_mm=tip_width_mm
        )
    return sorted(found, key=lambda finding: finding.severity.rank)


def _cannot_be_drawn(error: DesignError) -> Finding:
    fault = error.fault
    return Finding(
        rule="cannot-be-drawn",
        severity=Severity.FAULT,
        place=f"face.{fault.where}" if fault.where else "face",
        message=f"The face cannot be drawn: {fault.what}.",
        measured="" if fault.found is None else f"{fault.found}",
        wanted=fault.accepted,
        source="what this program can draw",
        remedy="Change the text or the step named here.",
    )
