"""What to expect of a needle on its movement, in a few lines."""

from __future__ import annotations

from gaugecore.errors import NeedlewrightError
from gaugecore.face.scale import angle_range_deg
from gaugecore.movement.outlook import outlook
from gaugecore.movement.pointing import Care
from gaugecore.panel.document import Instrument


def movement_words(instrument: Instrument) -> str:
    """Return reach, load, speed and pointing of an instrument's movement; a refusal is an answer too."""
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    try:
        look = outlook(instrument.movement, instrument.train, instrument.pointer, arc_deg=high_deg - low_deg)
    except NeedlewrightError as error:
        return str(error)
    sweep = "it cannot move" if look.sweep_s is None else f"end to end in {look.sweep_s:.2f} s"
    margin = "" if look.able.margin is None else f", {look.able.margin:.0f} times the load"
    lines = [
        f"Reaches {look.reached.span_deg:.0f}°; the scale asks for {look.arc_deg:.0f}°.",
        f"{look.able.torque_mnm:.3g} mN·m at the needle{margin}; {sweep}.",
    ]
    worth = [f"{look.budget.expected_deg(care):.2f}° ({care.value})" for care in Care]
    lines.append("Expected pointing, by calibration: " + ", ".join(worth) + ".")

    return "\n".join(lines)
