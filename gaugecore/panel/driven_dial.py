"""One dial that follows live values: raw value → indicated value → dial angle → damping → command."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from gaugecore.errors import FitError
from gaugecore.face.scale import clamped_angle_deg, value_range
from gaugecore.feed.damping import DampedNeedle
from gaugecore.feed.feed import Channel
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import channel_of

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

    Raises
    ------
    FitError
        If there is no fit yet.
    """

    def __init__(self, instrument: Instrument, channel: int) -> None:
        fit = instrument.calibration.fit
        if fit is None:
            raise FitError(
                "there is no fit yet, so the needle cannot be driven",
                where=f"instruments.{instrument.id}.calibration",
                accepted="an instrument that is calibrated: needlewright calibrate PANEL --instrument ID",
            )
        self.id, self.channel = instrument.id, channel
        self.name = instrument.raw.field or instrument.id
        self.command_range = fit.command_range
        self.raw: float | None = None
        self.angle_deg: float | None = None
        self._raw, self._scale = instrument.raw, instrument.face.scale
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
        raw = self._raw
        stops = sorted(self._raw_of(value) for value, _ in self._scale.points)
        low, high = float(raw.low), float(raw.high)
        inside = tuple(stop for stop in stops if low <= stop <= high)
        return Channel(name=self.name, low=low, high=high, stops=inside)

    def take(self, raw: float) -> None:
        """Note a raw value; what is outside the raw range counts as its nearest end."""
        self.raw = min(max(raw, float(self._raw.low)), float(self._raw.high))

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
        """Return the dial angle of a raw value, held to the ends of the scale."""
        source = self._raw
        share = (raw - source.low) / (source.high - source.low)
        value = source.low_value + share * (source.high_value - source.low_value)
        return clamped_angle_deg(self._scale, value)

    def command_at(self, angle_deg: float) -> float:
        """Return the command that puts the needle on an angle, arriving the way it is turning."""
        self._note_way(angle_deg)
        return _interpolated(angle_deg, self._angles, self._up if self._rising else self._down)

    @property
    def home_deg(self) -> float:
        """Return the dial angle of the scale's lowest value."""
        return clamped_angle_deg(self._scale, value_range(self._scale)[0])

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

    def _raw_of(self, value: float) -> float:
        source = self._raw
        share = (value - source.low_value) / (source.high_value - source.low_value)
        return source.low + share * (source.high - source.low)


def driven_dials(panel: Panel) -> tuple[tuple[DrivenDial, ...], tuple[str, ...]]:
    """Return the dials of a panel that can be driven, and the ids of those that have no fit yet.

    Raises
    ------
    FitError
        If none can.
    """
    ready = [one for one in panel.instruments if one.calibration.fit is not None]
    if not ready:
        raise FitError(
            "no instrument of the panel has a fit yet, so none can be driven",
            accepted="needlewright calibrate PANEL --instrument ID",
        )
    waiting = tuple(one.id for one in panel.instruments if one.calibration.fit is None)
    return tuple(DrivenDial(one, channel_of(panel, one)) for one in ready), waiting


def _interpolated(x: float, along: Sequence[float], values: Sequence[float]) -> float:
    # two numbers at a time, a hundred times a second: numpy would take longer to be called than to answer
    place = min(max(bisect_right(along, x), 1), len(along) - 1)
    x0, x1 = along[place - 1], along[place]
    share = min(max((x - x0) / (x1 - x0), 0.0), 1.0)
    return values[place - 1] + share * (values[place] - values[place - 1])
