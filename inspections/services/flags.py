"""Flags as they follow from what was seen and decided."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import Q

from inspections.flag_life import Decided, Happening, Life, Released, Renewed, Seen, life_of
from inspections.models import (
    AgencySettings,
    Decision,
    ElementHistory,
    ElementStatus,
    Flag,
    Sighting,
)
from inspections.models.desk_choices import DecisionKind, FlagCause, FlagState
from inspections.services.many_rows import insert, update
from inspections.services.plan import write_due_at_each
from inspections.services.proving import note_proof
from inspections.services.standing_register import StandingRegister
from inventory.models import Element, Installation
from inventory.models.choices import ElementKind, Replaceable
from inventory.scoping import seeing_all

CARRIES = {ElementKind.BEARING: 1.0, ElementKind.RESTRAINT: 0.8, ElementKind.JOINT: 0.5}
"""Share of the consequence by what an element does: the weight of the bridge passes through a
bearing; a restraint keeps it in place in an earthquake; a joint carries traffic and keeps the
water off.  Judgement, no source."""
HARD_TO_REPLACE = {
    Replaceable.NO: 1.0,
    Replaceable.CLOSURE: 0.7,
    Replaceable.UNKNOWN: 0.5,
    Replaceable.YES: 0.0,
}
"""Share by whether it can be replaced.  Judgement, no source."""
OF_CARRIED = 0.6
"""Part of the consequence that is told by what an element carries, the rest by the other."""
NEAR_YEARS = 10.0
"""A limit this many years away is no longer near.  Judgement, no source."""
FOLLOWED = ("state", "severity", "first_seen_at", "last_seen_at", "times_seen", "opened_at",
            "times_reopened", "back_since", "until")  # fmt: skip
"""Columns of a flag that are those of its life."""
OF_DECISION = ("kind", "as_of", "decided_at", "until", "relied_on", "flag__element_id",
               "flag__cause", "order__cancelled_at")  # fmt: skip
"""Columns of a decision that its flag follows from."""
RANKED = ("evidence_changed", "consequence", "nearness", "limit_in_years")


class Key(NamedTuple):
    """A cause at an element."""

    element_id: int
    cause: str


def folded(bridge_id: int, sightings: Iterable[Sighting]) -> dict[Key, Life]:
    """Return where every flag of a bridge stands by some sightings; writes nothing.

    ``sightings`` are all that there are, stored or not.
    """
    return _folded(
        sightings, _decisions([bridge_id]), _renewals([bridge_id]), _named_by_work([bridge_id])
    )


def _folded(
    sightings: Iterable[Sighting],
    decisions: Iterable[Decision],
    renewed: Mapping[int, list[Renewed]],
    named: Iterable[Key],
) -> dict[Key, Life]:
    happened: dict[Key, list[Happening]] = defaultdict(list)
    for row in sightings:
        happened[Key(row.element_id, row.cause)].append(
            Seen(row.seen_at, row.shown, row.severity, row.inspection_id)
        )
    for decision in decisions:
        happened[Key(decision.flag.element_id, decision.flag.cause)].append(
            Decided(decision.as_of, DecisionKind(decision.kind), decision.until, decision.pk)
        )
        if decision.order is not None and decision.order.cancelled_at is not None:
            happened[Key(decision.flag.element_id, decision.flag.cause)].append(
                Released(decision.order.cancelled_at, decision.pk)
            )
    for key, its in happened.items():
        if key.cause != FlagCause.CRITICAL:
            its.extend(renewed.get(key.element_id, ()))
    lives = {key: life for key, its in happened.items() if (life := life_of(its)).state is not None}
    for key in named:
        lives.setdefault(key, Life(state=FlagState.WITHDRAWN))
    return lives


@seeing_all
def write_flags(bridge_id: int, agency: AgencySettings | None = None) -> None:
    """Bring the flags of a bridge up to date, and with them what is due there."""
    write_flags_of_each([bridge_id], agency)


@seeing_all
def write_flags_of_each(
    bridge_ids: Sequence[int],
    agency: AgencySettings | None = None,
    registers: Sequence[StandingRegister] | None = None,
) -> None:
    """Bring the flags of some bridges up to date, and with them what is due there.

    ``registers``: those of the bridges, by whoever has read them and holds the bridges' locks.
    """
    sightings = list(
        Sighting.objects.filter(element__bridge__in=bridge_ids)
        .defer("evidence")
        .order_by("seen_at", "inspection_id")
    )
    present = {
        Key(flag.element_id, flag.cause): flag
        for flag in Flag.objects.filter(element__bridge__in=bridge_ids).order_by("pk")
    }
    if sightings or present:
        _write(bridge_ids, sightings, present, registers)
    note_proof(bridge_ids)
    write_due_at_each(bridge_ids, agency, registers)


def _write(
    bridge_ids: Sequence[int],
    sightings: list[Sighting],
    present: dict[Key, Flag],
    registers: Sequence[StandingRegister] | None,
) -> None:
    decisions = _decisions(bridge_ids)
    lives = _folded(sightings, decisions, _renewals(bridge_ids), _named_by_work(bridge_ids))
    changed = _changed_evidence(sightings, decisions)
    ranks = _Ranks(bridge_ids, registers)
    new, other = [], []
    for key, life in lives.items():
        wanted = {name: getattr(life, name) for name in FOLLOWED}
        wanted |= {"evidence_changed": key in changed} | ranks.of(key.element_id)
        flag = present.pop(key, None)
        if flag is None:
            new.append(Flag(element_id=key.element_id, cause=key.cause, **wanted))
        elif any(getattr(flag, name) != value for name, value in wanted.items()):
            for name, value in wanted.items():
                setattr(flag, name, value)
            other.append(flag)
    # What no reading shows, and no decision, study or order names, was never there.
    if present:
        Flag.objects.filter(pk__in=[flag.pk for flag in present.values()]).delete()
    insert(new)
    update(other, [*FOLLOWED, *RANKED])


def relied_on(sightings: Iterable[Sighting], as_of: dt.datetime) -> list[list[int | bool]]:
    """Return what had been seen by an hour, as a decision keeps it; oldest first."""
    return [
        [row.inspection_id, row.shown, row.severity]
        for row in sorted(sightings, key=lambda each: (each.seen_at, each.inspection_id))
        if row.seen_at <= as_of
    ]


def _named_by_work(bridge_ids: Sequence[int]) -> Iterable[Key]:
    """Return the flags that a study of options or a work order names: they stay on record."""
    named = Q(option_studies__isnull=False) | Q(work_items__isnull=False)
    flags = Flag.objects.filter(named, element__bridge__in=bridge_ids)
    return [Key(*each) for each in flags.values_list("element_id", "cause").distinct().order_by()]


def _decisions(bridge_ids: Sequence[int]) -> list[Decision]:
    return list(
        Decision.objects.filter(flag__element__bridge__in=bridge_ids)
        .select_related("flag", "order")
        .only(*OF_DECISION)
        .order_by("as_of", "decided_at", "pk")
    )


def _renewals(bridge_ids: Sequence[int]) -> dict[int, list[Renewed]]:
    """Return when devices were replaced or set anew, at the start of that day on the site."""
    found: dict[int, list[Renewed]] = defaultdict(list)
    ended = Installation.objects.filter(element__bridge__in=bridge_ids, removed_on__isnull=False)
    columns = ("element_id", "removed_on", "element__bridge__time_zone")
    for element_id, day, zone in ended.order_by("pk").values_list(*columns):
        start = dt.datetime.combine(day, dt.time(), ZoneInfo(zone))
        found[element_id].append(Renewed(start))
    return found


def _changed_evidence(sightings: Iterable[Sighting], decisions: Iterable[Decision]) -> set[Key]:
    """Return the flags whose last decision rested on what now reads otherwise."""
    of_flag: dict[Key, list[Sighting]] = defaultdict(list)
    for row in sightings:
        of_flag[Key(row.element_id, row.cause)].append(row)
    last = {
        Key(each.flag.element_id, each.flag.cause): each
        for each in sorted(decisions, key=lambda each: (each.decided_at, each.pk))
    }
    return {
        key
        for key, decision in last.items()
        if relied_on(of_flag[key], decision.as_of) != decision.relied_on
    }


class _Ranks:
    """What the place of a bridge's flags in the queue depends on, beside severity and age."""

    def __init__(
        self, bridge_ids: Sequence[int], registers: Sequence[StandingRegister] | None
    ) -> None:
        rows: Iterable[Element] = (
            Element.objects.filter(bridge__in=bridge_ids)
            if registers is None
            else (element for register in registers for element in register.elements)
        )
        self._elements = {each.pk: (each.kind, each.replaceable) for each in rows}
        self._use = dict(
            ElementStatus.objects.filter(bridge__in=bridge_ids)
            .order_by()
            .values_list("element_id", "greatest_use")
        )
        self._years: dict[int, float] = {}
        histories = ElementHistory.objects.filter(
            element__bridge__in=bridge_ids,
            installation__removed_on__isnull=True,
            limit_in_years__isnull=False,
        ).order_by()
        for pk, years in histories.values_list("element_id", "limit_in_years"):
            self._years[pk] = min(years, self._years.get(pk, years))

    def of(self, element_id: int) -> dict[str, float | None]:
        """Return the figures of an element, shares from 0 to 1."""
        kind, replaceable = self._elements[element_id]
        years = self._years.get(element_id)
        by_use = min(max(self._use.get(element_id) or 0.0, 0.0), 1.0)
        by_time = 0.0 if years is None else 1.0 - min(max(years, 0.0) / NEAR_YEARS, 1.0)
        return {
            "consequence": OF_CARRIED * CARRIES[ElementKind(kind)]
            + (1.0 - OF_CARRIED) * HARD_TO_REPLACE[Replaceable(replaceable)],
            "nearness": max(by_use, by_time),
            "limit_in_years": years,
        }
