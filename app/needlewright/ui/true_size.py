"""How many pixels a millimetre is on a screen: as measured on it, else as the screen says.

Screens are told apart, for a panel may be looked at on two of them. What is kept counts the screen's own
pixels, since those of the window change their size with the system's scaling.
"""

from __future__ import annotations

from urllib.parse import quote

from PySide6.QtCore import QSettings
from PySide6.QtGui import QScreen

from gaugecore.units import MM_PER_INCH


def px_per_mm(screen: QScreen) -> float:
    """Return the window's pixels in a millimetre of a screen."""
    measured = QSettings().value(_key(screen))
    if measured is not None:
        return float(str(measured)) / screen.devicePixelRatio()
    # counts the window's pixels already, though its name does not say so
    return screen.physicalDotsPerInch() / MM_PER_INCH


def keep_measured(screen: QScreen, px_per_mm: float) -> None:
    """Keep what was measured on a screen, in the window's pixels a millimetre."""
    QSettings().setValue(_key(screen), px_per_mm * screen.devicePixelRatio())


def _key(screen: QScreen) -> str:
    # settings take a slash for a folder, and names of screens may hold any character
    name = quote(f"{screen.name()} {screen.model()} {screen.serialNumber()}".strip(), safe="")
    return f"screens/{name}/px_per_mm"
