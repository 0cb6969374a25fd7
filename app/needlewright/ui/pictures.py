"""Pictures of the window for the documentation: ``python -m needlewright.ui.pictures OUTDIR``."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication, QComboBox

from gaugecore.panel.store import load_panel
from gaugecore.supply.meter import State
from needlewright.samples import sample_path
from needlewright.ui.desk import VIRTUAL, Stage
from needlewright.ui.finish import Finish
from needlewright.ui.look import DARK, LIGHT, Look, palette
from needlewright.ui.main_window import MainWindow
from needlewright.ui.stage_calibration import CalibrationStage
from needlewright.ui.stage_movement import MovementStage
from needlewright.ui.stage_output import OutputStage
from needlewright.ui.stage_supply import SupplyStage


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
        _wait(lambda window=window: bool(window.checking.findings))  # type: ignore[misc]
        for stage in Stage:
            window.desk.open_stage(stage)
            if stage is Stage.CALIBRATION:
                _calibrate(window)
            _take(window, folder / f"window-{stage.value}-{name}.png")
            if stage is Stage.CALIBRATION:
                _let_go(window)
            for part, prepare in _MORE.get(stage, ()):
                prepare(window)
                _take(window, folder / f"window-{part}-{name}.png")
            window.dial.tools.take_finish(Finish.PAPER)
        window.document.steps.setClean()
        window.close()
        window.deleteLater()
    return 0


def _take(window: MainWindow, path: Path) -> None:
    _settle(1500)
    window.grab().save(str(path))
    _make_small(path)


def _show_response(window: MainWindow) -> None:
    page = window.stages.currentWidget()
    assert isinstance(page, MovementStage)
    page.tabs.setCurrentWidget(page.response)
    _wait(lambda: page.response.has_answer)


def _show_meter(window: MainWindow) -> None:
    page = window.stages.currentWidget()
    assert isinstance(page, SupplyStage)
    page.tabs.setCurrentWidget(page.meter)
    for state, text in ((State.BACK_LIGHT, "97"), (State.LAMP_TEST, "131")):
        page.meter.type_in(state, text)


def _drive(window: MainWindow) -> None:
    page = window.stages.currentWidget()
    assert isinstance(page, OutputStage)
    page.tabs.setCurrentWidget(page.drive)
    page.drive.go.click()
    _settle(4000)


def _compare(window: MainWindow) -> None:
    window.dial.tools.compare()


_MORE: dict[Stage, tuple[tuple[str, Callable[[MainWindow], None]], ...]] = {
    Stage.FACE: (("finishes", _compare),),
    Stage.MOVEMENT: (("response", _show_response),),
    Stage.SUPPLY: (("meter", _show_meter),),
    Stage.OUTPUT: (("drive", _drive),),
}


def _make_small(path: Path) -> None:
    """Keep 256 colours, more than a window has: a third of the bytes for every clone of the repository."""
    from PIL import Image

    with Image.open(path) as picture:
        small = picture.convert("RGB").quantize(256, dither=Image.Dither.NONE, kmeans=2)
    small.save(path, optimize=True)


def _calibrate(window: MainWindow) -> None:
    """Take a sitting on the virtual board, and stop before the last targets."""
    page = window.stages.currentWidget()
    assert isinstance(page, CalibrationStage)
    page.port.join_wanted.emit("virtual:?seed=1&pace=100", 21, 1)
    _wait(lambda: page.bench.is_joined)
    page.range.eye_wanted.emit()
    _wait(lambda: page.range.isHidden())
    page.target.eye_wanted.emit()
    _wait(lambda: page.target.is_done)
    _wait(lambda: page.sitting.fit_is_of_all)
    page.keep()
    page.bench.undo()
    page.target.approach_wanted.emit()
    # the quick board is for whoever waits for the pictures; users are shown the one that is a click away
    page.port.findChildren(QComboBox)[0].setCurrentText(VIRTUAL)
    window.desk.take_port(VIRTUAL)


def _let_go(window: MainWindow) -> None:
    page = window.stages.currentWidget()
    assert isinstance(page, CalibrationStage)
    page.bench.part()
    _wait(lambda: not page.bench.is_joined)


def _wait(until: Callable[[], bool]) -> None:
    for _ in range(600):
        if until():
            return
        _settle(50)
    raise RuntimeError("the picture did not come about in 30 s")


def _settle(for_ms: int) -> None:
    """Let timers and threads of the window do their work."""
    loop = QEventLoop()
    QTimer.singleShot(for_ms, loop.quit)
    loop.exec()


if __name__ == "__main__":
    sys.exit(main())
