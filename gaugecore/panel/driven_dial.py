"""One dial that follows live values: raw value → indicated value → dial angle → damping → command."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from gaugecore.calibration.readings import Direction
from gaugecore.errors import FitError
from gaugecore.face.scale import clamped_angle_deg, value_range
from gaugecore.feed.damping import DampedNeedle
from gaugecore.feed.feed import Channel
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import channel_of
from gaugecore.panel.raw_values import angles_of_raw, raw_at
from gaugecore.panel.sendable import (
    check_arc,
    counts_per_command,
    fit_in_force,
    sendable_arc_deg,
    sendable_commands,
)

#: How far the needle must turn back, as a part of the reversal, before the other direction's map is taken;
#: a value that trembles must not make the command jump by the whole slack each time.
_TURN_BACK_PART = 0.25
_LEAST_TURN_BACK_DEG = 0.05


class DrivenDial:
    """An instrument with a fit, ready to be driven.

    Parameters
    ----------
    instrument : Instrument
        The dial.
    channel : int
        Of the board.
    clamp : bool
        Whether the needle stops at the ends of the arc it can be sent to; else a scale that reaches beyond
        them is refused.

    Raises
    ------
    FitError
        If there is no fit for its movement, or the scale reaches beyond what it may be sent.
    """

    def __init__(self, instrument: Instrument, channel: int, *, clamp: bool = False) -> None:
        self._fit = fit = fit_in_force(instrument)
        self.command_range = sendable_commands(instrument)
        self._arc_deg = sendable_arc_deg(instrument)
        if not clamp:
            check_arc(instrument)
        self.instrument, self.channel = instrument, channel
        self.id, self.name = instrument.id, instrument.raw.field or instrument.id
        self.counts_per_command = counts_per_command(instrument)
        self.raw: float | None = None
        self.angle_deg: float | None = None
        self._angles = fit.knots.angle_deg
        self._up, self._down = fit.knots.command_up, fit.knots.command_down
        self._needle = DampedNeedle(instrument.damping)
        reversal = abs(fit.reversal_deg.value or 0.0)
        self._turn_back_deg = max(_LEAST_TURN_BACK_DEG, _TURN_BACK_PART * reversal)
        self._rising = True
        self._furthest_deg: float | None = None

    @property
    def listens_to(self) -> Channel:
        """Return the name in the feed, with its raw range; the stops are the scale's given points."""
        raw = self.instrument.raw
        stops = sorted(raw_at(raw, value) for value, _ in self.instrument.face.scale.points)
        low, high = float(raw.low), float(raw.high)
        inside = tuple(stop for stop in stops if low <= stop <= high)
        return Channel(name=self.name, low=low, high=high, stops=inside)

    def take(self, raw: float) -> None:
        """Note a raw value; what is outside the raw range counts as its nearest end."""
        source = self.instrument.raw
        self.raw = min(max(raw, float(source.low)), float(source.high))

    def command(self, elapsed_s: float) -> float | None:
        """Return the command for now, None while no value has come.

        Parameters
        ----------
        elapsed_s : float
            Since the last call.
        """
        if self.raw is None:
            return None
        self.angle_deg = self._needle.follow(self.wanted_deg(self.raw), elapsed_s)
        return self.command_at(self.angle_deg)

    def wanted_deg(self, raw: float) -> float:
        """Return the dial angle of a raw value, held to the arc the needle can be sent to."""
        return self._held_deg(float(angles_of_raw(self.instrument, raw)))

    def command_at(self, angle_deg: float) -> float:
        """Return the command that puts the needle on an angle, arriving the way it is turning."""
        self._note_way(angle_deg)
        return _interpolated(angle_deg, self._angles, self._up if self._rising else self._down)

    def angle_at(self, command: float) -> float:
        """Return the dial angle a command puts the needle on, arriving from anywhere."""
        return float(self._fit.angles(command, Direction.UNKNOWN)[0])

    @property
    def home_deg(self) -> float:
        """Return the dial angle of the scale's lowest value, as far as the needle can be sent."""
        scale = self.instrument.face.scale
        return self._held_deg(clamped_angle_deg(scale, value_range(scale)[0]))

    @property
    def home_command(self) -> float:
        """Return the command that puts the needle there, coming from the rest of the arc."""
        low_deg, high_deg = self._arc_deg
        from_above = self.home_deg < (low_deg + high_deg) / 2.0
        command = _interpolated(self.home_deg, self._angles, self._down if from_above else self._up)
        return min(max(command, self.command_range[0]), self.command_range[1])

    def _held_deg(self, angle_deg: float) -> float:
        return min(max(angle_deg, self._arc_deg[0]), self._arc_deg[1])

    def _note_way(self, angle_deg: float) -> None:
        furthest = self._furthest_deg
        if furthest is None:
            self._furthest_deg = angle_deg
            return
        on = angle_deg - furthest if self._rising else furthest - angle_deg
        if on < -self._turn_back_deg:
            self._rising = not self._rising
        elif on < 0:
            return
        self._furthest_deg = angle_deg


def driven_dials(panel: Panel, *, clamp: bool = False) -> tuple[tuple[DrivenDial, ...], tuple[str, ...]]:
    """Return the dials of a panel that can be driven, and the ids of those that have no fit yet.

    Parameters
    ----------
    panel : Panel
        Each dial on the channel of its place in it.
    clamp : bool
        Whether needles stop at the ends of the arc they can be sent to; see `DrivenDial`.

    Raises
    ------
    FitError
        If none has a fit, or one of them cannot be driven by its fit.
    """
    ready = [one for one in panel.instruments if one.calibration.fit is not None]
    if not ready:
        raise FitError(
            "no instrument of the panel has a fit yet, so none can be driven",
            accepted="needlewright calibrate PANEL --instrument ID",
        )
    waiting = tuple(one.id for one in panel.instruments if one.calibration.fit is None)
    return tuple(DrivenDial(one, channel_of(panel, one), clamp=clamp) for one in ready), waiting


def _interpolated(x: float, along: Sequence[float], values: Sequence[float]) -> float:
    # two numbers at a time, a hundred times a second: numpy would take longer to be called than to answer
    place = min(max(bisect_right(along, x), 1), len(along) - 1)
    x0, x1 = along[place - 1], along[place]
    share = min(max((x - x0) / (x1 - x0), 0.0), 1.0)
    return values[place - 1] + share * (values[place] - values[place - 1])
