"""A recorded trace replayed: what the needle makes of it, and how far it is behind and off.

The way of a value: the simulator gives it at its own rate, the board smooths it and holds it to a speed and
an acceleration, it becomes a whole command, the movement follows, slack comes last.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gaugecore.errors import InputError
from gaugecore.movement.drive import STEP_S, drive_of, played, ramped, smoothed
from gaugecore.movement.mass import mass_of
from gaugecore.movement.motion import limits
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.reach import course, reach
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair, slack_at_pointer_deg

#: A quarter of an hour at a millisecond; more says nothing new about a needle.
LONGEST_S = 900.0
#: Pulses for a servo come this often (50 Hz, the convention of R/C gear).
_FRAME_S = 0.02
#: Lags looked for.
_MOST_LAG_S = 2.0
#: A needle that passes the extremes of the last two seconds has overshot.
_WINDOW_S = 2.0


_Map = Callable[[NDArray[np.float64]], NDArray[np.float64]]
_Extreme = Callable[..., NDArray[np.float64]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What lies between simulator and movement.

    Attributes
    ----------
    rate_hz : float
        How often the simulator gives a value.
    filter_s : float
        Time constant of the board's filter; 0 for none.
    most_deg_per_s, most_deg_per_s2 : float or None
        The board's own limits at the pointer; None for none.
    """

    rate_hz: float = 20.0
    filter_s: float = 0.0
    most_deg_per_s: float | None = None
    most_deg_per_s2: float | None = None

    def __post_init__(self) -> None:
        for name in ("rate_hz", "most_deg_per_s", "most_deg_per_s2"):
            value = getattr(self, name)
            if value is not None and not 0.0 < value < float("inf"):
                raise InputError("must be more than zero", where=name, found=value, accepted="more than 0")
        if not 0.0 <= self.filter_s <= 60.0:
            raise InputError(
                "the filter's time constant is out of range",
                where="filter_s",
                found=self.filter_s,
                accepted="0 to 60 s",
            )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Replay:
    """A trace and what the needle made of it.

    Attributes
    ----------
    time_s, wanted_deg, commanded_deg, needle_deg : ndarray, shape (n,)
        Every `STEP_S`: what the simulator showed, what the board commanded, where the needle was.
    lag_s : float or None
        By how much the needle is behind, from the shift at which both agree best; None when the trace does
        not move enough to tell.
    overshoot_deg : float
        How far the needle went beyond the extremes of the wanted angle over the last two seconds.
    worst_error_deg, worst_at_s : float
        Largest distance from wanted, and when.
    rms_error_deg : float
    settled_error_deg : float or None
        The same as the worst error while the wanted angle had stood still for a second; None if it never did.
    """

    time_s: NDArray[np.float64]
    wanted_deg: NDArray[np.float64]
    commanded_deg: NDArray[np.float64]
    needle_deg: NDArray[np.float64]
    lag_s: float | None
    overshoot_deg: float
    worst_error_deg: float
    worst_at_s: float
    rms_error_deg: float
    settled_error_deg: float | None


def replay(
    time_s: NDArray[np.float64],
    angle_deg: NDArray[np.float64],
    movement: Servo | Stepper,
    train: Direct | GearPair | CrankLink,
    pointer: Pointer,
    *,
    conditions: Conditions | None = None,
) -> Replay:
    """Return how a needle follows a trace.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Times, strictly increasing, at most a quarter of an hour apart in all; n at least 2.
    angle_deg : ndarray, shape (n,)
        Wanted dial angles at these times; straight lines between.
    movement, train, pointer
        What moves.
    conditions : Conditions, optional
        Rate, filter and limits; 20 values a second and no filter when left out.

    Raises
    ------
    InputError
        If the trace cannot be used, or its span is more than the movement and train reach.
    """
    conditions = conditions or Conditions()
    times = _even_times(time_s, angle_deg)
    wanted = np.interp(times, time_s, angle_deg)
    # a simulator slower than the trace is long gives one value
    every = max(1, round(min(1.0 / conditions.rate_hz, LONGEST_S) / STEP_S))
    given = _held(wanted, every)
    shaped = smoothed(given, conditions.filter_s)
    if conditions.most_deg_per_s is not None or conditions.most_deg_per_s2 is not None:
        shaped = ramped(shaped, conditions.most_deg_per_s or 1e9, conditions.most_deg_per_s2 or 1e9)
    shaft_of, pointer_of, slope = _maps(movement, train, angle_deg)
    commanded_shaft = np.round(shaft_of(shaped) / movement.command_step_deg) * movement.command_step_deg
    if isinstance(movement, Servo):
        commanded_shaft = _held(commanded_shaft, round(_FRAME_S / STEP_S))
    mass = mass_of(pointer)
    able = limits(movement, train, pointer, mass, arc_deg=float(np.ptp(angle_deg)))
    shaft = drive_of(movement, able, mass, slope).follow(commanded_shaft)
    slack_deg = movement.slack_deg * slope + slack_at_pointer_deg(train)
    return _judged(times, wanted, pointer_of(commanded_shaft), played(pointer_of(shaft), slack_deg))


def step_response(
    movement: Servo | Stepper,
    train: Direct | GearPair | CrankLink,
    pointer: Pointer,
    *,
    step_deg: float,
    seconds: float = 2.0,
) -> Replay:
    """Return how the needle answers a sudden change of the wanted angle.

    Parameters
    ----------
    step_deg : float
        Size of the change, which comes a tenth of a second into the response.
    """
    times = np.array([0.0, 0.1, 0.1 + STEP_S, 0.1 + seconds])
    angles = np.array([0.0, 0.0, step_deg, step_deg])
    return replay(times, angles, movement, train, pointer, conditions=Conditions(rate_hz=1000.0))


