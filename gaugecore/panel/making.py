"""How an instrument is made: which plates it asks for, and which stock each is cut from."""

from __future__ import annotations

from gaugecore.drawing.stock import StockNumber
from gaugecore.face.light import LightLayer
from gaugecore.face.rings import BezelRing, Frame, SpacerRing
from gaugecore.movement.body import Body
from gaugecore.values import DialAngle, LengthOrZero, Part


class BackPlate(Part):
    """The plate that carries the movement."""

    stock: StockNumber = 0
    body: Body | None = None
    """None: the typical body of the movement's class."""
    clearance_mm: LengthOrZero = 0.2
    """Added to the body all round."""
    turn_deg: DialAngle | None = None
    """How far the movement is turned clockwise about its shaft; at 0 its body hangs toward six o'clock.
    None: by the quarter that leaves the most material."""
    shaft_towards_deg: DialAngle = 180.0
    """Where the movement's shaft lies from the pivot, when there is a train between them."""
    bush_mm: LengthOrZero = 4.0
    """Hole at the pivot for the pointer's own bearing, when there is a train; 0 for none."""


class Making(Part):
    """Plates and their stock; the face and the pointer are always made, the rest when it is asked for."""

    face_stock: StockNumber = 0
    pointer_stock: StockNumber = 0
    gears_stock: StockNumber = 0
    frame: Frame | None = None
    back_plate: BackPlate | None = None
    spacer: SpacerRing | None = None
    bezel_ring: BezelRing | None = None
    light: LightLayer | None = None
