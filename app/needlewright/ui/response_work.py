"""What a needle makes of a trace: a recording, a signal, or a step from end to end."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gaugecore.errors import InputError
from gaugecore.face.scale import clamped_angle_deg, value_range
from gaugecore.feed.feed import Channel
from gaugecore.feed.recording import Recording, read_recording
from gaugecore.feed.signal import SHAPES, SignalFeed
from gaugecore.movement.replay import LONGEST_S, Conditions, Replay, replay
from gaugecore.panel.document import Instrument
from needlewright.ui.translation import translate

#: Traces that need no file.
STEP = "step"
SIGNALS = (STEP, *SHAPES)
#: A signal is two swings of eight seconds, looked at fifty times a second.
_SIGNAL_S, _EVERY_S = 16.0, 0.02
_STEP_AT_S, _STEP_S = 0.5, 3.0
#: What the needle of a picture needs; a quarter of an hour has far more.
_MOST_POINTS = 4000

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """A response with what there is to say of it."""

    replayed: Replay | None = None
    words: str = ""


def response(instrument: Instrument, source: str | Path, rate_hz: float) -> Response:
    """Return how the needle of an instrument follows a trace.

    Parameters
    ----------
    instrument : Instrument
    source : str or Path
        One of `SIGNALS`, or the file of a recording.
    rate_hz : float
        How often the simulator gives a value.

    Raises
    ------
    InputError
        If the recording cannot be used, or the arc is out of reach.
    """
    times, angles = _recorded(instrument, source) if isinstance(source, Path) else _made(instrument, source)
    damping = instrument.damping
    conditions = Conditions(
        rate_hz=rate_hz, filter_s=damping.time_constant_s, most_deg_per_s=damping.most_deg_per_s
    )
    made = replay(
        times, angles, instrument.movement, instrument.train, instrument.pointer, conditions=conditions
    )
    return Response(replayed=made, words=in_words(made))


def in_words(made: Replay) -> str:
    """Return lag, overshoot and errors as sentences."""
    lag = (
        translate("response_work", "It moves too little to tell a lag.")
        if made.lag_s is None
        else translate("response_work", "{0:.0f} ms behind.").format(made.lag_s * 1000)
    )
    said = [lag]
    said.append(
        translate("response_work", "No overshoot.")
        if made.overshoot_deg < 0.05
        else translate("response_work", "Overshoot {0:.1f}°.").format(made.overshoot_deg)
    )
    said.append(
        translate("response_work", "Worst error {0:.1f}° at {1:.2f} s, rms {2:.1f}°.").format(
            made.worst_error_deg, made.worst_at_s, made.rms_error_deg
        )
    )
    if made.settled_error_deg is not None:
        said.append(translate("response_work", "Once settled {0:.2f}°.").format(made.settled_error_deg))
    return " ".join(said)


def thinned(made: Replay) -> tuple[Floats, Floats, Floats]:
    """Return times, wanted and needle angles, so many as a plot can show."""
    every = max(1, made.time_s.size // _MOST_POINTS)
    return made.time_s[::every], made.wanted_deg[::every], made.needle_deg[::every]


def _made(instrument: Instrument, shape: str) -> tuple[Floats, Floats]:
    low, high = value_range(instrument.face.scale)
    if shape == STEP:
        ends = [clamped_angle_deg(instrument.face.scale, value) for value in (low, high)]
        times = np.array([0.0, _STEP_AT_S, _STEP_AT_S + 0.001, _STEP_S])
        return times, np.array([ends[0], ends[0], ends[1], ends[1]])
    stops = tuple(sorted(float(value) for value, _ in instrument.face.scale.points))
    feed = SignalFeed([Channel(name="", low=low, high=high, stops=stops)], shape, period_s=_SIGNAL_S / 2)
    times = np.arange(0.0, _SIGNAL_S, _EVERY_S)
    values = [feed.at(float(time_s))[""] for time_s in times]
    return times, np.array([clamped_angle_deg(instrument.face.scale, value) for value in values])


def _recorded(instrument: Instrument, path: Path) -> tuple[Floats, Floats]:
    recording = read_recording(path)
    column = _column(instrument, recording, path)
    raw = np.array([row[column] for row in recording.rows])
    times = np.array(recording.times_s)
    # an empty cell is no value, and of rows at one time the last counts
    given = ~np.isnan(raw) & np.append(np.diff(times) > 0.0, True)
    times, raw = times[given] - recording.times_s[0], raw[given]
    if times.size and times[-1] > LONGEST_S:
        raise InputError(
            translate("response_work", "the recording is too long for a response"),
            where=str(path),
            found=f"{times[-1]:.0f} s",
            accepted=translate("response_work", "at most {0:.0f} s").format(LONGEST_S),
        )
    source = instrument.raw
    share = (np.clip(raw, source.low, source.high) - source.low) / (source.high - source.low)
    values = source.low_value + share * (source.high_value - source.low_value)
    return times, np.array([clamped_angle_deg(instrument.face.scale, float(value)) for value in values])


def _column(instrument: Instrument, recording: Recording, path: Path) -> int:
    name = instrument.raw.field or instrument.id
    if name in recording.names:
        return recording.names.index(name)
    raise InputError(
        translate("response_work", "the recording has no column for {0}").format(instrument.id),
        where=str(path),
        found=", ".join(recording.names),
        accepted=translate("response_work", "a column {0}, or another field of the raw input").format(name),
    )
