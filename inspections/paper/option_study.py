"""A study of options on one page: the matrix, what was dropped, the choice, a line to sign.

It is always one page.  Long texts are shortened as far as that needs, and the page says so.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import BinaryIO
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer, Table

from inspections.drawing import typeface
from inspections.lookups.options import Cell, Matrix, Mean, matrix_of
from inspections.models import Option, OptionStudy
from inspections.paper.cover import printed_words
from inspections.paper.frame import FOOT, HEAD, PageSize, ReportPages
from inspections.paper.text import (
    BODY,
    INK,
    NOTE,
    RULE,
    SHADE,
    SMALL,
    SMALL_BOLD,
    SUBTITLE,
    TITLE,
    facts_table,
    layout,
    para,
    table,
)
from inspections.paper.words import figure
from inspections.wording_costs import cost_words
from inventory.decimal_mark import with_mark

MOST_OPTIONS, MOST_CRITERIA, MOST_DROPPED = 9, 12, 6
"""More columns or rows than these could not be read on one page."""
LENGTHS = {"title": 160, "question": 1200, "name": 120, "criterion": 80, "how": 300,
           "words": 400, "who": 40, "dropped": 400, "why": 1600, "finding": 400}  # fmt: skip
"""Characters of each text at most, before the page asks for less."""
LEAST = {"title": 60, "question": 120, "name": 14, "criterion": 28, "how": 0,
         "words": 0, "who": 10, "dropped": 30, "why": 160, "finding": 90}  # fmt: skip
SHARES = (1.0, 0.7, 0.5, 0.35, 0.25, 0.18, 0.12, 0.08, 0.05, 0.03, 0.0)
"""Parts of the lengths that are tried in turn until the page holds them."""
SHORTENED = mark(
    "Some texts are shortened (…) so that this stays one page; the whole of them is in the ledger."
)
AID = mark(
    "Judgements from 1 poor to 5 good. The weighted mean is an aid only: the numbers do not decide."
)


@dataclass(slots=True)
class _Cut:
    """Shortens texts to a share of their lengths, and remembers whether it did."""

    share: float
    made: bool = field(default=False)

    def __call__(self, text: str, what: str) -> str:
        most = max(LEAST[what], round(LENGTHS[what] * self.share))
        plain = " ".join(text.split())
        if len(plain) <= most:
            return plain
        self.made = True
        return f"{plain[: most - 1].rstrip()}…" if most else ""


def write_option_study(
    study: OptionStudy,
    file: BinaryIO,
    *,
    currency: str,
    printed_at: dt.datetime,
    printed_by: str,
    page_size: PageSize = "A4",
) -> None:
    """Write a study on one page.

    Parameters
    ----------
    study : OptionStudy
        Best from ``selectors.options.study_rows``.
    currency : str
        Of every cost, as the agency settings name it.
    """
    typeface.register()
    zone = ZoneInfo(study.bridge.time_zone)
    local = printed_at.astimezone(zone)
    pages = ReportPages(
        file,
        page_size,
        running=(study.bridge.code, study.bridge.name),
        printed=printed_words(local, zone.key, printed_by[:60]),
        title=f"{_('Option study')}: {study.title}",
        subject=_("Ways to mend a defect side by side, and the choice with its reasons"),
        what=_("Option study"),
    )
    height = pages.pagesize[1] - HEAD - FOOT
    matrix = matrix_of(study)
    for share in SHARES:
        story = _story(study, matrix, pages.room, currency, zone, _Cut(share))
        if _height(story, pages.room) <= height:
            break
    pages.write(story)


def _height(story: Sequence[Flowable], room: float) -> float:
    return sum(
        each.wrap(room, 1e6)[1] + each.getSpaceBefore() + each.getSpaceAfter() for each in story
    )


def _story(
    study: OptionStudy, matrix: Matrix, room: float, currency: str, zone: ZoneInfo, cut: _Cut
) -> list[Flowable]:
    chosen = study.chosen
    place = f"{study.bridge.code} {study.bridge.name}"
    story: list[Flowable] = [
        para(cut(study.title, "title"), TITLE),
        para(_("Ways to mend a defect, side by side"), SUBTITLE),
        facts_table(
            [
                (_("Bridge"), place),
                (_("Element"), str(study.element or _("the bridge as a whole"))),
                (_("Opened"), f"{study.opened_at.astimezone(zone):%Y-%m-%d}"),
                (_("Opened by"), cut(str(study.opened_by or _("an import")), "who")),
            ],
            room,
        ),
        Spacer(0, 3),
        para(cut(study.question, "question"), BODY),
    ]
    options = _columns(matrix, study)
    if options:
        story.append(_matrix_table(study, matrix, options, room, currency, zone, cut))
        story.append(para(_(AID), NOTE))
        story += [para(cut(text, "finding"), SMALL) for text in matrix.findings[:4]]
    else:
        story.append(para(_("No option stands beside another."), BODY))
    story += _left_out(matrix, options)
    if matrix.dropped:
        story += [Spacer(0, 4), para(_("Dropped"), SMALL_BOLD)]
        for each in matrix.dropped[:MOST_DROPPED]:
            story.append(
                para(
                    f"{cut(each.name, 'name')} ({each.dropped_at.astimezone(zone):%Y-%m-%d},"
                    f" {cut(str(each.dropped_by or _('an import')), 'who')}):"
                    f" {cut(each.dropped_why, 'dropped')}",
                    SMALL,
                )
            )
    story += [Spacer(0, 4), para(_("Choice"), SMALL_BOLD)]
    if chosen is None:
        story.append(para(_("No option is chosen yet."), BODY))
    else:
        story.append(
            para(
                _("%(option)s, chosen by %(who)s on %(time)s. %(reason)s")
                % {
                    "option": cut(chosen.name, "name"),
                    "who": cut(str(study.chosen_by or _("an import")), "who"),
                    "time": f"{study.chosen_at.astimezone(zone):%Y-%m-%d %H:%M}",
                    "reason": cut(study.chosen_why, "why"),
                },
                BODY,
            )
        )
    if cut.made:
        story.append(para(_(SHORTENED), NOTE))
    return [*story, Spacer(0, 18), _signature(room)]


def _columns(matrix: Matrix, study: OptionStudy) -> list[Option]:
    """Return the options that are printed: the chosen one is always among them."""
    options = list(matrix.options[:MOST_OPTIONS])
    chosen = next((each for each in matrix.options if each.pk == study.chosen_id), None)
    if chosen is not None and chosen not in options:
        options[-1] = chosen
    return options


def _left_out(matrix: Matrix, options: Sequence[Option]) -> list[Flowable]:
    counts = (
        (len(matrix.options) - len(options), _("option")),
        (len(matrix.rows) - MOST_CRITERIA, _("criterion")),
        (len(matrix.dropped) - MOST_DROPPED, _("dropped option")),
    )
    told = [f"{count} × {what}" for count, what in counts if count > 0]
    if not told:
        return []
    text = _("Left out for want of room, see the ledger: %(what)s.") % {"what": ", ".join(told)}
    return [para(text, NOTE)]


def _matrix_table(
    study: OptionStudy,
    matrix: Matrix,
    options: Sequence[Option],
    room: float,
    currency: str,
    zone: ZoneInfo,
    cut: _Cut,
) -> Table:
    size = 7.2 if len(options) <= 4 else 6.4 if len(options) <= 6 else 5.6
    plain = ParagraphStyle("cell", parent=SMALL, fontSize=size, leading=size * 1.25)
    strong = ParagraphStyle("cell-strong", parent=plain, fontName=typeface.BOLD)
    printed = {each.pk for each in options}

    def row(head: str, texts: Sequence[str], style: ParagraphStyle = plain) -> list[object]:
        return [para(head, strong), *(para(text, style) for text in texts)]

    rows = [row("", [_head(each, study, cut) for each in options], strong)]
    if any(each.description for each in options):
        rows.append(row(_("How"), [cut(each.description, "how") for each in options]))
    rows.append(row(_("Cost"), [with_mark(cost_words(each.cost, currency)) for each in options]))
    rows.append(row(_("Duration, days"), [_days(each) for each in options]))
    for each in matrix.rows[:MOST_CRITERIA]:
        head = _("%(criterion)s, weight %(weight)s") % {
            "criterion": cut(str(each.criterion), "criterion"),
            "weight": figure(each.criterion.weight),
        }
        cells = {cell.option.pk: cell for cell in each.cells}
        rows.append(row(head, [_cell(cells[one.pk], zone, cut) for one in options]))
    if matrix.rows:
        means = {each.option.pk: each for each in matrix.means if each.option.pk in printed}
        texts = [_mean(means[each.pk]) for each in options]
        rows.append(row(_("Weighted mean"), texts, strong))
    first = min(88.0, room * 0.2)
    column = (room - first) / len(options)
    more: list[tuple] = [("BACKGROUND", (0, 0), (-1, 0), SHADE), ("VALIGN", (0, 0), (-1, 0), "TOP")]
    if matrix.rows:
        more.append(("LINEABOVE", (0, -1), (-1, -1), 0.9, INK))
    return table(rows, [first, *[column] * len(options)], more)


def _head(option: Option, study: OptionStudy, cut: _Cut) -> str:
    name = cut(option.name, "name")
    return _("%(option)s (chosen)") % {"option": name} if option.pk == study.chosen_id else name


def _mean(mean: Mean) -> str:
    if not mean.missing:
        return mean.shown
    return _("%(mean)s without %(count)s") % {"mean": mean.shown, "count": len(mean.missing)}


def _days(option: Option) -> str:
    return "–" if option.duration_days is None else str(option.duration_days)


def _cell(cell: Cell, zone: ZoneInfo, cut: _Cut) -> str:
    if cell.last is None:
        return _("not judged")
    words = cut(cell.last.words, "words") if cell.last.words else ""
    who = cut(str(cell.last.judged_by or _("an import")), "who")
    told = f"{cell.last.score} {cell.word}{f': {words}' if words else ''}"
    return f"{told} ({who}, {cell.last.judged_at.astimezone(zone):%Y-%m-%d})"


def _signature(room: float) -> Table:
    """Return a line to sign on, with what belongs under it."""
    gap = 14.0
    wide = (room - 2 * gap) / 3
    cells = [_("Name, role"), "", _("Signature"), "", _("Date")]
    return layout(
        [[para(text, NOTE) if text else "" for text in cells]],
        [wide, gap, wide, gap, wide],
        [("LINEABOVE", (place, 0), (place, 0), 0.6, RULE) for place in (0, 2, 4)],
    )
