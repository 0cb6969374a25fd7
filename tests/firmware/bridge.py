"""A simulated board on a TCP port, keeping time with the clock on the wall, for the link that users run."""

from __future__ import annotations

import contextlib
import random
import socket
import threading
import time
from collections.abc import Callable, Iterator

from tests.firmware.simboard import SimBoard

_SLICE_MS = 1.0


class Bridge:
    """Carries bytes between a port and a board, and lets the board's time pass.

    Parameters
    ----------
    board : SimBoard
        Just switched on.
    spoil : float
        Part of the bytes, both ways, in which a bit is turned.
    """

    def __init__(self, board: SimBoard, *, spoil: float = 0.0) -> None:
        self.board = board
        self._spoil, self._chance = spoil, random.Random(5)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._listener.setblocking(False)
        self._client: socket.socket | None = None
        self._lock = threading.Lock()
        self._stopping = False
        self._thread = threading.Thread(target=self._serve)

    @property
    def url(self) -> str:
        """Return the port to open."""
        return f"socket://127.0.0.1:{self._listener.getsockname()[1]}"

    @contextlib.contextmanager
    def hold(self) -> Iterator[SimBoard]:
        """Stop the board's time for a look at its pins."""
        with self._lock:
            yield self.board

    def replace(self, next_board: Callable[[bytes], SimBoard]) -> None:
        """Cut the power and give it again: a board with the same memory starts anew."""
        with self._lock:
            self.board = next_board(self.board.memory)

    def __enter__(self) -> Bridge:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stopping = True
        self._thread.join(10)
        for one in (self._client, self._listener):
            if one is not None:
                one.close()

    def _serve(self) -> None:
        due_s = time.monotonic()
        while not self._stopping:
            with self._lock:
                self.board.send(self._spoiled(self._hear()))
                self.board.run_ms(_SLICE_MS)
                self._say(self._spoiled(self.board.receive()))
            # on a busy machine the board is slow, never fast
            due_s = max(due_s + _SLICE_MS / 1000, time.monotonic() - 0.005)
            time.sleep(max(0.0, due_s - time.monotonic()))

    def _hear(self) -> bytes:
        with contextlib.suppress(BlockingIOError):
            client, _ = self._listener.accept()
            client.setblocking(False)
            client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            if self._client is not None:
                self._client.close()
            self._client = client
        with contextlib.suppress(OSError):
            if self._client is not None:
                return self._client.recv(4096)
        return b""

    def _say(self, data: bytes) -> None:
        with contextlib.suppress(OSError):
            if data and self._client is not None:
                self._client.sendall(data)

    def _spoiled(self, data: bytes) -> bytes:
        if not self._spoil:
            return data
        return bytes(self._maybe_turned(byte) for byte in data)

    def _maybe_turned(self, byte: int) -> int:
        return byte ^ (1 << self._chance.randrange(8)) if self._chance.random() < self._spoil else byte
