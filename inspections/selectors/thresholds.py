"""What a change of the agency's settings would do, and what was changed before; no writes."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext_noop as mark

from inspections.flag_life import Life
from inspections.lookups.plan_due import due_at
from inspections.models import AgencySettings, ElementStatus, Flag, Sighting
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import FlagCause, FlagState
from inspections.selectors.flags import ENDED, needs_decision, queue
from inspections.services.flags import Key, folded
from inspections.services.judge import assess
from inspections.services.thresholds import (
    FIGURES,
    changed,
    enters_plan,
    enters_verdicts,
    proposed,
)
from inventory.models import Bridge, Element
from inventory.words import in_sentence

FIRST_OF_QUEUE = 20
MOST_CHANGES = 200


@dataclass(frozen=True, slots=True)
class FlagChange:
    """A flag that would open, end, or stand otherwise; empty where there is none."""

    element: Element
    cause: FlagCause
    flag_id: int | None
    before: str
    after: str

    @property
    def what(self) -> str:
        """In one word."""
        if not self.before:
            return mark("opens")
        return mark("goes") if not self.after else mark("changes")


@dataclass(frozen=True, slots=True)
class BridgePreview:
    """What would change at one bridge."""

    bridge: Bridge
    before: dict[VerdictWord, int]
    after: dict[VerdictWord, int]
    changes: list[FlagChange]
    due_before: int
    due_after: int

    @property
    def nothing(self) -> bool:
        """True where all stays as it is."""
        return self.before == self.after and not self.changes and self.due_before == self.due_after


@dataclass(frozen=True, slots=True)
class Proposal:
    """Settings that are proposed, beside those that hold; ``names`` are what differs."""

    now: AgencySettings
    then: AgencySettings
    names: list[str]

    @property
    def figures(self) -> list[tuple[str, Any, Any]]:
        """What differs: its name, what it is, and what it would be."""
        return [(name, getattr(self.now, name), getattr(self.then, name)) for name in self.names]

    @property
    def moves_bridges(self) -> bool:
        """True where verdicts, flags or what is due may change."""
        return any(enters_verdicts(name) or enters_plan(name) for name in self.names)

    def queue_moves(self, today: dt.date) -> list[QueueMove]:
        """Return the first flags to decide by other weights; none where these stay as they are."""
        if not any(name.startswith("weight_") for name in self.names):
            return []
        return queue_moves(self.then, today)


def proposal(figures: Mapping[str, Any]) -> Proposal:
    """Return what some figures would make of the settings.

    Raises
    ------
    ValidationError
        By field, where they may not stand together.
    """
    now = AgencySettings.current()
    then = proposed(now, figures)
    then.full_clean(validate_unique=False)
    return Proposal(now, then, changed(now, then))


def preview_of(
    bridge: Bridge, now: AgencySettings, then: AgencySettings, names: list[str], today: dt.date
) -> BridgePreview:
    """Return what other settings would do at a bridge; ``names`` are what differs."""
    statuses = ElementStatus.objects.filter(bridge=bridge)
    before = Counter(statuses.values_list("verdict", flat=True))
    after, changes = before, []
    if any(map(enters_verdicts, names)):
        assessed = assess(bridge.pk, then)
        after = Counter(each.verdict for each in assessed.statuses)
        critical = Sighting.objects.filter(element__bridge=bridge, cause=FlagCause.CRITICAL)
        changes = _changes(bridge, folded(bridge.pk, [*assessed.sightings, *critical]))
    due_before = due_after = 0
    if any(map(enters_plan, names)):
        due_before, due_after = (
            sum(row.due_on <= today for row in due_at(bridge, each)) for each in (now, then)
        )
    return BridgePreview(
        bridge,
        {word: before[word] for word in VerdictWord},
        {word: after[word] for word in VerdictWord},
        changes,
        due_before,
        due_after,
    )


def _changes(bridge: Bridge, lives: dict[Key, Life]) -> list[FlagChange]:
    rows = Flag.objects.filter(element__bridge=bridge).select_related("element")
    present = {Key(row.element_id, row.cause): row for row in rows}
    elements = {each.pk: each for each in Element.objects.filter(bridge=bridge)}
    found = []
    for key in sorted({*present, *lives}):
        flag, life = present.get(key), lives.get(key)
        before = "" if flag is None else _words(flag.state, flag.severity)
        after = "" if life is None or life.state is None else _words(life.state, life.severity)
        if before != after:
            found.append(
                FlagChange(
                    elements[key.element_id],
                    FlagCause(key.cause),
                    None if flag is None else flag.pk,
                    before,
                    after,
                )
            )
    return found


def _words(state: str, severity: int) -> str:
    word = FlagState(state).label
    return word if state in ENDED else f"{word}, {in_sentence(VerdictWord(severity).label)}"


@dataclass(frozen=True, slots=True)
class QueueMove:
    """A flag among the first by other weights, with its place now."""

    flag: Flag
    place: int
    place_now: int | None


def queue_moves(then: AgencySettings, today: dt.date) -> list[QueueMove]:
    """Return the first flags to decide by other weights, with their places now."""
    waiting = needs_decision(today)
    places = {
        pk: place
        for place, pk in enumerate(queue(today).filter(waiting).values_list("pk", flat=True), 1)
    }
    first = queue(today, then).filter(waiting)[:FIRST_OF_QUEUE]
    return [QueueMove(flag, place, places.get(flag.pk)) for place, flag in enumerate(first, 1)]


@dataclass(frozen=True, slots=True)
class Change:
    """One saving of the settings: what was changed from what to what."""

    at: dt.datetime
    by: str
    reason: str
    figures: list[tuple[str, object, object]]


def history_of_settings() -> list[Change]:
    """Return every change of the settings, newest first; the first is against the defaults."""
    newest = AgencySettings.history.select_related("history_user").order_by("-history_id")
    rows = list(reversed(newest[: MOST_CHANGES + 1]))
    # One more than is told, so that the oldest told has something to differ from.
    states = rows if len(rows) > MOST_CHANGES else [AgencySettings(), *rows]
    found = [
        Change(
            row.history_date,
            row.history_user.get_username() if row.history_user else "",
            row.history_change_reason or "",
            [
                (name, getattr(earlier, name), getattr(row, name))
                for name in FIGURES
                if getattr(earlier, name) != getattr(row, name)
            ],
        )
        for earlier, row in pairwise(states)
    ]
    return [each for each in reversed(found) if each.figures][:MOST_CHANGES]


def settings_at(version: int) -> AgencySettings:
    """Return the settings as a version of their history had them; the defaults for none."""
    row = AgencySettings.history.filter(history_id=version).first()
    return AgencySettings() if row is None else row.instance


def bridges_to_preview() -> QuerySet[Bridge]:
    """Return the bridges that hold elements, by code."""
    return Bridge.objects.filter(elements__isnull=False).distinct().order_by("code")
