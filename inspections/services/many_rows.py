"""Write many rows at once, in the fastest way that the database has.

For rows that this process has just computed or checked: no signal is sent, nothing is cleaned,
and every column must have its value.  What the database itself holds (keys, uniqueness, checks) it
holds here as well.  `bulk_create` takes ten times as long, most of it for writing a query down;
`bulk_update` writes down a case for each row and column.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from operator import itemgetter
from typing import Any, TypeVar

from django.db import connections, router
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Field, Model
from django.db.models.base import ModelState

Row = TypeVar("Row", bound=Model)
TOGETHER = 1000
"""So many rows are one statement of SQLite, where there are so many."""
PLAIN = frozenset((bool, int, float, str, type(None)))
"""Types that every driver takes as they are."""


def made(model: type[Row], columns: Mapping[str, Iterable[Any]]) -> list[Row]:
    """Return unsaved rows told by their columns: values by the name of each.

    As if they had been unpickled, ten times as quickly as by their arguments.
    """
    names = tuple(each.attname for each in model._meta.concrete_fields)
    rows = []
    for values in zip(*(columns[name] for name in names), strict=True):
        row = model.__new__(model)
        row.__dict__.update(zip(names, values, strict=True), _state=ModelState())
        rows.append(row)
    return rows


def insert(rows: Collection[Model], keyed: bool = False) -> None:
    """Insert rows of one model.

    Parameters
    ----------
    rows
        Unsaved; a row that one refers to may have got its key since.
    keyed
        Whether the rows are told their keys, as where others refer to them; rows of a model
        whose keys the database does not number have them.
    """
    if not rows:
        return
    model = type(next(iter(rows)))
    connection = connections[router.db_for_write(model)]
    if keyed and model._meta.auto_field is not None:
        for row, key in zip(rows, _next_keys(model, len(rows), connection), strict=True):
            row.pk = key
    fields = [each for each in model._meta.concrete_fields if keyed or not each.primary_key]
    of_row = itemgetter(*(each.attname for each in fields))
    columns = list(zip(*(of_row(row.__dict__) for row in rows), strict=True))
    for index, field in enumerate(fields):
        if field.is_relation and None in columns[index]:
            columns[index] = tuple(_referred(field, row) for row in rows)
    _write(model, fields, columns, connection)
    for row in rows:
        row._state.adding, row._state.db = False, connection.alias


def insert_columns(model: type[Model], columns: dict[str, Sequence[Any]]) -> None:
    """Insert rows told by their columns: values by the name of each but the key."""
    fields = [each for each in model._meta.concrete_fields if not each.primary_key]
    told = [columns[each.attname] for each in fields]
    if told[0]:
        _write(model, fields, told, connections[router.db_for_write(model)])


def update(rows: Collection[Model], names: Sequence[str]) -> None:
    """Store some columns, by the names of their fields, of rows of one model."""
    if not rows:
        return
    model = type(next(iter(rows)))
    connection = connections[router.db_for_write(model)]
    fields = [*map(model._meta.get_field, names), model._meta.pk]
    ready = [
        _prepared(each, [row.__dict__[each.attname] for row in rows], connection) for each in fields
    ]
    quote = connection.ops.quote_name
    *columns, key = (f"{quote(each.column)} = %s" for each in fields)
    table = quote(model._meta.db_table)
    told = f"UPDATE {table} SET {', '.join(columns)} WHERE {key}"  # noqa: S608  # nosec B608 # our own names
    with connection.cursor() as cursor:
        cursor.executemany(told, list(zip(*ready, strict=True)))


def _write(
    model: type[Model],
    fields: Sequence[Field],
    columns: Iterable[Sequence[Any]],
    connection: BaseDatabaseWrapper,
) -> None:
    ready = [
        _prepared(field, column, connection) for field, column in zip(fields, columns, strict=True)
    ]
    quote = connection.ops.quote_name
    table = quote(model._meta.db_table)
    names = ", ".join(quote(each.column) for each in fields)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            told = f"COPY {table} ({names}) FROM STDIN"  # table and columns of ours
            with connection.wrap_database_errors, cursor.copy(told) as copying:
                for row in zip(*ready, strict=True):
                    copying.write_row(row)
        else:
            told = f"INSERT INTO {table} ({names}) VALUES "  # noqa: S608  # nosec B608 # our own names
            rows = list(zip(*ready, strict=True))
            left = _written_together(told, rows, len(fields), connection)
            marks = ", ".join(["%s"] * len(fields))
            cursor.executemany(f"{told}({marks})", rows[left:])


def _written_together(
    told: str, rows: Sequence[Sequence[Any]], width: int, connection: BaseDatabaseWrapper
) -> int:
    """Write as many rows of a large write as fill whole statements of SQLite; return how many.

    The driver takes up Python again after each statement, so beside other work a statement for
    each row waits for Python after every row.  Django's cursor would search each of these long
    ones for its marks, and keep them where it keeps queries.
    """
    connection.ensure_connection()
    most = connection.connection.getlimit(sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER)
    together = min(TOGETHER, most // width)
    whole = len(rows) - len(rows) % together
    marks = f"({', '.join('?' * width)})"
    told += ", ".join([marks] * together)
    with connection.wrap_database_errors:
        for begins in range(0, whole, together):
            values = list(chain.from_iterable(rows[begins : begins + together]))
            connection.connection.execute(told, values)
    return whole


def _next_keys(model: type[Model], count: int, connection: BaseDatabaseWrapper) -> Iterable[int]:
    """Return keys that no row has had: of SQLite while this transaction alone may write."""
    table, key = model._meta.db_table, model._meta.pk
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval(pg_get_serial_sequence(%s, %s)) FROM generate_series(1, %s)",
                [connection.ops.quote_name(table), key.column, count],
            )
            return [number for (number,) in cursor.fetchall()]
        cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
        last = cursor.fetchone()
    first = (last[0] if last else 0) + 1
    return range(first, first + count)


def _referred(field: Field, row: Model) -> Any:
    """Return the key of the row that one refers to, which may have got it since."""
    key = row.__dict__[field.attname]
    if key is None and field.is_cached(row):
        other = getattr(row, field.name)
        if other is not None:
            key = getattr(other, field.target_field.attname)
            setattr(row, field.attname, key)
    return key


def _prepared(
    field: Field, column: Sequence[Any], connection: BaseDatabaseWrapper
) -> Iterable[Any]:
    """Return a column as the driver takes it."""
    if field.get_internal_type() == "JSONField":
        return [field.get_db_prep_save(each, connection) for each in column]
    if PLAIN.issuperset(map(type, column)):
        return column
    return _each_once(column, lambda value: field.get_db_prep_save(value, connection))


def _each_once(column: Sequence[Any], prepare: Callable[[Any], Any]) -> Iterator[Any]:
    """Prepare each value of a column once, however often it comes.

    One object comes many times, and to tell two objects apart takes no look at what they hold.
    """
    objects = dict(zip(map(id, column), column, strict=True))
    known = {value: prepare(value) for value in set(objects.values())}
    ready = {its: known[value] for its, value in objects.items()}
    return map(ready.__getitem__, map(id, column))
