"""Values by datagram, from the simulator on this machine or, when asked, from the network."""

from __future__ import annotations

import ipaddress
import select
import socket
import time
from collections.abc import Callable

from gaugecore.errors import InputError
from gaugecore.feed.feed import Arrival, FeedCounters
from gaugecore.feed.message import LONGEST_BYTES, SEQUENCE, Malformed, parse_message

#: A sender that has been silent for so long may be followed by another one.
SENDER_KEPT_S = 2.0
#: Datagrams taken at one look, so that a flood cannot hold up the needles.
_MOST_AT_ONCE = 2000
#: A number so far from the last one is a sender that began anew, not a late datagram or a gap.
_BEGAN_ANEW = 1000


class UdpFeed:
    """Listens on a UDP port. The newest value of each name wins; nothing queues up.

    Parameters
    ----------
    host, port : str, int
        Where to listen: a loopback address unless the network is meant; port 0 takes a free one.
    clock : callable
        Monotonic seconds.

    Raises
    ------
    InputError
        If the port cannot be listened on.
    """

    ended = False

    def __init__(self, host: str, port: int, *, clock: Callable[[], float] = time.monotonic) -> None:
        self.counters = FeedCounters()
        self._clock = clock
        self._sender: tuple[str, int] | None = None
        self._heard_s = 0.0
        self._last_number: int | None = None
        try:
            family = socket.AF_INET6 if ":" in host else socket.AF_INET
            self._socket = socket.socket(family, socket.SOCK_DGRAM)
            try:
                self._socket.bind((host, port))
            except BaseException:
                self._socket.close()
                raise
        # TypeError and ValueError: a host's name that cannot be encoded as one
        except (OSError, OverflowError, TypeError, ValueError) as error:
            raise InputError(
                f"cannot listen for datagrams ({getattr(error, 'strerror', None) or error})",
                where=f"udp://{host}:{port}",
                accepted="a free port on an address of this machine",
            ) from error
        self._socket.setblocking(False)
        self.host, self.port = self._socket.getsockname()[:2]

    @property
    def is_open_to_others(self) -> bool:
        """Return whether other machines can send values."""
        return not ipaddress.ip_address(self.host).is_loopback

    def poll(self, wait_s: float) -> Arrival:
        """Return the newest values, waiting for the first datagram at most `wait_s` seconds."""
        values: dict[str, float] = {}
        at_s = 0.0
        ready, _, _ = select.select([self._socket], [], [], max(0.0, wait_s))
        for _ in range(_MOST_AT_ONCE if ready else 0):
            try:
                content, sender = self._socket.recvfrom(LONGEST_BYTES + 1)
            except BlockingIOError:
                break
            except OSError:
                continue  # some systems report here that an earlier answer found nobody
            found = self._understood(content, sender[:2])
            if found is not None:
                self.counters.superseded += bool(values)
                values |= found
                at_s = self._heard_s
        return Arrival(values, at_s)

    def close(self) -> None:
        """Let go of the port."""
        self._socket.close()

    def _understood(self, content: bytes, sender: tuple[str, int]) -> dict[str, float] | None:
        now_s = self._clock()
        if self._sender not in (None, sender) and now_s - self._heard_s < SENDER_KEPT_S:
            self.counters.foreign += 1
            return None
        if len(content) > LONGEST_BYTES:
            self.counters.oversized += 1
            return None
        try:
            values = parse_message(content)
        except Malformed:
            self.counters.malformed += 1
            return None
        if sender != self._sender:
            self._sender, self._last_number = sender, None
        self._heard_s = now_s
        if not self._is_new(values.pop(SEQUENCE, None)):
            return None
        self.counters.taken += 1
        return values

    def _is_new(self, number: float | None) -> bool:
        if number is None:
            return True
        last, this = self._last_number, int(number)
        if last is not None and last - _BEGAN_ANEW < this <= last:
            self.counters.doubled += this == last
            self.counters.late += this < last
            return False
        if last is not None and this > last:
            self.counters.missing += min(this - last - 1, _BEGAN_ANEW)
        self._last_number = this
        return True
