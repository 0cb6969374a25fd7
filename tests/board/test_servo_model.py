"""The servo behind the virtual board moves as physics has it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.board.servo_character import Character, Needle, draw_character
from gaugecore.board.servo_model import Eye, ServoModel, play
from gaugecore.errors import InputError

PERFECT = Character(needle=Needle())
LONG_S = 100.0


class Clocked:
    """A servo whose clock runs on until it rests."""

    def __init__(self, character, seed=1):
        self.servo, self.now_s = ServoModel(character, seed), 0.0

    def at(self, pulse_us):
        self.servo.command(pulse_us, self.now_s)
        self.now_s += LONG_S
        assert not self.servo.moving(self.now_s)
        return self.servo.needle_deg(self.now_s)


def test_without_faults_the_needle_is_on_the_nominal_line():
    servo = Clocked(PERFECT)
    for pulse_us in (600.0, 1000.0, 1500.0, 2400.0, 700.0):
        assert servo.at(pulse_us) == pytest.approx(90.0 - (pulse_us - 600.0) / 10.0)


def test_the_slack_is_the_play_operator_in_closed_form():
    """Between two turning points farther apart than the gap, the needle trails the shaft by half the gap.

    Closed form of the major loop: rising from the low end L, max(L + g/2, u - g/2); falling from the high end
    H, min(H - g/2, u + g/2). Hysteresis theory (Krasnosel'skii and Pokrovskii; from memory).
    """
    gap, low, high = 1.5, -20.0, 20.0
    needle = play(play(0.0, high, gap), low, gap)
    for u in np.linspace(low, high, 401):
        needle = play(needle, u, gap)
        assert needle == pytest.approx(max(low + gap / 2, u - gap / 2))
    for u in np.linspace(high, low, 401):
        needle = play(needle, u, gap)
        assert needle == pytest.approx(min(high - gap / 2, u + gap / 2))


@given(st.lists(st.floats(-50, 50), min_size=1, max_size=30), st.floats(0.01, 5.0))
def test_the_slack_agrees_with_pushing_the_needle_by_small_steps(turns, gap):
    """Contact mechanics: the shaft moves by small steps; a flank without play takes the needle along."""
    needle = contact = shaft = 0.0
    for turn in turns:
        needle = play(needle, turn, gap)
        for step in np.linspace(shaft, turn, 50)[1:]:
            play_left = gap / 2 - math.copysign(1.0, turn - shaft) * (step - contact)
            if play_left < 0:
                contact += math.copysign(-play_left, turn - shaft)
        shaft = turn
        assert needle == pytest.approx(contact, abs=1e-9)


@given(st.floats(-50, 50), st.lists(st.floats(-30, 30), max_size=10))
def test_a_large_swing_wipes_out_what_was_before(start, wandering):
    needle = start
    for u in wandering:
        needle = play(needle, u, 2.0)
    assert play(needle, 100.0, 2.0) == 99.0


def test_reversal_is_slack_and_dead_band_together():
    character = Character(needle=Needle(), dead_band_us=8.0, slack_deg=1.2)
    servo = Clocked(character)
    servo.at(1000.0)
    from_below = servo.at(1500.0)  # the pulse rises, the dial angle falls
    servo.at(2000.0)
    from_above = servo.at(1500.0)
    assert from_below - from_above == pytest.approx(1.2 + 0.1 * 8.0)


def test_inside_the_dead_band_nothing_moves():
    servo = Clocked(Character(needle=Needle(), dead_band_us=8.0))
    servo.at(1000.0)
    before = servo.at(1500.0)  # it rests at 1496, the near edge
    assert servo.at(1499.9) == servo.at(1492.1) == before
    assert servo.at(1500.5) == pytest.approx(before - 0.05)


def test_it_takes_its_time():
    servo = ServoModel(Character(needle=Needle(), speed_us_per_s=5000.0), 1)
    servo.command(1000.0, 0.0)
    servo.command(2000.0, 10.0)
    assert servo.moving(10.05)
    assert servo.needle_deg(10.1) == pytest.approx(0.0)  # half way after a tenth of a second
    assert not servo.moving(10.21)


def test_a_new_command_on_the_way_turns_it_round_at_once():
    servo = ServoModel(PERFECT, 1)
    servo.command(1000.0, 0.0)
    servo.command(2000.0, 10.0)
    servo.command(1000.0, 10.1)
    assert servo.needle_deg(20.0) == pytest.approx(50.0)


def test_relaxing_stops_it_where_it_is():
    servo = ServoModel(PERFECT, 1)
    servo.command(1000.0, 0.0)
    servo.command(2000.0, 10.0)
    servo.relax(10.1)
    assert servo.needle_deg(20.0) == pytest.approx(0.0)


def test_it_stops_at_its_ends_and_a_jam():
    servo = Clocked(Character(needle=Needle(), stop_low_us=700.0, stop_high_us=2300.0))
    assert servo.at(600.0) == pytest.approx(80.0)
    assert servo.servo.at_stop
    assert servo.at(2400.0) == pytest.approx(-80.0)
    servo.servo.command(1300.0, servo.now_s, sticks_at=0.5)
    assert servo.servo.needle_deg(servo.now_s + 10) == pytest.approx(-30.0)


@given(st.integers(0, 10_000))
def test_every_servo_drawn_is_one_way_and_within_the_study_s_sizes(seed):
    """Sizes: shared study of 220 simulated drives (pot 0.5-3°, dead band 2-10 µs, slack 0.2-1.5°)."""
    character = draw_character(Needle(), seed)
    angles = [character.shaft_deg(pulse_us) for pulse_us in range(600, 2401, 5)]
    assert (np.diff(angles) < 0).all()
    assert 0.5 <= character.wave_deg <= 3.0
    assert 2.0 <= character.dead_band_us <= 10.0
    assert 0.2 <= character.slack_deg <= 1.5


def test_the_same_seed_is_the_same_servo_and_another_is_another():
    assert draw_character(Needle(), 3) == draw_character(Needle(), 3) != draw_character(Needle(), 4)
    # a golden value: seeds must mean the same on every machine, or samples cannot be made again
    assert draw_character(Needle(), 3).gain == pytest.approx(0.93 + 0.14 * _first_draw("servo 3"), abs=1e-12)


def _first_draw(seed):
    import random

    return random.Random(seed).random()


def test_repeatability_is_what_it_says():
    servo = Clocked(Character(needle=Needle(), repeatability_us=1.0))
    seen = []
    for _ in range(2000):
        servo.at(1000.0)
        seen.append(servo.at(1500.0))
    # standard error of a standard deviation: s/sqrt(2n) = 0.0016°; five of them
    assert np.std(seen) == pytest.approx(0.1, abs=0.008)


def test_the_eye_reads_whole_degrees_near_the_truth():
    eye = Eye(1)
    seen = np.array([eye.read(12.3) for _ in range(4000)])
    assert set(seen) <= {11.0, 12.0, 13.0}
    # mean of a rounded normal with a spread of 0.2 about 12.3: 12 + P(over 12.5) - P(under 11.5), by erf
    over = 0.5 * math.erfc(0.2 / 0.2 / math.sqrt(2))
    assert seen.mean() == pytest.approx(12 + over, abs=5 * 0.37 / math.sqrt(4000))


def test_the_eye_slips_when_asked_to():
    eye = Eye(1, slips=0.1)
    off = [abs(eye.read(0.0)) >= 4 for _ in range(3000)]
    assert np.mean(off) == pytest.approx(0.1, abs=5 * math.sqrt(0.09 / 3000))


@pytest.mark.parametrize(
    "wrong",
    [
        {"low_us": 2400.0, "high_us": 600.0},
        {"low_us": 100.0},
        {"high_us": math.inf},
        {"angle_at_low_deg": math.nan},
        {"angle_at_low_deg": -90.0},
        {"seconds_per_60_deg": 0.0},
    ],
)
def test_a_needle_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(InputError, match="makes no sense"):
        Needle(**wrong)
