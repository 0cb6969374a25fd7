"""Paper pages at true size: drawings side by side, crop marks, and on each the bars that prove the print.

A print correction undoes what a printer does to the size. Its factor is 100 mm by what a bar measured, each
axis for itself; everything on the page is stretched by it about the middle, the bars too, so that they then
measure 100 mm.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from gaugecore.drawing.bars import BAR_MM, bar
from gaugecore.drawing.elements import AnyElement, Box, Drawing, Line, Operation
from gaugecore.drawing.forms import Form
from gaugecore.drawing.ink import ink_of
from gaugecore.drawing.lettering import fitted, letter
from gaugecore.drawing.nesting import nest
from gaugecore.drawing.pages import Page
from gaugecore.drawing.placing import placed
from gaugecore.drawing.stock import Stock
from gaugecore.errors import DesignError, InputError
from gaugecore.polar import Point

#: What measures less or more than this was not printed a little wrong, but wrong.
LEAST_MM: Final = 90.0
MOST_MM: Final = 110.0

#: Most desktop printers reach this near to the edge: common practice, no source.
_MARGIN_MM: Final = 5.5
#: Between the crop marks of neighbours; the marks themselves make room for scissors.
_GAP_MM: Final = 0.5
_MARK_MM: Final = 2.0
_MARK_OFF_MM: Final = 0.5
_MARK_WIDTH_MM: Final = 0.15
_HEAD_MM: Final = 12.0
_STRIP_MM: Final = 9.5
_LETTER_MM: Final = 2.6


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintCorrection:
    """What the bars of the last print measured.

    Attributes
    ----------
    x_mm, y_mm : float
        The level and the upright bar, which should be 100 mm.

    Raises
    ------
    InputError
        If one lies outside 90 to 110 mm.

    Examples
    --------
    >>> round(PrintCorrection(x_mm=98.0, y_mm=100.0).x_factor, 4)
    1.0204
    """

    x_mm: float = BAR_MM
    y_mm: float = BAR_MM

    def __post_init__(self) -> None:
        for axis, measured_mm in (("x", self.x_mm), ("y", self.y_mm)):
            if not LEAST_MM <= measured_mm <= MOST_MM:
                raise InputError(
                    f"the {axis} bar of the last print is too far from {BAR_MM:g} mm to be corrected",
                    found=measured_mm,
                    accepted=f"{LEAST_MM:g} to {MOST_MM:g} mm; else set the printer to actual size first",
                )

    @property
    def x_factor(self) -> float:
        """Return what widths are multiplied by."""
        return BAR_MM / self.x_mm

    @property
    def y_factor(self) -> float:
        """Return what heights are multiplied by."""
        return BAR_MM / self.y_mm


def paper_pages(
    drawings: Sequence[Drawing], page: Page, *, title: str, correction: PrintCorrection | None = None
) -> list[Drawing]:
    """Return pages with drawings at true size; the correction is not in them, but room for it is.

    Parameters
    ----------
    drawings : sequence of Drawing
        Each keeps what is drawn of it, and its crop marks, clear of the others.
    page : Page
        The paper, upright.
    title : str
        Stands at the head of each page.
    correction : PrintCorrection, optional
        What `pages_to_pdf` will be given.

    Raises
    ------
    DesignError
        If a drawing is larger than the page has room for.
    """
    correction = correction or PrintCorrection()
    # a stretched page must still hold all of it, and so must the paper when the printer shrinks
    width_mm = page.width_mm * min(1.0, 1.0 / correction.x_factor)
    height_mm = page.height_mm * min(1.0, 1.0 / correction.y_factor)
    room = Stock(
        name=f"{page.name} paper",
        width_mm=width_mm,
        height_mm=height_mm - _HEAD_MM,
        margin_mm=_MARGIN_MM,
        gap_mm=_GAP_MM,
    )
    forms = [_box_form(drawing.name, _room_of(drawing)) for drawing in drawings]
    try:
        layouts = nest(forms, room, turns_deg=(0.0, 90.0), taken=_strips())
    except DesignError as error:
        raise _too_large(error, page) from error
    shift: Point = ((page.width_mm - width_mm) / 2.0, (page.height_mm - height_mm) / 2.0)
    return [
        _page(
            [(drawings[one.piece], one.at_mm, one.turn_deg) for one in layout],
            page,
            shift=shift,
            head=_head(title, page, number, len(layouts), correction),
            top_mm=height_mm,
        )
        for number, layout in enumerate(layouts, start=1)
    ]


def pages_to_pdf(pages: Sequence[Drawing], correction: PrintCorrection | None = None) -> bytes:
    """Return pages as one PDF file, stretched about their middles by the correction.

    Raises
    ------
    ValueError
        If there are no pages.
    """
    from reportlab.pdfgen.canvas import Canvas

    from gaugecore.drawing.pdf import paint
    from gaugecore.units import mm_to_pt

    if not pages:
        raise ValueError("a PDF file needs at least one page")
    correction = correction or PrintCorrection()
    stream = io.BytesIO()
    canvas = Canvas(stream, pageCompression=1, invariant=1)
    canvas.setTitle(pages[0].title)
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        width_mm, height_mm = page.box.width_mm, page.box.height_mm
        canvas.setPageSize((mm_to_pt(width_mm), mm_to_pt(height_mm)))
        canvas.saveState()
        canvas.translate(mm_to_pt(width_mm / 2.0), mm_to_pt(height_mm / 2.0))
        canvas.scale(correction.x_factor, correction.y_factor)
        paint(canvas, page, left_mm=-width_mm / 2.0, bottom_mm=-height_mm / 2.0)
        canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _drawn_box(drawing: Drawing) -> Box:
    """Return the rectangle around what is drawn; its own box has room beside it that paper can spare."""
    boxes = [ink.box for element in drawing.elements if (ink := ink_of(element)) is not None]
    return Box(
        left_mm=min((box.left_mm for box in boxes), default=drawing.box.left_mm),
        bottom_mm=min((box.bottom_mm for box in boxes), default=drawing.box.bottom_mm),
        right_mm=max((box.right_mm for box in boxes), default=drawing.box.right_mm),
        top_mm=max((box.top_mm for box in boxes), default=drawing.box.top_mm),
    )


def _room_of(drawing: Drawing) -> Box:
    """Return the rectangle that a drawing takes together with its crop marks."""
    box, marks_mm = _drawn_box(drawing), _MARK_OFF_MM + _MARK_MM
    return Box(
        left_mm=box.left_mm - marks_mm,
        bottom_mm=box.bottom_mm - marks_mm,
        right_mm=box.right_mm + marks_mm,
        top_mm=box.top_mm + marks_mm,
    )


def _box_form(name: str, box: Box) -> Form:
    corners = (
        (box.left_mm, box.bottom_mm),
        (box.right_mm, box.bottom_mm),
        (box.right_mm, box.top_mm),
        (box.left_mm, box.top_mm),
    )
    return Form(name, hull_mm=corners)


def _strips() -> list[tuple[Form, Point]]:
    """Return the room of the two bars, along the left and the lower edge from their common corner."""
    long_mm = BAR_MM + _STRIP_MM
    level = _box_form("bar.x", Box(left_mm=0.0, bottom_mm=0.0, right_mm=long_mm, top_mm=_STRIP_MM))
    upright = _box_form("bar.y", Box(left_mm=0.0, bottom_mm=0.0, right_mm=_STRIP_MM, top_mm=long_mm))
    return [(level, (_MARGIN_MM, _MARGIN_MM)), (upright, (_MARGIN_MM, _MARGIN_MM))]


def _page(
    laid: Sequence[tuple[Drawing, Point, float]],
    page: Page,
    *,
    shift: Point,
    head: Sequence[str],
    top_mm: float,
) -> Drawing:
    elements: list[AnyElement] = []
    for drawing, at_mm, turn_deg in laid:
        elements += placed(drawing.elements, at_mm=at_mm, turn_deg=turn_deg, prefix=drawing.name)
        elements += _crop_marks(
            _box_form("", _drawn_box(drawing)).turned_by(turn_deg).box, at_mm, drawing.name
        )
    corner = _MARGIN_MM + _STRIP_MM
    elements += bar((corner, _MARGIN_MM + 0.5), upright=False, operation=Operation.GUIDE)
    elements += bar((_MARGIN_MM + _STRIP_MM - 0.5, corner), upright=True, operation=Operation.GUIDE)
    for number, line in enumerate(head):
        elements.append(
            letter(
                fitted(line, height_mm=_LETTER_MM, longest_mm=page.width_mm - 2.0 * (_MARGIN_MM + shift[0])),
                operation=Operation.GUIDE,
                part=f"head.{number}",
                height_mm=_LETTER_MM,
                at_mm=(_MARGIN_MM, top_mm - _MARGIN_MM - _LETTER_MM / 2.0 - number * 1.9 * _LETTER_MM),
                align="left",
            )
        )
    return Drawing(
        name=f"paper-{page.name.lower()}",
        title=head[0],
        box=Box(left_mm=0.0, bottom_mm=0.0, right_mm=page.width_mm, top_mm=page.height_mm),
        elements=placed(elements, at_mm=shift),
    )


def _head(title: str, page: Page, number: int, count: int, correction: PrintCorrection) -> tuple[str, str]:
    plain = (correction.x_mm, correction.y_mm) == (BAR_MM, BAR_MM)
    said = "" if plain else f" Corrected from {correction.x_mm:g} by {correction.y_mm:g} mm."
    return (
        f"{title} · {page.name.title() if page is Page.LETTER else page.name}, page {number} of {count}",
        f"Print at actual size, 100 %. Both bars must measure {BAR_MM:g} mm.{said}",
    )


def _crop_marks(box: Box, at_mm: Point, name: str) -> list[AnyElement]:
    """Return two short lines outside each corner of a box, in line with its sides."""
    marks: list[AnyElement] = []
    for x_mm, right in ((box.left_mm, -1.0), (box.right_mm, 1.0)):
        for y_mm, up in ((box.bottom_mm, -1.0), (box.top_mm, 1.0)):
            x, y = x_mm + at_mm[0], y_mm + at_mm[1]
            far = _MARK_OFF_MM + _MARK_MM
            ends = (
                ((x + right * _MARK_OFF_MM, y), (x + right * far, y)),
                ((x, y + up * _MARK_OFF_MM), (x, y + up * far)),
            )
            marks += [
                Line(
                    operation=Operation.GUIDE,
                    part=f"{name}.crop",
                    width_mm=_MARK_WIDTH_MM,
                    start_mm=start,
                    end_mm=end,
                )
                for start, end in ends
            ]
    return marks


def _too_large(error: DesignError, page: Page) -> DesignError:
    fault = error.fault
    larger = "larger paper, --paper A3" if page is not Page.A3 else "a smaller plate"
    return DesignError(
        f"the plate is larger than a page of {page.name} has room for at true size",
        where=fault.where,
        found=fault.found,
        accepted=f"{fault.accepted.split(' (')[0]}, or {larger}",
    )
