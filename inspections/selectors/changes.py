"""Who changed what, when, from what to what: the past states of every record that people keep."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from typing import Any

from django.apps import apps
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser
from django.db.models import (
    CharField,
    F,
    Field,
    Model,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
)
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.utils.translation import pgettext

from inspections.lookups.parts import in_parts
from inspections.models import AgencySettings, Event, EventBridge, HeldRole
from inventory.decimal_mark import with_mark
from inventory.models import Bridge, Installation
from inventory.quantities import InRange
from inventory.scoping import changes_of, districts_seen
from inventory.units import Dimension, System, shown

MADE, CHANGED, REMOVED = "+", "~", "-"
WORDS = {MADE: mark("made"), CHANGED: mark("changed"), REMOVED: mark("removed")}
NONE = "–"
FIRST_PART, LATER_PARTS = 500, 10_000
Key = tuple[dt.datetime, int, str]
"""When a change was written, the key of the past state, and what kind of record it is of."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One field: its label, and what it said before and says now, in words."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Change:
    """One writing of one record."""

    at: dt.datetime
    who: AbstractBaseUser | None
    kind: str
    record: str
    record_id: str
    what: str
    reason: str
    differences: list[Difference] = field(default_factory=list)


@cache
def kinds() -> dict[str, type[Model]]:
    """Return the records whose past states are kept, by what they are called."""
    found = [
        model
        for app in ("inventory", "inspections", "auth")
        for model in apps.get_app_config(app).get_models()
        if hasattr(getattr(model, "history", None), "model")
    ]
    return {model._meta.verbose_name_raw: model for model in found}


def bridge_path(model: type[Model]) -> str | None:
    """Return how a past state leads to its bridge; None where it belongs to no single one."""
    if model is Bridge:
        return "id"
    path = getattr(model.objects, "district_path", "")
    return path.removesuffix("__district") if path.endswith("bridge__district") else None


def changes(
    *,
    kind: str = "",
    who: AbstractBaseUser | None = None,
    bridge: Bridge | None = None,
    record_id: str = "",
    first: dt.datetime | None = None,
    last: dt.datetime | None = None,
    accounts_of: Collection[int] | None = (),
    after: Key | None = None,
) -> QuerySet:
    """Return keys of changes as (at, history id, kind), newest first.

    ``accounts_of`` are the districts whose people's accounts may be looked at, None is all.
    With ``after`` those that follow that one in the list, which are older or written with it.
    """
    chosen = {kind: kinds()[kind]} if kind else kinds()
    parts = []
    for name, model in chosen.items():
        rows = _accounts(accounts_of) if model is get_user_model() else _in_scope(model)
        if bridge is not None:
            path = bridge_path(model)
            if path is None:
                continue
            rows = rows.filter(**{path: bridge.pk})
        if who is not None:
            rows = rows.filter(history_user=who)
        if record_id:
            rows = rows.filter(id=record_id)
        if first is not None:
            rows = rows.filter(history_date__gte=first)
        if last is not None:
            rows = rows.filter(history_date__lt=last)
        named = Value(name, output_field=CharField())
        rows = rows.order_by().annotate(at=F("history_date"), key=F("history_id"), kind_name=named)
        if after is not None:
            at, key, its_kind = after
            # The words of kinds are compared where they are put in order. The first condition
            # follows from the second one; by it rows are looked up.
            rows = rows.filter(history_date__lte=at).filter(
                Q(history_date__lt=at)
                | Q(kind_name__gt=its_kind)
                | Q(kind_name=its_kind, history_id__lt=key)
            )
        parts.append(rows.values_list("at", "key", "kind_name"))
    return parts[0].union(*parts[1:], all=True).order_by("-at", "kind_name", "-key")


def changes_in_parts(**narrowing: Any) -> Iterator[list[Key]]:
    """Yield keys of all changes that ``changes`` would return, in its order.

    Each part is asked for when its turn comes, behind the last one, so that a file of all begins
    at once. Later parts are larger: what was written in one moment is put in order for each anew.
    """
    part = list(changes(**narrowing)[:FIRST_PART])
    while part:
        yield from in_parts(part, FIRST_PART)
        part = list(changes(**narrowing, after=part[-1])[:LATER_PARTS])


def _in_scope(model: type[Model]) -> QuerySet:
    """Return past states in scope; of what several districts share, those that concern them."""
    rows, seen = changes_of(model), districts_seen()
    if seen is None:
        return rows
    if model is HeldRole:
        return rows.filter(district__in=seen)
    if model is Event:
        return rows.filter(id__in=EventBridge.objects.values("event"))
    return rows


def _accounts(districts: Collection[int] | None) -> QuerySet:
    rows = get_user_model().history.all()
    if districts is None:
        return rows
    return rows.filter(id__in=HeldRole.objects.filter(district__in=districts).values("user"))


