"""What the needles of a board do when the user looks elsewhere, pulls the plug, or opens something else."""

from __future__ import annotations

import contextlib
import itertools
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QDialog

from gaugecore.board.session import Doing
from gaugecore.calibration.readings import Direction
from gaugecore.panel.document import Panel
from needlewright.ui.desk import Stage
from needlewright.ui.needles import CALIBRATION, DRIVE

pytestmark = pytest.mark.slow


class _Plug:
    """A virtual board on a TCP port, to be pulled out and put in again."""

    def __init__(self) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url = f"socket://127.0.0.1:{self.port}"
        self.put_in()

    def put_in(self) -> None:
        words = ["virtual-board", "--listen", f"127.0.0.1:{self.port}", "--seed", "4"]
        self._process = subprocess.Popen(
            [sys.executable, "-m", "needlewright", *words],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for _ in range(200):
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), 0.2):
                return
            time.sleep(0.05)
        raise AssertionError("the virtual board did not start")

    def pull(self) -> None:
        self._process.kill()
        self._process.wait()


@pytest.fixture
def plug() -> Iterator[_Plug]:
    plug = _Plug()
    yield plug
    plug.pull()


@pytest.fixture
def join(make_window: Any, panel: Panel, qtbot: Any) -> Callable[[str], Any]:
    """Return what opens a window with a sitting on a port."""

    def join(url: str = "virtual:?seed=4") -> Any:
        window = make_window(panel)
        window.desk.open_stage(Stage.CALIBRATION)
        page = window.stages.currentWidget()
        window.page = page
        with qtbot.waitSignal(page.bench.joined, timeout=30_000):
            page.port.join_wanted.emit(url, 9, 1)
        qtbot.waitUntil(lambda: page.sitting.is_live, timeout=30_000)
        return window

    return join


def _go_to_target(window: Any, qtbot: Any) -> None:
    window.page.range.range_wanted.emit(1200.0, 1800.0)
    window.page.target.approach_wanted.emit()
    qtbot.waitUntil(lambda: window.page.target._state.doing is Doing.AT_TARGET, timeout=20_000)


def _is_relaxed(window: Any) -> bool:
    return bool(window.page.bench._board.status(0).state == "relaxed")


def test_a_window_that_loses_the_focus_stops_the_needle_whatever_stage_is_open(join: Any, qtbot: Any) -> None:
    window = join()
    _go_to_target(window, qtbot)
    window.desk.open_stage(Stage.FACE)
    QApplication.sendEvent(window, QEvent(QEvent.Type.WindowDeactivate))
    qtbot.waitUntil(lambda: _is_relaxed(window), timeout=30_000)
    assert "lost the focus" in window.strip.text


