"""Reads of flags: the queue in its order, and the life of one flag."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import (
    Case,
    Exists,
    ExpressionWrapper,
    F,
    FloatField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce, Extract, Greatest, Least

from inspections.lookups.parts import in_parts
from inspections.models import AgencySettings, Decision, Due, Flag, Inspection, Sighting
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import DueReason, FlagState
from inspections.selectors.plan import due

TO_DECIDE = (FlagState.OPEN, FlagState.BACK)
WAITING = (
    FlagState.WATCHED,
    FlagState.ACCEPTED,
    FlagState.TO_MEASURE,
    FlagState.IN_WORK,
    FlagState.MENDED,
)
ENDED = (FlagState.CLOSED, FlagState.WITHDRAWN)
LAPSES = (FlagState.WATCHED, FlagState.ACCEPTED, FlagState.TO_MEASURE)
"""States that end with a day."""
DUE_IN = {
    FlagState.WATCHED: DueReason.WATCH,
    FlagState.TO_MEASURE: DueReason.MEASURE_AGAIN,
    FlagState.MENDED: DueReason.PROVING,
}
SEVERE = {VerdictWord.OUT_OF_RANGE: 1.0, VerdictWord.WATCH: 0.5}
"""Share of the severity.  Judgement, no source."""
OLD_DAYS = 730.0
"""A flag that old has the full share of its age: two years, a routine interval."""


@dataclass(frozen=True, slots=True)
class Weights:
    """What counts how much in the order of the queue, as shares that sum to 1."""

    severity: float
    consequence: float
    nearness: float
    age: float

    @classmethod
    def of(cls, agency: AgencySettings) -> Weights:
        """Return the agency's weights; all alike where none is above zero."""
        given = (
            agency.weight_severity,
            agency.weight_consequence,
            agency.weight_nearness,
            agency.weight_age,
        )
        total = sum(given)
        return cls(*(each / total for each in given)) if total else cls(0.25, 0.25, 0.25, 0.25)


def flags() -> QuerySet[Flag]:
    """Return flags with what a list or a page shows of their elements."""
    return Flag.objects.select_related(
        "element__bridge__district",
        "element__support",
        "element__unit",
        "element__unit_ahead",
        "element__current_installation",
    )


def queue(today: dt.date, agency: AgencySettings | None = None) -> QuerySet[Flag]:
    """Return flags in the order of the queue, what matters most first.

    Each carries ``score`` from 0 to 100 and its four parts, which sum to it: ``by_severity``,
    ``by_consequence``, ``by_nearness``, ``by_age``; ``lapsed`` where the day of its decision
    has passed, and ``needs_decision``.
    """
    weights = Weights.of(agency or AgencySettings.current())
    severity = Case(
        *(When(severity=word, then=Value(share)) for word, share in SEVERE.items()),
        default=Value(0.0),
        output_field=FloatField(),
    )
    lapsed = Q(state__in=LAPSES, until__lt=today)
    return (
        flags()
        .annotate(
            by_severity=severity * Value(100.0 * weights.severity),
            by_consequence=F("consequence") * Value(100.0 * weights.consequence),
            by_nearness=F("nearness") * Value(100.0 * weights.nearness),
            by_age=_age_share(today) * Value(100.0 * weights.age),
            lapsed=Case(When(lapsed, then=True), default=False),
            needs_decision=Case(When(needs_decision(today), then=True), default=False),
        )
        .annotate(
            score=F("by_severity") + F("by_consequence") + F("by_nearness") + F("by_age"),
        )
        .order_by("-score", "element__bridge__code", "element__code", "cause")
    )


class _PartOfDay(Extract):
    """A part of a day, as the store's binary number.

    PostgreSQL extracts decimal numbers, and takes thrice as long to reckon with them.
    """

    def as_postgresql(self, compiler: Any, connection: Any, **extra: Any) -> tuple[str, Any]:
        """Return it in the words of PostgreSQL."""
        sql, params = self.as_sql(compiler, connection, **extra)
        of = sql.removeprefix(f"EXTRACT({self.lookup_name.upper()} FROM ")
        return f"DATE_PART('{self.lookup_name}', {of}", params


