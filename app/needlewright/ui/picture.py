"""The drawings of an instrument that the canvas shows, and what the engine says when there can be none."""

from __future__ import annotations

from dataclasses import dataclass

from gaugecore.drawing.elements import Circle, Drawing, Operation, Outline
from gaugecore.errors import NeedlewrightError
from gaugecore.face.layout import lay_out_face
from gaugecore.movement.pointer_plate import draw_pointer
from gaugecore.panel.document import Instrument


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A face and the needle over it, or the reason why there is none."""

    face: Drawing | None = None
    needle: Drawing | None = None
    refusal: str = ""


class Pictures:
    """Draws instruments, and remembers the last drawing of each.

    A panel shares what an edit leaves alone, so an instrument that is the same object has the same picture.
    """

    def __init__(self) -> None:
        self._kept: dict[str, tuple[Instrument, Picture]] = {}

    def of(self, instrument: Instrument) -> Picture:
        """Return the picture of an instrument."""
        kept = self._kept.get(instrument.id)
        if kept is not None and (
            kept[0].face is instrument.face
            and kept[0].pointer is instrument.pointer
            and kept[0].title == instrument.title
        ):
            return kept[1]
        same_needle = kept is not None and kept[0].pointer is instrument.pointer and kept[1].needle
        picture = _drawn(instrument, kept[1].needle if kept is not None and same_needle else None)
        self._kept[instrument.id] = (instrument, picture)
        return picture


def _drawn(instrument: Instrument, needle: Drawing | None) -> Picture:
    try:
        face = lay_out_face(instrument.face, name=f"{instrument.id}-face", title=instrument.title)
        if needle is None:
            plate = draw_pointer(instrument.pointer, name=f"{instrument.id}-pointer", title=instrument.title)
            needle = _inked(plate, instrument.pointer.colour)
    except NeedlewrightError as error:
        return Picture(refusal=str(error))
    return Picture(face=face, needle=needle)


def _inked(plate: Drawing, colour: str) -> Drawing:
    """Return the pointer as it will look on the dial: its plate filled with its colour."""
    shapes = [
        Outline(operation=Operation.PRINT, part="pointer", loops=element.loops, filled=True, colour=colour)
        for element in plate.elements
        if element.operation is Operation.CUT and isinstance(element, Outline)
    ]
    bores = [
        Circle(
            operation=Operation.PRINT,
            part="pointer.bore",
            centre_mm=element.centre_mm,
            radius_mm=element.radius_mm,
            filled=True,
            colour="#d8d4cc",
        )
        for element in plate.elements
        if element.operation is Operation.CUT and isinstance(element, Circle)
    ]
    return Drawing(name=plate.name, title=plate.title, box=plate.box, elements=(*shapes, *bores))
