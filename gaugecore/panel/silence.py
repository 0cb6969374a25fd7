"""What a board does when the traffic stops: after how long, and whether its needles relax or park, and where.

Both are stored in the board, since by then nobody can tell it any more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from gaugecore.board.board import Board
from gaugecore.calibration.readings import Direction
from gaugecore.errors import InputError
from gaugecore.face.scale import clamped_angle_deg
from gaugecore.panel.document import Instrument
from gaugecore.panel.driver import Driver
from gaugecore.panel.sendable import fit_in_force, sendable_commands

#: What the line protocol takes, docs/line-protocol.md section 4.
LEAST_WATCHDOG_S, MOST_WATCHDOG_S = 0.1, 60.0
ACCEPTED = "relax, home, or a command in µs or steps; for one dial of several ID=WHAT"

Loss = Literal["relax", "home"] | float
"""A needle lets go, parks at the low end of its scale, or parks at a command."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Silence:
    """What is to be stored; what is left out stays as the board has it.

    Attributes
    ----------
    watchdog_s : float or None
        Time without traffic after which the needles relax or park.
    losses : dict
        What the needles then do, by the instrument's id; the empty id stands for all others.
    """

    watchdog_s: float | None = None
    losses: dict[str, Loss] = field(default_factory=dict)


def parse_silence(watchdog_s: float | None, words: Sequence[str]) -> Silence:
    """Return what is to be stored, as a user words it.

    Parameters
    ----------
    watchdog_s : float or None
        Seconds.
    words : sequence of str
        ``relax``, ``home`` or a command, for all dials; ``ID=`` in front means one.

    Raises
    ------
    InputError
        If a word says nothing, or no board waits so long or so little.

    Examples
    --------
    >>> parse_silence(2.0, ["relax", "rudder=1500"]).losses
    {'': 'relax', 'rudder': 1500.0}
    """
    if watchdog_s is not None and not LEAST_WATCHDOG_S <= watchdog_s <= MOST_WATCHDOG_S:
        raise InputError(
            "the watchdog time",
            found=f"{watchdog_s:g}",
            accepted=f"{LEAST_WATCHDOG_S:g} to {MOST_WATCHDOG_S:g} seconds",
        )
    losses: dict[str, Loss] = {}
    for word in words:
        instrument_id, equals, what = word.rpartition("=")
        if equals and not instrument_id:
            raise InputError("which dial?", found=word, accepted=ACCEPTED)
        losses[instrument_id] = _loss(what)
    return Silence(watchdog_s=watchdog_s, losses=losses)


def store_silence(driver: Driver, silence: Silence) -> None:
    """Store it in the board of a drive whose board has been checked.

    Raises
    ------
    InputError
        If it names a dial that is not driven, or a command the dial may not be sent; nothing is stored then.
    """
    unknown = [one for one in silence.losses if one and one not in {dial.id for dial in driver.dials}]
    if unknown:
        raise InputError(
            "no such dial is driven", found=unknown[0], accepted=", ".join(dial.id for dial in driver.dials)
        )
    parks: list[tuple[int, float | None]] = []
    for dial in driver.dials:
        loss = silence.losses.get(dial.id, silence.losses.get(""))
        if loss is not None:
            park = dial.home_command if loss == "home" else loss
            parks.append((dial.channel, park_command(park, driver.sendable(dial), where=dial.id)))
    for channel, command in parks:
        driver.board.set_loss(channel, command)
    store_watchdog(driver.board, silence)


def store_watchdog(board: Board, silence: Silence) -> None:
    """Store the time, if one is given; before the board is kept alive, which goes by it."""
    if silence.watchdog_s is not None:
        board.set_watchdog(silence.watchdog_s)


def park_command(loss: Loss, limits: tuple[float, float], *, where: str) -> float | None:
    """Return the command to park at, None to relax.

    Raises
    ------
    InputError
        If it lies outside the limits, or only a calibrated dial could know it.
    """
    if loss == "relax":
        return None
    low, high = limits
    if isinstance(loss, str) or not low <= loss <= high:
        raise InputError(
            "where to park", where=where, found=loss, accepted=f"relax, or a command from {low:g} to {high:g}"
        )
    return loss


def command_on(instrument: Instrument, value: float) -> float:
    """Return the command that parks a dial on a value of its scale, wherever its needle comes from.

    Parameters
    ----------
    instrument : Instrument
        Calibrated.
    value : float
        Held to the scale, and to what the dial may be sent.

    Raises
    ------
    FitError
        If there is no fit for its movement.
    """
    fit, (low, high) = fit_in_force(instrument), sendable_commands(instrument)
    dial_deg = clamped_angle_deg(instrument.face.scale, value)
    command = float(fit.commands(np.array([dial_deg]), Direction.UNKNOWN, clamp=True)[0])
    return min(max(command, low), high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What a board has stored about silence.

    Attributes
    ----------
    watchdog_s : float
    parks_deg : dict
        Where each driven needle parks, a dial angle by the instrument's id; None: it relaxes.
    """

    watchdog_s: float
    parks_deg: dict[str, float | None]


def kept_in(driver: Driver) -> Kept:
    """Return what the board of a drive has stored."""
    losses = {dial: driver.board.loss(dial.channel) for dial in driver.dials}
    return Kept(
        watchdog_s=driver.board.watchdog_s(),
        parks_deg={
            dial.id: None if command is None else dial.angle_at(command) for dial, command in losses.items()
        },
    )


def _loss(what: str) -> Loss:
    if what == "relax":
        return "relax"
    if what == "home":
        return "home"
    try:
        command = float(what)
    except ValueError as error:
        raise InputError("what the needle does", found=what, accepted=ACCEPTED) from error
    if not 0 <= command <= 0xFFFF:
        raise InputError("what the needle does", found=what, accepted=ACCEPTED)
    return command
