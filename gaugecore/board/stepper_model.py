"""A stepper gauge as a moving thing: steps in, needle angle out, with a stop to home against, steps to lose.

It counts, but nobody looks: when the rotor is held, by its stop or by a jam, the count goes on without it.
Only homing puts the two together again.
"""

from __future__ import annotations

import math
import random
from collections import deque
from dataclasses import dataclass

from gaugecore.board.servo_model import play
from gaugecore.errors import InputError

#: Homing runs a little farther than from the far end, so that it is surely in the stop.
_HOME_RUN = 17 / 16


@dataclass(frozen=True, slots=True, kw_only=True)
class StepperNeedle:
    """What the maker of the dial believes: a straight line from steps to dial angle.

    Attributes
    ----------
    most_steps : int
        From the home stop to the other end.
    angle_at_low_deg, angle_at_high_deg : float
        The dial angles, in degrees, at 0 and at `most_steps`.
    steps_per_s, home_steps_per_s : float
        Speeds.
    """

    most_steps: int = 945
    angle_at_low_deg: float = -157.5
    angle_at_high_deg: float = 157.5
    steps_per_s: float = 500.0
    home_steps_per_s: float = 150.0

    def __post_init__(self) -> None:
        travel_deg = self.angle_at_high_deg - self.angle_at_low_deg
        if (
            not 1 <= self.most_steps <= 65535
            or not 1 <= abs(travel_deg) <= 36000
            or not 0 < self.steps_per_s <= 1e6
            or not 0 < self.home_steps_per_s <= 1e6
        ):
            raise InputError(
                "the virtual stepper makes no sense",
                found=f"{self.most_steps},{self.angle_at_low_deg:g},{self.angle_at_high_deg:g}",
                accepted="STEPS,ANGLE_AT_0,ANGLE_AT_STEPS with 1 to 65535 steps and the angles at least "
                "1 degree apart",
            )

    @property
    def low_command(self) -> float:
        """Return the lowest command."""
        return 0.0

    @property
    def high_command(self) -> float:
        """Return the highest command."""
        return float(self.most_steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepperCharacter:
    """The truth about one stepper gauge.

    Attributes
    ----------
    needle : StepperNeedle
        The straight line it departs from.
    offset_deg : float
        How far the needle is off on its shaft.
    wobble_deg, wobble_turns, wobble_phase_turns : float
        What its gears do: amplitude, periods over the travel, phase in periods.
    slack_deg : float
        Full play between shaft and needle.
    """

    needle: StepperNeedle
    offset_deg: float = 0.0
    wobble_deg: float = 0.0
    wobble_turns: float = 1.0
    wobble_phase_turns: float = 0.0
    slack_deg: float = 0.0

    def shaft_deg(self, steps: float) -> float:
        """Return where the shaft stands, in dial degrees, with the rotor so many steps from its stop."""
        needle = self.needle
        share = steps / needle.most_steps
        straight = needle.angle_at_low_deg + share * (needle.angle_at_high_deg - needle.angle_at_low_deg)
        wobble = self.wobble_deg * math.sin(math.tau * (self.wobble_turns * share + self.wobble_phase_turns))
        return straight + self.offset_deg + wobble


def draw_stepper(needle: StepperNeedle, seed: int) -> StepperCharacter:
    """Return a stepper gauge drawn at random; the same seed gives the same one on every machine."""
    draw = random.Random(f"stepper {seed}")
    return StepperCharacter(
        needle=needle,
        offset_deg=draw.uniform(-2.0, 2.0),
        wobble_deg=draw.uniform(0.2, 1.0),
        wobble_turns=draw.uniform(0.8, 3.0),
        wobble_phase_turns=draw.uniform(0.0, 1.0),
        slack_deg=draw.uniform(0.2, 1.0),
    )


@dataclass(slots=True)
class _Leg:
    """A piece of the way: steps to go, at a speed, of which the rotor follows a part."""

    to_go: float
    speed: float
    follows: float = 1.0
    homing: bool = False


class StepperModel:
    """One virtual stepper gauge with its needle.

    Parameters
    ----------
    character : StepperCharacter
        What it does wrong.
    seed : int
        Of where it stands at first.
    """

    kind = "stepper"
    counts_per_command = 1
    factory_limits = (0, 0)

    def __init__(self, character: StepperCharacter, seed: int) -> None:
        self.character = character
        self.bounds = (0, character.needle.most_steps)
        draw = random.Random(f"motion {seed}")
        self._rotor = draw.uniform(0.1, 0.9) * character.needle.most_steps
        self._count = 0.0
        self._homed = False
        self._legs: deque[_Leg] = deque()
        self._at_s = 0.0
        self._needle_deg = character.shaft_deg(self._rotor)

    def command(self, steps: float, now_s: float, *, sticks_at: float | None = None) -> None:
        """Send a step count from home; one that was never homed homes first.

        Parameters
        ----------
        steps : float
            Where to.
        now_s : float
            Time, never less than before.
        sticks_at : float or None
            It jams, and only this part of the steps is made; None: it does not.
        """
        self._run_until(now_s)
        if not self._homed:
            self.home(now_s)
        homing = [leg for leg in self._legs if leg.homing]
        way = steps if homing else steps - self._count
        follows = 1.0 if sticks_at is None else sticks_at
        self._legs = deque([*homing, _Leg(way, self.character.needle.steps_per_s, follows)])

    def home(self, now_s: float) -> None:
        """Drive gently into the stop, and call that 0."""
        self._run_until(now_s)
        self._homed = True
        needle = self.character.needle
        self._legs = deque([_Leg(-_HOME_RUN * needle.most_steps, needle.home_steps_per_s, homing=True)])

    def relax(self, now_s: float) -> None:
        """No more current: it stays where it is. A homing that was not finished is to be done again."""
        self._run_until(now_s)
        self._homed = self._homed and not any(leg.homing for leg in self._legs)
        self._legs.clear()

    def forget(self, now_s: float) -> None:
        """Relax and lose the count, as in a reset."""
        self.relax(now_s)
        self._homed = False

    def moving(self, now_s: float) -> bool:
        """Return whether it is on its way."""
        self._run_until(now_s)
        return bool(self._legs)

    def needle_deg(self, now_s: float) -> float:
        """Return the dial angle of the needle, exactly."""
        self._run_until(now_s)
        return self._needle_deg

    def _run_until(self, now_s: float) -> None:
        left_s = max(0.0, now_s - self._at_s)
        self._at_s = max(now_s, self._at_s)
        while self._legs:
            leg = self._legs[0]
            needed_s = abs(leg.to_go) / leg.speed
            if needed_s > left_s:
                run = math.copysign(left_s * leg.speed, leg.to_go)
                leg.to_go -= run
                self._turn(run, leg.follows)
                return
            left_s -= needed_s
            self._turn(leg.to_go, leg.follows)
            if leg.homing:
                self._count = 0.0
            self._legs.popleft()

    def _turn(self, steps: float, follows: float) -> None:
        self._count += steps
        rotor = self._rotor + follows * steps
        self._rotor = min(max(rotor, 0.0), float(self.character.needle.most_steps))
        shaft_deg = self.character.shaft_deg(self._rotor)
        self._needle_deg = play(self._needle_deg, shaft_deg, self.character.slack_deg)
