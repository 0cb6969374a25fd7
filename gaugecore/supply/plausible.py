"""Which refitted figures can be: bounds for each kind of load, from memory and wide on purpose.

A figure that the user set outside them belongs to something else than we know, and is left alone.
"""

from __future__ import annotations

from gaugecore.supply.leds import LedString
from gaugecore.supply.states import Draws

#: Forward voltage of one LED: infrared from about 1.2 V, blue and white up to about 3.6 V (from memory).
FORWARD_V = (1.0, 4.0)
#: A servo's electronics at rest: some mA to some ten mA (common practice, no source).
IDLE_MA = (1.0, 100.0)


def doubt_of_forward(string: LedString, forward_v: float, volts: float) -> str:
    """Return why a forward voltage cannot be, as a clause; empty when it can."""
    low_v, high_v = FORWARD_V
    if low_v <= string.forward_v <= high_v and not low_v <= forward_v <= high_v:
        return f"an LED has {low_v:g} to {high_v:g} V"
    if not 0.0 < forward_v * string.leds < volts:
        return f"{string.leds} in series on {volts:g} V have 0 to {volts / string.leds:g} V each"
    return ""


def doubt_of_idle(movement: Draws, idle_ma: float) -> str:
    """Return why a servo's current at rest cannot be; empty when it can."""
    low_ma, high_ma = IDLE_MA
    if idle_ma < 0.0:
        return "a current is not below 0 mA"
    if low_ma <= movement.idle_ma <= high_ma and not low_ma <= idle_ma <= high_ma:
        return f"a servo at rest draws {low_ma:g} to {high_ma:g} mA"
    return ""


def doubt_of_moving(movement: Draws, moving_ma: float, idle_ma: float) -> str:
    """Return why a servo's current while it turns cannot be; empty when it can."""
    if moving_ma < 0.0:
        return "a current is not below 0 mA"
    if movement.moving_ma > movement.idle_ma and moving_ma <= idle_ma:
        return f"a servo that turns draws more than its {idle_ma:.3g} mA at rest"
    if movement.moving_ma <= movement.stall_ma < moving_ma:
        return f"a servo that turns draws at most its {movement.stall_ma:.4g} mA when held fast"
    return ""


def doubt_of_stall(movement: Draws, stall_ma: float, moving_ma: float) -> str:
    """Return why a servo's current when it is held fast cannot be; empty when it can."""
    if stall_ma < 0.0:
        return "a current is not below 0 mA"
    if movement.stall_ma >= movement.moving_ma and stall_ma < moving_ma:
        return f"a servo held fast draws at least the {moving_ma:.4g} mA that it draws as it turns"
    return ""
