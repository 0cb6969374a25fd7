"""A servo as a moving thing: command in, needle angle out, with time, dead band, slack and end stops.

Between two commands the shaft runs one way at constant speed, so its place at any instant has a closed
form and nothing is integrated. The slack is the play operator of hysteresis theory (Krasnosel'skii and
Pokrovskii; from memory): the needle stays until the shaft reaches the other side of the gap.
"""

from __future__ import annotations

import random

from gaugecore.board.messages import TICKS_PER_US
from gaugecore.board.servo_character import Character


def play(follower: float, leader: float, gap: float) -> float:
    """Return where the follower stands after the leader has moved, one way, to a new place.

    Examples
    --------
    >>> play(0.0, 0.3, gap=1.0), play(0.0, 2.0, gap=1.0), play(0.0, -2.0, gap=1.0)
    (0.0, 1.5, -1.5)
    """
    return min(max(follower, leader - gap / 2), leader + gap / 2)


class ServoModel:
    """One virtual servo with its needle.

    Parameters
    ----------
    character : Character
        What it does wrong.
    seed : int
        Of its repeatability, and of where it stands at first.
    """

    kind = "servo"
    counts_per_command = TICKS_PER_US
    factory_limits = (1000 * TICKS_PER_US, 2000 * TICKS_PER_US)
    bounds = (300 * TICKS_PER_US, 3000 * TICKS_PER_US)

    def __init__(self, character: Character, seed: int) -> None:
        self.character = character
        self._noise = random.Random(f"motion {seed}")
        low_us, high_us = character.stop_low_us, character.stop_high_us
        self._position_us = low_us + (high_us - low_us) * self._noise.uniform(0.3, 0.7)
        self._goal_us = self._position_us
        self._at_s = 0.0
        shaft_deg = character.shaft_deg(self._position_us)
        self._needle_deg = shaft_deg + character.slack_deg * self._noise.uniform(-0.5, 0.5)
        self.at_stop = False

    def command(self, pulse_us: float, now_s: float, *, sticks_at: float | None = None) -> None:
        """Send a pulse width; the shaft starts at once.

        Parameters
        ----------
        pulse_us : float
            In µs.
        now_s : float
            Time, never less than before.
        sticks_at : float or None
            Where it jams on its way, as a part of the way; None: it does not.
        """
        self._run_until(now_s)
        one = self.character
        error_us = pulse_us - self._position_us
        if abs(error_us) <= one.dead_band_us / 2:
            self._goal_us = self._position_us
            return
        # it comes to rest at the near edge of the dead band, which is why the side of arrival matters
        edge_us = one.dead_band_us / 2 if error_us > 0 else -one.dead_band_us / 2
        goal_us = pulse_us - edge_us + self._noise.gauss(0.0, one.repeatability_us)
        if (goal_us - self._position_us) * error_us <= 0:
            goal_us = self._position_us  # noise does not make it run away from the command
        if sticks_at is not None:
            goal_us = self._position_us + sticks_at * (goal_us - self._position_us)
        self._goal_us = min(max(goal_us, one.stop_low_us), one.stop_high_us)
        self.at_stop = self._goal_us != goal_us

    def relax(self, now_s: float) -> None:
        """Stop sending pulses: the shaft stays where it is."""
        self._run_until(now_s)
        self._goal_us = self._position_us
        self.at_stop = False

    def forget(self, now_s: float) -> None:
        """Relax, as in a reset; a servo has nothing to forget, its feedback track knows where it is."""
        self.relax(now_s)

    def moving(self, now_s: float) -> bool:
        """Return whether the shaft is on its way."""
        self._run_until(now_s)
        return self._position_us != self._goal_us

    def needle_deg(self, now_s: float) -> float:
        """Return the dial angle of the needle, exactly."""
        self._run_until(now_s)
        return self._needle_deg

    def _run_until(self, now_s: float) -> None:
        run_us = max(0.0, now_s - self._at_s) * self.character.speed_us_per_s
        self._at_s = max(now_s, self._at_s)
        if self._position_us == self._goal_us:
            return
        way_us = self._goal_us - self._position_us
        if run_us >= abs(way_us):
            self._position_us = self._goal_us
        else:
            self._position_us += run_us if way_us > 0 else -run_us
        shaft_deg = self.character.shaft_deg(self._position_us)
        self._needle_deg = play(self._needle_deg, shaft_deg, self.character.slack_deg)


class Eye:
    """A person reading the needle off the face: whole degrees, a little parallax, now and then a slip.

    Parameters
    ----------
    seed : int
        Of the noise.
    noise_deg : float
        Standard deviation of the reading before it is rounded.
    resolution_deg : float
        What it is rounded to.
    slips : float
        Part of the readings that are off by 5 or 10 degrees, from 0 to 1.
    """

    def __init__(
        self, seed: int, *, noise_deg: float = 0.2, resolution_deg: float = 1.0, slips: float = 0.0
    ) -> None:
        self._noise = random.Random(f"eye {seed}")
        self.noise_deg, self.resolution_deg, self.slips = noise_deg, resolution_deg, slips

    def read(self, angle_deg: float) -> float:
        """Return what the person says."""
        seen = angle_deg + self._noise.gauss(0.0, self.noise_deg)
        if self._noise.random() < self.slips:
            seen += self._noise.choice((-10.0, -5.0, 5.0, 10.0))
        return round(seen / self.resolution_deg) * self.resolution_deg
