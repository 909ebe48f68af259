"""Type of the printed page: paragraph styles, headings with bookmarks, plain tables."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from xml.sax.saxutils import escape  # nosec B406 # it writes, and reads nothing

from django.utils.translation import gettext_noop
from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph

from inspections.drawing import typeface
from inspections.drawing.marks import mark_drawing
from inspections.drawing.palette import COLOURS
from inspections.drawing.pdf import to_pdf
from inspections.drawing.shapes import Drawing
from inspections.paper.grid import Grid, LongGrid, grid
from inspections.paper.paragraph import Named, Plain
from inspections.paper.words import word

INK, MUTED, RULE, HAIRLINE, SHADE = (
    HexColor(COLOURS[name][1]) for name in ("ink", "muted", "rule", "hairline", "track")
)


def _style(name: str, size: float, *, bold: bool = False, **more: object) -> ParagraphStyle:
    return ParagraphStyle(
        name,
        fontName=typeface.BOLD if bold else typeface.REGULAR,
        fontSize=size,
        leading=more.pop("leading", size * 1.35),
        textColor=more.pop("textColor", INK),
        # A word longer than its column is broken rather than cut off.
        splitLongWords=1,
        **more,
    )


BODY = _style("body", 8.5, spaceAfter=3)
SMALL = _style("small", 7.2)
SMALL_RIGHT = _style("small-right", 7.2, alignment=2)
SMALL_BOLD = _style("small-bold", 7.2, bold=True)
NOTE = _style("note", 7.2, textColor=MUTED, spaceAfter=3)
TITLE = _style("title", 16, bold=True, spaceAfter=2, leading=20)
COVER_TITLE = _style("cover-title", 18, bold=True, spaceAfter=8, leading=23)
SUBTITLE = _style("subtitle", 9.5, textColor=MUTED, spaceAfter=6)
HEADINGS = (
    _style("heading-0", 12.5, bold=True, spaceBefore=10, spaceAfter=4, keepWithNext=1),
    _style("heading-1", 10, bold=True, spaceBefore=2, spaceAfter=2, keepWithNext=1),
)
LEAD = _style("lead", 9.5, spaceAfter=4, leading=13)
CAPTIONS = {
    # A table is named above it, a figure below. Held to the next, a long table would leave its
    # page for the sake of its caption: it goes to the next page with its first rows alone.
    "Table": _style("caption-table", 7.2, spaceBefore=3, spaceAfter=2),
    "Figure": _style("caption-figure", 7.2, spaceBefore=1, spaceAfter=4),
}

FIRST_ROWS = 62.0
"""Room for the head of a table and a first row of a few lines, without which none begins."""
NAMES = {"Table": gettext_noop("Table"), "Figure": gettext_noop("Figure")}
"""What a caption begins with, before its number."""


def para(text: str, style: ParagraphStyle = BODY) -> Plain:
    """Return a paragraph of plain text, whatever signs it holds."""
    return Plain(text, style)


def linked(text: str, key: str, style: ParagraphStyle = SMALL_BOLD) -> Paragraph:
    """Return a text that leads to the heading with that key."""
    return Paragraph(f'<a href="#{escape(key)}" color="black">{escape(text)}</a>', style)


class Heading(Plain):
    """A heading that stands in the file's outline, numbered where the report has contents."""

    def __init__(self, text: str, level: int = 0, key: str = "", outline: str = "") -> None:
        super().__init__(text, HEADINGS[level])
        self.text, self.number = text, ""
        self.level, self.key, self.outline = level, key or f"part-{text}", outline or text

    def give_number(self, number: str) -> None:
        """Print a number before the text."""
        self.number = number
        super().__init__(f"{number}\u2002{self.text}", HEADINGS[self.level])

    def split(self, _width: float, _height: float) -> list[Flowable]:
        """Stay whole."""
        return []

    def draw_at(self, canvas: Canvas, x: float, y: float) -> None:
        """Draw it, enter it into the outline, and let the contents know the page."""
        note_page = getattr(canvas, "note_page_of", None)
        if note_page is not None:
            note_page(self.key)
        canvas.bookmarkHorizontal(self.key, x, y + self.height + 12)
        canvas.addOutlineEntry(self.outline, self.key, self.level, closed=self.level == 0)
        super().draw_at(canvas, x, y)


