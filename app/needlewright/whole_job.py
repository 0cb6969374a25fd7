"""The whole job on one panel with a virtual board: calibrate, fit, table, prove, draw, record.

This is what the demo runs. It goes through the same session, over the same socket, as a person at the bench;
only the eye that reads the needle is the board's own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gaugecore.board.board import Board
from gaugecore.board.motion import Mover
from gaugecore.board.range_finder import find_range
from gaugecore.board.session import Session, Setting, take_readings
from gaugecore.calibration.readings import Direction, Reading
from gaugecore.face.scale import angle_range_deg
from gaugecore.panel.document import Calibration, Instrument, Panel
from gaugecore.panel.document import Session as Sitting
from gaugecore.panel.fit_for import fit_for
from gaugecore.panel.needle_of import channel_of, clockwise_with_command, needle_of, widest_commands
from gaugecore.panel.raw_values import angles_of_raw
from gaugecore.panel.table_of import table_of
from gaugecore.table.integer import Table

#: Readings of a cycle; numbers of published and own measurements say 21 to 31 suit a servo.
READINGS = 31
#: Raw values at which the needle is compared with the hidden truth, from both sides.
PROOF_POINTS = 61


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How far the needle is off, over a grid of raw values and from both sides.

    Attributes
    ----------
    worst_deg, most_deg : float
        Largest error, and the one that 95 % of the points stay within.
    """

    worst_deg: float
    most_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One dial, done.

    Attributes
    ----------
    instrument : Instrument
        With its new calibration.
    readings : tuple of Reading
        As they were taken.
    table : Table
        What the firmware gets.
    before, after : Proof
        By the catalogue's straight line, and by the table.
    """

    instrument: Instrument
    readings: tuple[Reading, ...]
    table: Table
    before: Proof
    after: Proof


def do_dial(
    board: Board, panel: Panel, instrument: Instrument, *, out: Path | None, on_step: Callable[[str], None]
) -> Done:
    """Calibrate one dial on a virtual board, make its table and prove it against the hidden truth.

    Parameters
    ----------
    board : Board
        A connected virtual board with the panel's needles.
    panel, instrument : Panel, Instrument
        What is calibrated.
    out : Path or None
        Readings file, kept up to date while readings are taken.
    on_step : callable
        Told in words what happens next.

    Raises
    ------
    NeedlewrightError
        If the board, the readings or the table do not allow it.
    """
    channel = channel_of(panel, instrument)
    setting = Setting(
        channel=channel,
        clockwise_with_command=clockwise_with_command(instrument),
        widest=widest_commands(instrument),
        arc_deg=angle_range_deg(instrument.face.scale),
        readings=READINGS,
        out=out,
        comment=f"{instrument.title}: read by the eye of a virtual board, invented data",
    )
    arc_deg = angle_range_deg(instrument.face.scale)

    def eye() -> float:
        return board.eye_deg(channel)

    with Session(board, setting) as session:
        on_step("finding the safe range")
        find_range(session, eye, arc_deg=arc_deg)
        on_step(f"taking {READINGS} readings from both sides")
        readings = take_readings(session, eye)
        on_step("fitting")
        fit = fit_for(instrument, readings)
        sitting = Sitting(readings=readings, fit=fit, note="Virtual board: invented data.")
        sessions = (*instrument.calibration.sessions, sitting)
        instrument = instrument.model_copy(update={"calibration": Calibration(sessions=sessions)})
        on_step("making the table")
        table = table_of(panel, instrument)
        on_step("comparing the needle with the hidden truth")
        before = _prove(session, instrument, _by_catalogue(instrument))
        after = _prove(session, instrument, _by_table(table))
    return Done(instrument=instrument, readings=readings, table=table, before=before, after=after)


Command = Callable[[int, Direction], float]


def _by_catalogue(instrument: Instrument) -> Command:
    """Return what a builder sends before any calibration: the straight line of the catalogue figures."""
    needle = needle_of(instrument)
    per_deg = (needle.high_command - needle.low_command) / (
        needle.angle_at_high_deg - needle.angle_at_low_deg
    )

    def command(raw: int, direction: Direction) -> float:
        angle_deg = float(angles_of_raw(instrument, np.array([raw]))[0])
        return needle.low_command + (angle_deg - needle.angle_at_low_deg) * per_deg

    return command


def _by_table(table: Table) -> Command:
    return lambda raw, direction: table.command(raw, direction) / table.ticks_per_unit


def _prove(session: Session, instrument: Instrument, command: Command) -> Proof:
    """Send raw values from both sides and ask the board where the needle truly is."""
    board, channel = session.board, session.setting.channel
    low, high = session.state.limits or session.setting.widest
    mover = Mover(board, channel)
    grid = np.linspace(instrument.raw.low, instrument.raw.high, PROOF_POINTS).round().astype(int)
    wanted_deg = angles_of_raw(instrument, grid)
    order = np.argsort(wanted_deg, kind="stable")
    errors_deg = []
    for direction, walk in ((Direction.UP, order), (Direction.DOWN, order[::-1])):
        for index in walk:
            sent = min(max(command(int(grid[index]), direction), low), high)
            mover.approach(sent, rising=session.rising(direction), overrun=60.0, low=low, high=high)
            errors_deg.append(abs(board.truth_deg(channel) - float(wanted_deg[index])))
    return Proof(worst_deg=max(errors_deg), most_deg=float(np.percentile(errors_deg, 95)))


def done_panel(panel: Panel, dials: Sequence[Done]) -> Panel:
    """Return the panel with the calibrated instruments in their places."""
    for done in dials:
        panel = panel.with_instrument(done.instrument)
    return panel
