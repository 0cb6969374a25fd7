"""The plates of an instrument: everything of it that is drawn to be made."""

from __future__ import annotations

from collections.abc import Callable

from gaugecore.drawing.elements import Drawing
from gaugecore.errors import DesignError
from gaugecore.face.layout import lay_out_face
from gaugecore.movement.gear_plate import draw_gears
from gaugecore.movement.pointer_plate import draw_pointer
from gaugecore.movement.train import GearPair
from gaugecore.panel.document import Instrument


def plates_of(instrument: Instrument) -> list[Drawing]:
    """Return the drawings of an instrument's face and pointer, and of its gears once their teeth are chosen.

    Raises
    ------
    DesignError
        If one of them cannot be drawn; its place is a path in the panel.
    """
    drawers: list[tuple[str, Callable[[], Drawing]]] = [
        ("face", lambda: lay_out_face(instrument.face, name=f"{instrument.id}-face", title=instrument.title)),
        (
            "",
            lambda: draw_pointer(instrument.pointer, name=f"{instrument.id}-pointer", title=instrument.title),
        ),
    ]
    train = instrument.train
    if isinstance(train, GearPair) and train.movement_teeth:
        drawers.append(("", lambda: draw_gears(train, name=f"{instrument.id}-gears", title=instrument.title)))
    return [_drawn(drawer, f"instruments.{instrument.id}", part) for part, drawer in drawers]


def _drawn(drawer: Callable[[], Drawing], *prefix: str) -> Drawing:
    try:
        return drawer()
    except DesignError as error:
        fault = error.fault
        where = ".".join(word for word in (*prefix, fault.where) if word)
        raise DesignError(fault.what, where=where, found=fault.found, accepted=fault.accepted) from error
