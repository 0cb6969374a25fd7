"""The picture that explains a crank and link: every field of the train named on its bar."""

from __future__ import annotations

from dataclasses import replace

from gaugecore.drawing.elements import AnyElement, Box, Drawing, Line, Operation
from gaugecore.drawing.guides import GUIDE_COLOUR, caption
from gaugecore.movement.train import CrankLink
from gaugecore.movement.train_picture import picture_train
from gaugecore.polar import Point, dial_to_xy_mm

_ROOM_MM = 12.0


def explain_link(train: CrankLink) -> Drawing:
    """Return a picture of a crank and link at mid-travel with the names of its fields.

    The pointer's shaft is at the origin, the movement's to the right of it; a link that cannot be assembled
    is no `CrankLink`, so there is always something to show.
    """
    picture = picture_train(train)
    at_mm = (train.ground_mm, 0.0)
    crank_mm = dial_to_xy_mm(270.0 + train.crank_deg, train.crank_mm, at_mm)
    arm_mm = dial_to_xy_mm(270.0 + (train.linkage.arm_deg(train.crank_deg) or 0.0), train.arm_mm)
    names: list[AnyElement] = [
        Line(
            operation=Operation.GUIDE,
            colour=GUIDE_COLOUR,
            part="train.ground",
            start_mm=(0.0, 0.0),
            end_mm=at_mm,
        ),
        _name(f"ground_mm {train.ground_mm:g}", (train.ground_mm / 2.0, -2.4)),
        _name(f"link_mm {train.link_mm:g}", _middle(crank_mm, arm_mm, up_mm=4.0)),
        _name(f"crank_mm {train.crank_mm:g}", (crank_mm[0] + 10.5, crank_mm[1] / 2.0)),
        _name(f"arm_mm {train.arm_mm:g}", (arm_mm[0] - 10.5, arm_mm[1] / 2.0)),
        _name(f"crank_deg {train.crank_deg:g}", (train.ground_mm - 11.0, 2.4)),
        _name("pointer", (0.0, -5.0)),
        _name("movement", (train.ground_mm, -5.0)),
    ]
    box = picture.box
    return replace(
        picture,
        box=Box(
            left_mm=box.left_mm - _ROOM_MM,
            bottom_mm=-9.0,
            right_mm=box.right_mm + _ROOM_MM,
            top_mm=max(crank_mm[1], arm_mm[1]) + 4.0,
        ),
        elements=(*picture.elements, *names),
    )


def _middle(a_mm: Point, b_mm: Point, *, up_mm: float) -> Point:
    return (a_mm[0] + b_mm[0]) / 2.0, (a_mm[1] + b_mm[1]) / 2.0 + up_mm


def _name(text: str, at_mm: Point) -> AnyElement:
    return caption(text, at_mm=at_mm, longest_mm=40.0)
