"""The plates of an instrument: everything of it that is drawn to be made."""

from __future__ import annotations

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
    try:
        return [
            lay_out_face(instrument.face, name=f"{instrument.id}-face", title=instrument.title),
            draw_pointer(instrument.pointer, name=f"{instrument.id}-pointer", title=instrument.title),
            *(
                [draw_gears(instrument.train, name=f"{instrument.id}-gears", title=instrument.title)]
                if isinstance(instrument.train, GearPair) and instrument.train.movement_teeth
                else []
            ),
        ]
    except DesignError as error:
        fault = error.fault
        raise DesignError(
            fault.what,
            where=f"instruments.{instrument.id}.{fault.where}".rstrip("."),
            found=fault.found,
            accepted=fault.accepted,
        ) from error
