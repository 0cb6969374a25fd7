"""LED strings: the current a resistor lets through, the resistor for a current, and dimming."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from gaugecore.errors import DesignError
from gaugecore.supply.meter import When
from gaugecore.supply.preferred import Series, next_value
from gaugecore.values import Caption, Part

Volts = Annotated[float, Field(gt=0, le=60)]
"""A voltage, more than zero."""

RATED_W = 0.25
"""The usual small leaded resistor; half of it is the most it should carry for years (common practice)."""


class LedString(Part):
    """LEDs in series with one resistor; ``count`` such strings side by side."""

    name: Caption
    resistor_ohm: Annotated[float, Field(gt=0, le=10_000_000)] = 150.0
    forward_v: Volts = 2.0
    """Forward voltage of one LED at its current; typical, refitted from a meter reading."""
    forward_spread_v: Annotated[float, Field(ge=0, le=5)] = 0.2
    """How far one LED may be below it; the worst case takes it."""
    leds: Annotated[int, Field(ge=1, le=20)] = 1
    """LEDs in series."""
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    when: When = When.LAMP
    duty: Annotated[float, Field(ge=0, le=1)] = 1.0
    """Share of the time it is on, when it is dimmed by pulses."""
    pin: Annotated[str, Field(pattern=r"^([A-L][0-7])?$")] = ""
    """Port and bit that feed it, such as B3; empty: fed by the supply, or through a transistor."""
    sinks: bool = False
    """Whether the pin takes the current in instead of giving it."""

    def peak_ma(self, volts: float, *, worst: bool = False) -> float:
        """Return the current of all its strings while on; 0 when the supply cannot light it.

        Parameters
        ----------
        volts : float
            Supply voltage.
        worst : bool
            Whether each LED is at the low end of its forward voltage and the resistor 5 % low.
        """
        forward_v = self.forward_v - (self.forward_spread_v if worst else 0.0)
        ohm = self.resistor_ohm * (0.95 if worst else 1.0)
        return max(0.0, (volts - self.leds * forward_v) / ohm) * 1000.0 * self.count

    def mean_ma(self, volts: float, *, worst: bool = False) -> float:
        """Return the mean current of all its strings; in the worst case they are not dimmed."""
        return self.peak_ma(volts, worst=worst) * (1.0 if worst else self.duty)

    def resistor_w(self, volts: float) -> float:
        """Return the power in one resistor while on."""
        return (self.peak_ma(volts) / self.count / 1000.0) ** 2 * self.resistor_ohm


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor:
    """A resistor chosen for an LED string.

    Attributes
    ----------
    exact_ohm, chosen_ohm : float
        As computed, and the next preferred value that is not below it.
    current_ma : float
        What then flows.
    power_w : float
        What it turns into heat.
    """

    exact_ohm: float
    chosen_ohm: float
    current_ma: float
    power_w: float


def choose_resistor(
    volts: float, forward_v: float, current_ma: float, *, leds: int = 1, series: Series = Series.E24
) -> Resistor:
    """Return the series resistor for an LED string: R = (V - n V_F) / I, up to the next preferred value.

    Raises
    ------
    DesignError
        If the LEDs need as much voltage as the supply has, or no current is asked for.

    Examples
    --------
    >>> choose_resistor(5.0, 2.0, 20.0)
    Resistor(exact_ohm=150.0, chosen_ohm=150.0, current_ma=20.0, power_w=0.06)
    """
    if not current_ma > 0:
        raise DesignError(
            "an LED needs a current", where="current_ma", found=current_ma, accepted="more than 0 mA"
        )
    left_v = volts - leds * forward_v
    if not left_v > 0:
        raise DesignError(
            f"{leds} LED{'s' * (leds > 1)} of {forward_v:g} V need more than the supply has",
            where="forward_v",
            found=f"{leds * forward_v:g} V",
            accepted=f"less than {volts:g} V; fewer LEDs in series, or a higher supply",
        )
    exact_ohm = left_v / current_ma * 1000.0
    chosen_ohm = next_value(exact_ohm, series)
    current = left_v / chosen_ohm * 1000.0
    return Resistor(
        exact_ohm=exact_ohm,
        chosen_ohm=chosen_ohm,
        current_ma=current,
        power_w=left_v**2 / chosen_ohm,
    )


def forward_v_from(measured_ma: float, volts: float, string: LedString) -> float:
    """Return the forward voltage of one LED that a measured peak current tells.

    Examples
    --------
    >>> round(forward_v_from(17.0, 5.0, LedString(name="back-light", resistor_ohm=150.0)), 2)
    2.45
    """
    return (volts - measured_ma / string.count / 1000.0 * string.resistor_ohm) / string.leds


def duty_for_lightness(lightness: float) -> float:
    """Return the duty that looks like a share of full brightness.

    The eye is not linear: half the current looks like three quarters. CIE 1976 lightness, from memory.

    Examples
    --------
    >>> round(duty_for_lightness(0.5), 3)
    0.184
    """
    if not 0.0 <= lightness <= 1.0:
        raise DesignError("a brightness is a share", found=lightness, accepted="0 to 1")
    star = 100.0 * lightness
    return float(((star + 16.0) / 116.0) ** 3 if star > 8.0 else star / 903.3)
