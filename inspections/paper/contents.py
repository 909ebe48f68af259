"""Numbers of headings, figures and tables, and the list of contents with its page numbers.

Headings are numbered before the layout, figures and tables as they are reached. Page numbers are
not known then: each is a form that the line draws and that is filled when the file is saved.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence

from reportlab.platypus import Flowable, KeepTogether, Table

from inspections.drawing import typeface
from inspections.drawing.labels import fitted
from inspections.paper.grid import LongGrid
from inspections.paper.text import INK, MUTED, Caption, Heading

LINE_HEIGHT = (15.0, 11.5)
SIZE = (8.5, 7.5)
INDENT = 24.0
NUMBER_ROOM = 28.0
PAGE_ROOM = 26.0


class Later(Flowable):
    """A part that is made when its page comes, so that a long report is never whole in memory.

    Its headings are known before, for the contents; they stand in what ``make`` returns.
    """

    def __init__(self, headings: Sequence[Heading], make: Callable[[], list[Flowable]]) -> None:
        super().__init__()
        self.headings, self.make = headings, make


def number_headings(story: Sequence[Flowable]) -> list[Heading]:
    """Number the headings in the order of the paper, and return them."""
    headings = [each for each in _flat(story) if isinstance(each, Heading)]
    chapter = section = 0
    for each in headings:
        chapter, section = (chapter, section + 1) if each.level else (chapter + 1, 0)
        each.give_number(f"{chapter}.{section}" if each.level else str(chapter))
    return headings


def number_captions(found: Flowable, counted: Counter[str]) -> None:
    """Number figures and tables that have no number yet, after those that were counted."""
    for each in _flat([found]):
        if isinstance(each, Caption) and not each.number:
            counted[each.kind] += 1
            each.give_number(counted[each.kind])


def contents(headings: Iterable[Heading], room: float) -> list[Flowable]:
    """Return a line for each heading, which leads to it."""
    return [ContentsLine(each, room) for each in headings]


class ContentsLine(Flowable):
    """Number, title and page of a heading; the whole line is a link."""

    def __init__(self, heading: Heading, room: float) -> None:
        super().__init__()
        self.heading, self.room = heading, room
        self.keepWithNext = heading.level == 0

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Take one line."""
        return self.room, LINE_HEIGHT[self.heading.level]

    def draw(self) -> None:
        """Draw the line with dots up to the number of the page."""
        heading, canvas = self.heading, self.canv
        size, bold = SIZE[heading.level], heading.level == 0
        left = INDENT * heading.level
        start = left + NUMBER_ROOM
        # The label style is 11 units high; its cut is scaled to this size.
        scale = 11.0 / size
        text = fitted(heading.outline, "label", (self.room - start - PAGE_ROOM - 12) * scale)
        canvas.setFillColor(INK)
        canvas.setFont(typeface.BOLD if bold else typeface.REGULAR, size)
        canvas.drawString(left, 2.5, heading.number)
        canvas.drawString(start, 2.5, text)
        end = start + typeface.text_width(text, size, bold=bold) + 5.0
        canvas.setStrokeColor(MUTED)
        canvas.setLineWidth(0.5)
        canvas.setDash(0.6, 3.0)
        if end < self.room - PAGE_ROOM:
            canvas.line(end, 3.5, self.room - PAGE_ROOM, 3.5)
        canvas.setDash()
        canvas.draw_page_number_of(heading.key, self.room - PAGE_ROOM + 4.0, 2.5, size)
        height = LINE_HEIGHT[heading.level]
        canvas.linkRect("", heading.key, (0, 0, self.room, height), relative=1, thickness=0)


def _flat(story: Iterable[object]) -> Iterator[object]:
    for each in story:
        if isinstance(each, (list, tuple)):
            yield from _flat(each)
        elif isinstance(each, Later):
            yield from each.headings
        elif isinstance(each, KeepTogether):
            yield from _flat(each._content)
        elif isinstance(each, LongGrid):
            continue  # rows of figures: what is numbered stands around them
        elif isinstance(each, Table):
            yield from _flat(each._cellvalues)
        else:
            yield each
