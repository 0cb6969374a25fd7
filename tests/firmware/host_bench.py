"""The bench program compiled for this machine, as a Python object: a hundred times faster than simulated."""

from __future__ import annotations

import struct
import subprocess
from pathlib import Path

SERVOS = 3
_FRAME_MS = 20.0
_COUNT = struct.Struct("=I")


class HostBench:
    """One board in a process; switched on when made."""

    def __init__(self, program: Path) -> None:
        self._process = subprocess.Popen(
            [program], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        self._ticks: list[list[int]] = [[] for _ in range(SERVOS)]

    def close(self) -> None:
        """Switch it off; a sanitiser that found something shows here at the latest."""
        _, said = self._process.communicate(timeout=10)
        assert (self._process.returncode, said) == (0, b"")

    def exchange(self, data: bytes, then_ms: float = 0.0) -> bytes:
        """Send bytes, let time pass, return what came back."""
        assert self._process.stdin is not None
        self._process.stdin.write(_COUNT.pack(len(data)) + data + _COUNT.pack(round(then_ms / _FRAME_MS)))
        self._process.stdin.flush()
        answers = self._read(self._read_count())
        widths = struct.unpack(
            f"={SERVOS * (frames := self._read_count())}H", self._read(2 * SERVOS * frames)
        )
        for channel in range(SERVOS):
            self._ticks[channel] += [width for width in widths[channel::SERVOS] if width]
        return answers

    def pulse_ticks(self, channel: int) -> list[float]:
        """Return the widths of the pulses since the last call, in ticks."""
        ticks, self._ticks[channel] = self._ticks[channel], []
        return [float(width) for width in ticks]

    def _read_count(self) -> int:
        (count,) = _COUNT.unpack(self._read(_COUNT.size))
        return int(count)

    def _read(self, count: int) -> bytes:
        assert self._process.stdout is not None
        data = self._process.stdout.read(count)
        if len(data) < count:
            assert self._process.stderr is not None
            raise AssertionError(f"the program died: {self._process.stderr.read().decode()}")
        return data