def test_the_wheel_over_a_command_moves_nothing(join: Any, qtbot: Any) -> None:
    window = join()
    box = window.page.range._ends["low"]
    asked: list[float] = []
    window.page.range.seek_wanted.connect(asked.append)
    box.setFocus()
    spot = QPointF(5, 5)
    event = QWheelEvent(
        spot,
        box.mapToGlobal(spot),
        QPoint(),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(box, event)
    assert asked == []


def test_a_far_command_is_reached_in_small_steps_and_a_stop_ends_the_walk_where_it_is(
    join: Any, qtbot: Any
) -> None:
    window = join()
    commands: list[float] = []
    window.page.bench.state_changed.connect(
        lambda state: commands.append(state.command) if state.command is not None else None
    )
    window.page.range.seek_wanted.emit(1560.0)
    qtbot.waitUntil(lambda: bool(commands) and commands[-1] == 1560.0, timeout=30_000)
    assert max(abs(b - a) for a, b in itertools.pairwise(commands)) <= 10.0
    low, high = (window.page.range._ends[name] for name in ("low", "high"))
    before = low.value()
    high.setValue(1900.0)
    qtbot.waitUntil(lambda: commands[-1] > 1580.0, timeout=30_000)
    window.page.bench.stop()
    qtbot.waitUntil(lambda: _is_relaxed(window), timeout=30_000)
    qtbot.wait(300)
    assert commands[-1] < 1900.0
    assert (low.value(), high.value()) == (before, commands[-1])  # and the boxes say where it stopped


def test_escape_stops_the_needle_while_a_list_has_the_keys(join: Any, qtbot: Any) -> None:
    window = join()
    _go_to_target(window, qtbot)
    box = window.page.target._as
    box.showPopup()
    qtbot.waitUntil(lambda: QApplication.activePopupWidget() is not None, timeout=30_000)
    qtbot.keyClick(box.view(), Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: _is_relaxed(window), timeout=30_000)
    box.hidePopup()


def test_a_sitting_that_is_still_connecting_ends_with_its_panel(
    make_window: Any, panel: Panel, qtbot: Any
) -> None:
    window = make_window(panel)
    window.desk.open_stage(Stage.CALIBRATION)
    page = window.stages.currentWidget()
    page.port.join_wanted.emit("virtual:?seed=4", 9, 1)
    window.document.start(panel.model_copy(update={"title": "Other"}), None)
    qtbot.waitUntil(lambda: window.desk.needles.holder == "", timeout=20_000)
    assert not page.bench.is_joined
    assert not page.sitting.is_live


def test_another_panel_ends_the_sitting_though_its_instrument_has_the_same_short_name(
    join: Any, qtbot: Any, panel: Panel
) -> None:
    window = join()
    _go_to_target(window, qtbot)
    window.page.target.record_wanted.emit(-40.0, False)
    qtbot.waitUntil(lambda: len(window.page.sitting.readings) == 1, timeout=30_000)
    other = panel.model_copy(update={"title": "Other"})
    window.document.start(other, None)
    window.page.keep()
    assert window.document.panel == other
    qtbot.waitUntil(lambda: not window.page.bench.is_joined, timeout=30_000)
    qtbot.waitUntil(lambda: "let go" in window.strip.text, timeout=30_000)
    assert window.page.sitting.readings == ()


def test_a_sitting_goes_on_and_is_kept_when_its_instrument_gets_another_short_name(
    join: Any, qtbot: Any
) -> None:
    window = join()
    _go_to_target(window, qtbot)
    window.page.target.record_wanted.emit(-40.0, False)
    qtbot.waitUntil(lambda: len(window.page.sitting.readings) == 1, timeout=30_000)
    window.document.edit(("instruments", "dial-1", "id"), "rudder", "short name")
    window.page.keep()
    qtbot.waitUntil(lambda: bool(window.document.panel.instruments[0].calibration.sessions), timeout=30_000)
    assert window.document.panel.instruments[0].id == "rudder"
    assert window.page.bench.is_joined


def test_a_needle_that_may_move_is_said_on_the_other_stages(join: Any, qtbot: Any) -> None:
    window = join()
    assert window.strip._reminder.text() == ""
    window.desk.open_stage(Stage.FACE)
    assert "energised" in window.strip._reminder.text()
    window.stages.stop_needles()
    assert "relaxed" in window.strip.text
    window.page.bench.part()
    qtbot.waitUntil(lambda: window.strip._reminder.text() == "", timeout=30_000)


def test_a_complaint_is_put_away_once_what_was_asked_for_works(join: Any, qtbot: Any) -> None:
    window = join()
    window.page.bench.record(10.0, go_on=False)
    qtbot.waitUntil(lambda: "not set yet" in window.strip.text, timeout=30_000)
    window.page.range.seek_wanted.emit(1500.0)
    qtbot.waitUntil(lambda: window.strip.text == "", timeout=30_000)


def test_a_message_about_one_panel_is_gone_with_the_next(make_window: Any, panel: Panel) -> None:
    window = make_window(panel)
    window.strip.say("the file cannot be written")
    window.document.start(panel, None)
    assert window.strip.text == ""


def test_a_jogged_needle_comes_from_the_chosen_side_and_its_reading_says_so(join: Any, qtbot: Any) -> None:
    window = join()
    _go_to_target(window, qtbot)
    page = window.page
    asked = page.target._state.target.direction
    other = Direction.DOWN if asked is Direction.UP else Direction.UP
    page.target.side.setCurrentIndex(page.target.side.findData(other))
    page.target.field.jogged.emit(1.0)
    command = page.target._state.command
    qtbot.waitUntil(lambda: page.target._state.command == command + 1.0, timeout=30_000)
    qtbot.waitUntil(lambda: page.target._state.doing is Doing.AT_TARGET, timeout=30_000)
    page.target.record_wanted.emit(-40.0, False)
    qtbot.waitUntil(lambda: len(page.sitting.readings) == 1, timeout=30_000)
    assert page.sitting.readings[0].direction is other


def test_a_pulled_plug_is_said_within_two_seconds_and_again_when_it_is_back(
    join: Any, qtbot: Any, plug: _Plug
) -> None:
    window = join(plug.url)
    _go_to_target(window, qtbot)
    plug.pull()
    qtbot.waitUntil(lambda: "out of reach" in window.strip.text, timeout=30_000)
    assert "Out of reach" in window.page.port._said.text()
    plug.put_in()
    qtbot.waitUntil(lambda: "is back" in window.strip.text, timeout=30_000)
    assert "Connected" in window.page.port._said.text()
    # the watchdog of the board has let the needle go: it must not be read before it is sent there again
    qtbot.waitUntil(lambda: window.page.target._state.doing is Doing.READY, timeout=30_000)
    assert _is_relaxed(window)


def _is_quick(do: Callable[[], None]) -> bool:
    """Return whether something is done before the line would give up, which takes it 20 s and more."""
    done = threading.Event()
    late: list[bool] = []
    watch = threading.Thread(target=lambda: late.append(not done.wait(15.0)))
    watch.start()
    do()
    done.set()
    watch.join()
    return late == [False]


def _wait_for_the_last_threads() -> None:
    for thread in threading.enumerate():
        if thread.name in ("bench", "relaxing", "driving"):
            thread.join(20)


def test_a_window_closes_soon_though_the_board_is_out_of_reach(join: Any, qtbot: Any, plug: _Plug) -> None:
    window = join(plug.url)
    _go_to_target(window, qtbot)
    plug.pull()
    qtbot.waitUntil(lambda: "out of reach" in window.strip.text, timeout=30_000)
    assert _is_quick(window.shut_down)
    _wait_for_the_last_threads()


@pytest.fixture
def drive(make_window: Any, calibrated: Panel, qtbot: Any) -> Callable[[str], Any]:
    """Return what opens a window with a drive on a port."""

    def drive(url: str = "virtual:?seed=1") -> Any:
        window = make_window(calibrated)
        window.desk.take_instrument("rudder")
        window.desk.open_stage(Stage.OUTPUT)
        window.page = window.stages.currentWidget().drive
        window.page.clamp.setChecked(True)
        window.page._limits.setChecked(True)
        window.page.port.setCurrentText(url)
        window.page.go.click()
        qtbot.waitUntil(lambda: "median" in window.page.words.text(), timeout=30_000)
        return window

    return drive


def test_a_window_with_a_drive_closes_soon_though_the_board_is_out_of_reach(
    drive: Any, qtbot: Any, plug: _Plug
) -> None:
    window = drive(plug.url)
    plug.pull()
    qtbot.waitUntil(lambda: "out of reach" in window.strip.text, timeout=30_000)
    assert _is_quick(window.shut_down)
    _wait_for_the_last_threads()


def test_escape_stops_a_drive_while_a_dialog_has_the_keys(drive: Any, qtbot: Any) -> None:
    window = drive()
    dialog = QDialog()
    qtbot.addWidget(dialog)
    with qtbot.waitActive(dialog):
        dialog.show()
        dialog.activateWindow()
    assert not window.page.driving.is_ending
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not window.page.driving.is_on, timeout=30_000)
    assert not dialog.isVisible()


