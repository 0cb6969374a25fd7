"""Pictures of the window for the documentation: ``python -m needlewright.ui.pictures OUTDIR``."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from gaugecore.panel.store import load_panel
from needlewright.samples import sample_path
from needlewright.ui.desk import Stage
from needlewright.ui.look import DARK, LIGHT, Look, palette
from needlewright.ui.main_window import MainWindow


def main() -> int:
    """Write a picture of every stage, in light and dark."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("outdir", type=Path)
    folder: Path = reader.parse_args().outdir
    folder.mkdir(parents=True, exist_ok=True)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    application = QApplication(["needlewright"])
    look = Look(application)
    for name, colours in (("light", LIGHT), ("dark", DARK)):
        look.take(palette(colours))
        window = MainWindow(load_panel(sample_path("ferry-bridge")))
        window.resize(1280, 720)
        window.show()
        for stage in Stage:
            window.desk.open_stage(stage)
            _settle(600)
            window.grab().save(str(folder / f"window-{stage.value}-{name}.png"))
        window.close()
        window.deleteLater()
    return 0


def _settle(for_ms: int) -> None:
    """Let timers and threads of the window do their work."""
    loop = QEventLoop()
    QTimer.singleShot(for_ms, loop.quit)
    loop.exec()


if __name__ == "__main__":
    sys.exit(main())
