"""Every table of the site as lines of JSON, the same whichever database holds it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from typing import Any

from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.management.color import no_style
from django.db import connection, models
from django.db.migrations.recorder import MigrationRecorder

from inspections.models import BrowserSession

ROWS_AT_ONCE = 2000
LEFT_OUT = (Session, BrowserSession)
"""Nobody stays signed in across a restore."""


def tables() -> list[type[models.Model]]:
    """Return the model of each table, many-to-many ones among them, in a lasting order."""
    found = [
        model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy and model not in LEFT_OUT
    ]
    return sorted(found, key=lambda model: model._meta.label_lower)


def migrations() -> list[str]:
    """Return the migrations that the database has taken."""
    applied = MigrationRecorder(connection).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in applied)


def lines_of(model: type[models.Model]) -> Iterator[str]:
    """Return the rows of a table as JSON lists, by their keys."""
    fields = model._meta.concrete_fields
    for row in model._base_manager.order_by("pk").iterator(ROWS_AT_ONCE):
        yield json.dumps([_told(field, row) for field in fields], ensure_ascii=False)


def _told(field: models.Field, row: models.Model) -> Any:
    value = field.value_from_object(row)
    if value is None or isinstance(field, models.JSONField):
        return value
    return field.value_to_string(row)


class Digest:
    """SHA-256 of the rows of a table, the same before and after a change of database."""

    def __init__(self) -> None:
        self.rows, self._hash = 0, hashlib.sha256()

    def add(self, line: str) -> None:
        """Take one more row in."""
        told = json.dumps(_plain(json.loads(line)), ensure_ascii=False, sort_keys=True)
        self._hash.update(told.encode() + b"\n")
        self.rows += 1

    @property
    def told(self) -> dict[str, Any]:
        """Number of rows and digest, as the archive lists them."""
        return {"rows": self.rows, "sha256": self._hash.hexdigest()}


def _plain(value: Any) -> Any:
    """Return a value with whole numbers as such: a database may give 2.0 back as 2."""
    if isinstance(value, float) and value.is_integer():
        return int(value)
    if isinstance(value, list):
        return [_plain(each) for each in value]
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    return value


def insert(model: type[models.Model], lines: Iterable[str]) -> None:
    """Write rows as they were: keys, times of recording and all."""
    fields = model._meta.concrete_fields
    names = ", ".join(connection.ops.quote_name(field.column) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    table = connection.ops.quote_name(model._meta.db_table)
    statement = f"INSERT INTO {table} ({names}) VALUES ({places})"  # noqa: S608  # nosec B608 # our own names
    batch: list[list[Any]] = []
    with connection.cursor() as cursor:
        for line in lines:
            row = json.loads(line)
            batch.append(
                [
                    field.get_db_prep_save(field.to_python(value), connection)
                    for field, value in zip(fields, row, strict=True)
                ]
            )
            if len(batch) == ROWS_AT_ONCE:
                cursor.executemany(statement, batch)
                batch.clear()
        if batch:
            cursor.executemany(statement, batch)


def clear(found: Iterable[type[models.Model]]) -> None:
    """Empty tables, whatever refers to what."""
    names = [connection.ops.quote_name(model._meta.db_table) for model in (*found, *LEFT_OUT)]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"TRUNCATE {', '.join(names)}")
            return
        for name in names:
            cursor.execute(f"DELETE FROM {name}")  # noqa: S608  # nosec B608 # our own names


def count_on(found: Iterable[type[models.Model]]) -> None:
    """Let the keys of new rows go on after the highest that were written."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(found)):
            cursor.execute(statement)
