"""The gears of a train as a plate: cut lines, bores, pitch circles for people."""

from __future__ import annotations

from gaugecore.drawing.elements import AnyElement, Box, Circle, Drawing, Operation, Outline
from gaugecore.drawing.guides import CUT_COLOUR, GUIDE_COLOUR, MARGIN_MM, caption, centre_mark
from gaugecore.movement.gears import Gear, centre_distance_mm, gear_loop, gears_of
from gaugecore.movement.train import GearPair

_NARROWEST_MM = 76.0


def draw_gears(
    train: GearPair, *, name: str, title: str, movement_bore_mm: float = 4.0, pointer_bore_mm: float = 2.0
) -> Drawing:
    """Return the gears of a train side by side, to be cut or printed.

    Parameters
    ----------
    train : GearPair
        With its teeth chosen.
    name, title : str
        For file names and for people.
    movement_bore_mm, pointer_bore_mm : float
        Bores; an idler gets the pointer's. 0 for none.

    Raises
    ------
    DesignError
        If the teeth are not chosen or cannot be drawn.
    """
    driver, driven = gears_of(train)
    gears = [("movement", driver, movement_bore_mm)]
    if train.idler:
        gears.append(("idler", driven, pointer_bore_mm))
    gears.append(("pointer", driven, pointer_bore_mm))
    gap_mm = 2.0 * MARGIN_MM
    width_mm = sum(2.0 * gear.tip_radius_mm for _, gear, _ in gears) + gap_mm * (len(gears) - 1)
    tallest_mm = max(gear.tip_radius_mm for _, gear, _ in gears)
    elements: list[AnyElement] = []
    left_mm = -width_mm / 2.0
    for part, gear, bore_mm in gears:
        elements += _one(part, gear, bore_mm, left_mm + gear.tip_radius_mm)
        left_mm += 2.0 * gear.tip_radius_mm + gap_mm
    half_mm = max(width_mm / 2.0 + MARGIN_MM, _NARROWEST_MM / 2.0)
    bottom_mm = -tallest_mm - 1.5 * MARGIN_MM
    words = (
        f"{title} · gears {driver.teeth}:{driven.teeth}, module {train.module_mm:g}",
        f"{train.pressure_angle_deg:g}°, shafts {centre_distance_mm(train):.2f} mm apart",
    )
    elements += [
        caption(line, at_mm=(0.0, bottom_mm + up_mm), longest_mm=2.0 * half_mm - 4.0)
        for line, up_mm in zip(words, (MARGIN_MM, MARGIN_MM / 3.0), strict=True)
    ]
    return Drawing(
        name=name,
        title=title,
        box=Box(left_mm=-half_mm, bottom_mm=bottom_mm, right_mm=half_mm, top_mm=tallest_mm + MARGIN_MM),
        elements=tuple(elements),
    )


def _one(part: str, gear: Gear, bore_mm: float, x_mm: float) -> list[AnyElement]:
    centre_mm = (x_mm, 0.0)
    elements: list[AnyElement] = [
        Circle(
            operation=Operation.GUIDE,
            part=f"gears.{part}.pitch",
            colour=GUIDE_COLOUR,
            centre_mm=centre_mm,
            radius_mm=gear.pitch_radius_mm,
        ),
        *centre_mark(centre_mm, part=f"gears.{part}.centre"),
    ]
    if bore_mm:
        # the bore first: once the gear is cut free it may shift
        elements.append(
            Circle(
                operation=Operation.CUT,
                part=f"gears.{part}.bore",
                colour=CUT_COLOUR,
                centre_mm=centre_mm,
                radius_mm=bore_mm / 2.0,
            )
        )
    elements.append(
        Outline(
            operation=Operation.CUT,
            part=f"gears.{part}.outline",
            colour=CUT_COLOUR,
            loops=(gear_loop(gear, centre_mm=centre_mm),),
        )
    )
    return elements
