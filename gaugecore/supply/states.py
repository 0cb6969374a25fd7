"""What the source gives in each state of the panel, load by load: typical and worst case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from gaugecore.supply.meter import State, When
from gaugecore.supply.source import SourceKind, Supply

#: VBUS may be this high at the port (USB 2.0 figure, from memory); a supply of one's own is taken as alike.
HIGHEST_V_OF_5 = 5.25


class Draws(Protocol):
    """What the supply needs to know of a movement; every movement has these."""

    @property
    def name(self) -> str:
        """Return what people call it."""

    @property
    def measured(self) -> bool:
        """Return whether the currents were measured."""

    @property
    def supply_v(self) -> float:
        """Return the voltage its figures hold at."""

    @property
    def draws_by_coils(self) -> bool:
        """Return whether its currents follow from its coils, and are no figures of their own."""

    @property
    def idle_ma(self) -> float:
        """Return the current at rest."""

    @property
    def moving_ma(self) -> float:
        """Return the typical current while it turns."""

    @property
    def worst_moving_ma(self) -> float:
        """Return the most it draws while it turns."""

    @property
    def stall_ma(self) -> float:
        """Return the current when it is held fast, or starts."""

    @property
    def pin_ma(self) -> float:
        """Return what it draws from each of its pins."""

    @property
    def pins(self) -> int:
        """Return how many pins it takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one load draws in one state.

    Attributes
    ----------
    name : str
    typical_ma, worst_ma : float
    when : When or None
        When it is on; None for a movement, which may have a supply of its own.
    """

    name: str
    typical_ma: float
    worst_ma: float
    when: When | None

    @property
    def moves(self) -> bool:
        """Return whether it is a movement."""
        return self.when is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """What a panel draws in one state.

    Attributes
    ----------
    state : State
    shares : tuple of Share
        Load by load; what is off is left out.
    movements_apart : bool
        Whether the movements hang on a supply of their own.
    """

    state: State
    shares: tuple[Share, ...]
    movements_apart: bool

    @property
    def typical_ma(self) -> float:
        """Return what the source gives, typically."""
        return sum(s.typical_ma for s in self.shares if not (s.moves and self.movements_apart))

    @property
    def worst_ma(self) -> float:
        """Return what the source gives in the worst case."""
        return sum(s.worst_ma for s in self.shares if not (s.moves and self.movements_apart))

    @property
    def movements_typical_ma(self) -> float:
        """Return what the movements draw, typically."""
        return sum(s.typical_ma for s in self.shares if s.moves)

    @property
    def movements_worst_ma(self) -> float:
        """Return what the movements draw in the worst case."""
        return sum(s.worst_ma for s in self.shares if s.moves)


def draws(supply: Supply, movements: Sequence[Draws] = ()) -> tuple[Draw, ...]:
    """Return the current in every state.

    Parameters
    ----------
    supply : Supply
    movements : sequence of Draws
        The movements of the panel, in its order.

    Notes
    -----
    The worst case has every LED at the low end of its forward voltage and undimmed, every resistor 5 % low,
    the source at its highest voltage, and movements under load; it is a bound, not a forecast.
    """
    return tuple(draw_in(supply, movements, state) for state in State)


def draw_in(supply: Supply, movements: Sequence[Draws], state: State) -> Draw:
    """Return the current in one state."""
    shares = [
        Share(
            name=load.name,
            typical_ma=load.current_ma * load.count,
            worst_ma=(load.current_ma if load.worst_ma is None else load.worst_ma) * load.count,
            when=load.when,
        )
        for load in supply.loads
        if load.when in state.lit
    ]
    shares += [
        Share(
            name=string.name,
            typical_ma=string.mean_ma(supply.volts),
            worst_ma=string.mean_ma(highest_v(supply), worst=True),
            when=string.when,
        )
        for string in supply.led_strings
        if string.when in state.lit
    ]
    shares += _of_movements(movements, state)
    return Draw(state=state, shares=tuple(shares), movements_apart=supply.movements_apart)


def highest_v(supply: Supply) -> float:
    """Return the highest voltage the source may have."""
    if supply.source is SourceKind.SEPARATE:
        return supply.volts * 1.05
    return max(supply.volts, HIGHEST_V_OF_5)


def inrush_ma(movements: Sequence[Draws]) -> float:
    """Return what all movements draw when they start at once: a motor at rest draws its stall current."""
    return sum(movement.stall_ma for movement in movements)


def hungriest_of(movements: Sequence[Draws], state: State = State.ONE_MOVING) -> int:
    """Return the place of the movement that adds most when it turns, or is stalled; -1 when there is none."""

    def adds_ma(index: int) -> float:
        movement = movements[index]
        most_ma = movement.stall_ma if state is State.ONE_STALLED else movement.worst_moving_ma
        return most_ma - movement.idle_ma

    return max(range(len(movements)), key=adds_ma, default=-1)


def _of_movements(movements: Sequence[Draws], state: State) -> list[Share]:
    hungriest = hungriest_of(movements, state)
    shares = []
    for i, movement in enumerate(movements):
        typical_ma = worst_ma = movement.idle_ma
        if state is State.ALL_MOVING or (state is State.ONE_MOVING and i == hungriest):
            typical_ma, worst_ma = movement.moving_ma, movement.worst_moving_ma
        elif state is State.ONE_STALLED and i == hungriest:
            typical_ma = worst_ma = movement.stall_ma
        shares.append(Share(name=movement.name, typical_ma=typical_ma, worst_ma=worst_ma, when=None))
    return shares
