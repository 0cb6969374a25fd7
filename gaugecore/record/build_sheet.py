"""The build sheet: what one dial is made of, with its face at true size."""

from __future__ import annotations

from typing import Any

from gaugecore.face.layout import lay_out_face
from gaugecore.face.scale import angle_range_deg, value_range
from gaugecore.movement.servo import Servo
from gaugecore.panel.document import Instrument, Panel
from gaugecore.record.bars import with_bars
from gaugecore.record.paper import FRAME_MM, rows, styles, text, true_size
from gaugecore.units import with_unit

CAUTIONS = (
    "For simulator panels only; never for use in a real aircraft, vehicle or vessel. "
    "Laser work on acrylic (PMMA) needs extraction, supervision and a fire plan; never cut PVC. "
    "A USB port gives only so much current: when the budget says so, feed the movements from a separate, "
    "certified 5 V supply with common ground. Keep fingers and wires out of the needle's sweep; a servo may "
    "jump at power-up. Local electrical and workshop rules come first."
)


def build_sheet(panel: Panel, instrument: Instrument) -> list[Any]:
    """Return the build sheet of an instrument as a story of one page.

    Raises
    ------
    DesignError
        If the face cannot be drawn.
    """
    style = styles()
    face = lay_out_face(instrument.face, name=f"{instrument.id}-face", title=instrument.title)
    return [
        text(f"Build sheet: {instrument.title}", style["title"]),
        text(panel.title, style["body"]),
        text("Face, true size", style["heading"]),
        true_size(with_bars(face)),
        text("Print at actual size, never “fit to page”, then measure both bars.", style["small"]),
        text("Parts", style["heading"]),
        rows(_parts(instrument), widths_mm=(42, FRAME_MM[0] - 42)),
        text(CAUTIONS, style["caution"]),
    ]


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
        ("train", instrument.train.kind.replace("_", " ")),
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
