"""What explains the readings of each unit, with the evidence, on paper."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer

from inspections.paper.text import BODY, LEAD, NOTE, SMALL_BOLD, Heading, para
from inspections.selectors.findings import leading
from inspections.selectors.report import Report
from inspections.wording_explanation import (
    Told,
    UnitTold,
    diagnosis_in_short,
    readings_words,
    tell_unit,
)
from inspections.wording_figures import times
from inventory.units import System

CAUTION = mark(
    "Evidence for an engineer's judgement, never a finding by itself. Where the register is named,"
    " check it before the bridge: a wrong register is the commonest cause of all."
)


def units_section(report: Report, system: System) -> list[Flowable]:
    """Return the section on whole units; empty where none has been read."""
    if not report.diagnoses:
        return []
    return [
        CondPageBreak(150),
        Heading(_("Units as a whole"), key="units"),
        para(_(CAUTION), NOTE),
        *(block for each in report.diagnoses for block in _unit(tell_unit(each, system))),
    ]


def units_in_words(report: Report) -> list[Flowable]:
    """Return one line for each unit that is explained, for the first page."""
    lines: list[Flowable] = []
    for each in report.diagnoses:
        found = leading(each)
        if found:
            lines.append(
                para(
                    _(
                        "Unit %(unit)s as a whole: %(told)s; the readings are %(times)s times"
                        " likelier so than with nothing wrong."
                    )
                    % {
                        "unit": each.unit.code,
                        "told": diagnosis_in_short(each),
                        "times": times(found[0].log_ratio),
                    },
                    LEAD,
                )
            )
    return lines


def _unit(told: UnitTold) -> list[Flowable]:
    diagnosis = told.diagnosis
    block: list[Flowable] = [
        para(f"{_('Unit')} {diagnosis.unit.code}: {told.headline}", SMALL_BOLD)
    ]
    if told.reason:
        block.append(para(told.reason, BODY))
    for number, each in enumerate(told.explanations, 1):
        block.append(para(_numbered(each, number, len(told.explanations)), BODY))
    if told.runner_up:
        block.append(para(told.runner_up, BODY))
    if told.next:
        block.append(para(_("Next: %(step)s") % {"step": " ".join(told.next)}, SMALL_BOLD))
    told_from = {
        "readings": readings_words(diagnosis),
        "model": diagnosis.model_version,
        "first": f"{diagnosis.first_seen_on:%Y-%m-%d}" if diagnosis.first_seen_on else "",
        "last": f"{diagnosis.last_seen_on:%Y-%m-%d}" if diagnosis.last_seen_on else "",
    }
    text = (
        _("From %(readings)s, %(first)s to %(last)s; model %(model)s.")
        if diagnosis.first_seen_on and diagnosis.last_seen_on
        else _("From %(readings)s; model %(model)s.")
    )
    block.append(para(text % told_from, NOTE))
    return [KeepTogether([*block, Spacer(0, 6)])]


def _numbered(each: Told, number: int, count: int) -> str:
    if count == 1:
        return each.evidence
    return f"{number}. {each.headline}. {each.evidence}"
