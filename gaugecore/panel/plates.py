"""The plates of an instrument: everything of it that is drawn to be made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from gaugecore.drawing.elements import Drawing
from gaugecore.errors import DesignError
from gaugecore.face.layout import lay_out_face
from gaugecore.face.light import MaskKind, draw_diffuser, draw_lamps, draw_mask
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


@dataclass(frozen=True, slots=True)
class _Order:
    """A plate that is asked for.

    Attributes
    ----------
    kind : str
        The end of its name.
    stock : int or None
        As in `Plate`.
    field : str
        As in `Plate`.
    draw : callable
        Draws it, given its name.
    part : str
        Where an error belongs, as a path in the instrument.
    """

    kind: str
    stock: int | None
    field: str
    draw: Callable[[str], Drawing]
    part: str = ""


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
    for order in _orders(instrument):
        name = f"{instrument.id}-{order.kind}"
        drawing = _drawn(order.draw, name, f"instruments.{instrument.id}", order.part)
        made.append(Plate(drawing, order.stock, order.field))
    return made


def _orders(instrument: Instrument) -> Iterator[_Order]:
    """Yield what an instrument asks for, from the front to the back."""
    yield from _front_orders(instrument)
    yield from _light_orders(instrument)
    yield from _back_orders(instrument)


def _front_orders(instrument: Instrument) -> Iterator[_Order]:
    face, making, title = instrument.face, instrument.making, instrument.title
    if making.bezel_ring is not None:
        yield _Order(
            "bezel-ring",
            making.bezel_ring.stock,
            "bezel_ring.stock",
            lambda name: draw_bezel(face, making.frame, name=name, title=title),
        )
    yield _Order(
        "pointer",
        making.pointer_stock,
        "pointer_stock",
        lambda name: draw_pointer(instrument.pointer, name=name, title=title),
    )
    slow = instrument.slow_pointer
    if slow is not None:
        yield _Order(
            "slow-pointer",
            making.pointer_stock,
            "pointer_stock",
            lambda name: draw_pointer(slow, name=name, title=title, field="slow_pointer"),
        )
    yield _Order(
        "face",
        making.face_stock,
        "face_stock",
        lambda name: lay_out_face(face, name=name, title=title),
        part="face",
    )


def _light_orders(instrument: Instrument) -> Iterator[_Order]:
    face, title, light = instrument.face, instrument.title, instrument.making.light
    if light is None:
        return
    yield _Order(
        "light-mask",
        None if light.mask is MaskKind.FILM else light.mask_stock,
        "light.mask_stock",
        lambda name: draw_mask(face, light, name=name, title=title),
        part="face",
    )
    if light.diffuser:
        yield _Order(
            "diffuser",
            light.diffuser_stock,
            "light.diffuser_stock",
            lambda name: draw_diffuser(face, name=name, title=title),
        )
    lamps = light.lamps
    if lamps is not None:
        yield _Order(
            "lamps",
            lamps.stock,
            "light.lamps.stock",
            lambda name: draw_lamps(face, lamps, name=name, title=title),
        )


def _back_orders(instrument: Instrument) -> Iterator[_Order]:
    face, making, title = instrument.face, instrument.making, instrument.title
    spacer, back, train = making.spacer, making.back_plate, instrument.train
    if spacer is not None:
        yield _Order(
            "spacer",
            spacer.stock,
            "spacer.stock",
            lambda name: draw_spacer(face, spacer, making.frame, name=name, title=title),
        )
    if back is not None:
        yield _Order(
            "back-plate",
            back.stock,
            "back_plate.stock",
            lambda name: draw_back_plate(instrument, back, name=name, title=title),
        )
    if isinstance(train, GearPair) and train.movement_teeth:
        yield _Order(
            "gears",
            making.gears_stock,
            "gears_stock",
            lambda name: draw_gears(train, name=name, title=title),
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
