"""New rows as the columns of their table, in which many are written at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db.models import Model

from inspections.models import Reading, TemperatureReading
from inspections.services.many_rows import insert_columns
from inspections.services.new_rows import (
    FreshReading,
    FreshTemperature,
    NewReading,
    NewTemperature,
)


def write_readings(
    fresh: Sequence[FreshReading], user: AbstractBaseUser | None, now: dt.datetime
) -> None:
    """Write readings that have been checked."""
    if not fresh:
        return
    inspections, installations, new = zip(*fresh, strict=True)
    told = dict(zip(NewReading._fields, zip(*new, strict=True), strict=True))
    columns = _columns(told, ("element", "instrument", "record")) | {
        "inspection_id": inspections,
        "installation_id": installations,
        "value": [float(each) for each in told["value"]],
    }
    insert_columns(Reading, columns | _same(user, now, len(fresh)))


def write_temperatures(
    fresh: Sequence[FreshTemperature], user: AbstractBaseUser | None, now: dt.datetime
) -> None:
    """Write temperatures that have been checked."""
    if not fresh:
        return
    inspections, new = zip(*fresh, strict=True)
    told = dict(zip(NewTemperature._fields, zip(*new, strict=True), strict=True))
    columns = _columns(told, ("unit", "instrument", "record")) | {
        "inspection_id": inspections,
        "temperature_c": [float(each) for each in told["temperature_c"]],
        "remark": [""] * len(fresh),
    }
    insert_columns(TemperatureReading, columns | _same(user, now, len(fresh)))


def _columns(told: dict[str, Sequence[Any]], relations: Iterable[str]) -> dict[str, Sequence[Any]]:
    """Return columns by their names in the table, where a row that is referred to is a key."""
    return {name: column for name, column in told.items() if name not in relations} | {
        f"{name}_id": _keys(told[name]) for name in relations
    }


def _keys(rows: Sequence[Model | None]) -> list[Any]:
    """Return the keys of rows of which most come many times."""
    known = dict(zip(map(id, rows), rows, strict=True))
    keys = {its: _key(row) for its, row in known.items()}
    return list(map(keys.__getitem__, map(id, rows)))


def _key(row: Model | None) -> Any:
    return None if row is None else row.pk


def _same(user: AbstractBaseUser | None, now: dt.datetime, count: int) -> dict[str, Sequence[Any]]:
    """Return the columns that are the same in all rows of a write."""
    same = {"corrects_id": None, "created_by_id": _key(user), "created_at": now}
    return {name: [value] * count for name, value in same.items()}
