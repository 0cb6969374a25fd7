"""The instruments of the panel, and what can be done with them as a whole."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QMenu,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from gaugecore.face.presets import preset_names
from gaugecore.panel.document import Instrument
from needlewright.ui.desk import Desk
from needlewright.ui.instrument_edits import copied, fresh, without
from needlewright.ui.translation import capital, translate

_ID = Qt.ItemDataRole.UserRole


class InstrumentList(QWidget):
    """Choose, add, copy and remove instruments."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._shown: tuple[list[tuple[str, str]], str] | None = None
        self._title = QLabel(self.tr("Instruments"))
        self._title.setObjectName("columnTitle")
        self._list = QListWidget()
        self._list.setAccessibleName(self.tr("Instruments"))
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setTextElideMode(Qt.TextElideMode.ElideRight)
        self._title.setBuddy(self._list)
        row = QHBoxLayout()
        row.setContentsMargins(8, 2, 8, 4)
        self._add = _action(
            self.tr("+  New"),
            self.tr("Add an instrument; the arrow begins from a preset"),
            lambda: self._put_in(),
        )
        self._add.setPopupMode(QToolButton.ToolButtonPopupMode.MenuButtonPopup)
        presets = QMenu(self._add)
        for name in preset_names():
            label = capital(translate("words", name.replace("-", " ")))
            presets.addAction(label).triggered.connect(lambda _=False, name=name: self._put_in(name))
        self._add.setMenu(presets)
        self._copy = _action(self.tr("Copy"), self.tr("Copy this instrument"), self._copy_one)
        self._remove = _action(self.tr("Remove"), self.tr("Remove this instrument"), self._take_out)
        for button in (self._add, self._copy, self._remove):
            row.addWidget(button)
        row.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._title)
        column.addWidget(self._list, 1)
        column.addLayout(row)
        self._list.currentItemChanged.connect(self._choose)
        desk.document.changed.connect(lambda _: self.refresh())
        desk.instrument_changed.connect(lambda _: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        """Show the panel's instruments."""
        rows = [(instrument.id, _said_of(instrument)) for instrument in self._desk.document.panel.instruments]
        current = self._desk.instrument
        current_id = current.id if current is not None else ""
        if self._shown == (rows, current_id):
            return  # most edits change none of this
        self._shown = (rows, current_id)
        with QSignalBlocker(self._list):
            while self._list.count() > len(rows):
                self._list.takeItem(self._list.count() - 1)
            while self._list.count() < len(rows):
                self._list.addItem(QListWidgetItem())
            for at, (instrument_id, said) in enumerate(rows):
                item = self._list.item(at)
                item.setText(said)
                item.setToolTip(said)  # a long title is cut at the right
                item.setData(_ID, instrument_id)
                if instrument_id == current_id:
                    self._list.setCurrentRow(at)
                    self._list.scrollToItem(item)
        self._copy.setEnabled(current is not None)
        self._remove.setEnabled(current is not None)

    def _choose(self, item: QListWidgetItem | None, _before: object = None) -> None:
        if item is not None:
            self._desk.take_instrument(item.data(_ID))

    def _put_in(self, preset_name: str = "") -> None:
        panel, added = fresh(self._desk.document.panel, preset_name)
        self._desk.document.replace(panel, self.tr("add {0}").format(added))
        self._desk.take_instrument(added)

    def _copy_one(self) -> None:
        current = self._desk.instrument
        if current is not None:
            panel, added = copied(self._desk.document.panel, current.id)
            self._desk.document.replace(panel, self.tr("copy {0}").format(current.id))
            self._desk.take_instrument(added)

    def _take_out(self) -> None:
        current = self._desk.instrument
        if current is not None:
            self._desk.document.replace(
                without(self._desk.document.panel, current.id), self.tr("remove {0}").format(current.id)
            )


def _said_of(instrument: Instrument) -> str:
    unit = f", {instrument.unit}" if instrument.unit else ""
    return f"{instrument.title or instrument.id}{unit}"


def _action(text: str, spoken: str, do: object) -> QToolButton:
    button = QToolButton()
    button.setObjectName("lineAction")
    button.setText(text)
    button.setAccessibleName(spoken)
    button.setToolTip(spoken)
    button.clicked.connect(do)
    return button
