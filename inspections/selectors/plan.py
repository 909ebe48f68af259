"""What the plan shows: what is due at which bridge, and which visits are planned."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from django.contrib.auth.models import AbstractBaseUser
from django.db.models import Count, Exists, Min, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import Due, PlannedVisit
from inspections.models.choices import InspectionKind, InspectionState
from inspections.models.desk_choices import DueReason
from inventory.models import Bridge
from inventory.words import TextWords, in_sentence

HORIZON = dt.timedelta(days=365)
SOON = dt.timedelta(days=90)
"""What is due so soon is proposed for a visit that is being planned."""
NEAR = dt.timedelta(days=14)
"""Two visits to a bridge so close together might be one.  Judgement."""


class Within(TextWords):
    """Stretches of time that the overview is told in, as in its address."""

    OVERDUE = "overdue", mark("Overdue")
    DAYS_30 = "30", mark("Next 30 days")
    DAYS_90 = "90", mark("31 to 90 days")
    DAYS_365 = "365", mark("91 to 365 days")


LAST_DAY_OF = {Within.OVERDUE: -1, Within.DAYS_30: 30, Within.DAYS_90: 90, Within.DAYS_365: 365}


def within(day: dt.date, today: dt.date) -> Within | None:
    """Return the stretch of time that a day falls in; None beyond the horizon."""
    days = (day - today).days
    return next((each for each, last in LAST_DAY_OF.items() if days <= last), None)


@dataclass(frozen=True, slots=True)
class BridgeDue:
    """A bridge with all that is due there, the first first, and the visits planned to it."""

    bridge: Bridge
    rows: list[Due]
    plans: list[PlannedVisit]
    within: Within


def due() -> QuerySet[Due]:
    """Return all that is due, with what its words need, the first first."""
    return Due.objects.select_related(
        "bridge__district", "element", "flag", "event", "order"
    ).order_by("due_on", "bridge__code", "element__code", "pk")


def asked_of_next_visit(bridge: Bridge) -> QuerySet[Due]:
    """Return the elements that a decision or an order waits for a reading of, the first first."""
    return due().filter(
        bridge=bridge,
        element__isnull=False,
        reason__in=(DueReason.PROVING, DueReason.MEASURE_AGAIN, DueReason.WATCH),
    )


def planned() -> QuerySet[PlannedVisit]:
    """Return planned visits by day, with bridge, people, event and inspection."""
    return (
        PlannedVisit.objects.select_related("bridge", "lead", "event", "inspection", "created_by")
        .prefetch_related("crew")
        .order_by("planned_on", "bridge__code", "pk")
    )


def in_brief() -> tuple[QuerySet[PlannedVisit], QuerySet[Due]]:
    """Return planned visits, and what is due, by day and bridge with what a calendar names.

    A month of a whole country has thousands of them.
    """
    plans = PlannedVisit.objects.select_related("bridge", "lead").only(
        "planned_on", "kind", "bridge__code", "lead__username"
    )
    rows = Due.objects.select_related("bridge").only("due_on", "bridge__code")
    return (
        plans.order_by("planned_on", "bridge__code", "pk"),
        rows.order_by("due_on", "bridge__code", "pk"),
    )


def standing(plans: QuerySet[PlannedVisit]) -> QuerySet[PlannedVisit]:
    """Keep the visits still to be made: neither cancelled nor handed in."""
    return plans.filter(
        Q(inspection__isnull=True) | Q(inspection__state=InspectionState.OPEN),
        cancelled_at__isnull=True,
    )


def of_user(plans: QuerySet[PlannedVisit], user: AbstractBaseUser) -> QuerySet[PlannedVisit]:
    """Keep the visits that a user leads or goes along with."""
    in_crew = PlannedVisit.crew.through.objects.filter(plannedvisit=OuterRef("pk"), user=user)
    return plans.filter(Q(lead=user) | Exists(in_crew))


def due_assigned_to(rows: QuerySet[Due], user: AbstractBaseUser | None) -> QuerySet[Due]:
    """Keep what is due at bridges with a standing visit of a user; None: of nobody at all."""
    plans = standing(PlannedVisit.objects.filter(bridge=OuterRef("bridge")))
    if user is not None:
        return rows.filter(Exists(of_user(plans, user)))
    in_crew = PlannedVisit.crew.through.objects.filter(plannedvisit=OuterRef("pk"))
    return rows.exclude(Exists(plans.filter(Q(lead__isnull=False) | Exists(in_crew))))


def first_days(rows: QuerySet[Due], today: dt.date, chosen: Within | None = None) -> QuerySet:
    """Return the keys of bridges by the first day on which something is due, the first first.

    Those alone whose first day falls in the stretch of time ``chosen``, where one is.
    """
    found = rows.order_by().values("bridge", "bridge__code").annotate(first=Min("due_on"))
    if chosen is not None:
        found = found.filter(first__lte=_last_day(chosen, today))
        before = list(Within)[: list(Within).index(chosen)]
        if before:
            found = found.filter(first__gt=_last_day(before[-1], today))
    return found.order_by("first", "bridge__code").values_list("bridge", flat=True)


def bridges_within(rows: QuerySet[Due], today: dt.date) -> dict[Within, int]:
    """Return of how many bridges the first day falls in each stretch of time."""
    first = rows.order_by().values("bridge").annotate(first=Min("due_on"))
    so_far = first.aggregate(
        **{
            each.name: Count("first", filter=Q(first__lte=_last_day(each, today)))
            for each in Within
        }
    ).values()
    return {
        each: until - before
        for each, (before, until) in zip(Within, pairwise([0, *so_far]), strict=True)
    }


def _last_day(stretch: Within, today: dt.date) -> dt.date:
    return today + dt.timedelta(days=LAST_DAY_OF[stretch])


def due_at(bridge_ids: Sequence[int], rows: QuerySet[Due]) -> list[list[Due]]:
    """Return what is due at some bridges, bridge by bridge in the order given."""
    by_bridge: defaultdict[int, list[Due]] = defaultdict(list)
    for row in rows.filter(bridge__in=bridge_ids):
        by_bridge[row.bridge_id].append(row)
    return [there for pk in bridge_ids if (there := by_bridge[pk])]


def bridges_due(bridge_ids: Sequence[int], rows: QuerySet[Due], today: dt.date) -> list[BridgeDue]:
    """Return some bridges, in the order given, with what is due there and planned."""
    plans: defaultdict[int, list[PlannedVisit]] = defaultdict(list)
    for plan in standing(planned().filter(bridge__in=bridge_ids)):
        plans[plan.bridge_id].append(plan)
    return [
        BridgeDue(there[0].bridge, there, plans[there[0].bridge_id], within(there[0].due_on, today))
        for there in due_at(bridge_ids, rows)
    ]


def conflicts(
    *,
    bridge: Bridge,
    planned_on: dt.date,
    people: Iterable[AbstractBaseUser],
    but: PlannedVisit | None = None,
) -> list[str]:
    """Return what stands against a visit on a day: people elsewhere, another visit near it."""
    others = standing(planned()).exclude(pk=but.pk if but else None)
    goes = {each.pk: each.get_username() for each in people}
    elsewhere: defaultdict[str, list[str]] = defaultdict(list)
    # Of all visits of a day, which a country has many of, those of these people.
    in_crew = PlannedVisit.crew.through.objects.filter(user__in=goes).values("plannedvisit")
    theirs = others.filter(Q(lead__in=goes) | Q(pk__in=in_crew), planned_on=planned_on)
    for other in theirs.exclude(bridge=bridge) if goes else ():
        there = {other.lead_id, *(each.pk for each in other.crew.all())}
        for pk in there & goes.keys():
            elsewhere[goes[pk]].append(other.bridge.code)
    found = [
        (
            _("%(name)s has another visit that day, at %(codes)s.")
            if len(codes) == 1
            else _("%(name)s has other visits that day, at %(codes)s.")
        )
        % {"name": name, "codes": ", ".join(codes)}
        for name, codes in sorted(elsewhere.items())
    ]
    found += [
        _(
            "Another visit to %(bridge)s is planned for %(day)s (%(kind)s): one visit may do for"
            " both."
        )
        % {
            "bridge": bridge.code,
            "day": other.planned_on,
            "kind": in_sentence(other.get_kind_display()),
        }
        for other in others.filter(bridge=bridge)
        # No range of days: the calendar ends near a day that was typed amiss.
        if abs(other.planned_on - planned_on) <= NEAR
    ]
    return found


@dataclass(frozen=True, slots=True)
class Proposal:
    """What to plan at a bridge by what is due there."""

    kind: InspectionKind
    note: str
    event_id: int | None


_IN_SHORT = {
    DueReason.ROUTINE: mark("routine"),
    DueReason.IN_DEPTH: mark("in depth"),
    DueReason.WATCH: mark("watched"),
    DueReason.MEASURE_AGAIN: mark("measure again"),
    DueReason.PROVING: mark("proving"),
    DueReason.ACCEPTANCE: mark("acceptance ends"),
}
LONGEST_NOTE = PlannedVisit._meta.get_field("note").max_length


def proposal(rows: Iterable[Due], today: dt.date) -> Proposal:
    """Return the kind of visit and the elements to read by what is due soon."""
    soon = [row for row in rows if row.due_on <= today + SOON]
    reasons = {row.reason for row in soon}
    event_id = next((row.event_id for row in soon if row.event_id), None)
    kinds = {
        InspectionKind.EVENT: {DueReason.EVENT},
        InspectionKind.IN_DEPTH: {DueReason.IN_DEPTH},
        InspectionKind.ROUTINE: {DueReason.ROUTINE},
        InspectionKind.FOLLOW_UP: reasons,
    }
    kind = next((kind for kind, by in kinds.items() if by & reasons), InspectionKind.ROUTINE)
    whys: defaultdict[str, list[str]] = defaultdict(list)
    for row in soon:
        if row.element_id:
            whys[row.element.code].append(_(_IN_SHORT[DueReason(row.reason)]))
    note = ", ".join(f"{code} ({', '.join(dict.fromkeys(why))})" for code, why in whys.items())
    if len(note) > LONGEST_NOTE:
        others = _("%(elements)s and others")
        room = LONGEST_NOTE - len(others % {"elements": ""})
        note = others % {"elements": note[:room].rpartition(", ")[0]}
    return Proposal(kind, note, event_id)
