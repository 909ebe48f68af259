"""Pages of long lists."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from django.db import connections
from django.db.models import BooleanField, F, Func, QuerySet, Subquery


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
    if rows.query.distinct or rows.query.combinator or rows._fields is not None:
        return rows[first:last]  # its keys alone would be other rows
    whole = rows if in_order is None else in_order
    keys = whole.select_related(None).prefetch_related(None).values("pk")[first:last]
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
