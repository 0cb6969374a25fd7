"""What a virtual board is asked to be: the query of a ``virtual:`` URL and the switches of its verb."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Self
from urllib.parse import parse_qsl, quote

from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.servo_character import Needle, draw_character
from gaugecore.board.servo_model import Eye, ServoModel
from gaugecore.board.stepper_model import StepperModel, StepperNeedle, draw_stepper
from gaugecore.board.virtual import VirtualBoard
from gaugecore.board.virtual_channel import VirtualChannel
from gaugecore.errors import InputError

MOST_CHANNELS = 200
_ACCEPTED = (
    "seed=N, channels=N, needle=LOW_US,HIGH_US,ANGLE_AT_LOW,ANGLE_AT_HIGH or "
    "stepper=STEPS,ANGLE_AT_0,ANGLE_AT_STEPS (once a channel), pace=X, slips=X, misbehave=NAME=X,..."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualOptions:
    """A virtual board to be.

    Attributes
    ----------
    seed : int
        Of all movements, of the eye and of the faults.
    channels : int
        How many movements; more than there are needles: the last needle again.
    needles : tuple of Needle or StepperNeedle
        Nominal lines by channel, each a servo or a stepper.
    pace : float
        How much faster than life the movements run; the watchdog keeps real time.
    slips : float
        Part of the eye's readings that are off by 5 or 10 degrees.
    misbehaviour : Misbehaviour
        Faults on request.
    """

    seed: int = 1
    channels: int = 1
    needles: tuple[Needle | StepperNeedle, ...] = (Needle(),)
    pace: float = 1.0
    slips: float = 0.0
    misbehaviour: Misbehaviour = field(default_factory=Misbehaviour)

    @classmethod
    def parse(cls, query: str) -> Self:
        """Return the options of a query such as ``seed=3&channels=2``.

        Raises
        ------
        InputError
            If a name or a value makes no sense.
        """
        values: dict[str, str] = {}
        needles: list[Needle | StepperNeedle] = []
        for name, text in parse_qsl(query, keep_blank_values=True):
            if name == "needle":
                needles.append(_needle(text))
            elif name == "stepper":
                needles.append(_stepper(text))
            elif name in ("seed", "channels", "pace", "slips", "misbehave"):
                values[name] = text
            else:
                raise InputError("a virtual board has no such option", found=name, accepted=_ACCEPTED)
        return cls(
            seed=int(_number(values.get("seed", "1"), "seed", -(2**53), 2**53, whole=True)),
            channels=int(
                _number(
                    values.get("channels", str(max(1, len(needles)))),
                    "channels",
                    1,
                    MOST_CHANNELS,
                    whole=True,
                )
            ),
            needles=tuple(needles) or (Needle(),),
            pace=_number(values.get("pace", "1"), "pace", 0.01, 1000),
            slips=_number(values.get("slips", "0"), "slips", 0, 1),
            misbehaviour=Misbehaviour.parse(values.get("misbehave", "")),
        )

    def query(self) -> str:
        """Return the query that gives these options.

        Examples
        --------
        >>> VirtualOptions.parse(VirtualOptions(seed=3, channels=2).query()).channels
        2
        """
        faults = ",".join(
            f"{name}={getattr(self.misbehaviour, name)!r}"
            for name in self.misbehaviour.__slots__
            if getattr(self.misbehaviour, name) != getattr(Misbehaviour(), name)
        )
        items = {"seed": self.seed, "channels": self.channels, "pace": self.pace, "slips": self.slips}
        text = [f"{name}={value}" for name, value in items.items()]
        text += [f"misbehave={quote(faults, safe='=,')}"] if faults else []
        return "&".join(text + [_needle_text(needle) for needle in self.needles])

    def board(self, imp: Imp) -> VirtualBoard:
        """Return the board, with its servos at rest somewhere."""
        channels = []
        for number in range(self.channels):
            needle = self.needles[min(number, len(self.needles) - 1)]
            seed = 1000 * self.seed + number
            movement = (
                StepperModel(draw_stepper(needle, seed), seed)
                if isinstance(needle, StepperNeedle)
                else ServoModel(draw_character(needle, seed), seed)
            )
            channels.append(VirtualChannel(movement, Eye(seed, slips=self.slips)))
        return VirtualBoard(channels, pace=self.pace, jam=imp.jam)


def _needle(text: str) -> Needle:
    words = text.split(",")
    if len(words) not in (4, 5):
        raise InputError("a needle is four or five numbers", found=text, accepted=_ACCEPTED)
    low_us, high_us, at_low, at_high, *seconds = (_number(word, "needle", -1e6, 1e6) for word in words)
    return Needle(
        low_us=low_us,
        high_us=high_us,
        angle_at_low_deg=at_low,
        angle_at_high_deg=at_high,
        seconds_per_60_deg=seconds[0] if seconds else Needle().seconds_per_60_deg,
    )


def _stepper(text: str) -> StepperNeedle:
    words = text.split(",")
    if not 3 <= len(words) <= 5:
        raise InputError("a stepper is three to five numbers", found=text, accepted=_ACCEPTED)
    most = int(_number(words[0], "stepper", 1, 65535, whole=True))
    at_low, at_high, *speeds = (_number(word, "stepper", -1e6, 1e6) for word in words[1:])
    usual = StepperNeedle()
    return StepperNeedle(
        most_steps=most,
        angle_at_low_deg=at_low,
        angle_at_high_deg=at_high,
        steps_per_s=speeds[0] if speeds else usual.steps_per_s,
        home_steps_per_s=speeds[1] if len(speeds) > 1 else usual.home_steps_per_s,
    )


def _needle_text(needle: Needle | StepperNeedle) -> str:
    name = "stepper" if isinstance(needle, StepperNeedle) else "needle"
    return f"{name}=" + ",".join(repr(getattr(needle, part)) for part in needle.__slots__)


def _number(text: str, name: str, low: float, high: float, *, whole: bool = False) -> float:
    try:
        number = float(int(text)) if whole else float(text)
    except ValueError:
        number = float("nan")
    if not low <= number <= high:
        kind = "a whole number" if whole else "a number"
        raise InputError(
            f"option {name} of a virtual board", found=text, accepted=f"{kind} from {low:g} to {high:g}"
        )
    return number
