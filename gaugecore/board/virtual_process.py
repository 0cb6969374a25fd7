"""A virtual board as a process of its own, which cannot outlive this one."""

from __future__ import annotations

import contextlib
import subprocess
import sys
import threading

from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.errors import PortError

_START_S = 10.0


class VirtualProcess:
    """Starts the board; it ends with `end`, or when this process is gone, however that happened.

    Parameters
    ----------
    options : VirtualOptions
        What board it is.

    Raises
    ------
    PortError
        If it does not start.
    """

    def __init__(self, options: VirtualOptions) -> None:
        # the child reads its standard input until it ends, and that happens when we do
        self._process = subprocess.Popen(
            [sys.executable, "-m", "gaugecore.board.virtual_server", options.query()],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self._process.stdout is not None
        guard = threading.Timer(_START_S, self._process.kill)
        guard.start()
        self.url = self._process.stdout.readline().decode("ascii", "replace").strip()
        guard.cancel()
        guard.join()
        if not self.url.startswith("socket://"):
            self.end()
            raise PortError("the virtual board did not start", where="virtual:")

    def end(self) -> None:
        """End it and wait until it is gone."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        with contextlib.suppress(OSError):
            self._process.stdin.close()
        try:
            self._process.wait(2.0)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._process.stdout.close()
