"""A sheet of labels with a square code for each place of a bridge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO

from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.graphics import renderPDF
from reportlab.lib.utils import simpleSplit
from reportlab.pdfgen.canvas import Canvas

from inspections.drawing import typeface
from inspections.drawing.labels import fitted
from inspections.paper.codes import place_url, square_code
from inspections.paper.frame import PRODUCT, SIZES, PageSize
from inspections.paper.text import INK, MUTED
from inspections.paper.words import word
from inventory.models import Element

MM = 72.0 / 25.4


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of labels [mm]: columns, rows, size, first corner and pitch.

    Sizes as stationers sell them; common practice, no source.
    """

    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    pitch_x: float
    pitch_y: float


SHEETS: dict[str, Sheet] = {
    "A4": Sheet(3, 8, 63.5, 33.9, 7.2, 13.0, 66.0, 33.9),
    "Letter": Sheet(3, 10, 66.7, 25.4, 4.8, 12.7, 69.9, 25.4),
}
SUPPORT = mark("Support")
PADDING = 3.0
SMALL, SMALLEST = 7.0, 5.5
"""Type of what stands below the codes, and the least that it is set in [pt]."""
ROOM_FOR_TWO = 30.0
"""Height of a label from which on a long name has two lines [mm]."""


def write_labels(
    elements: Sequence[Element], file: BinaryIO, *, base_url: str, page_size: PageSize = "A4"
) -> None:
    """Write one label for each element, in the order given."""
    typeface.register()
    sheet = SHEETS[page_size]
    canvas = Canvas(file, pagesize=SIZES[page_size], lang=get_language() or "en")
    canvas.setTitle(_("Labels of places"))
    canvas.setAuthor(PRODUCT)
    canvas.setCreator(PRODUCT)
    each_page = sheet.columns * sheet.rows
    for index, element in enumerate(elements):
        if index and index % each_page == 0:
            canvas.showPage()
        row, column = divmod(index % each_page, sheet.columns)
        left = (sheet.left + column * sheet.pitch_x) * MM
        top = SIZES[page_size][1] - (sheet.top + row * sheet.pitch_y) * MM
        _label(canvas, element, base_url, sheet, left, top)
    if not elements:
        canvas.setFont(typeface.REGULAR, 10)
        canvas.drawString(20 * MM, 250 * MM, _("This bridge has no elements yet."))
    canvas.save()


def _label(
    canvas: Canvas, element: Element, base_url: str, sheet: Sheet, left: float, top: float
) -> None:
    side = (sheet.height - 2 * PADDING) * MM
    code = square_code(place_url(base_url, element.pk), side)
    renderPDF.draw(code, canvas, left + PADDING * MM, top - PADDING * MM - side)
    at = left + 2 * PADDING * MM + side
    room = sheet.width * MM - side - 3 * PADDING * MM
    device = element.current_installation.get_device_type_display()
    lines = (
        (element.code, typeface.BOLD, 13.0, INK),
        (element.bridge.code, typeface.BOLD, 9.0, INK),
        (element.bridge.name, typeface.REGULAR, SMALL, MUTED),
        *(
            (text, typeface.REGULAR, size, MUTED)
            for text, size in _in_full(device, room, sheet.height >= ROOM_FOR_TWO)
        ),
        (f"{word(SUPPORT)} {element.support.code}", typeface.REGULAR, SMALL, MUTED),
    )
    y = top - PADDING * MM - 11.0
    for text, font, size, colour in lines:
        canvas.setFont(font, size)
        canvas.setFillColor(colour)
        canvas.drawString(at, y, fitted(text, "label", room * 11.0 / size))
        y -= size + 2.5


def _in_full(text: str, room: float, may_break: bool) -> list[tuple[str, float]]:
    """Return a name as one line or two, or in smaller type where two have no room."""
    wide = typeface.text_width(text, SMALL)
    if wide <= room:
        return [(text, SMALL)]
    if not may_break:
        return [(text, max(SMALL * room / wide, SMALLEST))]
    first, *others = simpleSplit(text, typeface.REGULAR, SMALL, room)
    return [(first, SMALL), *([(" ".join(others), SMALL)] if others else [])]
