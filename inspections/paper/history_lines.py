"""What the histories of an element tell, on paper: what speaks against it, else the main one."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from reportlab.platypus import Flowable

from inspections import wording
from inspections.models import ElementHistory, Verdict
from inspections.paper.text import NOTE, SMALL, para
from inspections.selectors.findings import same_channel
from inspections.selectors.report import ReportElement
from inspections.wording_figures import going_on
from inspections.wording_history import history_in_short, history_sentence
from inventory.units import System


def history_of(each: ReportElement, channel: list[Verdict]) -> ElementHistory | None:
    """Return the history of a channel, if it has one."""
    return next((row for row in each.histories if same_channel(row, channel[0])), None)


def history_lines(each: ReportElement, system: System) -> list[Flowable]:
    """Return a sentence for each history that speaks against the element, or for its main one.

    How many others were read is said, so that silence is not taken for absence.
    """
    if not each.histories:
        return []
    telling = [row for row in each.histories if history_in_short(row)]
    if not telling:
        deciding = each.deciding
        telling = [
            row for row in each.histories if deciding is not None and same_channel(row, deciding)
        ] or each.histories[:1]
    lines: list[Flowable] = [para(_line(row, system), SMALL) for row in telling]
    others = len(each.histories) - len(telling)
    if others:
        text = ngettext(
            "%(count)s other point shows nothing against it over the years.",
            "%(count)s other points show nothing against it over the years.",
            others,
        )
        lines.append(para(text % {"count": others}, NOTE))
    return lines


def _line(row: ElementHistory, system: System) -> str:
    return _("History, %(point)s: %(told)s") % {
        "point": going_on(wording.name_of(row)),
        "told": going_on(history_sentence(row, system)),
    }
