"""How the window looks: paper and ink by day, the same turned down by night; the system says which.

Contrast of text on its ground is at least 7 to 1, of secondary text at least 4.5 to 1 (WCAG 2.1, 1.4.3 and
1.4.6); a test works it out.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

_ROLE = QPalette.ColorRole

#: Ground, sheets, text and the one accent, the green of a weathered brass fitting.
LIGHT = {
    _ROLE.Window: "#f1ede4",
    _ROLE.Base: "#fbf9f4",
    _ROLE.AlternateBase: "#e2dccf",
    _ROLE.Button: "#e9e4d8",
    _ROLE.WindowText: "#26231d",
    _ROLE.Text: "#26231d",
    _ROLE.ButtonText: "#26231d",
    _ROLE.PlaceholderText: "#655f52",
    _ROLE.ToolTipBase: "#fbf9f4",
    _ROLE.ToolTipText: "#26231d",
    _ROLE.Highlight: "#1f6a5c",
    _ROLE.HighlightedText: "#ffffff",
    _ROLE.Mid: "#b9b1a0",
    _ROLE.Dark: "#8f8776",
    _ROLE.Light: "#ffffff",
    _ROLE.Midlight: "#d9d2c3",
    _ROLE.Shadow: "#8f8776",
    _ROLE.Link: "#1f6a5c",
    _ROLE.BrightText: "#8c2f14",
}
DARK = {
    _ROLE.Window: "#23211d",
    _ROLE.Base: "#2c2a25",
    _ROLE.AlternateBase: "#191815",
    _ROLE.Button: "#37342e",
    _ROLE.WindowText: "#ece7db",
    _ROLE.Text: "#ece7db",
    _ROLE.ButtonText: "#ece7db",
    _ROLE.PlaceholderText: "#a9a292",
    _ROLE.ToolTipBase: "#2c2a25",
    _ROLE.ToolTipText: "#ece7db",
    _ROLE.Highlight: "#7cc4b2",
    _ROLE.HighlightedText: "#15231f",
    _ROLE.Mid: "#57524a",
    _ROLE.Dark: "#15140f",
    _ROLE.Light: "#4a463f",
    _ROLE.Midlight: "#403c35",
    _ROLE.Shadow: "#8a8373",
    _ROLE.Link: "#7cc4b2",
    _ROLE.BrightText: "#f0a58a",
}

_SHEET = """
QToolTip { padding: 4px; border: 1px solid palette(mid); }
QLabel#complaint { color: palette(bright-text); }
QLabel#summary, QLabel#quiet { color: palette(placeholder-text); }
QLabel#about { color: palette(placeholder-text); background: palette(base);
    border-top: 1px solid palette(midlight); }
QPushButton#stop { font-weight: bold; padding: 5px; }
QLabel#columnTitle { font-weight: bold; padding: 8px 12px 2px 12px; }
QToolButton#sectionTitle { border: none; background: transparent; font-weight: bold; padding: 4px 2px; }
QToolButton#sectionTitle:focus, QToolButton#stage:focus,
QToolButton#adder:focus, QToolButton#lineAction:focus {
    border: 1px solid palette(highlight); }
QToolButton#lineAction { border: none; background: transparent; color: palette(link); padding: 2px 6px; }
QToolButton#lineAction:disabled { color: palette(shadow); }
QToolButton#lineAction:hover, QToolButton#adder:hover { text-decoration: underline; }
QToolButton#adder { border: none; background: transparent; color: palette(link); padding: 4px 2px; }
QToolButton#opener::menu-indicator { image: none; }
QToolButton#stage { border: none; border-bottom: 3px solid transparent; padding: 6px 14px 5px 14px;
    background: transparent; text-align: left; }
QToolButton#stage:hover { background: palette(midlight); }
QToolButton#stage:checked { border-bottom: 3px solid palette(highlight); background: palette(base); }
QFrame#rule { background: palette(mid); border: none; }
QFrame#strip { background: palette(base); border-top: 1px solid palette(mid); }
QListWidget, QTableView { border: 1px solid palette(base); background: palette(base); outline: none; }
QListWidget:focus, QTableView:focus { border: 1px solid palette(highlight); }
QListWidget::item { padding: 5px 10px; }
QListWidget::item:selected { background: palette(highlight); color: palette(highlighted-text); }
QScrollArea, QScrollArea > QWidget#qt_scrollarea_viewport > QWidget { background: palette(base); }
QCheckBox::indicator:unchecked { width: 13px; height: 13px; border: 1px solid palette(placeholder-text);
    border-radius: 2px; background: palette(base); }
QCheckBox::indicator:unchecked:focus, QCheckBox::indicator:unchecked:hover {
    border-color: palette(highlight); }
QCheckBox::indicator:unchecked:disabled { border-color: palette(mid); }
QSplitter::handle { background: palette(mid); }
"""


class Look(QObject):
    """Keeps the palette in step with the system's light or dark."""

    def __init__(self, application: QApplication) -> None:
        super().__init__(application)
        self._application = application
        application.setStyle("Fusion")
        hints = QGuiApplication.styleHints()
        hints.colorSchemeChanged.connect(self.follow)
        self.follow(hints.colorScheme())

    def follow(self, scheme: Qt.ColorScheme) -> None:
        """Take the palette of a scheme."""
        self.take(palette(DARK if scheme is Qt.ColorScheme.Dark else LIGHT))

    def take(self, colours: QPalette) -> None:
        """Wear a palette."""
        self._application.setPalette(colours)
        # the sheet names palette roles, and is only worked out again when it is set again
        self._application.setStyleSheet("")
        self._application.setStyleSheet(_SHEET)


def palette(colours: dict[QPalette.ColorRole, str]) -> QPalette:
    """Return a palette of named colours, greyed where things are disabled."""
    made = QPalette()
    for role, colour in colours.items():
        made.setColor(role, QColor(colour))
    for role in (_ROLE.WindowText, _ROLE.Text, _ROLE.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(colours[_ROLE.Shadow]))
    return made
