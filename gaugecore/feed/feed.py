"""A feed: named values from outside, the newest of each, with a count of all that went wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol


@dataclass(slots=True)
class FeedCounters:
    """What came in since the feed was opened.

    Attributes
    ----------
    taken : int
        Datagrams, lines or rows that were used.
    malformed, oversized : int
        That could not be read, or were too long.
    foreign : int
        From somebody else than the sender that is listened to.
    doubled, late, missing : int
        By their sequence numbers, when the sender gives any.
    superseded : int
        That were used for nothing, since a newer one had come before the needles could move.
    """

    taken: int = 0
    malformed: int = 0
    oversized: int = 0
    foreign: int = 0
    doubled: int = 0
    late: int = 0
    missing: int = 0
    superseded: int = 0


@dataclass(frozen=True, slots=True)
class Arrival:
    """What came since the last look: the newest value by name, and when the newest came (monotonic)."""

    values: Mapping[str, float] = field(default_factory=dict)
    at_s: float = 0.0


class Feed(Protocol):
    """Where values come from."""

    counters: FeedCounters

    @property
    def ended(self) -> bool:
        """Return whether nothing will come any more."""

    def poll(self, wait_s: float) -> Arrival:
        """Return what has come, waiting for the first of it at most `wait_s` seconds."""

    def close(self) -> None:
        """Let go of it; never fails."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """A name that is listened to, for feeds that make or check values.

    Attributes
    ----------
    name : str
        In the feed.
    low, high : float
        Its raw range.
    stops : tuple of float
        Raw values worth stopping at: detent marks, or the ends.
    """

    name: str
    low: float
    high: float
    stops: tuple[float, ...] = ()
