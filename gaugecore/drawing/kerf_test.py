"""The kerf test piece: blocks cut side by side out of a frame, to be pushed together and measured.

Every cut takes a kerf away. With the blocks pushed to one end of the window, what all cuts took stands open
at the other end, eleven times as wide as the kerf and so eleven times as easy to measure. One row each way,
because a kerf may differ in x and y.
"""

from __future__ import annotations

from typing import Final

from gaugecore.drawing.elements import AnyElement, Box, Drawing, Line, Operation, Outline, Vertex
from gaugecore.drawing.guides import CUT_COLOUR, MARGIN_MM
from gaugecore.drawing.lettering import letter
from gaugecore.errors import InputError
from gaugecore.polar import Point

BLOCKS: Final = 10
CUTS: Final = BLOCKS + 1
_BLOCK_MM: Final = 6.0
_ROW_MM: Final = 12.0
_FRAME_MM: Final = 8.0
_LETTER_MM: Final = 2.2
_WIDEST_MM: Final = 2.0


def kerf_test_piece() -> Drawing:
    """Return the piece, its lower left corner at the origin; it is cut as drawn, with no kerf allowed for."""
    length_mm = BLOCKS * _BLOCK_MM
    side_mm = length_mm + 3.0 * _FRAME_MM + _ROW_MM
    high_mm = side_mm
    level_at = (2.0 * _FRAME_MM + _ROW_MM, _FRAME_MM)
    upright_at = (_FRAME_MM, 2.0 * _FRAME_MM + _ROW_MM)
    outline: tuple[Vertex, ...] = (
        (0.0, 0.0, 0.0),
        (side_mm, 0.0, 0.0),
        (side_mm, high_mm, 0.0),
        (0.0, high_mm, 0.0),
    )
    return Drawing(
        name="kerf-test",
        title="Kerf test piece",
        box=Box(
            left_mm=-MARGIN_MM,
            bottom_mm=-MARGIN_MM,
            right_mm=side_mm + MARGIN_MM,
            top_mm=high_mm + MARGIN_MM,
        ),
        elements=(
            *_words(upright_at[0] + _ROW_MM + _FRAME_MM, high_mm - _FRAME_MM),
            *_row(level_at, upright=False),
            *_row(upright_at, upright=True),
            Outline(operation=Operation.CUT, part="kerf.frame", colour=CUT_COLOUR, loops=(outline,)),
        ),
    )


def kerf_from_gap_mm(gap_mm: float) -> float:
    """Return the kerf from the gap left when the blocks of a row are pushed together.

    Raises
    ------
    InputError
        If the gap is not one that a kerf of 0 to 2 mm leaves.

    Examples
    --------
    >>> round(kerf_from_gap_mm(2.2), 6)
    0.2
    """
    widest_mm = CUTS * _WIDEST_MM
    if not 0.0 <= gap_mm <= widest_mm:
        raise InputError(
            "the gap of the kerf test piece cannot be right",
            found=gap_mm,
            accepted=f"0 to {widest_mm:g} mm",
        )
    return gap_mm / CUTS


def _row(at_mm: Point, *, upright: bool) -> list[AnyElement]:
    """Return the cuts between blocks, and then the window around them."""
    length_mm = BLOCKS * _BLOCK_MM
    axis = "y" if upright else "x"

    def to(along_mm: float, across_mm: float) -> Point:
        x_mm, y_mm = (across_mm, along_mm) if upright else (along_mm, across_mm)
        return at_mm[0] + x_mm, at_mm[1] + y_mm

    cuts: list[AnyElement] = [
        Line(
            operation=Operation.CUT,
            part=f"kerf.{axis}.{number}",
            colour=CUT_COLOUR,
            start_mm=to(number * _BLOCK_MM, 0.0),
            end_mm=to(number * _BLOCK_MM, _ROW_MM),
        )
        for number in range(1, BLOCKS)
    ]
    corners = (to(0.0, 0.0), to(length_mm, 0.0), to(length_mm, _ROW_MM), to(0.0, _ROW_MM))
    window = tuple((*corner, 0.0) for corner in corners)
    cuts.insert(
        0,
        letter(
            axis,
            operation=Operation.ENGRAVE,
            part=f"kerf.{axis}.name",
            height_mm=1.4 * _LETTER_MM,
            at_mm=to(length_mm / 2.0, -_FRAME_MM / 2.0),
        ),
    )
    cuts.append(
        Outline(operation=Operation.CUT, part=f"kerf.{axis}.window", colour=CUT_COLOUR, loops=(window,))
    )
    return cuts


def _words(left_mm: float, top_mm: float) -> list[AnyElement]:
    lines = (
        "KERF TEST",
        "Cut as drawn. Push the",
        "blocks of a row together,",
        "measure the gap.",
        f"Kerf = gap ÷ {CUTS}",
        "2.2 mm gap: 0.2 mm kerf",
    )
    return [
        letter(
            line,
            operation=Operation.ENGRAVE,
            part=f"kerf.words.{number}",
            height_mm=_LETTER_MM if number else 1.4 * _LETTER_MM,
            at_mm=(left_mm, top_mm - 2.0 - (number * 2.2 + 0.6 * (number > 0)) * _LETTER_MM),
            align="left",
        )
        for number, line in enumerate(lines)
    ]
