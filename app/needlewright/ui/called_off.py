"""Work that tells how far it is, and that the user may call off."""

from __future__ import annotations

from collections.abc import Callable

from gaugecore.errors import NeedlewrightError

#: Told before each step: how many are done, of how many, what comes next.
Progress = Callable[[int, int, str], None]
#: Asked before each step.
CalledOff = Callable[[], bool]


class Cancelled(NeedlewrightError):
    """The user called it off."""


def nobody(_done: int, _of: int, _what: str) -> None:
    """Tell nobody how far it is."""


def never() -> bool:
    """Call nothing off."""
    return False
