"""A screen without glass, and hands on its keyboard and mouse: Xvfb and xdotool."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

#: Longest wait for anything; a slow machine needs a good part of it, a broken window all of it.
PATIENCE_S = 60.0


@contextlib.contextmanager
def screen() -> Iterator[str]:
    """A screen of 1280 by 720 points; gives its name."""
    reading, writing = os.pipe()
    words = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1280x720x24", "-nolisten", "tcp"]
    process = subprocess.Popen(words, pass_fds=(writing,), stderr=subprocess.DEVNULL)
    os.close(writing)
    try:
        with os.fdopen(reading) as line:
            number = line.readline().strip()
        assert number, "Xvfb did not start"
        yield f":{number}"
    finally:
        process.terminate()
        process.wait()


class Hands:
    """Keys and mouse of a screen, in front of one window that answers questions.

    Parameters
    ----------
    display : str
        Name of the screen.
    panel : Path
        What the window is opened on.
    home : Path
        Stands for the user's home.
    """

    def __init__(self, display: str, panel: Path, home: Path) -> None:
        home.mkdir(exist_ok=True)
        self._env = {
            **os.environ,
            "DISPLAY": display,
            "QT_QPA_PLATFORM": "xcb",
            "HOME": str(home),
            "XDG_CONFIG_HOME": str(home),
            "XDG_DATA_HOME": str(home),
            "XDG_STATE_HOME": str(home),
        }
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.ui.watched_window", str(panel)],
            cwd=Path(__file__).parents[2],
            env=self._env,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def ask(self, verb: str, argument: Any = None) -> Any:
        """Ask the window something; see `watched_window`."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps({verb: argument}) + "\n")
        self.process.stdin.flush()
        answer = self.process.stdout.readline()
        assert answer, "the window is gone"
        return json.loads(answer)

    def until(self, verb: str, argument: Any = None, wanted: Callable[[Any], bool] = bool) -> Any:
        """Ask until the answer is as wanted, and return it."""
        deadline_s = time.monotonic() + PATIENCE_S
        while not wanted(answer := self.ask(verb, argument)):
            assert time.monotonic() < deadline_s, f"{verb} {argument}: still {answer}"
            time.sleep(0.05)
        return answer

    def click(self, name: str) -> None:
        """Click on the middle of what is called so in the window in front."""
        left, top, width, height = self.until("where", name)
        self.do("mousemove", left + width // 2, top + height // 2, "click", 1)

    def click_spot(self, place_mm: tuple[float, float]) -> None:
        """Click on the canvas, at a place of the sheet."""
        x, y, *_ = self.until("spot", place_mm)
        self.do("mousemove", x, y, "click", 1)

    def drag(self, from_mm: tuple[float, float], to_mm: tuple[float, float]) -> None:
        """Drag on the canvas, from one place of the sheet to another."""
        x, y, *_ = self.until("spot", from_mm)
        to_x, to_y, *_ = self.until("spot", to_mm)
        self.do("mousemove", x, y, "mousedown", 1)
        for step in range(1, 11):
            at = (x + (to_x - x) * step // 10, y + (to_y - y) * step // 10)
            self.do("mousemove", *at, "sleep", 0.02)
        self.do("mouseup", 1)

    def keys(self, *names: str) -> None:
        """Press keys, as ``ctrl+s``."""
        self._face()
        self.do("key", "--delay", 20, *names)

    def type(self, text: str) -> None:
        """Type a text."""
        self._face()
        self.do("type", "--delay", 20, text)

    def do(self, *words: object) -> None:
        """Let xdotool do something."""
        subprocess.run(["xdotool", *map(str, words)], env=self._env, check=True, capture_output=True)

    def _face(self) -> None:
        """Give the keys to the window in front: no window manager does it here."""
        self.do("windowfocus", "--sync", self.until("front"))
