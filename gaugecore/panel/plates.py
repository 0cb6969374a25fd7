"""The plates of an instrument: everything of it that is drawn to be made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from gaugecore.drawing.elements import Drawing
from gaugecore.errors import DesignError
from gaugecore.face.layout import lay_out_face
from gaugecore.face.light import LightLayer, MaskKind, draw_diffuser, draw_lamps, draw_mask
from gaugecore.face.rings import draw_bezel, draw_spacer
from gaugecore.movement.gear_plate import draw_gears
from gaugecore.movement.pointer_plate import draw_pointer
from gaugecore.movement.train import GearPair
from gaugecore.panel.back_plate import draw_back_plate
from gaugecore.panel.document import Instrument


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate and the stock it is cut from.

    Attributes
    ----------
    drawing : Drawing
        What to make.
    stock : int or None
        Number of the panel's stock; None for what is only printed.
    field : str
        What asks for that stock, as a path in the instrument.
    """

    drawing: Drawing
    stock: int | None
    field: str


#: Where an error belongs, the stock, the field that names it, and what draws.
_Order = tuple[str, int | None, str, Callable[[str], Drawing]]


def plates_of(instrument: Instrument) -> list[Drawing]:
    """Return the drawings of everything an instrument asks for.

    Raises
    ------
    DesignError
        If one of them cannot be drawn; its place is a path in the panel.
    """
    return [plate.drawing for plate in stocked_plates_of(instrument)]


def stocked_plates_of(instrument: Instrument) -> list[Plate]:
    """Return the plates of an instrument, each with its stock.

    Face and pointer always; gears once their teeth are chosen; the rest when the instrument asks for it.

    Raises
    ------
    DesignError
        If one of them cannot be drawn; its place is a path in the panel.
    """
    made = []
    for kind, (part, stock, field, draw) in _orders(instrument):
        name = f"{instrument.id}-{kind}"
        made.append(Plate(_drawn(draw, name, f"instruments.{instrument.id}", part), stock, field))
    return made


def _orders(instrument: Instrument) -> Iterator[tuple[str, _Order]]:
    """Yield what an instrument asks for, from the front to the back."""
    face, making, title = instrument.face, instrument.making, instrument.title
    if making.bezel_ring is not None:
        stock = making.bezel_ring.stock
        yield (
            "bezel-ring",
            ("", stock, "bezel_ring.stock", lambda n: draw_bezel(face, making.frame, name=n, title=title)),
        )
    yield (
        "pointer",
        (
            "",
            making.pointer_stock,
            "pointer_stock",
            lambda n: draw_pointer(instrument.pointer, name=n, title=title),
        ),
    )
    slow = instrument.slow_pointer
    if slow is not None:
        yield (
            "slow-pointer",
            (
                "",
                making.pointer_stock,
                "pointer_stock",
                lambda n: draw_pointer(slow, name=n, title=title, field="slow_pointer"),
            ),
        )
    yield "face", ("face", making.face_stock, "face_stock", lambda n: lay_out_face(face, name=n, title=title))
    light = making.light
    if light is not None:
        yield from _light_orders(instrument, light)
    spacer = making.spacer
    if spacer is not None:
        yield (
            "spacer",
            (
                "",
                spacer.stock,
                "spacer.stock",
                lambda n: draw_spacer(face, spacer, making.frame, name=n, title=title),
            ),
        )
    back = making.back_plate
    if back is not None:
        yield (
            "back-plate",
            (
                "",
                back.stock,
                "back_plate.stock",
                lambda n: draw_back_plate(instrument, back, name=n, title=title),
            ),
        )
    train = instrument.train
    if isinstance(train, GearPair) and train.movement_teeth:
        yield (
            "gears",
            ("", making.gears_stock, "gears_stock", lambda n: draw_gears(train, name=n, title=title)),
        )


def _light_orders(instrument: Instrument, light: LightLayer) -> Iterator[tuple[str, _Order]]:
    face, title = instrument.face, instrument.title
    mask_stock = None if light.mask is MaskKind.FILM else light.mask_stock
    yield (
        "light-mask",
        ("face", mask_stock, "light.mask_stock", lambda n: draw_mask(face, light, name=n, title=title)),
    )
    if light.diffuser:
        stock = light.diffuser_stock
        yield (
            "diffuser",
            ("", stock, "light.diffuser_stock", lambda n: draw_diffuser(face, name=n, title=title)),
        )
    lamps = light.lamps
    if lamps is not None:
        yield (
            "lamps",
            ("", lamps.stock, "light.lamps.stock", lambda n: draw_lamps(face, lamps, name=n, title=title)),
        )


def _drawn(draw: Callable[[str], Drawing], name: str, *prefix: str) -> Drawing:
    try:
        return draw(name)
    except DesignError as error:
        raise placed_error(error, *prefix) from error


def placed_error(error: DesignError, *prefix: str) -> DesignError:
    """Return the same error with its place below a prefix."""
    fault = error.fault
    where = ".".join(word for word in (*prefix, fault.where) if word)
    return DesignError(fault.what, where=where, found=fault.found, accepted=fault.accepted)
