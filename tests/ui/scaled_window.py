"""What a scaled screen makes of the window; run on its own, since a scale holds for a whole program.

Prints JSON. The test beside it sets the scale and judges.
"""

from __future__ import annotations

import itertools
import json

from PySide6.QtCore import QPoint
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QWidget

from gaugecore.drawing.elements import Box, Circle, Drawing, Operation
from needlewright.ui.canvas import DialCanvas
from needlewright.ui.overlays import RULER_PX
from needlewright.ui.true_size import px_per_mm


def _disc(colour: str) -> Drawing:
    disc = Circle(
        operation=Operation.PRINT,
        part="disc",
        centre_mm=(0.0, 0.0),
        radius_mm=4.0,
        filled=True,
        colour=colour,
    )
    box = Box(left_mm=-20.0, bottom_mm=-20.0, right_mm=20.0, top_mm=20.0)
    return Drawing(name="disc", title="Disc", box=box, elements=(disc,))


def _runs(dark: list[bool]) -> list[int]:
    return [len(list(run)) for is_dark, run in itertools.groupby(dark) if is_dark]


def main() -> None:
    """Look at a canvas that begins beside a whole pixel of the screen, a dark face under a light needle."""
    application = QApplication([])
    screen = application.primaryScreen()
    window = QWidget()
    window.resize(400, 300)
    canvas = DialCanvas(window)
    canvas.setGeometry(1, 1, 360, 280)
    canvas.show_dial(_disc("#000000"), _disc("#ffffff"))
    window.show()
    ratio = window.devicePixelRatioF()
    picture: QImage = window.grab().toImage()
    ground = canvas.palette().alternateBase().color()
    middle = canvas.mapTo(window, QPoint(180, 140))
    row = [picture.pixelColor(x, round(middle.y() * ratio)) for x in range(picture.width())]
    fringe = [max(0, ground.lightness() - colour.lightness()) for colour in row]
    at = round(middle.x() * ratio)
    left, right = sum(fringe[at - 120 : at]), sum(fringe[at : at + 120])
    base = canvas.palette().base().color()
    ruler_y = round((1 + RULER_PX - 2) * ratio)
    ticks = [_is_line(picture.pixelColor(x, ruler_y), base) for x in range(60, picture.width() - 80)]
    print(  # noqa: T201
        json.dumps(
            {
                "ratio": ratio,
                "mm_of_true_size": screen.size().width() / px_per_mm(screen),
                "mm_of_screen": screen.physicalSize().width(),
                "fringe": [left, right],
                "tick_widths": sorted(set(_runs(ticks))),
            }
        )
    )


def _is_line(colour: QColor, ground: QColor) -> bool:
    return abs(colour.lightness() - ground.lightness()) > 60


if __name__ == "__main__":
    main()
