"""From an instrument to the channel that drives it: which one, what it may be sent, which way it turns."""

from __future__ import annotations

import math
from dataclasses import replace

from gaugecore.board.servo_character import Needle
from gaugecore.board.stepper_model import StepperNeedle
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.errors import InputError
from gaugecore.face.scale import angle_range_deg
from gaugecore.movement.servo import Servo
from gaugecore.movement.train import pointer_deg, slope
from gaugecore.panel.document import Instrument, Movement, Panel

#: Room for the last bits of binary fractions: 13° of 720 steps a turn are 26 steps, not 25.
_ROUNDING = 1e-6


def channel_of(panel: Panel, instrument: Instrument) -> int:
    """Return the channel of the board that drives an instrument: its place in the panel, from 0."""
    return [one.id for one in panel.instruments].index(instrument.id)


def clockwise_with_command(instrument: Instrument) -> bool:
    """Return whether a larger command turns the needle clockwise, by movement and train."""
    same_way = (slope(instrument.train, 0.0) or 1.0) > 0
    return _shaft_clockwise(instrument.movement) == same_way


def _shaft_clockwise(movement: Movement) -> bool:
    return movement.clockwise_with_pulse if isinstance(movement, Servo) else movement.clockwise_with_steps


def widest_commands(instrument: Instrument) -> tuple[float, float]:
    """Return the commands beyond which its movement is never sent, in µs or steps."""
    movement = instrument.movement
    if isinstance(movement, Servo):
        return movement.pulse_min_us, movement.pulse_max_us
    steps = movement.travel_deg / 360.0 * movement.steps_per_turn * movement.microsteps
    return 0.0, float(math.floor(steps + _ROUNDING))


def needle_of(instrument: Instrument) -> Needle | StepperNeedle:
    """Return the straight line from command to dial angle that the design promises, for a virtual board.

    The needle is put on its shaft so that the middle of the travel points at the middle of the arc.
    """
    movement, train = instrument.movement, instrument.train
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    half_deg = movement.travel_deg / 2.0 * (1.0 if _shaft_clockwise(movement) else -1.0)
    ratio = slope(train, 0.0) or 1.0
    ends = [pointer_deg(train, end) for end in (-half_deg, half_deg)]
    at_low, at_high = (
        (low_deg + high_deg) / 2.0 + (ratio * end if turned is None else turned)
        for end, turned in zip((-half_deg, half_deg), ends, strict=True)
    )
    if isinstance(movement, Servo):
        return Needle(
            low_us=movement.pulse_min_us,
            high_us=movement.pulse_max_us,
            angle_at_low_deg=at_low,
            angle_at_high_deg=at_high,
            seconds_per_60_deg=movement.seconds_per_60_deg / abs(ratio),
        )
    return StepperNeedle(
        most_steps=int(widest_commands(instrument)[1]),
        angle_at_low_deg=at_low,
        angle_at_high_deg=at_high,
        steps_per_s=movement.most_steps_per_s * movement.microsteps,
        home_steps_per_s=movement.home_steps_per_s * movement.microsteps,
    )


def port_for(url: str, panel: Panel) -> str:
    """Return the port to open; a ``virtual:`` board gets the panel's needles, unless it names its own."""
    if not url.startswith("virtual:"):
        return url
    query = url.removeprefix("virtual:").lstrip("/").removeprefix("?")
    options = VirtualOptions.parse(query)
    if "needle=" not in query and "stepper=" not in query and panel.instruments:
        needles = tuple(needle_of(instrument) for instrument in panel.instruments)
        options = replace(options, needles=needles, channels=max(options.channels, len(needles)))
    return "virtual:?" + options.query()


def check_kind(instrument: Instrument, kind: str, *, channel: int) -> None:
    """Refuse a channel whose movement is not the instrument's kind.

    Raises
    ------
    InputError
        If the board says the channel drives another kind.
    """
    if instrument.movement.kind != kind:
        raise InputError(
            f"channel {channel} of the board drives a {kind}",
            where=f"instruments.{instrument.id}.movement",
            found=instrument.movement.kind,
            accepted=f"a channel that drives a {instrument.movement.kind}",
        )
