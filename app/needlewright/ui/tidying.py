"""Keeps Python's collector from stopping the hand.

Now and then the collector walks through every object there is. With half the engine loaded that takes as
long as five frames, and it comes at any time, in the middle of a drag too. What is loaded once stays until
the window closes, so the collector need not look at it again.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, Qt

from needlewright.ui.main_window import MainWindow


class Tidying(QObject):
    """Takes what has been loaded out of the collector's rounds."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        # the first check brings half the engine, and each page what it needs itself
        window.checking.found.connect(self._set_apart, Qt.ConnectionType.SingleShotConnection)
        window.stages.made.connect(self._set_apart)

    def _set_apart(self, _: object = None) -> None:
        gc.collect()
        gc.freeze()
