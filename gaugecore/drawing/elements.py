"""The drawing vocabulary.

A face or a part is turned into plain elements once, and every writer, the window's canvas among them,
knows only these.

Coordinates are sheet coordinates: millimetres, pivot at the origin, y up. Angles are dial angles. Elements
carry no behaviour, so tests compare them as values. Everything that is drawn says on which **operation** it
is made and which **part** of the design it shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from gaugecore.drawing.polylines import Polylines
from gaugecore.polar import Point


class Operation(Enum):
    """What happens to an element when the thing is made."""

    CUT = "cut"  #: full power, goes through the sheet
    SCORE = "score"  #: a line burnt or scratched into the surface
    ENGRAVE = "engrave"  #: material taken away from the surface
    PRINT = "print"  #: ink only, never sent to a cutter
    MASK = "mask"  #: opaque where drawn; what must not glow
    GUIDE = "guide"  #: for people: centres, bars, captions; never made


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """What all elements share.

    Attributes
    ----------
    operation : Operation
        What happens here.
    part : str
        What this shows, as a dotted path: ``graduations.major.35``, ``legends.0``, ``outline``.
    width_mm : float
        Line width; 0 for the thinnest line the medium has. Round ends for strokes, flat ends elsewhere.
    colour : str
        ``#rrggbb`` for ink and for the screen.
    """

    operation: Operation
    part: str
    width_mm: float = 0.0
    colour: str = "#000000"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line(Element):
    """A straight line with flat ends."""

    start_mm: Point
    end_mm: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc(Element):
    """Part of a circle, drawn clockwise from ``start_deg`` to ``end_deg``, which is the larger.

    The span is more than 0 and less than 360; a whole circle is a `Circle`.
    """

    centre_mm: Point
    radius_mm: float
    start_deg: float
    end_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle(Element):
    """A whole circle, filled or not. A filled one has no line of its own when its width is 0."""

    centre_mm: Point
    radius_mm: float
    filled: bool = False


Vertex = tuple[float, float, float]
"""x and y in mm, and the bulge of the way to the next vertex: 0 straight, else the tangent of a quarter of
the arc's included angle, positive counter-clockwise (DXF's own measure, so arcs stay true arcs)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline(Element):
    """One or more closed loops of lines and arcs, filled (even-odd) or not."""

    loops: tuple[tuple[Vertex, ...], ...]
    filled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Strokes(Element):
    """Single-stroke lettering: open polylines with round ends, and the text they spell."""

    polylines: Polylines
    text: str = ""


AnyElement = Line | Arc | Circle | Outline | Strokes


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle on the sheet, in mm."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float

    @property
    def width_mm(self) -> float:
        """Return right minus left."""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """Return top minus bottom."""
        return self.top_mm - self.bottom_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A thing to be made or shown, at true size.

    Attributes
    ----------
    name : str
        For file names: ``rudder-face``.
    title : str
        For people.
    box : Box
        The page: what a writer makes its page box of, exactly.
    elements : tuple
        In the order they are drawn.
    """

    name: str
    title: str
    box: Box
    elements: tuple[AnyElement, ...]

    def __hash__(self) -> int:
        """Return a hash without looking at every element, which takes as long as writing them."""
        return hash((self.name, self.title, self.box, len(self.elements)))
