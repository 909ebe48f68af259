"""What the histories of an element tell, on paper: what speaks against it, else the main one."""

from __future__ import annotations

from reportlab.platypus import Flowable

from inspections import wording
from inspections.models import ElementHistory, Verdict
from inspections.paper.text import NOTE, SMALL, para
from inspections.selectors.findings import same_channel
from inspections.selectors.report import ReportElement
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
    lines: list[Flowable] = [
        para(f"History, {_name(row)}: {_lower(history_sentence(row, system))}", SMALL)
        for row in telling
    ]
    others = len(each.histories) - len(telling)
    if others:
        points = "1 other point shows" if others == 1 else f"{others} other points show"
        lines.append(para(f"{points} nothing against it over the years.", NOTE))
    return lines


def _name(row: ElementHistory) -> str:
    return _lower(wording.name_of(row))


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"
