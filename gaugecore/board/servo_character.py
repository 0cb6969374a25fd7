"""What one particular servo does wrong, drawn from a seed: the hidden truth behind a virtual board.

The sizes are those of the cheap drives of the project's own study (deviation 0.5° to 3° of a half turn, dead
band 2 µs to 10 µs, slack 0.2° to 1.5°); "common practice, no source" beyond that: measure yours.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from gaugecore.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Needle:
    """What the maker of the dial believes: a straight line from pulse width to dial angle.

    Attributes
    ----------
    low_us, high_us : float
        Two pulse widths in µs, `low_us` the smaller.
    angle_at_low_deg, angle_at_high_deg : float
        The dial angles, in degrees, they would give on a perfect drive.
    seconds_per_60_deg : float
        Time for a sixth of a turn of the needle.
    """

    low_us: float = 600.0
    high_us: float = 2400.0
    angle_at_low_deg: float = 90.0
    angle_at_high_deg: float = -90.0
    seconds_per_60_deg: float = 0.12

    def __post_init__(self) -> None:
        numbers = (self.low_us, self.high_us, self.angle_at_low_deg, self.angle_at_high_deg)
        if (
            not all(math.isfinite(number) for number in (*numbers, self.seconds_per_60_deg))
            or not 300 <= self.low_us < self.high_us <= 3000
            or not 1 <= abs(self.travel_deg) <= 36000
            or self.seconds_per_60_deg <= 0
        ):
            raise InputError(
                "the virtual needle makes no sense",
                found=",".join(f"{number:g}" for number in numbers),
                accepted="LOW_US,HIGH_US,ANGLE_AT_LOW,ANGLE_AT_HIGH with 300 <= LOW_US < HIGH_US <= 3000 "
                "and the angles at least 1 degree apart",
            )

    @property
    def low_command(self) -> float:
        """Return the lowest command, in µs."""
        return self.low_us

    @property
    def high_command(self) -> float:
        """Return the highest command, in µs."""
        return self.high_us

    @property
    def travel_deg(self) -> float:
        """Return the turn from low to high, negative when a wider pulse turns it anticlockwise."""
        return self.angle_at_high_deg - self.angle_at_low_deg

    @property
    def deg_per_us(self) -> float:
        """Return the slope."""
        return self.travel_deg / (self.high_us - self.low_us)


@dataclass(frozen=True, slots=True, kw_only=True)
class Character:
    """The truth about one servo: where its needle comes to rest, and how.

    Attributes
    ----------
    needle : Needle
        The straight line it departs from.
    gain : float
        Slope over nominal slope.
    offset_deg : float
        Angle error in the middle.
    wave_deg, wave_turns, wave_phase_turns : float
        Smooth deviation: amplitude, periods over the travel, phase in periods.
    kink_deg, kink_at_us, kink_width_us : float
        A local step in the track: height, place, half width.
    dead_band_us : float
        Full width of the band in which a change of command moves nothing.
    slack_deg : float
        Full play between shaft and needle.
    stop_low_us, stop_high_us : float
        Where the shaft runs into its ends, as the pulse width it would take to get there.
    repeatability_us : float
        Standard deviation of where the shaft stops for one command from one side.
    speed_us_per_s : float
        How fast the shaft runs after the command.
    """

    needle: Needle
    gain: float = 1.0
    offset_deg: float = 0.0
    wave_deg: float = 0.0
    wave_turns: float = 1.0
    wave_phase_turns: float = 0.0
    kink_deg: float = 0.0
    kink_at_us: float = 1500.0
    kink_width_us: float = 40.0
    dead_band_us: float = 0.0
    slack_deg: float = 0.0
    stop_low_us: float = 300.0
    stop_high_us: float = 3000.0
    repeatability_us: float = 0.0
    speed_us_per_s: float = 5000.0

    def shaft_deg(self, position_us: float) -> float:
        """Return where the shaft stands, in dial degrees, at a position of its feedback track."""
        needle = self.needle
        middle_us = (needle.low_us + needle.high_us) / 2
        along = (position_us - needle.low_us) / (needle.high_us - needle.low_us)
        straight = (needle.angle_at_low_deg + needle.angle_at_high_deg) / 2 + self.offset_deg
        straight += self.gain * needle.deg_per_us * (position_us - middle_us)
        wave = self.wave_deg * math.sin(math.tau * (self.wave_turns * along + self.wave_phase_turns))
        kink = self.kink_deg * math.tanh((position_us - self.kink_at_us) / self.kink_width_us)
        return straight + wave + kink


def draw_character(needle: Needle, seed: int) -> Character:
    """Return a servo drawn at random; the same seed gives the same servo on every machine.

    Parameters
    ----------
    needle : Needle
        The nominal line, from which the sizes are scaled.
    seed : int
        Any whole number.
    """
    draw = random.Random(f"servo {seed}")
    span_us = needle.high_us - needle.low_us
    half_turns = abs(needle.travel_deg) / 180.0  # sizes in degrees are those of a half turn of the needle
    speed_deg_per_s = 60.0 / needle.seconds_per_60_deg
    return Character(
        needle=needle,
        gain=draw.uniform(0.93, 1.07),
        offset_deg=draw.uniform(-4.0, 4.0) * half_turns,
        wave_deg=draw.uniform(0.5, 3.0) * half_turns,
        wave_turns=draw.uniform(0.6, 1.4),
        wave_phase_turns=draw.uniform(0.0, 1.0),
        kink_deg=draw.choice((-1, 1)) * draw.uniform(0.2, 0.6) * half_turns,
        kink_at_us=needle.low_us + span_us * draw.uniform(0.2, 0.8),
        kink_width_us=span_us * draw.uniform(0.015, 0.04),
        dead_band_us=draw.uniform(2.0, 10.0),
        slack_deg=draw.uniform(0.2, 1.5),
        stop_low_us=max(300.0, needle.low_us - span_us * draw.uniform(0.0, 0.05)),
        stop_high_us=min(3000.0, needle.high_us + span_us * draw.uniform(0.0, 0.05)),
        repeatability_us=draw.uniform(0.3, 1.5),
        speed_us_per_s=speed_deg_per_s / abs(needle.deg_per_us) * draw.uniform(0.8, 1.1),
    )
