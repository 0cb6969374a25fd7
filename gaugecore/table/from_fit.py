"""From a fit to a table: what the user may ask for, and how the fit is sampled over the raw range."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit
from gaugecore.errors import TableError
from gaugecore.table.choose import Order, make_table
from gaugecore.table.integer import Origin, OutputUnit, Table
from gaugecore.table.places import Integers, Places
from gaugecore.table.target import Limits, Reals, Target

#: The bound when none is asked for, in commands: 1 µs is finer than any hobby servo's dead band.
DEFAULT_MAX_ERROR = 1.0
#: The hysteresis when none is asked for, as a part of the raw range.
_DEFAULT_HYSTERESIS = 1 / 256
_US_PER_S = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a user may ask of a table.

    Attributes
    ----------
    max_error : float
        Largest distance from the fit, rounding included, in µs or steps.
    timer_hz : float or None
        Rate of the board's timer; the table then counts its ticks instead of µs. Servos only.
    pin_ends : bool
        Whether both ends of the raw range get the nearest integer.
    pinned_raw : tuple of int
        Raw values that get the nearest integer.
    hysteresis : int or None
        How far the raw value must turn back before the other direction's map is used; None: 1/256 of the
        raw range.
    flash_bytes : int or None
        Most bytes of program memory the table may take on an 8-bit AVR, code included.
    clamp : bool
        Whether dial angles outside the calibrated arc stop at its nearest end; else they are refused.
    one_map : bool
        Whether one map through the middle serves both directions.
    """

    max_error: float = DEFAULT_MAX_ERROR
    timer_hz: float | None = None
    pin_ends: bool = False
    pinned_raw: tuple[int, ...] = ()
    hysteresis: int | None = None
    flash_bytes: int | None = None
    clamp: bool = False
    one_map: bool = False


def table_from_fit(
    fit: Fit,
    *,
    raw_range: tuple[int, int],
    angle_deg: Callable[[Integers], Reals],
    wanted: Wanted,
    origin: Origin,
    command_limits: tuple[float, float] | None = None,
) -> Table:
    """Return the table of a fit over a raw range.

    Parameters
    ----------
    fit : Fit
        The calibrated map.
    raw_range : tuple of int
        Lowest and highest raw value.
    angle_deg : callable
        From raw values, shape (n,), to dial angles, shape (n,); monotone.
    wanted : Wanted
        What the user asks for.
    origin : Origin
        Names for the comment block.
    command_limits : tuple of float or None
        What the movement can bear beyond the fit's own command range.

    Raises
    ------
    TableError
        If no table can be made as asked; the message says what can.
    FitError
        If an angle lies outside the calibrated arc and ``wanted.clamp`` is false.
    """
    unit, per_unit = _output_unit(fit, wanted)
    _check(wanted, raw_range)
    raw_low, raw_high = raw_range
    ends_deg = angle_deg(np.array([raw_low, raw_high], dtype=np.int64))
    sides = _sides(fit, wanted)
    ends = fit.commands(ends_deg, sides[0], clamp=wanted.clamp)
    places = Places(raw_low=raw_low, raw_high=raw_high, falling=bool(ends[1] < ends[0]))

    def command(side: Direction) -> Callable[[Integers], Reals]:
        return lambda raw: fit.commands(angle_deg(raw), side, clamp=wanted.clamp) * per_unit

    ranges = [fit.command_range] if command_limits is None else [fit.command_range, command_limits]
    ends_pinned = (raw_low, raw_high) if wanted.pin_ends else ()
    return make_table(
        [Target.of(places, command(side)) for side in sides],
        Order(
            origin=origin,
            limits=Limits.within(*ranges, ticks_per_unit=per_unit),
            max_error=wanted.max_error * per_unit,
            unit=unit,
            ticks_per_unit=per_unit,
            pinned_raw=tuple(sorted({*ends_pinned, *wanted.pinned_raw})),
            up_with_raw=bool(ends_deg[1] >= ends_deg[0]),
            hysteresis=_hysteresis(wanted, places),
            flash_bytes=wanted.flash_bytes,
        ),
    )


def straight(raw_range: tuple[int, int], angles_deg: tuple[float, float]) -> Callable[[Integers], Reals]:
    """Return the function from raw value to dial angle that is a straight line through both ends."""
    return lambda raw: np.asarray(np.interp(raw, raw_range, angles_deg))


def default_hysteresis(raw_span: int) -> int:
    """Return how far a raw value must turn back when nobody says: a small part of its range."""
    return max(1, min(int(raw_span * _DEFAULT_HYSTERESIS), 0x7FFF))


def _sides(fit: Fit, wanted: Wanted) -> Sequence[Direction]:
    if wanted.one_map or fit.knots.command_up == fit.knots.command_down:
        return (Direction.UNKNOWN,)
    return (Direction.UP, Direction.DOWN)


def _output_unit(fit: Fit, wanted: Wanted) -> tuple[OutputUnit, float]:
    if wanted.timer_hz is None:
        return ("us" if fit.kind == "servo" else "steps"), 1.0
    if fit.kind == "stepper":
        raise TableError("a stepper is commanded in steps, so no timer rate is wanted", found=wanted.timer_hz)
    if not (math.isfinite(wanted.timer_hz) and wanted.timer_hz > 0):
        raise TableError(
            "the timer rate makes no ticks", found=wanted.timer_hz, accepted="more than 0 Hz, e.g. 2000000"
        )
    return "ticks", wanted.timer_hz / _US_PER_S


def _check(wanted: Wanted, raw_range: tuple[int, int]) -> None:
    if not (math.isfinite(wanted.max_error) and wanted.max_error > 0):
        raise TableError("the error bound must be positive", found=wanted.max_error, accepted="e.g. 1")
    if wanted.flash_bytes is not None and wanted.flash_bytes <= 0:
        raise TableError("a table needs some flash", found=wanted.flash_bytes, accepted="more than 0 bytes")
    for raw in wanted.pinned_raw:
        if not raw_range[0] <= raw <= raw_range[1]:
            raise TableError(
                "a pinned raw value lies outside the raw range",
                found=raw,
                accepted=f"{raw_range[0]} to {raw_range[1]}",
            )


def _hysteresis(wanted: Wanted, places: Places) -> int:
    if wanted.hysteresis is None:
        return default_hysteresis(places.span)
    if not 0 <= wanted.hysteresis <= places.span:
        raise TableError(
            "the hysteresis must fit the raw range", found=wanted.hysteresis, accepted=f"0 to {places.span}"
        )
    return wanted.hysteresis
