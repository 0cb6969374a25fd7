"""Words and figures on a face: single strokes, or the outlines of the font the user names."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from gaugecore.drawing.elements import AnyElement, Operation, Strokes
from gaugecore.drawing.ink import ink_of
from gaugecore.drawing.lettering import letter, stroke_width_mm
from gaugecore.drawing.outline_font import outline_letter
from gaugecore.drawing.spacing import CLEAR_STROKES
from gaugecore.errors import DesignError
from gaugecore.face.face import Face
from gaugecore.polar import Point, arc_length_mm, dial_to_xy_mm, xy_mm_to_dial

#: Clear space between letters along an arc, against their height.
_ARC_GAP_OF_HEIGHT: Final = 0.22
_SPACE_OF_HEIGHT: Final = 0.45


def word(
    face: Face,
    text: str,
    *,
    part: str,
    where: str,
    height_mm: float,
    stroke_mm: float | None = None,
    at_mm: Point = (0.0, 0.0),
    turn_deg: float = 0.0,
    colour: str | None = None,
) -> list[AnyElement]:
    """Return a text as elements, in the face's lettering; none when it leaves no ink.

    Raises
    ------
    DesignError
        If it cannot be lettered; the place is ``where``, or the font's.
    """
    ink = colour or face.ink_colour
    try:
        if not face.font_file:
            drawn: Strokes = letter(
                text,
                operation=Operation.PRINT,
                part=part,
                height_mm=height_mm,
                stroke_mm=stroke_mm,
                at_mm=at_mm,
                turn_deg=turn_deg,
                colour=ink,
            )
            return [drawn] if drawn.polylines else []
        outline = outline_letter(
            text,
            face.font_file,
            operation=Operation.PRINT,
            part=part,
            height_mm=height_mm,
            at_mm=at_mm,
            turn_deg=turn_deg,
            colour=ink,
        )
        return [] if outline is None else [outline]
    except DesignError as error:
        fault = error.fault
        raise DesignError(
            fault.what, where=fault.where or where, found=fault.found, accepted=fault.accepted
        ) from error


def word_on_arc(
    face: Face,
    text: str,
    *,
    part: str,
    where: str,
    height_mm: float,
    radius_mm: float,
    middle_deg: float,
    heads_in: bool,
    stroke_mm: float | None = None,
    colour: str | None = None,
) -> list[AnyElement]:
    """Return a text whose letters stand along an arc about the pivot, its middle at a dial angle.

    Parameters
    ----------
    radius_mm : float
        To half the height of the capitals.
    heads_in : bool
        Whether the heads point to the pivot, as suits the lower half of a dial.
    """
    if not text:
        return []
    sense = -1.0 if heads_in else 1.0
    widths = [_width_mm(face, c, part, where, height_mm, stroke_mm) for c in text]
    apart_deg = _steps_deg(widths, height_mm, stroke_width_mm(height_mm, stroke_mm), radius_mm)
    drawn: list[AnyElement] = []
    # the middle of the ink, not of the letters' middles, comes to stand on the angle
    ends_mm = (widths[0] - widths[-1]) / 2.0
    along_deg = (_turn_of(ends_mm, radius_mm) - sum(apart_deg)) / 2.0
    for character, step_deg in zip(text, [*apart_deg, 0.0], strict=True):
        dial_deg = middle_deg + sense * along_deg
        drawn += word(
            face,
            character,
            part=part,
            where=where,
            height_mm=height_mm,
            stroke_mm=stroke_mm,
            at_mm=dial_to_xy_mm(dial_deg, radius_mm),
            turn_deg=dial_deg + (180.0 if heads_in else 0.0),
            colour=colour,
        )
        along_deg += step_deg
    return drawn


def _steps_deg(widths: Sequence[float], height_mm: float, stroke_mm: float, radius_mm: float) -> list[float]:
    """Return the dial angle from the middle of each letter to that of the next.

    On their middle line letters keep a gap by their height. Toward the pivot they draw together, so there
    they keep what the eye needs to tell two letters apart.
    """
    least_mm = stroke_mm * CLEAR_STROKES
    inner_mm = max(radius_mm - height_mm / 2.0, height_mm / 2.0)
    steps = []
    for one_mm, other_mm in pairwise(widths):
        middle = _turn_of((one_mm + other_mm) / 2.0 + height_mm * _ARC_GAP_OF_HEIGHT, radius_mm)
        corners = sum(xy_mm_to_dial(width_mm / 2.0, inner_mm)[0] for width_mm in (one_mm, other_mm))
        steps.append(max(middle, corners + _turn_of(least_mm, inner_mm)))
    return steps


def _width_mm(
    face: Face, character: str, part: str, where: str, height_mm: float, stroke_mm: float | None
) -> float:
    drawn = word(face, character, part=part, where=where, height_mm=height_mm, stroke_mm=stroke_mm)
    inks = [ink for element in drawn if (ink := ink_of(element)) is not None]
    return inks[0].box.width_mm if inks else height_mm * _SPACE_OF_HEIGHT


def _turn_of(length_mm: float, radius_mm: float) -> float:
    """Return the angle of an arc of some length."""
    return length_mm / arc_length_mm(radius_mm, 1.0)
