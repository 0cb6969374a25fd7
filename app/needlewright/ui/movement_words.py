"""What to expect of a needle on its movement, in a few lines."""

from __future__ import annotations

from gaugecore.errors import NeedlewrightError
from gaugecore.face.scale import angle_range_deg
from gaugecore.movement.outlook import outlook
from gaugecore.movement.pointing import Care
from gaugecore.panel.document import Instrument
from needlewright.ui.translation import in_words, translate


def movement_words(instrument: Instrument) -> str:
    """Return reach, load, speed and pointing of an instrument's movement; a refusal is an answer too."""
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    try:
        look = outlook(instrument.movement, instrument.train, instrument.pointer, arc_deg=high_deg - low_deg)
    except NeedlewrightError as error:
        return str(error)
    sweep = (
        translate("movement_words", "it cannot move")
        if look.sweep_s is None
        else translate("movement_words", "end to end in {0:.2f} s").format(look.sweep_s)
    )
    lines = [
        translate("movement_words", "Reaches {0:.0f}°; the scale asks for {1:.0f}°.").format(
            look.reached.span_deg, look.arc_deg
        ),
        f"{look.torque_words}; {sweep}.",
        translate("movement_words", "Pointer: {0}.").format(look.balance_words),
    ]
    if look.microstep_torque_mnm is not None:
        said = translate("movement_words", "One microstep bears {0:.2g} mN·m; friction is {1:.2g} mN·m.")
        lines.append(said.format(look.microstep_torque_mnm, look.friction_mnm))
    worth = [f"{look.budget.expected_deg(care):.2f}° ({in_words(care)})" for care in Care]
    lines.append(translate("movement_words", "Expected pointing, by calibration: ") + ", ".join(worth) + ".")

    return "\n".join(lines)
