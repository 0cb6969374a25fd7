"""The test card, which proves a printer true and shows where a needle stands.

Two bars prove the scale of a print on both axes. A protractor ring, put in the place of a face, is what
the needle is read against when it is calibrated.
"""

from __future__ import annotations

from typing import Final

from gaugecore.drawing.bars import BAR_MM, bar
from gaugecore.drawing.elements import AnyElement, Box, Circle, Drawing, Line, Operation
from gaugecore.drawing.guides import CUT_COLOUR, centre_mark
from gaugecore.drawing.lettering import letter
from gaugecore.drawing.pages import Page
from gaugecore.polar import dial_to_xy_mm

#: The file is named for what it draws; there are no tests in it.
__test__: Final[dict[str, str]] = {}

#: Where the graduations of the ring begin: one scale for long needles, one for short ones.
RING_RADII_MM: Final = (46.0, 26.0)
DISC_RADIUS_MM: Final = 57.0
HOLE_MM: Final = 6.0
_TOP_ROOM_MM: Final = 26.0
_SIDE_MM: Final = 15.0

_INSTRUCTIONS: Final = (
    ("1", "Print at actual size, 100 %, with no fitting to the page."),
    ("2", "Measure both bars with a steel rule and write the lengths below."),
    ("", "A4 fitted to Letter gives 94.1 mm, Letter fitted to A4 97.3 mm."),
    ("3", "Out by more than 0.5 mm: change the printer's settings, print again."),
    ("4", "Cut out the disc and its hole. Fix it where the face will be, with the"),
    ("", "hole on the shaft and 0 where the face will have twelve o'clock."),
    ("5", "Read the needle from straight in front, one eye closed. Angles are dial"),
    ("", "angles, clockwise from twelve o'clock. Use the ring the tip comes nearest."),
    ("", ""),
    ("!", "A needle may jump when power comes on: keep fingers and wires clear."),
    ("!", "Not for use in a real aircraft, vehicle or vessel."),
)
_INDENT_MM: Final = 6.0


def test_card(page: Page = Page.A4) -> Drawing:  # noqa: PT028
    """Return the test card, the centre of its ring at the origin.

    Parameters
    ----------
    page : Page
        The paper, upright.
    """
    top_mm = DISC_RADIUS_MM + _TOP_ROOM_MM
    half_mm = page.width_mm / 2.0
    return Drawing(
        name="test-card",
        title="Test card",
        box=Box(left_mm=-half_mm, bottom_mm=top_mm - page.height_mm, right_mm=half_mm, top_mm=top_mm),
        elements=(*_headline(top_mm, half_mm), *_ring(), *_bars_and_words(half_mm)),
    )


def _text(text: str, *, part: str, height_mm: float, x_mm: float, y_mm: float) -> AnyElement:
    return letter(
        text, operation=Operation.PRINT, part=part, height_mm=height_mm, at_mm=(x_mm, y_mm), align="left"
    )


def _headline(top_mm: float, half_mm: float) -> list[AnyElement]:
    return [
        _text(
            "Needlewright test card",
            part="headline",
            height_mm=5.0,
            x_mm=_SIDE_MM - half_mm,
            y_mm=top_mm - 14.0,
        ),
    ]


def _ring() -> list[AnyElement]:
    drawn: list[AnyElement] = []
    for radius_mm, height_mm in zip(RING_RADII_MM, (2.6, 1.8), strict=True):
        # three figures every 10° would run together on the short ring
        every_deg = 10 if radius_mm == max(RING_RADII_MM) else 30
        drawn.extend(_scale(radius_mm, height_mm, every_deg))
    # spokes carry a short needle's direction outward
    for dial_deg in range(0, 360, 10):
        drawn.append(_radial(f"ring.spoke.{dial_deg}", dial_deg, 0.1, HOLE_MM, RING_RADII_MM[1]))
    drawn.extend(centre_mark(size_mm=2.0 * HOLE_MM, part="ring.centre"))
    for part, radius_mm in (("ring.hole", HOLE_MM / 2.0), ("ring.outline", DISC_RADIUS_MM)):
        drawn.append(
            Circle(
                operation=Operation.CUT,
                part=part,
                colour=CUT_COLOUR,
                centre_mm=(0.0, 0.0),
                radius_mm=radius_mm,
            )
        )
    return drawn


def _scale(radius_mm: float, height_mm: float, every_deg: int) -> list[AnyElement]:
    drawn: list[AnyElement] = []
    name = f"ring.{radius_mm:g}"
    for dial_deg in range(360):
        rank = 0 if dial_deg % 10 == 0 else 1 if dial_deg % 5 == 0 else 2
        length_mm = height_mm * (1.5, 1.2, 0.8)[rank]
        width_mm = (0.2, 0.15, 0.12)[rank]
        drawn.append(_radial(f"{name}.{dial_deg}", dial_deg, width_mm, radius_mm, radius_mm + length_mm))
        if dial_deg % every_deg == 0:
            drawn.append(
                letter(
                    f"{dial_deg}",
                    operation=Operation.PRINT,
                    part=f"{name}.numeral.{dial_deg}",
                    height_mm=height_mm,
                    at_mm=dial_to_xy_mm(dial_deg, radius_mm + 2.6 * height_mm),
                    turn_deg=float(dial_deg),
                )
            )
    return drawn


def _radial(part: str, dial_deg: float, width_mm: float, from_mm: float, to_mm: float) -> Line:
    return Line(
        operation=Operation.PRINT,
        part=part,
        width_mm=width_mm,
        start_mm=dial_to_xy_mm(dial_deg, from_mm),
        end_mm=dial_to_xy_mm(dial_deg, to_mm),
    )


def _bars_and_words(half_mm: float) -> list[AnyElement]:
    left_mm = 30.0 - half_mm
    top_mm = -DISC_RADIUS_MM - 12.0
    drawn = [
        *bar((20.0 - half_mm, top_mm - BAR_MM), upright=True),
        *bar((left_mm, top_mm - BAR_MM), upright=False),
    ]
    for index, (number, words) in enumerate(_INSTRUCTIONS):
        y_mm = top_mm - 2.0 - 5.8 * index
        for text, x_mm in ((number, left_mm), (words, left_mm + _INDENT_MM)):
            if text:
                drawn.append(_text(text, part=f"words.{index}", height_mm=2.6, x_mm=x_mm, y_mm=y_mm))
    for index, axis in enumerate("xy"):
        x_mm, y_mm = left_mm + 62.0 * index, top_mm - 80.0
        words = f"{axis} measured:"
        drawn.append(_text(words, part=f"note.{axis}", height_mm=3.0, x_mm=x_mm, y_mm=y_mm))
        drawn.append(
            Line(
                operation=Operation.PRINT,
                part=f"note.{axis}.line",
                width_mm=0.2,
                start_mm=(x_mm + 28.0, y_mm - 2.0),
                end_mm=(x_mm + 48.0, y_mm - 2.0),
            )
        )
        drawn.append(_text("mm", part=f"note.{axis}.unit", height_mm=3.0, x_mm=x_mm + 50.0, y_mm=y_mm))
    return drawn
