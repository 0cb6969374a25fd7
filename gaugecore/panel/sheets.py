"""A panel's plates on sheets of its stock: kerf allowed for, close together, in the machine's colours."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from gaugecore.drawing.elements import AnyElement, Box, Circle, Drawing, Operation
from gaugecore.drawing.forms import Form, form_of, wide_enough
from gaugecore.drawing.guides import GUIDE_COLOUR
from gaugecore.drawing.ink import ink_of
from gaugecore.drawing.kerf import allow_for_kerf, cut_loops, cut_loops_of, holes_among
from gaugecore.drawing.lettering import fitted, letter, width_mm
from gaugecore.drawing.machine import prepared_for
from gaugecore.drawing.nesting import Placement, nest
from gaugecore.drawing.placing import placed
from gaugecore.drawing.shapes import polygon_of
from gaugecore.drawing.stock import Stock
from gaugecore.errors import DesignError
from gaugecore.panel.document import Panel
from gaugecore.panel.plates import Plate, placed_error, stocked_plates_of
from gaugecore.panel.sheet_names import names_beside
from gaugecore.polar import Point

_LETTER_MM: Final = 2.0
#: A margin takes a line of lettering when it is this wide.
_LETTERED_MARGIN_MM: Final = 3.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One closed outline of a plate with all that lies in it, about an origin of its own."""

    name: str
    form: Form
    elements: tuple[AnyElement, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet of stock as it goes to the machine.

    Attributes
    ----------
    drawing : Drawing
        Its box is the whole sheet.
    stock : int
        Number of the panel's stock.
    number : int
        Which sheet of that stock, counted from 1.
    pieces : tuple of str
        Names of what lies on it.
    used_fraction : float
        Solid plates by the sheet's whole area.
    """

    drawing: Drawing
    stock: int
    number: int
    pieces: tuple[str, ...]
    used_fraction: float


def sheets_of(panel: Panel) -> list[Sheet]:
    """Return the sheets that a panel's plates are cut from, stock by stock.

    Raises
    ------
    DesignError
        If a plate cannot be drawn, names a stock that is not there, is larger than its sheet, or has an
        opening narrower than the kerf.
    """
    by_stock: dict[int, list[Piece]] = {}
    for instrument in panel.instruments:
        for plate in stocked_plates_of(instrument):
            if plate.stock is None:
                continue
            where = f"instruments.{instrument.id}"
            stock = stock_of(panel.stock, plate, where)
            by_stock.setdefault(plate.stock, []).extend(_placed_pieces(plate.drawing, stock, where))
    sheets: list[Sheet] = []
    for number in sorted(by_stock):
        sheets += _sheets(panel, number, by_stock[number])
    return sheets


def stock_of(stock: Sequence[Stock], plate: Plate, where: str) -> Stock:
    """Return the stock a plate is cut from.

    Raises
    ------
    DesignError
        If the panel has no such stock.
    """
    if plate.stock is None or plate.stock >= len(stock):
        raise DesignError(
            "the panel has no such stock",
            where=f"{where}.making.{plate.field}",
            found=plate.stock,
            accepted=f"0 to {len(stock) - 1}, the numbers of the panel's stock",
        )
    return stock[plate.stock]


def stray_holes(drawing: Drawing) -> list[AnyElement]:
    """Return the holes that lie wholly beside a plate, or all round it: they cut none of its material."""
    loops = [(owner, part, polygon_of(loop)) for owner, part, loop in cut_loops(drawing)]
    plates = [area for _, part, area in loops if _is_outline(part)]
    return [
        drawing.elements[owner]
        for owner, part, area in loops
        if not _is_outline(part)
        and not any(area.intersects(plate) and not area.contains(plate) for plate in plates)
    ]


def _is_outline(part: str) -> bool:
    return part.split(".")[-1] == "outline"


def pieces_of(drawing: Drawing, kerf_mm: float) -> list[Piece]:
    """Return the pieces that a drawing falls into when it is cut, kerf allowed for.

    A hole that lies beside the plate, or all round it, is not cut: on a sheet it would make a piece that
    nobody drew, or run into the next plate. The checks say that it is there.

    Raises
    ------
    DesignError
        If an opening is narrower than the kerf, or cut lines cross.
    """
    stray = stray_holes(drawing)
    drawn = tuple(element for element in drawing.elements if element not in stray)
    made = allow_for_kerf(replace(drawing, elements=drawn), kerf_mm)
    loops = cut_loops(made)
    outsides = [
        (made.elements[owner], loop)
        for (owner, _, loop), hole in zip(loops, holes_among(loops), strict=True)
        if not hole
    ]
    areas = [polygon_of(loop) for _, loop in outsides]
    pieces = []
    for number, ((element, _), area) in enumerate(zip(outsides, areas, strict=True)):
        inside = tuple(e for e in made.elements if _lies_in(e, area))
        origin = _origin(element, area, alone=len(outsides) == 1)
        name = made.name if len(outsides) == 1 else f"{made.name}-{number + 1}"
        own = placed(inside, at_mm=(-origin[0], -origin[1]))
        pieces.append(
            Piece(
                name=name, form=_form(name, element, area, origin, own), elements=(*own, *_label(name, own))
            )
        )
    return pieces


def _origin(outside: AnyElement, area: Any, *, alone: bool) -> Point:
    """Return what a piece is placed by: a disc's centre, the pivot of a plate that is one piece."""
    if isinstance(outside, Circle):
        return outside.centre_mm
    left, bottom, right, top = area.bounds
    return (0.0, 0.0) if alone else ((left + right) / 2.0, (bottom + top) / 2.0)


def _lies_in(element: AnyElement, area: Any) -> bool:
    from shapely import Point as Spot

    ink = ink_of(element)
    # half a kerf of play, for the outline itself lies on its own edge
    return ink is not None and bool(area.distance(Spot(ink.chords[0, :2])) < 1e-3)


def _form(name: str, outside: AnyElement, area: Any, origin: Point, own: Sequence[AnyElement]) -> Form:
    from shapely.affinity import translate

    holes = tuple(
        (e.centre_mm, e.radius_mm)
        for e in own
        if isinstance(e, Circle) and e.operation is Operation.CUT and e.part != outside.part
    )
    if isinstance(outside, Circle):
        return Form(name, radius_mm=outside.radius_mm, holes=wide_enough(holes))
    return form_of(name, translate(area, -origin[0], -origin[1]), holes)


def _label(name: str, own: Sequence[AnyElement]) -> list[AnyElement]:
    """Return a piece's name on its upright axis, where it lies on solid material; nothing when nowhere."""
    from shapely import box, prepare

    solid = polygon_of(*(loop for _, _, loop in cut_loops_of(own)))
    prepare(solid)
    _, bottom_mm, _, top_mm = solid.bounds
    half_mm = (width_mm(name, height_mm=_LETTER_MM) + _LETTER_MM) / 2.0
    # from half way down, first outward and then up
    starts_mm = np.arange(bottom_mm / 2.0, bottom_mm, -0.5), np.arange(bottom_mm / 2.0, top_mm, 0.5)
    for y_mm in np.concatenate(starts_mm).tolist():
        if solid.contains(box(-half_mm, y_mm - _LETTER_MM, half_mm, y_mm + _LETTER_MM)):
            return [
                letter(
                    name,
                    operation=Operation.GUIDE,
                    colour=GUIDE_COLOUR,
                    part="label",
                    height_mm=_LETTER_MM,
                    at_mm=(0.0, y_mm),
                )
            ]
    return []


def _placed_pieces(drawing: Drawing, stock: Stock, where: str) -> list[Piece]:
    try:
        return pieces_of(drawing, stock.kerf_mm)
    except DesignError as error:
        raise placed_error(error, where, drawing.name) from error


def _sheets(panel: Panel, stock_number: int, pieces: Sequence[Piece]) -> Iterator[Sheet]:
    stock = panel.stock[stock_number]
    layouts = nest([piece.form for piece in pieces], stock)
    for number, layout in enumerate(layouts, start=1):
        drawn = Drawing(
            name=f"stock-{stock_number + 1}-sheet-{number}",
            title=f"{panel.title} · {stock.name} · sheet {number} of {len(layouts)}",
            box=Box(left_mm=0.0, bottom_mm=0.0, right_mm=stock.width_mm, top_mm=stock.height_mm),
            elements=(),
        )
        lying = list(_laid(pieces, layout))
        elements = (
            *(element for _, laid in lying for element in laid),
            *names_beside(lying, stock),
            *_note(drawn.title, stock),
        )
        area = sum(pieces[one.piece].form.area_mm2 for one in layout)
        yield Sheet(
            drawing=prepared_for(panel.machine, replace(drawn, elements=elements)),
            stock=stock_number,
            number=number,
            pieces=tuple(pieces[one.piece].name for one in layout),
            used_fraction=area / (stock.width_mm * stock.height_mm),
        )


def _laid(pieces: Sequence[Piece], layout: Iterable[Placement]) -> Iterator[tuple[str, Sequence[AnyElement]]]:
    """Yield name and elements of the pieces on a sheet, the smallest piece first.

    What lies in the hole of a ring must be cut before the hole, or it drops out with it.
    """
    for one in sorted(layout, key=lambda one: (pieces[one.piece].form.polygon.area, one.piece)):
        piece = pieces[one.piece]
        yield piece.name, placed(piece.elements, at_mm=one.at_mm, turn_deg=one.turn_deg, prefix=piece.name)


def _note(title: str, stock: Stock) -> list[AnyElement]:
    if stock.margin_mm < _LETTERED_MARGIN_MM:
        return []
    words = f"{title} · {stock.width_mm:g} x {stock.height_mm:g} mm · kerf {stock.kerf_mm:g} mm allowed for"
    longest_mm = stock.width_mm - 2.0 * stock.margin_mm
    return [
        letter(
            fitted(words, height_mm=_LETTER_MM, longest_mm=longest_mm),
            operation=Operation.GUIDE,
            colour=GUIDE_COLOUR,
            part="note",
            height_mm=_LETTER_MM,
            at_mm=(stock.margin_mm, stock.margin_mm / 2.0),
            align="left",
        )
    ]
