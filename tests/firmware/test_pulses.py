"""Pulses measured at the pins of the simulated microcontrollers against the commanded widths.

The convention they keep to: 1000 to 2000 µs, repeated each 20 ms (R/C makers' manuals). The simulator sees
what happens at whole instructions, of up to four cycles when the processor is awake, and works its timer
count out in proportion, which may put an edge that the program makes off by a tick.
"""

from __future__ import annotations

import itertools

import pytest

from tests.firmware.simboard import CYCLES_PER_TICK, FRAME_CYCLES, SimBoard, frames

#: Interrupt latency: what the widths of a pin that the program sets may vary by.
JITTER_CYCLES = 2 * CYCLES_PER_TICK


INSTRUCTION_CYCLES = 4


@pytest.mark.parametrize("command", [600, 601, 2000, 2999, 3000, 3333, 4000, 5999, 6000])
def test_the_timers_own_pin_gives_exactly_the_commanded_width(board: SimBoard, command: int) -> None:
    board.ask("limits 0 600 6000")
    board.ask(f"move 0 {command}")
    board.run_ms(60)
    board.pulses(0)
    board.run_ms(300)
    pulses = board.pulses(0)
    assert {pulse.width for pulse in pulses} == {command * CYCLES_PER_TICK}
    assert set(frames(pulses)) == {FRAME_CYCLES}


@pytest.mark.parametrize("command", [600, 2001, 3000, 4000, 6000])
def test_pins_that_take_turns_give_it_within_an_interrupts_latency(board: SimBoard, command: int) -> None:
    for channel in (1, 2):
        board.ask(f"limits {channel} 600 6000")
    board.ask(f"move 1 {command} {command}")
    board.run_ms(60)
    board.pulses(1), board.pulses(2)
    board.run_ms(300)
    for channel in (1, 2):
        pulses = board.pulses(channel)
        assert len(pulses) in (14, 15, 16)
        assert all(abs(pulse.width - command * CYCLES_PER_TICK) <= JITTER_CYCLES for pulse in pulses)
        assert all(abs(frame - FRAME_CYCLES) <= JITTER_CYCLES for frame in frames(pulses))


def test_traffic_and_a_turning_stepper_do_not_disturb_the_pulses(board: SimBoard) -> None:
    stepper = 3 if board.mcu == "atmega328p" else 4
    board.ask(f"limits {stepper} 0 900")
    board.ask("move 0 2500 3000 3500")
    board.ask(f"home {stepper}")
    board.run_ms(60)
    for channel in range(3):
        board.pulses(channel)
    for _ in range(60):
        board.ask("counters")
    for channel, command in enumerate((2500, 3000, 3500)):
        widths = [pulse.width for pulse in board.pulses(channel)]
        spread = INSTRUCTION_CYCLES if channel == 0 else JITTER_CYCLES
        assert len(widths) > 10
        assert all(abs(width - command * CYCLES_PER_TICK) <= spread for width in widths)


def test_no_pin_moves_before_the_first_command(board: SimBoard) -> None:
    board.run_ms(200)
    assert [board.pulses(channel) for channel in range(4)] == [[], [], [], []]
    assert board.coil_states() == []


def test_pulses_end_when_the_channel_is_relaxed(board: SimBoard) -> None:
    board.ask("move 0 3000 3000")
    board.run_ms(100)
    board.ask("relax")
    board.run_ms(40)
    board.pulses(0), board.pulses(1)
    board.run_ms(200)
    assert board.pulses(0) == board.pulses(1) == []


def test_servos_do_not_start_together(board: SimBoard) -> None:
    board.ask("move 0 3000 3000 3000")
    board.run_ms(100)
    all_pulses = [board.pulses(channel) for channel in range(3)]
    starts = sorted(pulse.start for pulses in all_pulses for pulse in pulses)
    assert min(b - a for a, b in itertools.pairwise(starts)) > 6000 * CYCLES_PER_TICK


def test_a_move_is_slewed_pulse_by_pulse(board: SimBoard) -> None:
    board.ask("move 0 2000")
    board.run_ms(60)
    board.ask("move 0 4000")
    board.run_ms(600)
    ticks = [pulse.width // CYCLES_PER_TICK for pulse in board.pulses(0)]
    steps = [after - before for before, after in itertools.pairwise(ticks)]
    assert ticks[0] == 2000
    assert ticks[-1] == 4000
    assert min(steps) >= 0
    assert max(steps) <= 120  # 3000 µs/s in frames of 20 ms