def _age_share(today: dt.date) -> Coalesce:
    """Return the share of the age, to two days: no function for days is common to all stores."""

    def days(year: Any, month: Any, day: Any) -> Any:
        """Return days of numbers, or of expressions of the store."""
        return year * 365.25 + month * 30.4375 + day

    opened = days(*(_PartOfDay("opened_at", name) for name in ("year", "month", "day")))
    age = ExpressionWrapper(
        (Value(days(today.year, today.month, today.day)) - opened) / Value(OLD_DAYS),
        output_field=FloatField(),
    )
    return Coalesce(
        Greatest(Least(age, Value(1.0)), Value(0.0)), Value(0.0), output_field=FloatField()
    )


def needs_decision(today: dt.date) -> Q:
    """Return what a flag that waits for an engineer's word fulfils."""
    return (
        Q(state__in=TO_DECIDE)
        | Q(state__in=LAPSES, until__lt=today)
        | Q(evidence_changed=True) & ~Q(state__in=ENDED)
        | Q(evidence_changed=True, state=FlagState.CLOSED, times_seen__gt=0)
    )


def sightings_of(flag: Flag) -> QuerySet[Sighting]:
    """Return what the visits showed of a flag's cause, oldest first."""
    return (
        Sighting.objects.filter(element_id=flag.element_id, cause=flag.cause)
        .select_related("inspection")
        .order_by("seen_at", "inspection_id")
    )


def flags_shown_by(inspection: Inspection) -> QuerySet[Flag]:
    """Return the flags whose cause a visit showed, along the bridge."""
    shown = Sighting.objects.filter(
        inspection=inspection, element=OuterRef("element"), cause=OuterRef("cause"), shown=True
    )
    return (
        Flag.objects.filter(Exists(shown))
        .select_related("element")
        .order_by("element__station_m", "element__code", "cause")
    )


def due_for(flag: Flag) -> QuerySet[Due]:
    """Return the visits to its element that the state of a flag makes due."""
    rows = due().filter(element=flag.element_id, reason=DUE_IN.get(FlagState(flag.state)))
    return rows if flag.state == FlagState.MENDED else rows.filter(flag=flag)


def decisions_of(flag: Flag) -> QuerySet[Decision]:
    """Return the decisions on a flag in the order in which they hold."""
    return flag.decisions.select_related("decided_by", "order").order_by(
        "as_of", "decided_at", "pk"
    )


def last_seen(chosen: Iterable[Flag]) -> dict[int, Sighting]:
    """Return, by flag, the last sighting that showed it, with a query for many flags."""
    found: dict[int, Sighting] = {}
    for rows in in_parts(chosen):
        # Of all sightings of an element, which are one of each visit, the last alone is read.
        last = (
            Sighting.objects.filter(
                element=OuterRef("element"), cause=OuterRef("cause"), shown=True
            )
            .order_by("-seen_at", "-inspection_id")
            .values("pk")[:1]
        )
        of_flags = Flag.objects.filter(pk__in=[flag.pk for flag in rows]).order_by()
        of_flag = {(flag.element_id, flag.cause): flag.pk for flag in rows}
        for sighting in Sighting.objects.filter(
            pk__in=of_flags.annotate(last=Subquery(last)).values("last")
        ).order_by():
            found[of_flag[sighting.element_id, sighting.cause]] = sighting
    return found


def last_decisions(chosen: Iterable[Flag]) -> dict[int, Decision]:
    """Return, by flag, the decision signed last, with a query for many flags."""
    return {
        row.flag_id: row
        for flags in in_parts(chosen)
        for row in Decision.objects.filter(flag__in=[flag.pk for flag in flags])
        .select_related("decided_by")
        .order_by("decided_at", "pk")
    }


def with_what_was_last(chosen: Iterable[Flag]) -> list[Flag]:
    """Return flags that each carry ``last_sighting`` and ``last_decision``, or None."""
    found = list(chosen)
    seen, decided = last_seen(found), last_decisions(found)
    for flag in found:
        flag.last_sighting, flag.last_decision = seen.get(flag.pk), decided.get(flag.pk)
    return found


def open_flags() -> Q:
    """Return what a flag that is not at its end fulfils."""
    return ~Q(state__in=ENDED)