class Caption(Named):
    """What a figure or a table is, after its number."""

    def __init__(self, kind: str, text: str) -> None:
        super().__init__("", text, CAPTIONS[kind])
        self.kind, self.number = kind, 0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the room it takes: more than is left where a table could not begin below it."""
        wide, tall = super().wrap(width, height)
        if self.kind == "Table" and height < tall + FIRST_ROWS:
            return wide, height + 1.0
        return wide, tall

    def give_number(self, number: int) -> None:
        """Print kind and number before the text."""
        super().__init__(f"{word(NAMES[self.kind])} {number}.", self.text, CAPTIONS[self.kind])
        self.number = number


def mark(verdict: int, size: float = 10.0) -> Flowable:
    """Return the mark of a verdict."""
    return to_pdf(_mark_drawing(verdict), size)


@cache
def _mark_drawing(verdict: int) -> Drawing:
    # Its words, which are those of a language, are not printed.
    return mark_drawing(verdict)


TABLE = (
    ("FONT", (0, 0), (-1, -1), typeface.REGULAR, 7.2, 9.2),
    ("FONT", (0, 0), (-1, 0), typeface.BOLD, 7.2, 9.2),
    ("TEXTCOLOR", (0, 0), (-1, -1), INK),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
    ("LINEBELOW", (0, 0), (-1, 0), 0.9, INK),
    ("LINEBELOW", (0, 1), (-1, -1), 0.4, HAIRLINE),
    ("LEFTPADDING", (0, 0), (-1, -1), 2.5),
    ("RIGHTPADDING", (0, 0), (-1, -1), 2.5),
    ("TOPPADDING", (0, 0), (-1, -1), 0.8),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2),
)
BESIDE_FACTS = 5
"""Between a fact and the next beside it [pt]."""
LAYOUT = (
    # Even an empty cell names a font, and it must be one that is embedded.
    ("FONT", (0, 0), (-1, -1), typeface.REGULAR, 7.2, 9.2),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
)


def table(
    rows: Sequence[Sequence[object]],
    widths: Sequence[float],
    more: Sequence[tuple] = (),
    *,
    head_rows: int = 1,
) -> Grid:
    """Return a table with thin rules whose head is repeated on each page."""
    typeface.register()
    heads = [list(map(_on_lines, row, widths)) for row in rows[:head_rows]]
    return grid(
        LongGrid, [*heads, *rows[head_rows:]], widths, (*TABLE, *more), repeatRows=head_rows
    )


@lru_cache(1024)
def _on_lines(text: object, width: float) -> object:
    """Return the head of a column on as many lines as its words need: some are long."""
    if not isinstance(text, str):
        return text
    if "\n" in text:
        return "\n".join(str(_on_lines(line, width)) for line in text.split("\n"))
    # A head may run into the padding beside it.
    room, lines = width - 2.5, [""]
    for each in text.split(" "):
        longer = f"{lines[-1]} {each}".strip()
        if lines[-1] and typeface.text_width(longer, 7.2, bold=True) > room:
            lines.append(each)
        else:
            lines[-1] = longer
    return "\n".join(lines)


def layout(
    rows: Sequence[Sequence[object]],
    widths: Sequence[float],
    more: Sequence[tuple] = (),
    *,
    heights: Sequence[float] | None = None,
) -> Grid:
    """Return things set side by side, without rules or padding but for what ``more`` asks."""
    typeface.register()
    tall = None if heights is None else list(heights)
    return grid(Grid, rows, widths, (*LAYOUT, *more), rowHeights=tall)


def facts_table(facts: Sequence[tuple[str, str]], width: float, columns: int = 2) -> Grid:
    """Return label and text in pairs, side by side, each wrapping in its own room.

    Where the longest words find no room beside each other, fewer pairs stand in a row.
    """
    names, texts = (_room_of_words(told, width / 2) for told in zip(*facts, strict=True))
    columns = next((each for each in range(columns, 1, -1) if names + texts <= width / each), 1)
    each = width / columns
    label = max(min(86.0, each * 0.38, each - texts), names)
    cells: list[list[object]] = []
    for start in range(0, len(facts), columns):
        row: list[object] = []
        for name, text in facts[start : start + columns]:
            row += [para(name, NOTE), para(text, SMALL)]
        cells.append(row + [""] * (2 * columns - len(row)))
    return layout(
        cells,
        [label, each - label] * columns,
        [
            ("RIGHTPADDING", (0, 0), (-1, -1), BESIDE_FACTS),
            ("TOPPADDING", (0, 0), (-1, -1), 0.8),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0.8),
        ],
    )


def _room_of_words(texts: Sequence[str], most: float) -> float:
    """Return what the longest word takes with its padding; one beyond ``most`` is broken anyway."""
    widths = (typeface.text_width(word, SMALL.fontSize) for text in texts for word in text.split())
    return max((each for each in widths if each <= most), default=0.0) + BESIDE_FACTS
