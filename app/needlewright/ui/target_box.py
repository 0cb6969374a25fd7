"""The target in hand: which it is, from which side, and the field its reading goes into."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gaugecore.board.session import Doing, SessionState
from gaugecore.calibration.readings import Direction
from gaugecore.errors import NeedlewrightError
from gaugecore.face.scale import angle_deg, value_at
from gaugecore.panel.document import Instrument
from needlewright.ui.font_size import with_letters
from needlewright.ui.reading_field import ReadingField
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate, with_minus

_SIDES = {
    Direction.UP: QT_TRANSLATE_NOOP("target_box", "from below, clockwise"),
    Direction.DOWN: QT_TRANSLATE_NOOP("target_box", "from above, counter-clockwise"),
}
#: Which side a jogged needle arrives from; None: the one the target asks for.
_CHOSEN_SIDES = (
    (None, QT_TRANSLATE_NOOP("target_box", "as the target asks")),
    (Direction.UP, QT_TRANSLATE_NOOP("target_box", "from below")),
    (Direction.DOWN, QT_TRANSLATE_NOOP("target_box", "from above")),
)


class TargetBox(QWidget):
    """Walks through the plan.

    Signals
    -------
    approach_wanted, skip_wanted, undo_wanted, eye_wanted, stop_wanted
        What the user wants of the session.
    jog_wanted : float, Direction or None
        Shift the needle by so many command units, arriving from a side; None: from that of the target.
    record_wanted : float, bool
        The needle stands at this dial angle; whether to go on to the next target at once.
    complained : str
        What was typed cannot be taken.
    """

    approach_wanted = Signal()
    skip_wanted = Signal()
    undo_wanted = Signal()
    eye_wanted = Signal()
    stop_wanted = Signal()
    jog_wanted = Signal(float, object)
    record_wanted = Signal(float, bool)
    complained = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._instrument: Instrument | None = None
        self._state = SessionState()
        self._words = QLabel()
        self._words.setWordWrap(True)
        self._words.setAccessibleName(self.tr("Target"))
        # three lines, so that nothing below moves from target to target
        self._words.setMinimumHeight(3 * self.fontMetrics().lineSpacing())
        self.field = ReadingField()
        self._as = QComboBox()
        self._as.setAccessibleName(self.tr("What is typed"))
        self.side = QComboBox()
        self.side.setAccessibleName(self.tr("From which side a jogged needle arrives"))
        self.side.setToolTip(self.tr("A reading of a jogged needle is of the side it came from"))
        for side, text in _CHOSEN_SIDES:
            self.side.addItem(translate("target_box", text), side)
        self._go_on = QCheckBox(self.tr("Go to the next target by itself"))
        self._go_on.setChecked(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._words)
        line = QHBoxLayout()
        shows = QLabel(self.tr("Needle shows"))
        shows.setBuddy(self.field)
        for part, stretch in ((shows, 0), (self.field, 1), (self._as, 0)):
            line.addWidget(part, stretch)
        self._record = _button(self.tr("Record"), self._enter_typed)
        line.addWidget(self._record)
        column.addLayout(line)
        self._go = _button(self.tr("Go to target"), self.approach_wanted.emit)
        self._skip = _button(self.tr("Skip"), self.skip_wanted.emit)
        self._undo = _button(self.tr("Take last back"), self.undo_wanted.emit)
        self._eye = _button(self.tr("Read the rest with the simulated eye"), self.eye_wanted.emit)
        walk = QHBoxLayout()
        for button in (self._go, self._skip, self._undo):
            walk.addWidget(button, 1)
        column.addLayout(walk)
        column.addLayout(self._jogs())
        column.addWidget(self._eye)
        column.addWidget(self._go_on)
        self.field.entered.connect(self._enter)
        self.field.not_a_number.connect(
            lambda text: self.complained.emit(self.tr("A number is wanted, found “{0}”.").format(text))
        )
        self.field.jogged.connect(self._jog)
        self.field.taken_back.connect(self.undo_wanted)
        self.field.stopped.connect(self.stop_wanted)

    def _jogs(self) -> QHBoxLayout:
        """Return the row that shifts the needle by a little, from a side."""
        row = QHBoxLayout()
        for amount in (-10.0, -1.0, 1.0, 10.0):
            text = f"{amount:+.0f}".replace("-", "−")
            button = _button(text, lambda amount=amount: self._jog(amount))
            button.setFixedWidth(with_letters(38))
            button.setAccessibleName(self.tr("Jog by {0}").format(text))
            row.addWidget(button)
        row.addStretch()
        arriving = QLabel(self.tr("arriving"))
        arriving.setBuddy(self.side)
        row.addWidget(arriving)
        row.addWidget(self.side)
        return row

    def begin(self, instrument: Instrument, *, virtual: bool) -> None:
        """Begin with an instrument and the board that drives it."""
        self._instrument = instrument
        self._as.clear()
        self._as.addItems(
            [
                self.tr("on the scale, {0}").format(instrument.unit)
                if instrument.unit
                else self.tr("on the scale"),
                self.tr("dial angle, °"),
            ]
        )
        self._eye.setVisible(virtual)
        self.side.setCurrentIndex(0)

    @property
    def is_done(self) -> bool:
        """Return whether every target has been read or left out."""
        return self._state.doing is Doing.DONE

    def show_state(self, state: SessionState, expected_deg: float | None) -> None:
        """Show where the session is; the angle is where the needle is expected, if anybody knows."""
        recorded = len(state.readings) > len(self._state.readings)
        self._state = state
        self._words.setText(self._said(state, expected_deg))
        at_target = state.doing is Doing.AT_TARGET
        ready = state.doing is not Doing.MOVING and state.target is not None
        self._record.setEnabled(at_target)
        self._go.setEnabled(ready)
        self._skip.setEnabled(ready)
        self._undo.setEnabled(bool(state.readings) and state.doing is not Doing.MOVING)
        self._eye.setEnabled(ready)
        if recorded:
            self.field.clear()
            self.field.setFocus()

    def _said(self, state: SessionState, expected_deg: float | None) -> str:
        target = state.target
        count = f"{len(state.readings)} of {len(state.targets)} readings"
        if target is None:
            return self.tr("All targets are done: {0}. Keep them in the panel below.").format(count)
        near = "" if expected_deg is None else self.tr(", to about {0}").format(self._as_shown(expected_deg))
        doing = {
            Doing.MOVING: self.tr("The needle is on its way."),
            Doing.AT_TARGET: self.tr("The needle rests. Read it, type what it shows, press Enter."),
        }.get(state.doing, self.tr("Press Enter to send the needle there."))
        which = self.tr("Target {0} of {1}").format(state.at + 1, len(state.targets))
        side = translate("target_box", _SIDES.get(target.direction, ""))
        return f"{which}, {side}{near}. {doing}"

    def _as_shown(self, dial_deg: float) -> str:
        assert self._instrument is not None
        try:
            value = value_at(self._instrument.face.scale, dial_deg)
        except NeedlewrightError:
            return self.tr("{0}°, beyond the scale").format(with_minus(f"{dial_deg:.0f}"))
        return f"{with_minus(f'{value:.3g}')} {self._instrument.unit}".strip()

    def _jog(self, amount: float) -> None:
        self.jog_wanted.emit(amount, self.side.currentData())

    def _enter_typed(self) -> None:
        self.field.returnPressed.emit()

    def _enter(self, number: float | None) -> None:
        if number is None:
            if self._state.target is not None and self._state.doing is not Doing.MOVING:
                self.approach_wanted.emit()
            return
        assert self._instrument is not None
        try:
            angle = number if self._as.currentIndex() else angle_deg(self._instrument.face.scale, number)
        except NeedlewrightError as error:
            self.complained.emit(self.tr("{0}. Beyond the scale, type the dial angle instead.").format(error))
            return
        self.record_wanted.emit(angle, self._go_on.isChecked())


def _button(text: str, do: object) -> QPushButton:
    button = QPushButton(text)
    button.clicked.connect(lambda _=False: do())  # type: ignore[operator]
    return button
