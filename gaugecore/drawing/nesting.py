"""Plates put close together on sheets of stock, as few sheets as can be.

For two pieces there is a shape that the origin of the second must not enter while the first lies still: the
no-fit shape, grown by the gap. Where a piece may lie on a sheet is the sheet's own room less the no-fit
shapes of all that lies there already, and a tight place is a corner of what remains. Pieces are taken from
the largest to the smallest, each into the first sheet that has room, in several orders and directions; sheets
full of equal discs are tried in columns too. The way that needs the fewest sheets is kept. Nothing is random,
so the same plates always lie the same way.

Discs are discs, and everything else counts as its convex hull. A round hole wide enough takes smaller pieces.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Final

import numpy as np

from gaugecore.drawing.disc_columns import most_discs
from gaugecore.drawing.forms import Form, no_fit, room_for
from gaugecore.drawing.stock import Stock
from gaugecore.errors import DesignError
from gaugecore.polar import Point

#: Scores closer than this are equal, or floating point dust would decide where a piece lies.
_ALIKE_MM: Final = 1e-5
#: How many ways are tried: all of them with few pieces, or nesting thousands would take minutes.
_FEWEST_WAYS: Final = 2
_PIECES_LAID: Final = 1800
_QUARTERS_DEG: Final = (0.0, 90.0, 180.0, 270.0)


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a piece lies: its number, the place of its origin, how far it is turned clockwise."""

    piece: int
    at_mm: Point
    turn_deg: float


@dataclass(slots=True)
class _Sheet:
    """A sheet being filled, and where each form may still lie on it."""

    width_mm: float
    height_mm: float
    margin_mm: float
    gap_mm: float
    lying: list[tuple[Form, Point]] = field(default_factory=list)
    placed: list[Placement] = field(default_factory=list)
    room: dict[Form, tuple[int, Any]] = field(default_factory=dict)

    def free(self, form: Form) -> Any:
        """Return where the origin of a form may lie now."""
        from shapely import union_all

        done, free = self.room.get(form, (0, None))
        if free is None:
            free = room_for(form, self.width_mm, self.height_mm, self.margin_mm)
        if done < len(self.lying) and not free.is_empty:
            taken = [_moved(no_fit(other, form, self.gap_mm), at_mm) for other, at_mm in self.lying[done:]]
            free = free.difference(taken[0] if len(taken) == 1 else union_all(taken))
        self.room[form] = len(self.lying), free
        return free

    def place(self, piece: int, form: Form, at_mm: Point) -> None:
        self.lying.append((form, at_mm))
        self.placed.append(Placement(piece, at_mm, form.turn_deg))


