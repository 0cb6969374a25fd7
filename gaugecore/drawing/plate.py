"""What every plate has: holes, an outline, a centre, a caption under it, and room around for scissors."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from gaugecore.drawing.elements import AnyElement, Box, Circle, Drawing, Operation, Outline, Vertex
from gaugecore.drawing.guides import CAPTION_PITCH_MM, CUT_COLOUR, MARGIN_MM, captions, centre_mark
from gaugecore.polar import Point

#: A narrow plate still needs a page that its caption fits on.
_NARROWEST_MM = 76.0


class Hole(NamedTuple):
    """A round hole: what it is for, where, how wide."""

    part: str
    centre_mm: Point
    diameter_mm: float


def cut_hole(hole: Hole) -> Circle:
    """Return a hole as a cut line."""
    return Circle(
        operation=Operation.CUT,
        part=hole.part,
        colour=CUT_COLOUR,
        centre_mm=hole.centre_mm,
        radius_mm=hole.diameter_mm / 2.0,
    )


def cut_loop(part: str, loop: tuple[Vertex, ...]) -> Outline:
    """Return a closed loop as a cut line."""
    return Outline(operation=Operation.CUT, part=part, colour=CUT_COLOUR, loops=(loop,))


def round_plate(
    *,
    name: str,
    title: str,
    words: str,
    warning: str = "",
    diameter_mm: float,
    holes: Sequence[Hole] = (),
    under: Sequence[AnyElement] = (),
    cuts: Sequence[AnyElement] = (),
) -> Drawing:
    """Return the drawing of a disc about the pivot.

    Parameters
    ----------
    name, title : str
        For file names and for people.
    words : str
        What it is, for the caption.
    warning : str
        What whoever makes it must know; stands in the caption whole.
    diameter_mm : float
        Of the disc.
    holes : sequence of Hole
        Round ones.
    under : sequence of Element
        What is drawn before the cuts.
    cuts : sequence of Element
        Openings that are not round.
    """
    radius_mm = diameter_mm / 2.0
    half_mm = radius_mm + MARGIN_MM
    wide_mm = max(half_mm, _NARROWEST_MM / 2.0)
    words_under = captions(
        f"{title} · {words}",
        warning,
        at_mm=(0.0, -radius_mm - MARGIN_MM / 2.0),
        longest_mm=2.0 * wide_mm - 4.0,
    )
    bottom_mm = -half_mm - (len(words_under) - 1) * CAPTION_PITCH_MM
    return Drawing(
        name=name,
        title=title,
        box=Box(left_mm=-wide_mm, bottom_mm=bottom_mm, right_mm=wide_mm, top_mm=half_mm),
        elements=(
            *under,
            # holes before the outline: once the plate is cut free it may shift
            *(cut_hole(hole) for hole in holes),
            *cuts,
            cut_hole(Hole("outline", (0.0, 0.0), diameter_mm)),
            *centre_mark(),
            *words_under,
        ),
    )
