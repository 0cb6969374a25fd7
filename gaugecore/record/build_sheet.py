"""The build sheet: what one dial is made of, with its face at true size."""

from __future__ import annotations

from gaugecore.errors import DesignError
from gaugecore.face.layout import lay_out_face
from gaugecore.face.scale import angle_range_deg, value_range
from gaugecore.movement.gears import centre_distance_mm, gears_of
from gaugecore.movement.servo import Servo
from gaugecore.movement.train import CrankLink, GearPair
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.plates import placed_error
from gaugecore.record.bars import with_bars
from gaugecore.record.paper import FRAME_MM, Sheaf, page_for, rows, styles, text, true_size
from gaugecore.units import with_unit

CAUTIONS = (
    "For simulator panels only; never for use in a real aircraft, vehicle or vessel. "
    "Laser work on acrylic (PMMA) needs extraction, supervision and a fire plan; never cut PVC. "
    "A USB port gives only so much current: when the budget says so, feed the movements from a separate, "
    "certified 5 V supply with common ground. Keep fingers and wires out of the needle's sweep; a servo may "
    "jump at power-up. Local electrical and workshop rules come first."
)


def build_sheet(panel: Panel, instrument: Instrument) -> Sheaf:
    """Return the build sheet of an instrument, on one page as a rule.

    Raises
    ------
    DesignError
        If the face cannot be drawn; its place is a path in the panel.
    """
    from reportlab.platypus import KeepTogether

    style = styles()
    name = f"{instrument.id}-face"
    try:
        face = with_bars(lay_out_face(instrument.face, name=name, title=instrument.title))
    except DesignError as error:
        raise placed_error(error, f"instruments.{instrument.id}", "face") from error
    story = [
        text(f"Build sheet: {instrument.title}", style["title"]),
        text(panel.title, style["body"]),
        text("Face, true size", style["heading"]),
        true_size(face),
        text("Print at actual size, never “fit to page”, then measure both bars.", style["small"]),
        text("Parts", style["heading"]),
        rows(_parts(instrument), widths_mm=(42, FRAME_MM[0] - 42)),
        KeepTogether([text(CAUTIONS, style["caution"])]),
    ]
    return Sheaf(page_for(face), story)


def _parts(instrument: Instrument) -> list[tuple[str, str]]:
    face, pointer = instrument.face, instrument.pointer
    low, high = value_range(face.scale)
    low_deg, high_deg = angle_range_deg(face.scale)
    ends = with_unit(f"{low:g} to {high:g}", instrument.unit)
    holes = face.fixing_holes
    return [
        ("scale", f"{ends} over {low_deg:g}° to {high_deg:g}° ({face.scale.kind})"),
        ("input", _input(instrument)),
        (
            "face",
            f"Ø {face.diameter_mm:g} mm, centre hole Ø {face.centre_hole_mm:g} mm"
            + (
                f", {holes.count} fixing holes Ø {holes.diameter_mm:g} mm on Ø {holes.pitch_circle_mm:g} mm"
                if holes
                else ""
            ),
        ),
        (
            "pointer",
            f"{pointer.length_mm:g} mm, tail {pointer.tail_mm:g} mm, tip {pointer.tip_width_mm:g} mm wide, "
            f"boss Ø {pointer.boss_diameter_mm:g} mm, bore Ø {pointer.bore_mm:g} mm, "
            f"{pointer.thickness_mm:g} mm thick",
        ),
        ("movement", _movement(instrument)),
        ("train", _train(instrument)),
    ]


def _input(instrument: Instrument) -> str:
    raw = instrument.raw
    field = raw.field or instrument.id
    ends = with_unit(f"{raw.low_value:g} to {raw.high_value:g}", instrument.unit)
    return f"{field}: raw {raw.low} to {raw.high} for {ends}"


def _movement(instrument: Instrument) -> str:
    movement = instrument.movement
    if isinstance(movement, Servo):
        text_ = f"{movement.name}, {movement.pulse_min_us:g} to {movement.pulse_max_us:g} µs"
    else:
        text_ = f"{movement.name}, {movement.steps_per_turn:g} steps a turn"
    text_ += f", {movement.travel_deg:g}° of travel"
    return text_ if movement.measured else f"{text_} (typical, measure yours)"


def _train(instrument: Instrument) -> str:
    """Return what has to be made and mounted between movement and pointer."""
    train = instrument.train
    if isinstance(train, GearPair):
        way = "the same way round" if train.idler else "the other way round"
        said = f"gear pair, the pointer turns {train.ratio:g} times as far, {way}"
        if train.movement_teeth is None:
            return f"{said}; teeth not chosen yet"
        _, driven = gears_of(train)
        apart = f"shafts {centre_distance_mm(train):g} mm apart"
        if train.idler:
            apart = (
                f"idler of {train.pointer_teeth} teeth, {centre_distance_mm(train):g} mm from the movement's "
                f"shaft and {2.0 * driven.pitch_radius_mm:g} mm from the pointer's"
            )
        return (
            f"{said}; {train.movement_teeth} teeth on the movement, {train.pointer_teeth} on the pointer, "
            f"module {train.module_mm:g} mm, pressure angle {train.pressure_angle_deg:g}°, {apart}"
        )
    if isinstance(train, CrankLink):
        return (
            f"crank {train.crank_mm:g} mm, link {train.link_mm:g} mm, arm {train.arm_mm:g} mm, "
            f"shafts {train.ground_mm:g} mm apart, the crank at {train.crank_deg:g}° in mid-travel"
            + (", crossed" if train.crossed else "")
        )
    return "direct: the pointer sits on the movement's shaft"
