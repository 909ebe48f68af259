"""What jobs keep in English, in the reader's language: their titles, messages and progress.

A job is done once and read by many, so that its words are kept as the code has them. A sentence
with values is found again by its English text.
"""

from __future__ import annotations

import re
from functools import cache

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.exchange.kinds import Outcome
from inspections.jobs import imports, judging, reports, running
from inspections.models import Job
from inspections.models.jobs import JobState
from inspections.selectors.jobs import Standing
from inspections.services.reassessment import JUDGING_AGAIN
from inspections.services.thresholds import THE_SETTINGS
from inventory.words import is_english, translated

SENTENCES = (
    imports.CHECK_OF, imports.IMPORT_OF, reports.CONDITION_OF, reports.SUMMARY_OF,
    reports.REPORT_OF, JUDGING_AGAIN, THE_SETTINGS, judging.ALL_JUDGED, judging.NOT_JUDGED,
    running.FAULT,
)  # fmt: skip
"""What is kept with values in it; all else is found in the catalogue as it stands."""
COUNTED = (
    mark("elements"), mark("parts"), mark("bridges"), mark("orders"), mark("rows"),
    mark("bridges judged"),
)  # fmt: skip
"""What progress counts."""
_PLACE = re.compile(r"%\\\((\w+)\\\)s")


def title_of(job: Job) -> str:
    """Return what a job is for."""
    return retold(job.title)


def message_of(job: Job) -> str:
    """Return what became of a job."""
    if not is_english() and job.told and "rows" in job.told and not job.parameters["dry_run"]:
        outcome = Outcome([tuple(row) for row in job.told["rows"]])
        told = {"name": job.parameters["file"], "in_short": outcome.in_short}
        return _("%(name)s is imported; %(in_short)s.") % told
    return retold(job.message)


def standing_words(standing: Standing) -> str:
    """Return where a job stands, such as ``Running: 12 of 59 elements``."""
    if is_english():
        return standing.words
    state = standing.job.get_state_display()
    progress = "" if standing.job.state == JobState.DONE else progress_words(standing)
    return ": ".join(filter(None, (state, progress)))


def progress_words(standing: Standing) -> str:
    """Return how far a job is."""
    told = standing.told
    if is_english():
        return told.words
    count = ""
    if told.total:
        count = _("%(done)s of %(total)s %(unit)s") % {
            "done": told.done,
            "total": told.total,
            "unit": translated(told.unit),
        }
    elif told.done:
        count = f"{translated(told.unit)}: {told.done}"
    return ", ".join(filter(None, (translated(told.phase), count)))


def retold(text: str) -> str:
    """Return a kept text in the reader's language; as it is where no sentence is like it."""
    if is_english():
        return text
    for sentence in SENTENCES:
        if found := _pattern(sentence).fullmatch(text):
            return _(sentence) % {name: retold(value) for name, value in found.groupdict().items()}
    return translated(text)


@cache
def _pattern(sentence: str) -> re.Pattern[str]:
    """Return what finds an English sentence, each value under its name."""
    return re.compile(_PLACE.sub(r"(?P<\1>.+)", re.escape(sentence)), re.DOTALL)
