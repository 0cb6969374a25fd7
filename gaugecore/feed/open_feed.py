"""Feeds by name: ``udp://HOST:PORT``, ``-``, ``FILE.csv``, ``signal:SHAPE``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO
from urllib.parse import parse_qsl, urlsplit

from gaugecore.errors import InputError
from gaugecore.feed.feed import Channel, Feed
from gaugecore.feed.lines import LineFeed
from gaugecore.feed.recording import RecordingFeed, read_recording
from gaugecore.feed.signal import SignalFeed
from gaugecore.feed.udp import UdpFeed

ACCEPTED = "udp://HOST:PORT, - for standard input, FILE.csv, or signal:sine|ramp|steps|walk"


@dataclass(frozen=True, slots=True, kw_only=True)
class Playing:
    """How a recording is played; see `RecordingFeed`."""

    speed: float = 1.0
    loop: bool = False
    start_s: float = 0.0


def open_feed(url: str, channels: Sequence[Channel], playing: Playing | None = None) -> Feed:
    """Return the feed of a name.

    Parameters
    ----------
    url : str
        ``udp://:PORT`` listens on this machine only; ``signal:sine?period=4`` sets the period in seconds.
    channels : sequence of Channel
        The names that are listened to.
    playing : Playing or None
        How to play a recording.

    Raises
    ------
    InputError
        If it is no feed, or its port cannot be listened on.
    """
    if url == "-":
        return LineFeed(_standard_input())
    if url.startswith("udp:"):
        return UdpFeed(*_address(url))
    if url.startswith("signal:"):
        return _signal(url, channels)
    if url.lower().endswith(".csv"):
        how = playing or Playing()
        recording = read_recording(Path(url))
        return RecordingFeed(recording, speed=how.speed, loop=how.loop, start_s=how.start_s)
    raise InputError("there is no such feed", found=url, accepted=ACCEPTED)


def _standard_input() -> BinaryIO:
    """Return a handle of its own on standard input.

    Python aborts at exit when a thread still waits in `sys.stdin`, as it does for a sender that goes on when
    the drive has ended.
    """
    try:
        return open(sys.stdin.fileno(), "rb", closefd=False)
    except (AttributeError, OSError, ValueError):  # none, closed, or somebody's stand-in without a number
        if sys.stdin is None or sys.stdin.closed:
            raise InputError("there is no standard input to listen to", accepted=ACCEPTED) from None
        return sys.stdin.buffer


def _address(url: str) -> tuple[str, int]:
    try:
        parts = urlsplit(url)
        host, port = parts.hostname, parts.port
    except ValueError:
        host, port = None, None
    if port is None or not url.startswith("udp://"):
        raise InputError("where to listen", found=url, accepted="udp://HOST:PORT, port 0 to 65535")
    return host or "127.0.0.1", port


def _signal(url: str, channels: Sequence[Channel]) -> SignalFeed:
    shape, _, query = url.removeprefix("signal:").lstrip("/").partition("?")
    given = dict(parse_qsl(query, keep_blank_values=True))
    try:
        period_s, seed = float(given.pop("period", "8")), int(given.pop("seed", "1"))
    except ValueError as error:
        raise InputError("the signal's settings", found=query, accepted="period=SECONDS, seed=N") from error
    if given:
        raise InputError("the signal's settings", found=query, accepted="period=SECONDS, seed=N")
    return SignalFeed(channels, shape or "sine", period_s=period_s, seed=seed)
