"""From a fit to a table: ranges, directions, pins, limits, and every refusal in one sentence."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from gaugecore.calibration.readings import Direction
from gaugecore.calibration.result import Fit, Knots, Reversal
from gaugecore.errors import FitError, TableError
from gaugecore.table.from_fit import Wanted, straight, table_from_fit
from gaugecore.table.integer import Origin, Table
from tests.table.curves import curve_a

RAW = (0, 1023)
ARC = (-70.0, 70.0)


def fit_of(
    *, kind: str = "servo", gap: float = 24.0, falling: bool = False, arc: tuple[float, float] = ARC
) -> Fit:
    angle = np.linspace(*arc, 65)
    middle = 700 + 1600 * curve_a((angle - arc[0]) / (arc[1] - arc[0]))
    if falling:
        middle = 3000 - middle
    up, down = middle - gap / 2, middle + gap / 2
    return Fit(
        kind=kind,  # type: ignore[arg-type]
        command_range=(float(min(up.min(), down.min())), float(max(up.max(), down.max()))),
        angle_range_deg=arc,
        knots=Knots(
            angle_deg=tuple(angle.tolist()),
            command_up=tuple(up.tolist()),
            command_down=tuple(down.tolist()),
            standard_uncertainty_deg=(0.1,) * angle.size,
        ),
        reversal_deg=Reversal(value=1.0, standard_uncertainty=0.1),
        repeatability_deg=0.1,
    )


def made(fit: Fit | None = None, *, raw: tuple[int, int] = RAW, **more: Any) -> Table:
    angles = more.pop("angles", ARC)
    limits = more.pop("command_limits", None)
    return table_from_fit(
        fit if fit is not None else fit_of(),
        raw_range=raw,
        angle_deg=straight(raw, angles),
        wanted=Wanted(**more),
        origin=Origin(name="dial"),
        command_limits=limits,
    )


@pytest.mark.parametrize("falling", [False, True])
@pytest.mark.parametrize("angles", [ARC, ARC[::-1]])
@pytest.mark.parametrize("timer_hz", [None, 2e6, 250e3])
def test_the_stated_worst_error_is_true_over_every_raw_value_and_both_directions(
    falling: bool, angles: tuple[float, float], timer_hz: float | None
) -> None:
    fit = fit_of(falling=falling)
    max_error = 5.0 if timer_hz == 250e3 else 1.0
    table = made(fit, angles=angles, timer_hz=timer_hz, max_error=max_error)
    raw = np.arange(RAW[0], RAW[1] + 1)
    per_us = 1.0 if timer_hz is None else timer_hz / 1e6
    worst = max(
        np.abs(table.commands(raw, side) / per_us - fit.commands(straight(RAW, angles)(raw), side)).max()
        for side in (Direction.UP, Direction.DOWN)
    )
    assert worst == pytest.approx(table.worst_error_in_commands, abs=1e-9)
    assert worst <= max_error
    low, high = fit.command_range
    for side in (Direction.UP, Direction.DOWN):
        commands = table.commands(raw, side) / per_us
        assert low <= commands.min()
        assert commands.max() <= high
    assert table.up_with_raw == (angles == ARC)


def test_beyond_the_raw_range_the_ends_are_held() -> None:
    table = made()
    assert table.command(-5) == table.command(0)
    assert table.command(99999) == table.command(1023)


def test_a_fit_without_reversal_and_one_map_on_request_give_one_map() -> None:
    assert made(fit_of(gap=0.0)).down is None
    assert made(one_map=True).down is None
    assert made().down is not None


def test_pins_are_exact_to_the_nearest_integer() -> None:
    fit = fit_of()
    table = made(fit, max_error=6.0, pin_ends=True, pinned_raw=(300, 511))
    for raw in (0, 300, 511, 1023):
        for side in (Direction.UP, Direction.DOWN):
            exact = float(fit.commands(straight(RAW, ARC)(np.array([raw])), side)[0])
            held = min(max(round(exact), table.limits.lowest), table.limits.highest)
            assert table.command(raw, side) == held
    assert table.pinned_raw == (0, 300, 511, 1023)


def test_a_stepper_counts_steps() -> None:
    table = made(fit_of(kind="stepper"))
    assert table.unit == "steps"


def test_outside_the_calibrated_arc_it_is_refused_or_clamped_by_name() -> None:
    with pytest.raises(FitError, match="outside the calibrated arc"):
        made(angles=(-75.0, 70.0))
    table = made(angles=(-75.0, 70.0), clamp=True)
    assert table.command(0) == table.command(20)


def test_the_choice_is_explained() -> None:
    assert "bytes of flash" in made().choice


REFUSALS: dict[str, tuple[Callable[[], object], str]] = {
    "raw range of zero": (lambda: made(raw=(5, 5)), "the raw range has no width, found '5 to 5'"),
    "over 32 bits": (lambda: made(raw=(0, 2**31)), "the raw range does not fit 32 bits"),
    "bound below half a tick": (
        lambda: made(max_error=0.2),
        r"the error bound is below what integers can reach, found 0\.2; accepted: 0\.\d+ or more",
    ),
    "bound of zero": (lambda: made(max_error=0.0), "the error bound must be positive"),
    "bound that is no number": (lambda: made(max_error=float("nan")), "the error bound must be positive"),
    "limits narrower than the table": (
        lambda: made(command_limits=(900, 1500)),
        "the limits are narrower than the table, found 'a command of",
    ),
    "limits elsewhere": (lambda: made(command_limits=(2600, 2900)), "the limits leave no command"),
    "too little flash": (
        lambda: made(flash_bytes=50),
        "the table is larger than the flash given, found 'about",
    ),
    "no flash": (lambda: made(flash_bytes=0), "a table needs some flash"),
    "timer of zero": (lambda: made(timer_hz=0.0), "the timer rate makes no ticks"),
    "timer too fast": (lambda: made(timer_hz=1e9), "the commands do not fit two bytes"),
    "timer of a stepper": (
        lambda: made(fit_of(kind="stepper"), timer_hz=2e6),
        "a stepper is commanded in steps",
    ),
    "pin outside": (lambda: made(pinned_raw=(2000,)), "a pinned raw value lies outside the raw range"),
    "hysteresis": (lambda: made(hysteresis=2000), "the hysteresis must fit the raw range, found 2000"),
    "bad name": (lambda: Origin.named("int main"), "a table's name becomes file names and identifiers"),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_what_cannot_be_made_is_refused_in_one_sentence(name: str) -> None:
    make, sentence = REFUSALS[name]
    with pytest.raises(TableError, match=sentence) as refusal:
        make()
    assert "\n" not in str(refusal.value)


def test_the_flash_refusal_names_a_bound_that_would_do() -> None:
    with pytest.raises(TableError) as refusal:
        made(flash_bytes=170)
    bound = float(str(refusal.value).split("--max-error ")[1].split()[0])
    assert made(flash_bytes=170, max_error=bound).flash_bytes <= 170


def test_the_bound_that_is_named_as_reachable_is_reachable() -> None:
    with pytest.raises(TableError) as refusal:
        made(max_error=0.2)
    bound = float(str(refusal.value).split("accepted: ")[1].split()[0])
    assert made(max_error=bound).worst_error <= bound