def nest(
    forms: Sequence[Form],
    stock: Stock,
    *,
    turns_deg: Sequence[float] = _QUARTERS_DEG,
    taken: Sequence[tuple[Form, Point]] = (),
) -> list[list[Placement]]:
    """Return where pieces lie, sheet by sheet, in the coordinates of a sheet's lower left corner.

    Parameters
    ----------
    forms : sequence of Form
        One a piece; equal ones should be equal values, which saves time.
    stock : Stock
        Size, margin and gap; there are as many sheets of it as are needed.
    turns_deg : sequence of float
        How far pieces that are no discs may be turned, clockwise.
    taken : sequence of (Form, Point)
        What lies on every sheet already.

    Returns
    -------
    list of list of Placement
        Every piece once.

    Raises
    ------
    DesignError
        If a piece does not fit on an empty sheet.
    """
    _check(forms, stock, turns_deg, taken)
    if not forms:
        return []
    best: list[_Sheet] = []
    least = _least_sheets(forms, stock)
    for order, upward in islice(_ways(forms), max(_FEWEST_WAYS, _PIECES_LAID // len(forms))):
        best = _better(best, _filled(forms, order, _Begun(stock, taken), upward=upward, turns_deg=turns_deg))
        if len(best) == least and least > 1:
            break
    begun = _Begun(stock) if taken else _in_columns(forms, stock, best)
    if begun.sheets:
        order = [piece for piece in _by_area(forms) if piece not in begun.pieces]
        best = _better(best, _filled(forms, order, begun, upward=True, turns_deg=turns_deg))
    return [sheet.placed for sheet in best]


def _better(one: list[_Sheet], other: list[_Sheet]) -> list[_Sheet]:
    """Return the layout with fewer sheets, else the one that uses less of the last."""
    if not one:
        return other
    return min(one, other, key=lambda sheets: (len(sheets), _reach_mm2(sheets[-1])))


@dataclass(slots=True)
class _Begun:
    """Sheets that are filled before the rest is, and what lies on every further one."""

    stock: Stock
    taken: Sequence[tuple[Form, Point]] = ()
    sheets: list[list[tuple[int, Form, Point]]] = field(default_factory=list)

    @property
    def pieces(self) -> set[int]:
        return {piece for sheet in self.sheets for piece, _, _ in sheet}

    def empty(self) -> _Sheet:
        stock = self.stock
        return _Sheet(stock.width_mm, stock.height_mm, stock.margin_mm, stock.gap_mm, lying=list(self.taken))

    def begin(self) -> list[_Sheet]:
        sheets = []
        for laid in self.sheets:
            sheets.append(self.empty())
            for piece, form, at_mm in laid:
                sheets[-1].place(piece, form, at_mm)
        return sheets


def _in_columns(forms: Sequence[Form], stock: Stock, best: list[_Sheet]) -> _Begun:
    """Return sheets full of equal discs, for discs of which columns hold more than the best layout does."""
    begun = _Begun(stock)
    counts = _counts(best)
    for form in dict.fromkeys(form for form in forms if form.radius_mm):
        pitch_mm, edge_mm = 2.0 * form.radius_mm + stock.gap_mm, stock.margin_mm - stock.gap_mm / 2.0
        places = most_discs(pitch_mm, stock.width_mm - 2.0 * edge_mm, stock.height_mm - 2.0 * edge_mm)
        alike = [n for n, other in enumerate(forms) if other == form]
        if len(places) <= max(count[form] for count in counts):
            continue
        while len(alike) >= len(places):
            taken, alike = alike[: len(places)], alike[len(places) :]
            begun.sheets.append(
                [(n, form, (x + edge_mm, y + edge_mm)) for n, (x, y) in zip(taken, places, strict=True)]
            )
    return begun


def _counts(sheets: list[_Sheet]) -> list[Counter[Form]]:
    return [Counter(form for form, _ in sheet.lying) for sheet in sheets]


def _check(
    forms: Sequence[Form], stock: Stock, turns_deg: Sequence[float], taken: Sequence[tuple[Form, Point]]
) -> None:
    for form in dict.fromkeys(forms):
        sheet = _Begun(stock, taken).empty()
        if all(sheet.free(turned).is_empty for turned in _turned(form, turns_deg)):
            room = stock.width_mm - 2.0 * stock.margin_mm, stock.height_mm - 2.0 * stock.margin_mm
            raise DesignError(
                f"the plate is larger than a sheet of {stock.name}",
                where=form.name,
                found=form.size,
                accepted=f"at most {max(0.0, room[0]):g} x {max(0.0, room[1]):g} mm "
                f"({stock.width_mm:g} x {stock.height_mm:g} mm less the margin)",
            )


def _ways(forms: Sequence[Form]) -> Iterator[tuple[list[int], bool]]:
    """Yield orders to take the pieces in, and whether rows grow upward or columns to the right."""
    by_area = _by_area(forms)
    by_reach = sorted(by_area, key=lambda n: -forms[n].longest_mm)
    orders = [by_area] if by_reach == by_area else [by_area, by_reach]
    for upward in (True, False):
        for order in orders:
            yield order, upward


def _by_area(forms: Sequence[Form]) -> list[int]:
    return sorted(range(len(forms)), key=lambda n: (-forms[n].area_mm2, n))


def _filled(
    forms: Sequence[Form],
    order: Sequence[int],
    begun: _Begun,
    *,
    upward: bool,
    turns_deg: Sequence[float],
) -> list[_Sheet]:
    sheets = begun.begin()
    for piece in order:
        turned = _turned(forms[piece], turns_deg)
        for sheet in sheets:
            found = _tightest(sheet, turned, upward=upward)
            if found is not None:
                break
        else:
            sheet = begun.empty()
            sheets.append(sheet)
            found = _tightest(sheet, turned, upward=upward)
            assert found is not None, "an empty sheet has been seen to have room"
        sheet.place(piece, *found)
    return sheets


def _tightest(sheet: _Sheet, turned: Sequence[Form], *, upward: bool) -> tuple[Form, Point] | None:
    """Return the form and the place that reach least far up (or right), then least far across."""
    from shapely import get_coordinates

    best: tuple[tuple[float, float], Form, Point] | None = None
    for form in turned:
        corners = get_coordinates(sheet.free(form))
        if not len(corners):
            continue
        # how far the piece itself would reach
        reach = np.round((corners + np.array((form.box.right_mm, form.box.top_mm))) / _ALIKE_MM)
        first, second = (reach[:, 1], reach[:, 0]) if upward else (reach[:, 0], reach[:, 1])
        index = int(np.lexsort((second, first))[0])
        score = float(first[index]), float(second[index])
        if best is None or score < best[0]:
            best = score, form, (float(corners[index, 0]), float(corners[index, 1]))
    return None if best is None else best[1:]


def _moved(shape: Any, by_mm: Point) -> Any:
    from shapely import transform

    return transform(shape, lambda corners: corners + by_mm)


def _turned(form: Form, turns_deg: Sequence[float]) -> list[Form]:
    return [form.turned_by(deg) for deg in (turns_deg if form.turns else (0.0,))]


def _least_sheets(forms: Sequence[Form], stock: Stock) -> int:
    room = (stock.width_mm - 2.0 * stock.margin_mm) * (stock.height_mm - 2.0 * stock.margin_mm)
    # a hole may take other pieces, so only what is solid counts
    return max(1, int(np.ceil(sum(form.area_mm2 for form in forms) / room)))


def _reach_mm2(sheet: _Sheet) -> float:
    """Return the part of a sheet that is no longer whole: the smaller of two ways to cut off the rest."""
    up = max(at[1] + form.box.top_mm for form, at in sheet.lying)
    across = max(at[0] + form.box.right_mm for form, at in sheet.lying)
    return min(up * sheet.width_mm, across * sheet.height_mm)