def test_a_drive_goes_on_when_the_window_loses_the_focus(drive: Any, qtbot: Any) -> None:
    window = drive()
    QApplication.sendEvent(window, QEvent(QEvent.Type.WindowDeactivate))
    assert not window.page.driving.is_ending
    assert window.desk.needles.holder == DRIVE


def test_a_drive_ends_when_its_instrument_is_taken_out(drive: Any, qtbot: Any) -> None:
    window = drive()
    panel = window.document.panel
    others = tuple(one for one in panel.instruments if one.id != "rudder")
    window.document.replace(panel.model_copy(update={"instruments": others}), "take out")
    assert "no longer has rudder" in window.strip.text
    qtbot.waitUntil(lambda: window.desk.needles.holder == "", timeout=20_000)


def test_a_drive_ends_when_another_panel_is_begun(drive: Any, qtbot: Any, panel: Panel) -> None:
    window = drive()
    window.document.start(panel, None)
    assert "another panel" in window.strip.text
    qtbot.waitUntil(lambda: not window.page.driving.is_on, timeout=20_000)


def test_a_calibration_does_not_connect_while_a_drive_has_the_board(drive: Any, qtbot: Any) -> None:
    window = drive()
    window.desk.open_stage(Stage.CALIBRATION)
    page = window.stages.currentWidget()
    page.port.join_wanted.emit("virtual:?seed=4", 9, 1)
    assert "A drive has the board" in window.strip.text
    assert page.bench._thread is None
    assert "A drive" in window.strip._reminder.text()


def test_a_drive_does_not_begin_while_a_calibration_has_the_board(join: Any, qtbot: Any) -> None:
    window = join()
    window.desk.open_stage(Stage.OUTPUT)
    page = window.stages.currentWidget().drive
    page.go.click()
    assert "A calibration has the board" in window.strip.text
    assert not page.driving.is_on
    assert window.desk.needles.holder == CALIBRATION


def test_no_table_goes_to_a_board_that_a_calibration_has(join: Any, qtbot: Any) -> None:
    window = join()
    window.desk.open_stage(Stage.TABLE)
    page = window.stages.currentWidget()
    page._uploads.click()
    assert "A calibration has the board" in window.strip.text
    assert page._row.isHidden()


def test_a_drive_says_that_the_plug_is_out_and_sets_the_limits_again_when_it_is_in(
    drive: Any, qtbot: Any, plug: _Plug
) -> None:
    window = drive(plug.url)
    board = window.page.driving._board
    channel = [one.id for one in window.document.panel.instruments].index("rudder")
    wanted = board.limits(channel)
    plug.pull()
    qtbot.waitUntil(lambda: "out of reach" in window.strip.text, timeout=30_000)
    assert "What follows is from before" in window.page.words.text()
    plug.put_in()
    qtbot.waitUntil(lambda: "is back" in window.strip.text, timeout=30_000)
    qtbot.waitUntil(lambda: board.limits(channel) == wanted, timeout=30_000)
    qtbot.waitUntil(lambda: "from before" not in window.page.words.text(), timeout=30_000)
