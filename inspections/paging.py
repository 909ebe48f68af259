"""Pages of long lists."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.core.paginator import Paginator
from django.db import connections
from django.db.models import BooleanField, F, Func, QuerySet, Subquery

from inspections.selectors.parts import in_parts

ROWS_A_PART = 200
"""Rows of a file that are read at once: a few of them are ready before the file begins."""


def rows_between(
    rows: QuerySet, first: int, last: int, in_order: QuerySet | None = None
) -> QuerySet:
    """Return the rows from ``first`` up to ``last`` in their order, asked for by one query.

    ``in_order`` are the same rows, ordered in a way that suits all of them. Only keys are put in
    order; what a row shows beside is joined to these rows alone. So a page near the end of a long
    list does not carry all before it along.
    """
    if first >= last:
        return rows.none()
    if not _stands_for_keys(rows):
        return rows[first:last]
    keys = _keys(rows if in_order is None else in_order)[first:last]
    if connections[rows.db].vendor != "postgresql":
        return rows.filter(pk__in=keys)
    # As an array they are looked up by the index. PostgreSQL would join a subquery as it stands:
    # behind all the tables of a row, once there are more of them than it tries orders of.
    return rows.filter(
        Func(
            F("pk"),
            Subquery(keys, template="ARRAY(%(subquery)s)"),
            arg_joiner=" = ANY (",
            template="%(expressions)s)",
            output_field=BooleanField(),
        )
    )


def parts_in_order(rows: QuerySet, in_order: QuerySet | None = None) -> Iterator[list]:
    """Yield all rows in their order, in parts; ``in_order`` as in ``rows_between``.

    The keys of all are read first, so that no row is told twice whatever is written meanwhile.
    No query stays open from part to part, however slowly they are taken.
    """
    if not _stands_for_keys(rows):
        yield from in_parts(rows, ROWS_A_PART)
        return
    keys = _keys(rows if in_order is None else in_order).values_list("pk", flat=True)
    looked_up = rows.order_by()
    for part in in_parts(keys, ROWS_A_PART):
        found = {row.pk: row for row in looked_up.filter(pk__in=part)}
        yield [found[key] for key in part if key in found]


def rows_in_order(rows: QuerySet) -> Iterator[Any]:
    """Yield the same one by one."""
    return (row for part in parts_in_order(rows) for row in part)


def _stands_for_keys(rows: QuerySet) -> bool:
    """Return whether rows can be found by their keys; other keys would come of some queries."""
    return not (rows.query.distinct or rows.query.combinator or rows._fields is not None)


def _keys(rows: QuerySet) -> QuerySet:
    return rows.select_related(None).prefetch_related(None).values("pk")


class RowPaginator(Paginator):
    """Pages of a query over rows of one table, each found by its keys, or of what is at hand.

    ``keys`` are the same rows in the same order, where all are put in order another way than a
    few.
    """

    def __init__(self, *args: Any, keys: QuerySet | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._keys = keys

    def page(self, number: Any) -> Any:
        """Return a page."""
        if not isinstance(self.object_list, QuerySet):
            return super().page(number)
        number = self.validate_number(number)
        first = (number - 1) * self.per_page
        last = min(first + self.per_page, self.count)
        return self._get_page(rows_between(self.object_list, first, last, self._keys), number, self)