def _even_times(time_s: NDArray[np.float64], angle_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    if time_s.ndim != 1 or time_s.shape != angle_deg.shape or time_s.size < 2:
        raise InputError(
            "a trace needs as many angles as times, at least two",
            found=f"{time_s.size} times, {angle_deg.size} angles",
        )
    if not (np.isfinite(time_s).all() and np.isfinite(angle_deg).all()):
        raise InputError("a trace has a value that is not a number", accepted="finite times and angles")
    falls = np.diff(time_s) <= 0.0
    if falls.any():
        row = int(falls.argmax()) + 1
        raise InputError(
            "the times of a trace must rise",
            where=f"row {row + 1}",
            found=float(time_s[row]),
            accepted=f"more than {time_s[row - 1]:g} s",
        )
    span_s = float(time_s[-1] - time_s[0])
    if span_s > LONGEST_S:
        raise InputError(
            "the trace is too long", found=f"{span_s:.0f} s", accepted=f"at most {LONGEST_S:.0f} s"
        )
    return np.asarray(time_s[0] + STEP_S * np.arange(int(span_s / STEP_S + 1e-9) + 1))


def _held(values: NDArray[np.float64], every: int) -> NDArray[np.float64]:
    """Return values that change only at every so many steps."""
    return np.asarray(np.repeat(values[::every], every)[: values.size])


def _maps(
    movement: Servo | Stepper, train: Direct | GearPair | CrankLink, angle_deg: NDArray[np.float64]
) -> tuple[_Map, _Map, float]:
    """Return wanted angle to shaft, shaft to wanted angle, and the largest slope.

    The wanted angles are laid around the middle of what the pointer reaches.
    """
    run, reached = course(train, movement.travel_deg, looks=721), reach(train, movement.travel_deg)
    shaft, turned = run.movement_deg, run.pointer_deg
    if turned[-1] < turned[0]:
        shaft, turned = shaft[::-1], turned[::-1]
    low_deg, high_deg = float(angle_deg.min()), float(angle_deg.max())
    if high_deg - low_deg > reached.span_deg * (1.0 + 1e-6):
        raise InputError(
            "the trace spans more than the movement reaches",
            found=f"{high_deg - low_deg:.1f}°",
            accepted=f"at most {reached.span_deg:.1f}°",
        )
    off_deg = (low_deg + high_deg) / 2.0 - (reached.low_deg + reached.high_deg) / 2.0
    by_shaft = np.argsort(shaft)

    def shaft_of(wanted: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.interp(wanted - off_deg, turned, shaft))

    def pointer_of(at: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.interp(at, shaft[by_shaft], turned[by_shaft])) + off_deg

    return shaft_of, pointer_of, reached.most_slope


def _judged(
    times: NDArray[np.float64],
    wanted: NDArray[np.float64],
    commanded: NDArray[np.float64],
    needle: NDArray[np.float64],
) -> Replay:
    from scipy.ndimage import maximum_filter1d, minimum_filter1d

    error = needle - wanted
    worst = int(np.abs(error).argmax())
    half = int(_WINDOW_S / STEP_S / 2.0)

    def lately(extreme: _Extreme, values: NDArray[np.float64]) -> NDArray[np.float64]:
        # a centred filter over values that are put half a window late looks back only
        late = np.concatenate([np.full(half, values[0]), values])
        return extreme(late, 2 * half + 1, mode="nearest")[: values.size]

    high, low = lately(maximum_filter1d, wanted), lately(minimum_filter1d, wanted)
    # a needle that stops short on the outside has not overshot: it must have come from within
    over = np.where(lately(minimum_filter1d, needle) < high, needle - high, 0.0)
    under = np.where(lately(maximum_filter1d, needle) > low, low - needle, 0.0)
    still = _stood_still(wanted)
    return Replay(
        time_s=times,
        wanted_deg=wanted,
        commanded_deg=commanded,
        needle_deg=needle,
        lag_s=_lag_s(wanted, needle),
        overshoot_deg=max(0.0, float(over.max()), float(under.max())),
        worst_error_deg=float(abs(error[worst])),
        worst_at_s=float(times[worst]),
        rms_error_deg=float(np.sqrt(np.mean(error**2))),
        settled_error_deg=float(np.abs(error[still]).max()) if still.any() else None,
    )


def _stood_still(wanted: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return where the wanted angle had not changed for a second."""
    steps = np.arange(wanted.size)
    changed = np.concatenate([[True], np.diff(wanted) != 0.0])
    last = np.maximum.accumulate(np.where(changed, steps, 0))
    return np.asarray(steps - last >= round(1.0 / STEP_S))


def _lag_s(wanted: NDArray[np.float64], needle: NDArray[np.float64]) -> float | None:
    """Return the shift at which wanted and needle agree best; None for a trace that hardly moves."""
    if float(np.ptp(wanted)) < 1.0:
        return None
    most = min(round(_MOST_LAG_S / STEP_S), wanted.size // 2)

    def apart(shift: int) -> float:
        return float(np.mean((needle[shift:] - wanted[: wanted.size - shift]) ** 2))

    coarse = range(0, most + 1, 10)
    best = min(coarse, key=apart)
    fine = range(max(0, best - 10), min(most, best + 10) + 1)
    return min(fine, key=apart) * STEP_S
