"""Pages of long lists."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.core.paginator import EmptyPage, Page, PageNotAnInteger, Paginator
from django.db import connection, connections
from django.db.models import BooleanField, Expression, F, Func, Model, QuerySet, Subquery
from django.db.models.expressions import Col
from django.utils.functional import cached_property
from django.utils.translation import gettext as _

from inspections.lookups.parts import in_parts
from inspections.wording_figures import NARROW_SPACE

MOST_COUNTED = 10_000
"""Rows of a list that are counted; of more it is told that there are more."""
ROWS_A_PART = 200
"""Rows of a file that are read at once: a few of them are ready before the file begins."""


def rows_between(
    rows: QuerySet,
    first: int,
    last: int,
    in_order: QuerySet | None = None,
    leading: str = "",
) -> QuerySet:
    """Return the rows from ``first`` up to ``last`` in their order, asked for by one query.

    ``in_order`` are the same rows, ordered in a way that suits all of them, or fewer of them: what
    narrows those is then not asked of the rows once more. Only keys are put in
    order; what a row shows beside is joined to these rows alone. So a page near the end of a long
    list does not carry all before it along. ``leading`` names the column that leads the order,
    nulls last, where those that follow it are dear to come by.
    """
    if first >= last:
        return rows.none()
    if not _stands_for_keys(rows):
        return rows[first:last]
    keys = _keys(rows if in_order is None else in_order)
    keys = (_up_to(keys, leading, last) if leading else keys)[first:last]
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


def past_those_without(rows: QuerySet, column: str) -> QuerySet:
    """Return rows in the order of a column of what they stand at, to be read in that order.

    Where the first thousands of these hold none of the rows, PostgreSQL would look each of them up,
    since it takes the rows to lie evenly. It is asked for what is true of every row, that the thing
    it stands at holds a row, and reads all that do at once.
    """
    if connections[rows.db].vendor != "postgresql":
        return rows
    return rows.filter(_HoldsRows(_KeyBeside(column), rows.model, column.split("__")[0]))


class _KeyBeside(F):
    """The key of the row that a column belongs to, in its own table: not what refers to it."""

    def resolve_expression(self, *args: Any, **kwargs: Any) -> Expression:
        """Return the key in place of the column."""
        found = super().resolve_expression(*args, **kwargs)
        return Col(found.alias, found.target.model._meta.pk)


class _HoldsRows(Func):
    # A test of the truth keeps it from being made a join, in an order that is expected to be best.
    template = "(EXISTS (SELECT 1 FROM %(held)s WHERE held.%(column)s = %(expressions)s)) IS TRUE"
    output_field = BooleanField()

    def __init__(self, key: Expression | F, model: type[Model], relation: str) -> None:
        quote = connection.ops.quote_name
        held = f"{quote(model._meta.db_table)} held"
        column = quote(model._meta.get_field(relation).column)
        super().__init__(key, held=held, column=column)


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


class MadeRows(Sequence[Any]):
    """Rows that are made of what tables hold: those of a page alone, in their order."""

    def counted(self, most: int) -> int:
        """Return how many there are, ``most`` of more."""
        raise NotImplementedError


def _up_to(keys: QuerySet, leading: str, last: int) -> QuerySet:
    """Leave out rows whose leading column alone tells that they come behind the ``last``."""
    by = keys.query.order_by[0]
    end = keys.order_by(by).values(leading)[last - 1 : last]
    compared = " >= " if by.descending else " <= "
    # Where either is null nothing is told of the row: it stays.
    near = Func(
        F(leading),
        Subquery(end),
        template="(%(expressions)s) IS NOT FALSE",
        arg_joiner=compared,
        output_field=BooleanField(),
    )
    return keys.filter(near)


def told_count(number: int) -> str:
    """Tell a number of rows, as more than ``MOST_COUNTED`` where it is."""
    if number <= MOST_COUNTED:
        return f"{number}"
    return _more_than(MOST_COUNTED)


def _more_than(number: int) -> str:
    return _("more than %(number)s") % {"number": f"{number:,}".replace(",", NARROW_SPACE)}


class RowPaginator(Paginator):
    """Pages of a query over rows of one table, each found by its keys, or of what is at hand.

    ``keys`` are the same rows in the same order, where all are put in order another way than a
    few, or fewer of them, which then have to be ``counted``; ``leading`` is the column that leads
    the order, as in ``rows_between``.  Of a query it counts up to ``MOST_COUNTED`` rows, as
    counting takes the longer the more there are; where ``counts_all`` is False there are more, and
    pages go on beyond ``num_pages``.  ``counted`` are the rows where they have been counted, one
    more than ``MOST_COUNTED`` at least if there are.  ``those_with`` are the rows that have what
    they are ordered by, behind which all others come.
    """

    def __init__(
        self,
        *args: Any,
        keys: QuerySet | None = None,
        leading: str = "",
        counted: int | None = None,
        those_with: QuerySet | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self._keys, self._leading = keys, leading
        self._counted_before, self._those_with = counted, those_with

    @cached_property
    def count(self) -> int:
        """How many rows there are, ``MOST_COUNTED`` of more."""
        return min(self._counted, MOST_COUNTED) if self._counts_rows else super().count

    @property
    def counts_all(self) -> bool:
        """Whether that is all of them."""
        return not self._counts_rows or self._counted <= MOST_COUNTED

    @property
    def total(self) -> str:
        """How many there are, in words that stand before what is counted."""
        return self._told(self.count)

    @property
    def pages_in_all(self) -> str:
        """How many pages there are, in the same way."""
        return self._told(self.num_pages)

    def _told(self, number: int) -> str:
        if self.counts_all:
            return f"{number}"
        return _more_than(number)

    @property
    def _counts_rows(self) -> bool:
        return isinstance(self.object_list, QuerySet | MadeRows)

    @cached_property
    def _counted(self) -> int:
        if self._counted_before is not None:
            return self._counted_before
        if isinstance(self.object_list, MadeRows):
            return self.object_list.counted(MOST_COUNTED + 1)
        rows = self.object_list.order_by()
        # Without what each row has reckoned beside it.
        rows = rows.values("pk") if _stands_for_keys(rows) else rows
        return rows[: MOST_COUNTED + 1].count()

    def validate_number(self, number: Any) -> int:
        """Return the number of a page that may be there."""
        try:
            return super().validate_number(number)
        except EmptyPage:
            if self.counts_all or int(number) < 1:
                raise
            return int(number)

    def get_page(self, number: Any) -> Any:
        """Return a page, the first or the last of those counted where there is none such."""
        try:
            return self.page(number)
        except PageNotAnInteger:
            return self.page(1)
        except EmptyPage:
            return self.page(self.num_pages)

    def page(self, number: Any) -> Any:
        """Return a page."""
        if not self._counts_rows:
            return super().page(number)
        if not self.counts_all:
            return self._page_of_many(number)
        number = self.validate_number(number)
        first = (number - 1) * self.per_page
        last = min(first + self.per_page, self.count)
        return self._get_page(self._between(first, last), number, self)

    def _between(self, first: int, last: int) -> Any:
        if isinstance(self.object_list, MadeRows):
            return self.object_list[first:last]
        if self._those_with is not None and not self.counts_all:
            found = list(rows_between(self.object_list, first, last, self._those_with))
            if len(found) == last - first:
                return found
        return rows_between(self.object_list, first, last, self._keys, self._leading)

    def _page_of_many(self, number: Any) -> Page:
        """Return a page of more rows than are counted; a row more than it shows tells of a next."""
        number = self.validate_number(number)
        first = (number - 1) * self.per_page
        rows = list(self._between(first, first + self.per_page + 1))
        if not rows:
            raise EmptyPage(self.error_messages["no_results"])
        return PageOfMany(rows, number, self)


class PageOfMany(Page):
    """A page that was read with the first row of the next one."""

    def __init__(self, rows: list, number: int, paginator: Paginator) -> None:
        self._has_next = len(rows) > paginator.per_page
        super().__init__(rows[: paginator.per_page], number, paginator)

    def has_next(self) -> bool:
        """Return whether rows follow."""
        return self._has_next
