"""The page: margins, running head and foot, page numbers, and what the file says of itself."""

from __future__ import annotations

import zlib
from collections import Counter
from concurrent.futures import Future, ThreadPoolExecutor
from copy import copy
from typing import BinaryIO, Literal

from django.utils.translation import get_language
from django.utils.translation import gettext_noop as mark
from reportlab import rl_config
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFStream
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from inspections.collecting import collecting_seldom
from inspections.drawing import typeface
from inspections.drawing.labels import fitted
from inspections.paper.contents import Later, number_captions
from inspections.paper.text import INK, MUTED, RULE
from inspections.paper.words import word
from inventory.units import System

PageSize = Literal["A4", "Letter"]
SIZES: dict[str, tuple[float, float]] = {"A4": A4, "Letter": LETTER}
SIZE_OF: dict[System, PageSize] = {System.SI: "A4", System.US: "Letter"}
MARGIN, HEAD, FOOT = 50.0, 52.0, 54.0
PRODUCT = "Bearing and Joint Ledger"
COLLECTED_AFTER = 5_000
"""New objects; with more, what a long report leaves behind fills the memory before it is found."""
CAUTION = (
    mark(
        "Supports an engineer's decision and never replaces it. Local codes, the owner's"
        " procedures and a licensed engineer govern."
    ),
    mark("Report at once, up the line, anything that looks unsafe."),
)
PAGE_OF = mark("page %(number)s of ")
_TOTAL = "page-total"
# Bytes as they are, not as text of 85 signs: a quarter less to write, and in less time.
rl_config.useA85 = 0


def page_size_of(system: System) -> PageSize:
    """Return the paper that goes with the units."""
    return SIZE_OF[system]


class _NumberedCanvas(Canvas):
    """A canvas that fills in, at the end, the numbers of pages that its pages refer to."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self._page_of: dict[str, int] = {}
        self._referred: list[tuple[str, float]] = []
        self._packer = ThreadPoolExecutor(1)
        self._packed: list[tuple[PDFStream, Future[bytes]]] = []

    def showPage(self) -> None:  # noqa: N802 - the name that ReportLab calls
        """Finish the page and pack it at once, so that a long file does not fill the memory.

        It is packed beside the layout of the next page: that leaves a second processor to it.
        """
        super().showPage()
        page = self._doc.Pages.pages[-1]
        filters = PDFDictionary({"Filter": PDFArray([PDFName("FlateDecode")])})
        page.Contents = PDFStream(filters, b"")
        content = page.stream.encode("latin-1")
        self._packed.append((page.Contents, self._packer.submit(zlib.compress, content)))
        page.stream = None

    def note_page_of(self, key: str) -> None:
        """Remember on which page something stands."""
        self._page_of.setdefault(key, self.getPageNumber())

    def draw_page_number_of(self, key: str, x: float, y: float, size: float) -> None:
        """Draw the number of the page on which something stands, known or not yet."""
        self._referred.append((key, size))
        self.saveState()
        self.translate(x, y)
        self.doForm(f"page-of-{len(self._referred)}")
        self.restoreState()

    def save(self) -> None:
        """Fill in the number of pages and those referred to, then finish the file."""
        if self._code:
            self.showPage()
        for stream, packed in self._packed:
            stream.content = packed.result()
        self._packer.shutdown()
        self._fill(_TOTAL, str(self.getPageNumber() - 1), 7.0)
        for index, (key, size) in enumerate(self._referred, 1):
            self._fill(f"page-of-{index}", str(self._page_of.get(key, "")), size)
        super().save()

    def _fill(self, form: str, text: str, size: float) -> None:
        self.beginForm(form, 0, -3, 40, 10)
        self.setFillColor(INK)
        self.setFont(typeface.REGULAR, size)
        self.drawString(0, 0, text)
        self.endForm()


class _Body(Frame):
    """The room of a page between its head and its foot."""

    def __deepcopy__(self, _memo: dict[int, object]) -> Frame:
        """Return a copy for a trial: ReportLab makes one for all that is kept together."""
        return copy(self)


class ReportPages(BaseDocTemplate):
    """A document with one frame a page, a running head and foot, and "page x of y"."""

    def __init__(
        self, file: BinaryIO, page_size: PageSize, *, running: tuple[str, str], printed: str,
        title: str, subject: str, what: str,
    ) -> None:  # fmt: skip
        typeface.register()
        super().__init__(
            file,
            pagesize=SIZES[page_size],
            title=title,
            author=PRODUCT,
            subject=subject,
            creator=PRODUCT,
            producer=PRODUCT,
            lang=get_language() or "en",
            initialFontName=typeface.REGULAR,
            displayDocTitle=1,
        )
        self.running, self.printed, self.what = running, printed, what
        self.captions: Counter[str] = Counter()
        width, height = SIZES[page_size]
        frame = _Body(MARGIN, FOOT, width - 2 * MARGIN, height - HEAD - FOOT, 0, 0, 0, 0, id="body")
        self.addPageTemplates(PageTemplate("page", [frame], onPage=self._draw_running))

    def write(self, story: list[Flowable]) -> None:
        """Lay the story out and write the file."""
        with collecting_seldom(COLLECTED_AFTER):
            self.build(story, canvasmaker=_NumberedCanvas)

    @property
    def room(self) -> float:
        """Width between the margins."""
        return self.pagesize[0] - 2 * MARGIN

    def _draw_running(self, canvas: Canvas, _document: BaseDocTemplate) -> None:
        width, height = self.pagesize
        left, right = MARGIN, width - MARGIN
        canvas.saveState()
        canvas.setFillColor(INK)
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.6)
        code, name = self.running
        top = height - 36.0
        canvas.setFont(typeface.BOLD, 8.5)
        canvas.drawString(left, top, code)
        used = typeface.text_width(code, 8.5, bold=True) + 6.0 if code else 0.0
        canvas.setFont(typeface.REGULAR, 8.5)
        canvas.drawRightString(right, top, self.what)
        room = right - left - used - typeface.text_width(self.what, 8.5) - 14.0
        # The label style is 11 units high; its cut is scaled to this size.
        canvas.drawString(left + used, top, fitted(name, "label", room * 11.0 / 8.5))
        canvas.line(left, top - 6.0, right, top - 6.0)
        canvas.line(left, 46.0, right, 46.0)
        canvas.setFont(typeface.REGULAR, 7.0)
        canvas.drawString(left, 36.0, self.printed)
        number = word(PAGE_OF) % {"number": canvas.getPageNumber()}
        # The number of pages is not known yet: a form drawn by every page is filled at the end.
        room_for_total = typeface.text_width("0000", 7.0)
        canvas.drawRightString(right - room_for_total, 36.0, number)
        canvas.saveState()
        canvas.translate(right - room_for_total, 36.0)
        canvas.doForm(_TOTAL)
        canvas.restoreState()
        canvas.setFillColor(MUTED)
        canvas.setFont(typeface.REGULAR, 6.2)
        canvas.drawString(left, 26.0, word(CAUTION[0]))
        canvas.drawString(left, 18.0, word(CAUTION[1]))
        canvas.restoreState()

    def filterFlowables(self, flowables: list[Flowable]) -> None:  # noqa: N802 - ReportLab's name
        """Make the part that comes next, and number its figures and tables."""
        while flowables and isinstance(flowables[0], Later):
            flowables[:1] = flowables[0].make()
        if flowables:
            number_captions(flowables[0], self.captions)

    def handle_documentBegin(self) -> None:  # noqa: N802 - the name that ReportLab calls
        """Open the outline beside the page when the file is opened."""
        super().handle_documentBegin()
        self.canv.showOutline()
