"""The fewest pieces: closed forms, an independent solver, and the counts that curve A allows."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from gaugecore.table.bound import farthest_gates
from gaugecore.table.pieces import fewest_pieces
from gaugecore.table.spacing import fewest_intervals
from tests.table.curves import CURVES, curve_a, target_of, tunnel_of

#: Even, and closer where the square root bends.
SHARES = np.unique(np.concatenate([np.linspace(0.0, 1.0, 32769), np.linspace(0.0, 1.0, 4001) ** 2]))


def count(values: np.ndarray, error: float) -> int:
    return len(farthest_gates(SHARES.tolist(), (values - error).tolist(), (values + error).tolist()))


# Minimum segment counts of convex and concave functions, free knots; the closed forms
# follow from the half-chord error h²·max|f″|/16 (textbook, from memory), greedy being optimal by Cameron 1966
@pytest.mark.parametrize("error", [0.1, 0.01, 0.001, 0.0001])
def test_the_counts_of_the_closed_forms(error: float) -> None:
    least_n = next(n for n in range(1, 100) if 4 * error * n * (n + 1) >= 1)
    assert count(SHARES**2, error) == math.ceil(1 / math.sqrt(8 * error))
    assert count(np.sqrt(SHARES), error) == least_n


@pytest.mark.parametrize(
    ("error", "exp", "sin"), [(0.1, 2, 2), (0.01, 4, 4), (0.001, 11, 10), (0.0001, 33, 31)]
)
def test_the_counts_of_exp_and_sin(error: float, exp: int, sin: int) -> None:
    # the same section: two independently written programs agree on these
    assert count(np.exp(SHARES), error) == exp
    assert count(np.sin(SHARES * math.pi / 2), error) == sin


def test_where_the_pieces_of_the_square_root_change() -> None:
    # the same section, 7.3: greedy knots of the square root at 0.01
    values = np.sqrt(SHARES)
    ends = farthest_gates(SHARES.tolist(), (values - 0.01).tolist(), (values + 0.01).tolist())
    np.testing.assert_allclose(SHARES[ends], [0.0064, 0.0576, 0.2304, 0.64, 1], atol=4e-4)


def one_line_passes(low: list[int], high: list[int], first: int, last: int) -> bool:
    """Return whether a straight line passes some gates, by linear programming."""
    place = np.arange(first, last + 1, dtype=float)
    line = np.column_stack([place, np.ones_like(place)])
    limits = np.concatenate([high[first : last + 1], -np.array(low[first : last + 1])])
    found = linprog([0, 0], A_ub=np.vstack([line, -line]), b_ub=limits, bounds=(None, None))
    return bool(found.status == 0)


@given(
    steps=st.lists(st.integers(-4, 4), min_size=1, max_size=14),
    width=st.integers(0, 5),
)
@settings(max_examples=25, deadline=None)
@pytest.mark.slow
def test_a_linear_program_finds_the_same_pieces(steps: list[int], width: int) -> None:
    # an independent solver (scipy's HiGHS) carries each piece on until no line passes the next gate
    low = np.cumsum([0, *steps]).tolist()
    high = [value + width for value in low]
    ends, first = [], 0
    for gate in range(1, len(low) + 1):
        if gate == len(low) or not one_line_passes(low, high, first, gate):
            ends.append(gate - 1)
            first = gate
    assert farthest_gates(range(len(low)), low, high) == ends


# Measured with a prototype, in ticks of 0.5 µs: bound, segments of the free form, entries of the uniform one
@pytest.mark.parametrize(
    ("ticks", "pieces", "fine_bits", "entries"), [(1, 19, 1, 44), (2, 11, 0, 21), (4, 8, 0, 20)]
)
def test_curve_a_takes_its_proven_fewest(ticks: int, pieces: int, fine_bits: int, entries: int) -> None:
    tunnel = tunnel_of(target_of(curve_a), float(ticks))
    found = fewest_pieces(tunnel)
    assert found is not None
    assert (found.size, found.fewest) == (pieces, pieces)
    spaced = fewest_intervals([tunnel], offset=0, fine_bits=fine_bits)
    assert spaced is not None
    assert spaced[0].size == entries


@pytest.mark.parametrize("name", CURVES)
@pytest.mark.parametrize("ticks", [1.0, 1.5, 4.0])
def test_free_pieces_stay_inside_the_tunnel_and_never_step_back(name: str, ticks: float) -> None:
    tunnel = tunnel_of(target_of(CURVES[name]), ticks)
    found = fewest_pieces(tunnel)
    assert found is not None
    outputs = found.outputs(tunnel.places.all_places())
    assert (outputs >= tunnel.low).all()
    assert (outputs <= tunnel.high).all()
    assert (np.diff(outputs) >= 0).all()
    assert found.fewest <= found.size <= 1.15 * found.fewest


# The prototype had no such curve; the bounds are proven, the search reaches them or nearly so
@pytest.mark.parametrize(("ticks", "spare"), [(1.0, 1), (2.0, 1), (4.0, 1)])
def test_a_noisy_curve_takes_at_most_one_piece_more_than_the_bound(ticks: float, spare: int) -> None:
    found = fewest_pieces(tunnel_of(target_of(CURVES["noisy"]), ticks))
    assert found is not None
    assert found.size <= found.fewest + spare


@pytest.mark.parametrize("raw", [(0, 3), (0, 1023), (0, 65535)])
@pytest.mark.parametrize("ends", [(1000.0, 5000.0), (5000.0, 1000.0)])
def test_an_upright_step_is_a_gap_between_two_pieces(raw: tuple[int, int], ends: tuple[float, float]) -> None:
    target = target_of(
        lambda u: np.interp(u, [0, 0.5, 0.500001, 1], [0, 0.1, 0.9, 1]), raw=raw, commands=ends
    )
    found = fewest_pieces(tunnel_of(target, 1.0))
    assert found is not None
    assert (found.size, found.fewest) == (2, 2)


def test_stairs_take_a_piece_a_tread() -> None:
    target = target_of(lambda u: np.minimum(np.floor(u * 20) / 20, 1))
    found = fewest_pieces(tunnel_of(target, 1.0))
    assert found is not None
    assert found.size == 21


def test_a_dial_of_five_straight_pieces_takes_five() -> None:
    found = fewest_pieces(tunnel_of(target_of(CURVES["straight-pieces"]), 1.0))
    assert found is not None
    assert found.size == 5
