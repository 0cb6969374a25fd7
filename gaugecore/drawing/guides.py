"""What stands beside the work for people: centre marks, captions, the colours of lines that are not ink."""

from __future__ import annotations

from typing import Final

from gaugecore.drawing.elements import Line, Operation, Strokes
from gaugecore.drawing.lettering import fitted, letter, letterable
from gaugecore.polar import Point

#: Colours for people; a machine goes by the operation.
CUT_COLOUR: Final = "#d00000"
GUIDE_COLOUR: Final = "#3070b0"
#: Room around a plate, for its caption and for scissors.
MARGIN_MM: Final = 6.0
CAPTION_HEIGHT_MM: Final = 2.0
#: From one line of a caption to the next.
CAPTION_PITCH_MM: Final = 1.6 * CAPTION_HEIGHT_MM


def centre_mark(
    at_mm: Point = (0.0, 0.0), *, size_mm: float = 4.0, part: str = "centre"
) -> tuple[Line, Line]:
    """Return a cross at a centre, as two thin guide lines."""
    x_mm, y_mm, arm_mm = *at_mm, size_mm / 2.0
    return (
        Line(
            operation=Operation.GUIDE,
            colour=GUIDE_COLOUR,
            part=part,
            start_mm=(x_mm - arm_mm, y_mm),
            end_mm=(x_mm + arm_mm, y_mm),
        ),
        Line(
            operation=Operation.GUIDE,
            colour=GUIDE_COLOUR,
            part=part,
            start_mm=(x_mm, y_mm - arm_mm),
            end_mm=(x_mm, y_mm + arm_mm),
        ),
    )


def caption(text: str, *, at_mm: Point, longest_mm: float) -> Strokes:
    """Return a caption beside the work, its middle at a point, cut short to fit."""
    return letter(
        fitted(text, height_mm=CAPTION_HEIGHT_MM, longest_mm=longest_mm),
        operation=Operation.GUIDE,
        colour=GUIDE_COLOUR,
        part="caption",
        height_mm=CAPTION_HEIGHT_MM,
        at_mm=at_mm,
    )


def captions(text: str, warning: str, *, at_mm: Point, longest_mm: float) -> list[Strokes]:
    """Return a caption and a warning beside the work: on one line when that holds both, else below it.

    What the warning says is never cut short for the sake of a long name. The first line stands at the point.
    """
    whole = f"{text}; {warning}" if warning else text
    if not warning or fits(whole, longest_mm=longest_mm):
        return [caption(whole, at_mm=at_mm, longest_mm=longest_mm)]
    return [
        caption(line, at_mm=(at_mm[0], at_mm[1] - number * CAPTION_PITCH_MM), longest_mm=longest_mm)
        for number, line in enumerate((text, warning))
    ]


def fits(text: str, *, longest_mm: float) -> bool:
    """Return whether a caption keeps all of its words in a length."""
    return fitted(text, height_mm=CAPTION_HEIGHT_MM, longest_mm=longest_mm) == letterable(text)
