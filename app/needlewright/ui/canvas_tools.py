"""The row above the canvas: how close, at what true size, and which layers."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QToolButton, QWidget

from gaugecore.drawing.elements import Operation
from needlewright.ui.canvas import DialCanvas, Overlay
from needlewright.ui.finish import Finish
from needlewright.ui.translation import capital, in_words
from needlewright.ui.true_size import px_per_mm


class CanvasTools(QWidget):
    """Zoom, true size, finish, layers, rulers.

    Signals
    -------
    finish_wanted : Finish
        The dial is to be looked at as this.
    compare_wanted
        The dial is to be looked at in every finish, side by side.
    """

    finish_wanted = Signal(object)
    compare_wanted = Signal()

    def __init__(self, canvas: DialCanvas, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._canvas = canvas
        self._zooms: list[QToolButton] = []
        row = QHBoxLayout(self)
        row.setContentsMargins(4, 4, 4, 4)
        row.setSpacing(3)
        for text, spoken, do in (
            (self.tr("Fit"), self.tr("Show the whole dial"), canvas.fit),
            (self.tr("True size"), self.tr("Show the dial as large as it will be"), self.true_size),
            ("+", self.tr("Closer"), lambda: canvas.zoom(1.25)),
            ("−", self.tr("Farther"), lambda: canvas.zoom(0.8)),
        ):
            self._zooms.append(_button(text, spoken, do))
            row.addWidget(self._zooms[-1])
        self._close = QLabel()
        self._close.setObjectName("quiet")
        row.addWidget(self._close)
        row.addStretch()
        self._finishes = self._finish_actions()
        self._finish = self._menu(self.tr("As paper"), self._finishes)
        self._finish.setToolTip(self.tr("What the dial is looked at as"))
        row.addWidget(self._finish)
        row.addWidget(self._menu(self.tr("Layers"), self._layer_actions()))
        row.addWidget(self._menu(self.tr("Measure"), self._overlay_actions()))
        canvas.view_changed.connect(lambda _: self.show_scale())
        self.show_scale()

    def true_size(self) -> None:
        """Show a millimetre as a millimetre."""
        self._canvas.zoom_to(px_per_mm(self.screen()))

    def show_scale(self) -> None:
        """Say how much larger than life the dial is, on the screen it is on."""
        times = self._canvas.px_per_mm / px_per_mm(self.screen())
        self._close.setText(f"{times:.2g} : 1")
        self._close.setAccessibleName(self.tr("Shown at {0:.2g} times true size").format(times))

    def event(self, event: QEvent) -> bool:
        """Follow the window to another screen, or to another scaling of this one."""
        if event.type() in (QEvent.Type.ScreenChangeInternal, QEvent.Type.DevicePixelRatioChange):
            self.show_scale()
        return super().event(event)

    def _menu(self, title: str, actions: list[QAction]) -> QToolButton:
        button = QToolButton()
        button.setObjectName("opener")
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        _name(button, title)
        menu = QMenu(button)
        menu.addActions(actions)
        button.setMenu(menu)
        return button

    def take_finish(self, finish: Finish) -> None:
        """Look at the dial as something else."""
        self._finishes[list(Finish).index(finish)].setChecked(True)

    def _finish_actions(self) -> list[QAction]:
        group = QActionGroup(self)
        made = []
        for finish in Finish:
            action = QAction(capital(in_words(finish)), self, checkable=True)
            action.setChecked(finish is Finish.PAPER)
            action.toggled.connect(lambda on, finish=finish: self._show_finish(finish) if on else None)
            group.addAction(action)
            made.append(action)
        every = QAction(self.tr("Side by side"), self, checkable=True)
        every.toggled.connect(lambda on: self._show_every() if on else None)
        group.addAction(every)
        return [*made, every]

    def compare(self) -> None:
        """Look at the dial in every finish, side by side."""
        self._finishes[-1].setChecked(True)

    def _show_every(self) -> None:
        _name(self._finish, self._finishes[-1].text())
        self._enable_zoom(False)
        self.compare_wanted.emit()

    def _enable_zoom(self, wanted: bool) -> None:
        """Let the view be zoomed, or not: dials side by side are as large as they go."""
        for button in self._zooms:
            button.setEnabled(wanted)

    def _show_finish(self, finish: Finish) -> None:
        said = in_words(finish) if finish is Finish.NIGHT else self.tr("as {0}").format(in_words(finish))
        _name(self._finish, capital(said))
        self._enable_zoom(True)
        self.finish_wanted.emit(finish)

    def _layer_actions(self) -> list[QAction]:
        made = []
        for operation in Operation:
            action = QAction(capital(in_words(operation)), self, checkable=True, checked=True)
            action.toggled.connect(
                lambda shown, operation=operation: self._canvas.show_operation(operation, shown)
            )
            made.append(action)
        return made

    def _overlay_actions(self) -> list[QAction]:
        made = []
        for overlay in Overlay:
            action = QAction(capital(in_words(overlay)), self, checkable=True)
            action.setChecked(overlay is Overlay.RULERS)
            action.toggled.connect(lambda shown, overlay=overlay: self._canvas.show_overlay(overlay, shown))
            made.append(action)
        return made


def _name(opener: QToolButton, title: str) -> None:
    # the style squeezes its own arrow into the corner, where it reads as a comma
    opener.setText(f"{title}\u200a▾")
    opener.setAccessibleName(title)


def _button(text: str, spoken: str, do: object) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setToolTip(spoken)
    button.setAccessibleName(spoken)
    button.clicked.connect(lambda _=False: do())  # type: ignore[operator]
    return button
