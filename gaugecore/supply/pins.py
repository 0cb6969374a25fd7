"""What the pins of a microcontroller may carry: each of them, groups of them, all of them.

The group limits are test conditions of the data sheets, not damage limits; going over them voids the
promised output voltages. Variants differ: the 328PB allows half of the 328P's supply-pin current.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum


class Controller(Enum):
    """The microcontroller on the board."""

    ATMEGA328P = "ATmega328P"
    ATMEGA328PB = "ATmega328PB"
    ATMEGA2560 = "ATmega2560"
    OTHER = "other"  #: no pin limits known; look them up


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Pins that share a limit."""

    pins: frozenset[str]
    limit_ma: float

    @property
    def caption(self) -> str:
        """Return the pins in short."""
        return " ".join(sorted(self.pins))


@dataclass(frozen=True, slots=True, kw_only=True)
class PinLimits:
    """Limits of a microcontroller.

    Attributes
    ----------
    most_ma : float
        Absolute maximum of a pin: damage beyond.
    tested_ma : float
        Current at which the output voltage is promised, at 5 V.
    total_ma : float
        Absolute maximum of the supply pins.
    giving, taking : tuple of Group
        Groups of pins that share a limit when they give (high) and take (low) current.
    source : str
    """

    most_ma: float
    tested_ma: float
    total_ma: float
    giving: tuple[Group, ...]
    taking: tuple[Group, ...]
    source: str = field(repr=False)


def _group(limit_ma: float, *ports: str) -> Group:
    """Return a group from port letters with bit ranges: ``C0-5``, ``J0-7``."""
    pins: set[str] = set()
    for port in ports:
        letter, bits = port[0], port[1:]
        low, _, high = bits.partition("-")
        pins.update(f"{letter}{bit}" for bit in range(int(low), int(high or low) + 1))
    return Group(pins=frozenset(pins), limit_ma=limit_ma)


_328P_GIVING = (("C0-5", "D0-4"), ("B0-5", "D5-7", "B6-7"))
_328P_TAKING = (("C0-5",), ("B0-5", "D5-7", "B6-7"), ("D0-4",))
_2560_GROUPS = (
    _group(200, "J0-7", "A0-7", "G2"),
    _group(200, "C0-7", "G0-1", "D0-7", "L0-7"),
    _group(200, "G3-4", "B0-7", "H0-7"),
    _group(100, "E0-7", "G5"),
    _group(100, "F0-7", "K0-7"),
)

LIMITS: Mapping[Controller, PinLimits] = {
    Controller.ATMEGA328P: PinLimits(
        most_ma=40.0,
        tested_ma=20.0,
        total_ma=200.0,
        giving=tuple(_group(150, *ports) for ports in _328P_GIVING),
        taking=tuple(_group(100, *ports) for ports in _328P_TAKING),
        source="ATmega48PA…328P data sheet p. 313 and Atmel-8271H p. 301",
    ),
    Controller.ATMEGA328PB: PinLimits(
        most_ma=40.0,
        tested_ma=20.0,
        total_ma=100.0,
        giving=tuple(_group(100, *ports) for ports in _328P_GIVING),
        taking=tuple(_group(100, *ports) for ports in _328P_TAKING),
        source="DS40001906C pp. 405, 407; per pin and taking as the 328P, from memory",
    ),
    Controller.ATMEGA2560: PinLimits(
        most_ma=40.0,
        tested_ma=20.0,
        total_ma=200.0,
        giving=_2560_GROUPS,
        taking=_2560_GROUPS,
        source="ATmega2560 data sheet, as quoted in a forum; per-pin test current from memory",
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PinLoad:
    """What hangs on a pin."""

    name: str
    pin: str
    current_ma: float
    sinks: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Overload:
    """A limit that is passed.

    Attributes
    ----------
    what : str
        ``pin``, ``tested``, ``group`` or ``total``.
    where : str
        The pins.
    found_ma, limit_ma : float
    names : tuple of str
        The loads concerned.
    """

    what: str
    where: str
    found_ma: float
    limit_ma: float
    names: tuple[str, ...]


def overloads(loads: tuple[PinLoad, ...], limits: PinLimits) -> list[Overload]:
    """Return every pin limit that a set of simultaneous loads passes."""
    found: list[Overload] = []
    for pin in sorted({load.pin for load in loads}):
        on_it = tuple(load for load in loads if load.pin == pin)
        total_ma = sum(load.current_ma for load in on_it)
        names = tuple(load.name for load in on_it)
        if total_ma > limits.most_ma:
            found.append(_over("pin", pin, total_ma, limits.most_ma, names))
        elif total_ma > limits.tested_ma:
            found.append(_over("tested", pin, total_ma, limits.tested_ma, names))
    for sinks, groups in ((False, limits.giving), (True, limits.taking)):
        for group in groups:
            on_it = tuple(load for load in loads if load.pin in group.pins and load.sinks is sinks)
            total_ma = sum(load.current_ma for load in on_it)
            if total_ma > group.limit_ma:
                names = tuple(load.name for load in on_it)
                found.append(_over("group", group.caption, total_ma, group.limit_ma, names))
    for sinks in (False, True):
        on_it = tuple(load for load in loads if load.sinks is sinks)
        total_ma = sum(load.current_ma for load in on_it)
        if total_ma > limits.total_ma:
            where = "ground pins" if sinks else "supply pins"
            found.append(_over("total", where, total_ma, limits.total_ma, tuple(load.name for load in on_it)))
    return found


def _over(what: str, where: str, found_ma: float, limit_ma: float, names: tuple[str, ...]) -> Overload:
    return Overload(what=what, where=where, found_ma=found_ma, limit_ma=limit_ma, names=names)
