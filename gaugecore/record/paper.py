"""The paper itself: page frame, type, and the flowables that keep true size.

Text is set in DejaVu Sans, which matplotlib brings along and which is embedded, so that a degree sign or a
name in another script prints anywhere.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.pdf import paint
from gaugecore.units import mm_to_pt

FONT, BOLD = "DejaVuSans", "DejaVuSans-Bold"
INK, PALE = "#1c1f22", "#8a9096"
#: Margins of an A4 page that every desktop printer can reach.
MARGIN_MM = 18.0
#: ISO 216, A4 to A0.
ISO_A_MM = ((210.0, 297.0), (297.0, 420.0), (420.0, 594.0), (594.0, 841.0), (841.0, 1189.0))
PAGE_MM = ISO_A_MM[0]
#: Room for text on an A4 page; it is no wider on any other.
FRAME_MM = (PAGE_MM[0] - 2 * MARGIN_MM, PAGE_MM[1] - 2 * MARGIN_MM)
#: The foot stands so far below the margin, and the text so far above it.
_FOOT_MM = 4.0
#: Room above and below a drawing for a title of several lines and the words that go with it.
_WORDS_MM = 60.0
#: Room for the list of parts and the cautions, on paper that is as large as it has to be anyhow.
_LIST_MM = 90.0
_BOX_PT = 6


@dataclass(slots=True)
class Insets:
    """Pages of other PDF files to be laid into this one, and where."""

    placed: list[tuple[int, float, float, float, bytes]] = field(default_factory=list)
    """Page index, left and bottom in points, width in points, the one-page PDF."""


def register_fonts() -> None:
    """Make the two faces of DejaVu Sans known to reportlab."""
    import matplotlib
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name in (FONT, BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))


def styles() -> dict[str, Any]:
    """Return the paragraph styles by name: title, heading, body, small, caution."""
    from reportlab.lib.colors import HexColor
    from reportlab.lib.styles import ParagraphStyle

    body = ParagraphStyle("body", fontName=FONT, fontSize=9, leading=12.5, textColor=HexColor(INK))

    def like(name: str, **changes: Any) -> Any:
        return ParagraphStyle(name, parent=body, **changes)

    return {
        "title": like("title", fontName=BOLD, fontSize=17, leading=22, spaceAfter=2),
        "heading": like("heading", fontName=BOLD, fontSize=11, leading=14, spaceBefore=9, spaceAfter=4),
        "body": body,
        "small": like("small", fontSize=7.5, leading=10, textColor=HexColor("#555b61")),
        "caution": like(
            "caution",
            fontSize=8,
            leading=11,
            borderColor=HexColor(INK),
            borderWidth=0.6,
            borderPadding=_BOX_PT,
            # a border is drawn round the text, so the text has to stand back for it
            leftIndent=_BOX_PT,
            rightIndent=_BOX_PT,
            spaceBefore=16,
        ),
    }


def text(said: str, style: Any) -> Any:
    """Return a paragraph of plain text; nothing in it is taken for markup."""
    from reportlab.platypus import Paragraph

    return Paragraph(escape(said), style)


def rows(pairs: Sequence[Sequence[str]], *, widths_mm: Sequence[float], head: bool = False) -> Any:
    """Return a quiet table with a hairline under each row; figures keep their column."""
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import Table

    style = styles()["body"]
    cells = [[text(cell, style) for cell in row] for row in pairs]
    table = Table(cells, colWidths=[mm_to_pt(w) for w in widths_mm], hAlign="LEFT", repeatRows=int(head))
    lines: list[Any] = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.25, HexColor("#c9ced3")),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
    ]
    if head:
        lines.append(("LINEBELOW", (0, 0), (-1, 0), 0.8, HexColor(INK)))
    table.setStyle(lines)
    return table


def true_size(drawing: Drawing) -> Any:
    """Return a flowable that shows a drawing at true size, never scaled to fit."""
    from reportlab.platypus import Flowable

    class TrueSize(Flowable):
        """The drawing, centred in the width there is."""

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            self.left = (width - mm_to_pt(drawing.box.width_mm)) / 2
            return width, mm_to_pt(drawing.box.height_mm)

        def draw(self) -> None:
            left_mm = self.left / mm_to_pt(1.0)
            paint(self.canv, drawing, left_mm=left_mm, bottom_mm=0.0)

    return TrueSize()


def inset(page: bytes, *, width_mm: float, height_mm: float, insets: Insets) -> Any:
    """Return a flowable that keeps room for a page of another PDF, and notes where it came to lie."""
    from reportlab.platypus import Flowable

    class Room(Flowable):
        """An empty place."""

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            return mm_to_pt(width_mm), mm_to_pt(height_mm)

        def draw(self) -> None:
            left, bottom = self.canv.absolutePosition(0, 0)
            insets.placed.append((self.canv.getPageNumber() - 1, left, bottom, mm_to_pt(width_mm), page))

    return Room()


@dataclass(frozen=True, slots=True)
class Sheaf:
    """Pages of one size, and the story that flows over them."""

    page_mm: tuple[float, float]
    story: Sequence[Any]


def page_for(drawing: Drawing) -> tuple[float, float]:
    """Return the smallest upright page of the ISO A series, or else of no series, that a drawing fits on.

    A drawing is never scaled; a face that is broader than A4 takes broader paper.
    """
    width_mm = drawing.box.width_mm + 2 * MARGIN_MM
    height_mm = drawing.box.height_mm + 2 * MARGIN_MM + _WORDS_MM
    for page in ISO_A_MM:
        if width_mm <= page[0] and height_mm <= page[1]:
            return page
    return width_mm, height_mm + _LIST_MM


def bound(sheaves: Sequence[Sheaf], *, title: str, insets: Insets) -> bytes:
    """Return sheaves of pages as a PDF with its insets laid in; the same story gives the same bytes."""
    from reportlab.platypus import BaseDocTemplate, NextPageTemplate, PageBreak

    out = io.BytesIO()
    sizes = list(dict.fromkeys(sheaf.page_mm for sheaf in sheaves))
    document = BaseDocTemplate(
        out,
        pagesize=tuple(mm_to_pt(side) for side in sizes[0]),
        pageTemplates=[_template(size, title) for size in sizes],
        title=title,
        author="Needlewright",
        invariant=1,
    )
    story: list[Any] = []
    for sheaf in sheaves:
        story += [NextPageTemplate(_name(sheaf.page_mm)), PageBreak(), *sheaf.story]
    # the first page comes by itself
    document.build(story[2:])
    return _with_insets(out.getvalue(), insets)


def _name(page_mm: tuple[float, float]) -> str:
    return f"{page_mm[0]:g} x {page_mm[1]:g}"


def _template(page_mm: tuple[float, float], title: str) -> Any:
    """Return a page whose text begins and ends where its foot does."""
    from reportlab.platypus import Frame, PageTemplate

    width_mm, height_mm = page_mm
    frame = Frame(
        mm_to_pt(MARGIN_MM),
        mm_to_pt(MARGIN_MM + _FOOT_MM),
        mm_to_pt(width_mm - 2 * MARGIN_MM),
        mm_to_pt(height_mm - 2 * MARGIN_MM),
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    return PageTemplate(
        id=_name(page_mm),
        frames=[frame],
        pagesize=(mm_to_pt(width_mm), mm_to_pt(height_mm)),
        onPage=_foot(title, width_mm),
    )


def _foot(title: str, width_mm: float) -> Callable[[Any, Any], None]:
    def draw(canvas: Any, document: Any) -> None:
        left, right = mm_to_pt(MARGIN_MM), mm_to_pt(width_mm - MARGIN_MM)
        base = mm_to_pt(MARGIN_MM - _FOOT_MM)
        canvas.saveState()
        canvas.setViewerPreference("PrintScaling", "None")
        canvas.setFont(FONT, 7.5)
        canvas.setFillColor("#555b61")
        canvas.drawString(left, base, title if len(title) <= 70 else title[:69] + "…")
        canvas.drawRightString(right, base, f"page {document.page}")
        canvas.restoreState()

    return draw


def _with_insets(content: bytes, insets: Insets) -> bytes:
    from pypdf import PdfReader, PdfWriter, Transformation

    if not insets.placed:
        return content
    writer = PdfWriter(clone_from=io.BytesIO(content))
    for index, left, bottom, width, page in insets.placed:
        laid = PdfReader(io.BytesIO(page)).pages[0]
        scale = width / float(laid.mediabox.width)
        writer.pages[index].merge_transformed_page(
            laid, Transformation().scale(scale).translate(left, bottom), expand=False
        )
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
