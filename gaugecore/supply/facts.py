"""What flows in each LED string and what is left at the end of each wire: figures for a page or a window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.errors import DesignError
from gaugecore.supply.leds import LedString, Resistor, choose_resistor
from gaugecore.supply.preferred import Series
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws, draws

#: The series that shops sell.
SERIES = (Series.E12, Series.E24, Series.E96)


@dataclass(frozen=True, slots=True, kw_only=True)
class StringFacts:
    """One LED string, at the supply's nominal voltage.

    Attributes
    ----------
    string : LedString
    each_ma : float
        Through one of its strings while it is on; 0 when the supply cannot light it.
    resistor_w : float
        In one resistor while it is on.
    mean_ma : float
        All its strings, dimming by pulses counted in.
    wanted_ma : float
        The current that the resistors are chosen for.
    choices : tuple of (Series, Resistor)
        The next value of each series that is not below the exact one; empty when the supply cannot light it.
    """

    string: LedString
    each_ma: float
    resistor_w: float
    mean_ma: float
    wanted_ma: float
    choices: tuple[tuple[Series, Resistor], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WireFacts:
    """One wire.

    Attributes
    ----------
    name : str
    current_ma : float
        What it carries: its own figure, or everything the source gives in the worst state.
    drop_v, far_v : float
        Lost there and back; left at the far end.
    least_v : float
        What is wanted there.
    """

    name: str
    current_ma: float
    drop_v: float
    far_v: float
    least_v: float


def string_facts(supply: Supply, *, wanted_ma: float | None = None) -> tuple[StringFacts, ...]:
    """Return the facts of every LED string.

    Parameters
    ----------
    wanted_ma : float or None
        What each LED should get; None: what it gets now, so that the choices are the values next to its own.

    Raises
    ------
    DesignError
        If the wanted current is not more than zero.

    Examples
    --------
    >>> desk = Supply(led_strings=(LedString(name="lamp", resistor_ohm=145.0),))
    >>> [round(resistor.chosen_ohm) for _, resistor in string_facts(desk)[0].choices]
    [150, 150, 147]
    """
    if wanted_ma is not None and not wanted_ma > 0.0:
        raise DesignError("an LED needs a current", found=wanted_ma, accepted="more than 0 mA")
    return tuple(_facts(string, supply.volts, wanted_ma) for string in supply.led_strings)


def _facts(string: LedString, volts: float, wanted_ma: float | None) -> StringFacts:
    each_ma = string.peak_ma(volts) / string.count
    wanted = each_ma if wanted_ma is None else wanted_ma
    lights = each_ma > 0.0
    return StringFacts(
        string=string,
        each_ma=each_ma,
        resistor_w=string.resistor_w(volts),
        mean_ma=string.mean_ma(volts),
        wanted_ma=wanted,
        choices=tuple(
            (series, choose_resistor(volts, string.forward_v, wanted, leds=string.leds, series=series))
            for series in SERIES
            if lights
        ),
    )


def wire_facts(supply: Supply, movements: Sequence[Draws]) -> tuple[WireFacts, ...]:
    """Return what is left at the far end of every wire.

    Parameters
    ----------
    supply : Supply
    movements : sequence of Draws
        The movements of the panel, in its order.
    """
    everything_ma = max(draw.worst_ma for draw in draws(supply, movements)) if supply.wires else 0.0
    facts = []
    for wire in supply.wires:
        current_ma = everything_ma if wire.current_ma is None else wire.current_ma
        drop_v = wire.drop_v(current_ma)
        facts.append(
            WireFacts(
                name=wire.name,
                current_ma=current_ma,
                drop_v=drop_v,
                far_v=supply.volts - drop_v,
                least_v=wire.least_v,
            )
        )
    return tuple(facts)