def told(keys: Iterable[Key], system: System) -> Iterator[Change]:
    """Return changes in words; as many queries for many as for one of each kind."""
    keys = list(keys)
    wanted = defaultdict(list)
    for _at, key, kind in keys:
        wanted[kind].append(key)
    rows, before = {}, {}
    for kind, ids in wanted.items():
        history = kinds()[kind].history
        earlier = history.filter(id=OuterRef("id"), history_id__lt=OuterRef("history_id"))
        found = (
            history.filter(history_id__in=ids)
            .select_related("history_user")
            .annotate(earlier=Subquery(earlier.order_by("-history_id").values("history_id")[:1]))
        )
        rows |= {(kind, row.history_id): row for row in found}
        past = history.in_bulk([row.earlier for row in found if row.earlier])
        _add_many(kind, [*found, *past.values()])
        before |= {(kind, row.history_id): past.get(row.earlier) for row in found}
    names = _names_of_others(rows, before)
    for at, key, kind in keys:
        row = rows[kind, key]
        yield Change(
            at=at,
            who=row.history_user,
            kind=kind,
            record=_name(row, names),
            record_id=str(row.id),
            what=WORDS[row.history_type],
            reason=row.history_change_reason or "",
            differences=_differences(kind, row, before[kind, key], system, names),
        )


def _add_many(kind: str, states: list[Any]) -> None:
    """Give past states what they held of several, such as a crew, by one query for each."""
    history = kinds()[kind].history.model
    for each in history._history_m2m_fields:
        held: dict[int, list] = defaultdict(list)
        rows = getattr(history, each.name).model.objects.filter(history__in=states)
        for key, pk in rows.values_list("history_id", each.m2m_reverse_field_name()):
            held[key].append(pk)
        for state in states:
            state.__dict__[each.attname] = sorted(held[state.pk])


def _fields(kind: str) -> list[Field]:
    history = kinds()[kind].history.model
    one = [each for each in history.tracked_fields if each.name != "id"]
    return [*one, *history._history_m2m_fields]


def _said(state: Any, each: Field) -> Any:
    """Return what a past state held in a field: keys where it refers to others."""
    return state.__dict__[each.attname]


def _referred(state: Any, each: Field) -> list[Any]:
    said = _said(state, each)
    return said if each.many_to_many else [] if said is None else [said]


def _differences(
    kind: str, row: Any, before: Any, system: System, names: dict[tuple[type, Any], str]
) -> list[Difference]:
    if row.history_type == REMOVED:
        return []
    found = []
    for each in _fields(kind):
        now = _said(row, each)
        was = _said(before, each) if before is not None else None
        if now == was or (before is None and now in (None, "", [])):
            continue
        label, words = _words_for(each, system, names)
        found.append(Difference(label, words(was) if before is not None else NONE, words(now)))
    return found


def _words_for(each: Field, system: System, names: dict[tuple[type, Any], str]) -> tuple[str, Any]:
    label = str(each.verbose_name)
    unit = next((check.unit for check in each.validators if isinstance(check, InRange)), "")
    choices = dict(each.flatchoices)
    label = label[:1].upper() + label[1:]

    def words(value: Any) -> str:
        if value in (None, "", []):
            return NONE
        if each.is_relation:
            keys = value if each.many_to_many else [value]
            return ", ".join(names.get((each.related_model, key), f"{key}") for key in keys)
        if value in choices:
            return str(choices[value])
        if isinstance(value, bool):
            return _("yes") if value else pgettext("may", "no")
        if isinstance(value, dt.datetime):
            return f"{value.astimezone(dt.UTC):%Y-%m-%d %H:%M} UTC"
        if isinstance(value, Decimal):
            return with_mark(f"{value}")
        if isinstance(value, float):
            return (
                shown(value, Dimension(unit), system)
                if unit in [*Dimension]
                else with_mark(f"{value:g}")
            )
        return f"{value}"

    return label.split(" [")[0], words


def _names_of_others(rows: dict, before: dict) -> dict[tuple[type, Any], str]:
    """Return what the records are called that others refer to, one query for each table."""
    wanted: dict[type[Model], set] = defaultdict(set)
    for (kind, key), row in rows.items():
        for each in _fields(kind):
            if each.is_relation:
                for state in (row, before[kind, key]):
                    if state is not None:
                        wanted[each.related_model].update(_referred(state, each))
    return {
        (model, pk): _called(row)
        for model, ids in wanted.items()
        for pk, row in model._default_manager.in_bulk(ids).items()
    }


def _called(row: Model) -> str:
    if isinstance(row, Installation):
        return str(row.get_device_type_display())
    for name in ("code", "username", "title", "name", "station", "date", "planned_on"):
        if getattr(row, name, ""):
            return str(getattr(row, name))
    return f"{row.pk}"


def _name(row: Any, names: dict[tuple[type, Any], str]) -> str:
    """Return what a past state was called, with where it belongs."""
    if isinstance(row, AgencySettings.history.model):
        return _("Agency settings")
    own = _called(row)
    # A bridge places a record well enough; what lies on none is placed by its unit.
    places = ("bridge", "event", "order", "element", "installation", "study", "user", "unit")
    parts = []
    for each in places[:-1] if getattr(row, "bridge_id", None) else places:
        key = getattr(row, f"{each}_id", None)
        if key is not None:
            parts.append(names.get((row._meta.get_field(each).related_model, key), f"{key}"))
    parts += [own] if own != f"{row.pk}" else []
    return " ".join(parts) or f"{row.id}"
