"""The readable form: the fewest joined points, proven where the lower bound is reached; written and shown."""

from __future__ import annotations

import json
from fractions import Fraction
from itertools import pairwise
from math import floor

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gaugecore.table.c import to_c
from gaugecore.table.choose import make_table
from gaugecore.table.integer import Table
from gaugecore.table.places import Places
from gaugecore.table.points import fewest_points
from gaugecore.table.readable import readable_lines
from gaugecore.table.target import Target
from gaugecore.table.text import to_json
from tests.table.curves import CURVES, curve_a, order, table_a, target_of, tunnel_of


def read_off(points: list[tuple[int, int]], raw: int) -> int:
    """Return what somebody with the list and a ruler gets, in exact fractions."""
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= raw <= x1:
            return floor(y0 + Fraction((raw - x0) * (y1 - y0), x1 - x0) + Fraction(1, 2))
    raise AssertionError("the points do not reach this raw value")


# As measured with a prototype, in ticks of 0.5 µs; the minimum is proven by pieces that need not even meet
@pytest.mark.parametrize(("ticks", "pieces"), [(1.0, 19), (2.0, 11), (4.0, 8)])
def test_curve_a_takes_its_proven_fewest_points_joined(ticks: float, pieces: int) -> None:
    (points,) = table_a(ticks).points
    assert (points.pieces, points.fewest, points.proven) == (pieces, pieces, True)
    assert len(points.raw) == len(points.command) == pieces + 1
    assert points.worst_error <= ticks


@pytest.mark.parametrize("name", CURVES)
@pytest.mark.parametrize("falling", [False, True])
def test_who_reads_the_points_off_keeps_the_bound_at_every_raw_value(name: str, falling: bool) -> None:
    ends = (5000.0, 1000.0) if falling else (1000.0, 5000.0)
    target = target_of(CURVES[name], raw=(-700, 4300), commands=ends)
    points = fewest_points(target, tunnel_of(target, 2.0))
    pairs = list(points.rising())
    assert (pairs[0][0], pairs[-1][0]) == (-700, 4300)
    exact = target.lowest[::-1] if falling else target.lowest
    worst = max(abs(read_off(pairs, raw) - float(exact[raw + 700])) for raw in range(-700, 4301))
    assert worst == pytest.approx(points.worst_error, abs=1e-9)
    assert worst <= 2.0 + 1e-9  # the last bits of the exact commands
    commands = [command for _, command in pairs]
    assert commands == sorted(commands, reverse=falling)


@pytest.mark.parametrize(
    ("name", "ticks", "spare"),
    [("kinked", 1.0, 0), ("straight-pieces", 1.0, 0), ("noisy", 1.0, 0), ("noisy", 2.0, 1)],
)
def test_other_curves_take_hardly_more_than_the_bound(name: str, ticks: float, spare: int) -> None:
    target = target_of(CURVES[name])
    points = fewest_points(target, tunnel_of(target, ticks))
    assert points.fewest <= points.pieces <= points.fewest + spare


def test_stairs_take_two_pieces_a_step() -> None:
    # flat and upright in turn: 20 treads and 20 risers
    target = target_of(lambda u: np.minimum(np.floor(u * 20) / 20, 1))
    assert fewest_points(target, tunnel_of(target, 1.0)).pieces == 40


@given(steps=st.lists(st.integers(0, 60), min_size=1, max_size=40), bound=st.integers(1, 9))
@settings(max_examples=60, deadline=None)
@pytest.mark.slow
def test_any_rising_commands_have_points(steps: list[int], bound: int) -> None:
    commands = 1000.0 + np.cumsum([0, *steps])
    target = Target.of(Places(raw_low=0, raw_high=len(steps)), lambda raw: commands[raw])
    points = fewest_points(target, tunnel_of(target, float(bound)))
    pairs = list(points.rising())
    assert all(abs(read_off(pairs, raw) - commands[raw]) <= bound for raw in range(commands.size))
    assert points.pieces >= points.fewest


def test_the_points_are_written_and_are_the_same_everywhere() -> None:
    table = table_a(2.0)
    report = json.loads(to_json(table))["points"][0]
    assert report["direction"] == "both"
    assert report["proven_fewest"] is True
    header = to_c(table).decode("ascii").split("*/")[0]
    for raw, command in zip(report["raw"], report["command"], strict=True):
        assert f"({raw},{command})" in header
    assert "points (raw, command): 12, 11 straight pieces (proven fewest), worst error" in header


def both_ways() -> Table:
    ends = ((1000.0, 5000.0), (1047.0, 5061.0))
    return make_table([target_of(curve_a, commands=one) for one in ends], order("both", 4.0, hysteresis=9))


def test_both_directions_have_points_of_their_own() -> None:
    lines = readable_lines(both_ways())
    assert lines[0].startswith("points (raw, command) up: 9, 8 straight pieces (proven fewest)")
    assert any(line.startswith("points (raw, command) down: 9, 8 ") for line in lines)


def test_in_a_very_wide_range_the_steps_of_the_raw_value_are_told() -> None:
    target = target_of(curve_a, raw=(-(2**31), 2**31 - 1))
    table = make_table([target], order("wide", 4.0))
    assert readable_lines(table)[-1].endswith("raw values in steps of 65536 from -2147483648")
    assert all((raw + 2**31) % 65536 == 0 for raw in table.points[0].raw)
