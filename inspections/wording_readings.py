"""One reading in figures: the same words for a chart's mark and for the table beneath it."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from inspections import wording
from inspections.models import Event, Verdict
from inspections.models.choices import VerdictWord
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence

NONE = "–"


@dataclass(frozen=True, slots=True)
class ReadingTold:
    """What was read, what was expected, and the word for it; a dash where there is nothing."""

    date: str
    temperature: str
    value: str
    expected: str
    residual: str
    word: str
    verdict: VerdictWord
    carried: str = NONE
    event: str = ""

    @property
    def line(self) -> str:
        """All of it in one line."""
        parts = [f"{self.date}, {self.temperature}: {self.value}"]
        if self.expected != NONE:
            off = _("expected %(expected)s, off by %(residual)s")
            parts.append(off % {"expected": self.expected, "residual": self.residual})
        if self.carried != NONE:
            parts.append(_("carried %(value)s") % {"value": self.carried})
        parts.append(in_sentence(self.word))
        if self.event:
            parts.append(_("after the event %(event)s") % {"event": self.event})
        return "; ".join(parts)


def reading_told(
    verdict: Verdict,
    system: System,
    *,
    carried: float | None = None,
    event: Event | None = None,
) -> ReadingTold:
    """Return a reading with its verdict in figures, its day in the time zone that is active.

    ``carried`` is its value carried to the temperature that all of its chart are carried to,
    ``event`` what its visit was made after.
    """
    dimension = wording.dimension_of(verdict)

    def told(value: float | None, what: Dimension, sign: bool = False) -> str:
        return NONE if value is None else shown(value, what, system, sign)

    return ReadingTold(
        f"{timezone.localtime(verdict.taken_at):%Y-%m-%d}",
        told(verdict.temperature_c, Dimension.TEMPERATURE)
        if verdict.temperature_c is not None
        else _("no temperature"),
        told(verdict.value, dimension),
        told(verdict.expected, dimension),
        told(verdict.residual, dimension, sign=True),
        verdict.get_verdict_display(),
        VerdictWord(verdict.verdict),
        told(carried, dimension),
        "" if event is None else event.name,
    )
