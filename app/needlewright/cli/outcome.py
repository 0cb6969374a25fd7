"""What a verb gives back: data for machines, text for people, and how it ended."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Any


class Exit(IntEnum):
    """The exit codes of the terminal contract."""

    DONE = 0
    FAULT = 1
    REFUSED = 2
    NO_ANSWER = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The result of a verb.

    Attributes
    ----------
    report : dict or None
        What ``--json`` prints; JSON values only. None: the verb has printed its object itself, while it ran.
    text : str
        What people read.
    exit_code : Exit
        How it ended.
    """

    report: dict[str, Any] | None
    text: str = ""
    exit_code: Exit = Exit.DONE
