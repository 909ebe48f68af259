"""Writes of many rows of the register at once, cleaned in memory beforehand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import models, transaction
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from inventory.models import (
    DESIGN_OF_KIND,
    Bridge,
    District,
    Element,
    Installation,
    StationYear,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)
from inventory.services.changes import bridges_designed_by, register_changed

_AT_ONCE = 500


@dataclass(slots=True)
class RegisterChanges:
    """New rows, and stored ones with the names of their changed fields, by table."""

    created: dict[type[models.Model], list[models.Model]] = field(
        default_factory=lambda: defaultdict(list)
    )
    updated: dict[type[models.Model], list[models.Model]] = field(
        default_factory=lambda: defaultdict(list)
    )
    fields: dict[type[models.Model], set[str]] = field(default_factory=lambda: defaultdict(set))

    def create(self, row: models.Model) -> None:
        """Note a row to insert."""
        self.created[type(row)].append(row)

    def update(self, row: models.Model, names: Collection[str]) -> None:
        """Note a row to update."""
        self.updated[type(row)].append(row)
        self.fields[type(row)].update(names)


def errors_of(row: models.Model, spoilt: Collection[str] = ()) -> dict[str, list[str]]:
    """Return what is wrong with a row by field, from its own fields and rules.

    What spans rows is not asked of the database here: whoever writes many rows checks it
    over all of them.  ``spoilt`` names fields that are known to be wrong already.
    """
    relations = {each.name for each in row._meta.concrete_fields if each.is_relation}
    try:
        row.clean_fields(exclude=relations | set(spoilt))
        if not spoilt:
            getattr(row, "clean_row", row.clean)()
    except ValidationError as error:
        return error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
    return {}


def others_with_inventory_number(bridges: Iterable[Bridge]) -> dict[tuple[str, str], str]:
    """Return the codes of stored bridges by state and structure number, those given aside."""
    given = list(bridges)
    own = {each.pk for each in given}
    numbers = sorted({each.inventory_number for each in given})
    taken: dict[tuple[str, str], str] = {}
    for start in range(0, len(numbers), _AT_ONCE):
        rows = Bridge.objects.filter(inventory_number__in=numbers[start : start + _AT_ONCE])
        for row in rows:
            if row.pk not in own:
                taken[row.inventory_state_code, row.inventory_number] = row.code
    return taken


@transaction.atomic
def write_register(
    *, changes: RegisterChanges, reason: str, user: AbstractBaseUser | None = None
) -> None:
    """Write cleaned rows with their history, then tell what computes from the register.

    The order keeps every rule of the database after each single write: a unit that moves is
    first widened, then its elements move, then it gets its new ends; a place names its new
    device first, then the present one ends, then the new row comes; a section stands aside
    while its unit changes its deck type.
    """
    writer = _Writer(changes, reason, user)
    for model in (District, Bridge, TemperatureBasis):
        writer.update(model)
        writer.create(model)
    _widen([each for each in changes.updated[Unit] if isinstance(each, Unit)])
    writer.create(Unit)
    writer.update(Support)
    writer.create(Support)
    writer.update(Element)
    writer.create(Element)
    aside = _set_aside(changes)
    writer.update(Unit)
    UnitSection.objects.bulk_create(aside)
    for model in (UnitConcrete, UnitSection, Installation, *DESIGN_OF_KIND.values(), StationYear):
        writer.update(model)
        writer.create(model)
    register_changed(_bridge_ids(changes))


@dataclass(frozen=True, slots=True)
class _Writer:
    changes: RegisterChanges
    reason: str
    user: AbstractBaseUser | None

    def create(self, model: type[models.Model]) -> None:
        rows = self.changes.created[model]
        if rows:
            bulk_create_with_history(
                rows,
                model,
                batch_size=_AT_ONCE,
                default_user=self.user,
                default_change_reason=self.reason,
            )

    def update(self, model: type[models.Model]) -> None:
        rows = self.changes.updated[model]
        if rows:
            bulk_update_with_history(
                rows,
                model,
                sorted(self.changes.fields[model]),
                batch_size=_AT_ONCE,
                default_user=self.user,
                default_change_reason=self.reason,
            )


def _widen(units: list[Unit]) -> None:
    """Let each unit reach over its old and its new ends until its elements have moved."""
    stored = Unit.objects.in_bulk([each.pk for each in units])
    for unit in units:
        old = stored[unit.pk]
        start = min(old.start_station_m, unit.start_station_m)
        end = max(old.end_station_m, unit.end_station_m)
        if (start, end) != (old.start_station_m, old.end_station_m):
            Unit.objects.filter(pk=unit.pk).update(start_station_m=start, end_station_m=end)


def _set_aside(changes: RegisterChanges) -> list[UnitSection]:
    """Take out sections that change with their unit; return them as they are to be.

    They are put back with the same keys, so their history goes on and shows one change.
    """
    units = {each.pk for each in changes.updated[Unit]}
    sections = [
        each
        for each in changes.updated[UnitSection]
        if isinstance(each, UnitSection) and each.unit_id in units
    ]
    stored = UnitSection.objects.filter(pk__in=[each.pk for each in sections])
    stored._raw_delete(stored.db)  # its history would take a plain deletion for an end
    return sections


def _bridge_ids(changes: RegisterChanges) -> set[int]:
    """Return the bridges of which anything was written."""
    bridge_of = {
        Bridge: lambda row: row.pk,
        **dict.fromkeys((UnitConcrete, UnitSection), lambda row: row.unit.bridge_id),
        Installation: lambda row: row.element.bridge_id,
        **dict.fromkeys(DESIGN_OF_KIND.values(), lambda row: row.installation.element.bridge_id),
    }
    touched = {
        bridge_of.get(model, lambda row: row.bridge_id)(row)
        for table in (changes.created, changes.updated)
        for model, rows in table.items()
        if model not in (District, StationYear)
        for row in rows
    }
    years = [*changes.created[StationYear], *changes.updated[StationYear]]
    return touched | bridges_designed_by(row.station for row in years)
