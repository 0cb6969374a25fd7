"""The pages of a PDF as pictures, drawn when somebody looks at them, as fine as they are looked at."""

from __future__ import annotations

from PySide6.QtGui import QImage

_MM_PER_POINT = 25.4 / 72.0


class PdfPages:
    """A PDF that is looked at, page by page. Not for more than one thread: its library is not.

    Parameters
    ----------
    content : bytes
        The whole file.
    """

    def __init__(self, content: bytes) -> None:
        import pypdfium2

        self._document = pypdfium2.PdfDocument(content)

    def __len__(self) -> int:
        return len(self._document)

    def size_mm(self, at: int) -> tuple[float, float]:
        """Return width and height of a page, counted from 0."""
        width, height = self._document[at].get_size()
        return width * _MM_PER_POINT, height * _MM_PER_POINT

    def picture(self, at: int, px_per_mm: float) -> QImage:
        """Return a page, counted from 0, as a picture on white."""
        bitmap = self._document[at].render(scale=px_per_mm * _MM_PER_POINT, rev_byteorder=True)
        data = bytes(bitmap.buffer)
        image = QImage(data, bitmap.width, bitmap.height, bitmap.stride, QImage.Format.Format_RGB888)
        return image.copy()  # on its own memory, which outlives the bitmap's

    def close(self) -> None:
        """Let go of the document."""
        self._document.close()
