"""Help inside the window: the pages of docs/, that of the window first, open at the open stage."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, QTimer, QUrl
from PySide6.QtGui import QDesktopServices, QImage, QShowEvent, QTextDocument
from PySide6.QtWidgets import QDialog, QHBoxLayout, QListWidget, QSplitter, QTextBrowser, QWidget

from needlewright.ui.desk import Stage
from needlewright.ui.translation import capital, translate

_HERE = Path(__file__).parent.parent
_PLACES = (_HERE / "docs", _HERE.parent.parent / "docs")
_WIDEST_PX = 560

#: The page in the window's own words; the others speak of the terminal.
PAGE = "window"
#: The heading of each stage on it.
SECTION_OF = {
    Stage.FACE: "Face",
    Stage.MOVEMENT: "Movement",
    Stage.SUPPLY: "Supply",
    Stage.CALIBRATION: "Calibration",
    Stage.TABLE: "Table",
    Stage.OUTPUT: "Output",
}
#: The pages that follow, in the order of the job.
_JOB = ("face", "movement", "supply", "calibration", "table", "making")


def docs_folder() -> Path:
    """Return the folder of the pages: beside the package when installed, at the top of the tree when not."""
    return next((place for place in _PLACES if place.is_dir()), _PLACES[-1])


class _Browser(QTextBrowser):
    """Shows a page with its pictures no wider than a column."""

    def loadResource(self, kind: int, url: QUrl | str) -> Any:
        if kind == QTextDocument.ResourceType.ImageResource.value:
            image = QImage(str(docs_folder() / QUrl(url).path()))
            if image.width() > _WIDEST_PX:
                return image.scaledToWidth(_WIDEST_PX, Qt.TransformationMode.SmoothTransformation)
            return image
        return super().loadResource(kind, url)


class HelpPages(QDialog):
    """All pages by name, one of them open."""

    def __init__(self, stage: Stage, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Help"))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        names = sorted(path.stem for path in docs_folder().glob("*.md"))
        # the window, the job in its order, then the rest
        self._names = [page for page in (PAGE, *_JOB) if page in names]
        self._names += [name for name in names if name not in self._names]
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Pages"))
        self.list.addItems([capital(translate("words", name.replace("-", " "))) for name in self._names])
        self.text = _Browser()
        self.text.setAccessibleName(self.tr("Page"))
        self.text.setOpenLinks(False)
        self.text.document().setDocumentMargin(18)
        halves = QSplitter()
        halves.setHandleWidth(1)
        halves.setChildrenCollapsible(False)
        halves.addWidget(self.list)
        halves.addWidget(self.text)
        halves.setStretchFactor(1, 1)
        halves.setSizes([150, 640])
        QHBoxLayout(self).addWidget(halves)
        # rows are laid out again when the sheet with their margins has been put on
        QTimer.singleShot(0, self.list, self.list.doItemsLayout)
        self.resize(840, 620)
        self.list.currentRowChanged.connect(self._show)
        self.text.anchorClicked.connect(self._follow)
        self.open_page(PAGE)
        self._section = SECTION_OF[stage]

    def showEvent(self, event: QShowEvent) -> None:
        """Come to the section of the stage, now that the page has its width."""
        super().showEvent(event)
        QTimer.singleShot(0, self.text, lambda: self.open_section(self._section))

    def open_section(self, heading: str) -> None:
        """Scroll to a heading of the page."""
        document = self.text.document()
        block = document.begin()
        while block.isValid():
            if block.blockFormat().headingLevel() and block.text() == heading:
                top = document.documentLayout().blockBoundingRect(block).top()
                self.text.verticalScrollBar().setValue(round(top))
                return
            block = block.next()

    def open_page(self, name: str) -> None:
        """Show a page by its name."""
        if name in self._names:
            self.list.setCurrentRow(self._names.index(name))

    def _show(self, row: int) -> None:
        path = docs_folder() / f"{self._names[row]}.md"
        try:
            self.text.setMarkdown(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError) as error:
            self.text.setPlainText(self.tr("The page cannot be read: {0}").format(error))

    def _follow(self, url: QUrl) -> None:
        name = Path(url.path()).stem
        if url.isRelative() and name in self._names:
            self.open_page(name)
        elif url.isRelative() and url.hasFragment():
            self.text.scrollToAnchor(url.fragment())
        elif url.scheme() in ("http", "https"):
            QDesktopServices.openUrl(url)
