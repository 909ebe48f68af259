"""What the summary of a district shows, in a number of queries that never grows."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass

from django.db.models import Count, Max, Q
from django.utils.translation import gettext_noop as mark

from inspections.lookups.plan_facts import HANDED_IN
from inspections.models import Due, Flag, Sighting, Verdict
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import FlagState
from inspections.selectors.flags import last_seen, open_flags, queue
from inspections.selectors.plan import due
from inventory.models import Bridge, District, Element
from inventory.models.choices import ElementKind

MOST_ELEMENTS = 60
MOST_DUE = 60
"""Lines of a list beyond which the rest is counted."""
AGES = (
    (mark("under 3 months"), 91),
    (mark("3 to 12 months"), 365),
    (mark("1 to 2 years"), 730),
    (mark("older"), None),
)
"""Ages of open flags, with the days up to which each runs."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """An element with its open flags, the weightiest first, and what showed that one."""

    element: Element
    flags: list[Flag]
    sighting: Sighting | None

    @property
    def score(self) -> float:
        """The place of its weightiest flag in the queue, 0 to 100."""
        return self.flags[0].score


@dataclass(frozen=True, slots=True)
class DistrictSummary:
    """A district, or all of them, as it stands on a day."""

    district: District | None
    today: dt.date
    year_before: dt.date
    bridge_count: int
    counts: dict[ElementKind, Counter[VerdictWord]]
    now: Counter[VerdictWord]
    """By the readings alone, by the last visit that tells something."""
    before: Counter[VerdictWord]
    """The same for the visits up to a year ago; elements not read by then are left out."""
    ranked: list[Ranked]
    flagged_count: int
    overdue: list[Due]
    overdue_count: int
    ages: dict[FlagState, Counter[str]]

    @property
    def element_count(self) -> int:
        """How many elements there are."""
        return sum(counter.total() for counter in self.counts.values())


def year_before(day: dt.date) -> dt.date:
    """Return the same day a year before; 28 February for a leap day."""
    try:
        return day.replace(year=day.year - 1)
    except ValueError:
        return day.replace(year=day.year - 1, day=28)


def district_summary(district: District | None, today: dt.date) -> DistrictSummary:
    """Return what the summary of a district shows; of all where it is None."""
    bridges = Bridge.objects.filter(**_where("district", district))
    flags = queue(today).filter(open_flags(), **_where("element__bridge__district", district))
    by_element: dict[int, list[Flag]] = {}
    ages: dict[FlagState, Counter[str]] = {}
    for flag in flags:
        by_element.setdefault(flag.element_id, []).append(flag)
        state = FlagState(flag.state)
        ages.setdefault(state, Counter())[_age(flag, today)] += 1
    chosen = list(by_element.values())[:MOST_ELEMENTS]
    seen = last_seen([found[0] for found in chosen])
    late = due().filter(due_on__lt=today, **_where("bridge__district", district))
    overdue = list(late[:MOST_DUE])
    readings = _by_readings(district, today)
    return DistrictSummary(
        district=district,
        today=today,
        year_before=year_before(today),
        bridge_count=bridges.count(),
        counts=_counts(district),
        now=readings[0],
        before=readings[1],
        ranked=[Ranked(found[0].element, found, seen.get(found[0].pk)) for found in chosen],
        flagged_count=len(by_element),
        overdue=overdue,
        overdue_count=late.count() if len(overdue) == MOST_DUE else len(overdue),
        ages=ages,
    )


def _where(name: str, district: District | None) -> dict[str, District]:
    return {} if district is None else {name: district}


def _counts(district: District | None) -> dict[ElementKind, Counter[VerdictWord]]:
    found: dict[ElementKind, Counter[VerdictWord]] = {kind: Counter() for kind in ElementKind}
    rows = (
        Element.objects.filter(**_where("bridge__district", district))
        .order_by()
        .values_list("kind", "status__verdict")
        .annotate(number=Count("pk"))
    )
    for kind, verdict, number in rows:
        word = VerdictWord.CANNOT_JUDGE if verdict is None else VerdictWord(verdict)
        found[ElementKind(kind)][word] += number
    return found


def _by_readings(
    district: District | None, today: dt.date
) -> tuple[Counter[VerdictWord], Counter[VerdictWord]]:
    """Return the verdicts of elements by readings alone, up to today and up to a year before."""
    tells = ~Q(verdict=VerdictWord.CANNOT_JUDGE)
    rows = (
        Verdict.objects.filter(
            inspection__state__in=HANDED_IN,
            inspection__date__lte=today,
            **_where("element__bridge__district", district),
        )
        .order_by("inspection__date", "inspection_id")
        .values_list("element_id", "inspection__date", "inspection_id")
        .annotate(worst=Max("verdict", filter=tells))
    )
    until = year_before(today)
    now: dict[int, VerdictWord] = {}
    before: dict[int, VerdictWord] = {}
    for element_id, day, _, worst in rows:
        for found in (now, before) if day <= until else (now,):
            if worst is not None:
                found[element_id] = VerdictWord(worst)
            else:
                found.setdefault(element_id, VerdictWord.CANNOT_JUDGE)
    return Counter(now.values()), Counter(before.values())


def _age(flag: Flag, today: dt.date) -> str:
    days = (today - flag.opened_at.date()).days if flag.opened_at else 0
    return next(name for name, most in AGES if most is None or days <= most)
