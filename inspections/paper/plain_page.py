"""A page in plain words on paper: one page, or a refusal that says by how much it is too long."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import BinaryIO

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, override
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer, Table

from inspections.drawing import typeface
from inspections.drawing.labels import fitted
from inspections.drawing.palette import STYLES
from inspections.drawing.pdf import to_pdf
from inspections.drawing.place import HEIGHT, WIDTH, place_drawing
from inspections.paper.cover import Printing, printed_words
from inspections.paper.frame import FOOT, HEAD, MARGIN, SIZES, ReportPages
from inspections.paper.text import BODY, NOTE, RULE, Heading, layout, para
from inspections.plain_lengths import TEXTS
from inspections.selectors.plain_pages import PlainNow
from movement import MODEL_VERSION

SIZES_TRIED = (11.0, 10.5, 10.0, 9.5, 9.0)
"""Sizes of the text in points; the largest that fits is taken."""
LEADING = 1.3
DRAWN = 440.0
"""Width of the drawing, in points."""
MOST_APART = 12.0
"""Space before a heading where there is room for it."""
ROOM_FOR_NUMBER = 80.0
"""Width that the number of the page takes at the foot."""
SIGNED_AT = 22.0
"""Height in which a signature is written."""
UNSIGNED = gettext_lazy(
    "Made from the record; not an engineer's assessment until signed. An engineer decides on the"
    " use of the bridge."
)
STALE = gettext_lazy("The record has changed since these texts were saved.")


class TooLongError(ValueError):
    """The texts do not fit on one page; ``words`` says about how many are too many."""

    def __init__(self, words: int) -> None:
        super().__init__(words)
        self.words = words

    def __str__(self) -> str:
        """Return the refusal in the language of whoever reads it, not of the paper."""
        return ngettext(
            "The texts are too long for one page, by about %(words)s word.",
            "The texts are too long for one page, by about %(words)s words.",
            self.words,
        ) % {"words": self.words}


def write_plain_page(page: PlainNow, file: BinaryIO, printing: Printing) -> None:
    """Write a page as it was saved last, or as the record gives it where it never was.

    All of the paper is in the language of its texts.

    Raises
    ------
    TooLongError
        Where the texts do not fit on one page even in the smallest type.
    """
    typeface.register()
    with override(page.language):
        _write(page, file, printing)


def _write(page: PlainNow, file: BinaryIO, printing: Printing) -> None:
    size, left = _fitting(page.texts, printing.page_size)
    if size is None:
        raise TooLongError(_words_over(page.texts, printing.page_size))
    room = _room(printing.page_size)
    printed = printed_words(printing.local, printing.zone.key, printing.by)
    pages = ReportPages(
        file,
        printing.page_size,
        running=("", page.facts.bridge),
        printed=_cut(printed, room - ROOM_FOR_NUMBER, 7.0),
        title=page.texts["title"],
        subject=_("One page in plain words on %(bridge)s") % {"bridge": page.facts.bridge},
        what=_("In plain words"),
    )
    drawing = to_pdf(place_drawing(page.facts, page.system), DRAWN)
    drawing.hAlign = "CENTER"
    left += DRAWN * HEIGHT / WIDTH - drawing.height
    gap = min(MOST_APART, left / (2 * len(TEXTS[1:])))
    pages.write(
        [
            Heading(page.texts["title"]),
            drawing,
            *_body(page.texts, size, gap),
            Spacer(0, left - gap * len(TEXTS[1:])),
            *_foot(room, _cut(_basis(page), room, NOTE.fontSize)),
        ]
    )


def _cut(text: str, room: float, size: float) -> str:
    """Return a line of a size, cut where it is wider than its room."""
    return fitted(text, "label", room * STYLES["label"].size / size)


def words_too_many(texts: Mapping[str, str]) -> int:
    """Return about how many words do not fit on a page of one size or the other."""
    typeface.register()
    return max(_words_over(texts, size) for size in SIZES)


def _words_over(texts: Mapping[str, str], page_size: str) -> int:
    over = -_left(texts, SIZES_TRIED[-1], page_size)
    if over <= 0:
        return 0
    line = SIZES_TRIED[-1] * LEADING
    used = _height(_body(texts, SIZES_TRIED[-1]), _room(page_size)) / line
    words = sum(len(texts[each.name].split()) for each in TEXTS[1:])
    return math.ceil(math.ceil(over / line) * words / used)


def _fitting(texts: Mapping[str, str], page_size: str) -> tuple[float | None, float]:
    """Return the largest size that fits, and the height that it leaves."""
    for size in SIZES_TRIED:
        if (left := _left(texts, size, page_size)) >= 0:
            return size, left
    return None, 0.0


def _left(texts: Mapping[str, str], size: float, page_size: str) -> float:
    room = _room(page_size)
    story = [Heading(texts["title"]), *_body(texts, size), *_foot(room, "")]
    drawn = DRAWN * HEIGHT / WIDTH
    return SIZES[page_size][1] - HEAD - FOOT - drawn - _height(story, room) - 1.0


def _room(page_size: str) -> float:
    return SIZES[page_size][0] - 2 * MARGIN


def _height(story: Sequence[Flowable], room: float) -> float:
    return sum(
        each.wrap(room, 1e6)[1] + each.getSpaceBefore() + each.getSpaceAfter() for each in story
    )


def _body(texts: Mapping[str, str], size: float, gap: float = 0.0) -> list[Flowable]:
    """Return the headings with their texts, each after a gap; a line of a text is a paragraph."""
    style = ParagraphStyle("plain", parent=BODY, fontSize=size, leading=size * LEADING)
    story: list[Flowable] = []
    for each in TEXTS[1:]:
        story += [Spacer(0, gap), Heading(each.label, level=1)]
        story += [para(line, style) for line in texts[each.name].splitlines() if line.strip()]
    return story


def _foot(room: float, basis: str) -> list[Flowable]:
    return [
        para(str(UNSIGNED), NOTE),
        Spacer(0, SIGNED_AT),
        _signature(room),
        para(basis or " ", NOTE),
    ]


def _signature(room: float) -> Table:
    """Return a line for the engineer to sign on, with what belongs under it."""
    gap = 14.0
    wide = (room - 2 * gap) / 3
    cells = [_("Engineer, licence number"), "", _("Signature"), "", _("Date")]
    return layout(
        [[para(text, NOTE) if text else "" for text in cells]],
        [wide, gap, wide, gap, wide],
        [("LINEABOVE", (place, 0), (place, 0), 0.6, RULE) for place in (0, 2, 4)],
    )


def _basis(page: PlainNow) -> str:
    """Return what the page rests on, with the codes that its texts leave out."""
    told = [] if page.saved is None or not page.changed else [str(STALE)]
    codes = [page.bridge.code]
    if page.facts.place is not None:
        codes.append(page.facts.place.code)
    if page.flag is not None:
        codes.append(_("flag %(number)s") % {"number": page.flag.pk})
    if page.facts.measured is not None:
        read = {"day": f"{page.facts.measured.on:%Y-%m-%d}"}
        codes.append(_("reading of %(day)s") % read)
    codes += [each.code for each in page.facts.orders]
    basis = {"codes": ", ".join(codes), "model": MODEL_VERSION, "digest": page.digest[:12]}
    told.append(_("Basis: %(codes)s; model %(model)s; %(digest)s.") % basis)
    if page.saved is None:
        told.append(_("Texts as generated."))
    else:
        saved = {"day": f"{page.saved.saved_at:%Y-%m-%d}", "who": page.saved.saved_by}
        told.append(_("Texts saved %(day)s by %(who)s.") % saved)
    return " ".join(told)
