"""Pages and order of a list; what cannot be meant is refused, not guessed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from django.db.models import F, OrderBy, QuerySet
from rest_framework.exceptions import ValidationError
from rest_framework.filters import OrderingFilter
from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request
from rest_framework.response import Response

from inspections.paging import MOST_COUNTED, RowPaginator, past_those_without

if TYPE_CHECKING:
    from rest_framework.views import APIView

LARGEST_PAGE = 200
DATE_OF_VISIT = "inspection__date"
OF_STATUS = "status__"
"""Begins the columns of what an element may be without: such elements come last either way."""


class Pages(PageNumberPagination):
    """Pages of 50 rows, of up to 200 where asked for."""

    django_paginator_class = RowPaginator
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = LARGEST_PAGE

    def get_page_size(self, request: Request) -> int:
        """Return the size asked for."""
        text = request.query_params.get(self.page_size_query_param)
        if text is None:
            return self.page_size
        if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= LARGEST_PAGE):
            raise ValidationError(
                {"page_size": f"«{text}» is no size of a page. Give 1 to {LARGEST_PAGE}."}
            )
        return int(text[:9])

    def paginate_queryset(
        self, queryset: Any, request: Request, view: APIView | None = None
    ) -> list | None:
        """Return a page; the earliest visits may have none of the rows that stand at visits."""
        order = queryset.query.order_by if isinstance(queryset, QuerySet) else ()
        if order and order[0] == DATE_OF_VISIT:
            keys = past_those_without(queryset, DATE_OF_VISIT)
            self.django_paginator_class = partial(RowPaginator, keys=keys)
        if order and isinstance(order[0], OrderBy):
            keys = _those_with(queryset, order[0])
            self.django_paginator_class = partial(RowPaginator, those_with=keys)
        return super().paginate_queryset(queryset, request, view)

    def get_paginated_response(self, data: Any) -> Response:
        """Tell whether the count is of all rows, as those of long lists are not all counted."""
        answer = super().get_paginated_response(data)
        counts_all = getattr(self.page.paginator, "counts_all", True)
        answer.data = {"count": answer.data["count"], "counts_all": counts_all} | answer.data
        return answer

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """Describe the same."""
        told = super().get_paginated_response_schema(schema)
        told["required"] = ["count", "counts_all", "results"]
        told["properties"]["count"]["description"] = (
            f"Number of rows; {MOST_COUNTED} where there are more, and `counts_all` is then false. "
            "Follow `next` to the end for all of them."
        )
        told["properties"]["counts_all"] = {
            "type": "boolean",
            "description": "Whether `count` is the number of all rows.",
        }
        return told

    def get_schema_operation_parameters(self, view: APIView) -> list[dict[str, Any]]:
        """Tell the limits of both parameters."""
        whole = {"type": "integer", "minimum": 1}
        return [
            {"name": "page", "in": "query", "schema": whole, "description": "Number of the page."},
            {
                "name": "page_size",
                "in": "query",
                "schema": whole | {"maximum": LARGEST_PAGE, "default": self.page_size},
                "description": f"Rows a page, {LARGEST_PAGE} at most.",
            },
        ]


class KnownOrdering(OrderingFilter):
    """Order by named columns; rows that are alike in them keep one order over all pages."""

    def filter_queryset(self, request: Request, queryset: QuerySet, view: APIView) -> QuerySet:
        """Return the rows in order."""
        text = request.query_params.get(self.ordering_param)
        if text is None:
            return queryset
        known = view.ordering_fields
        wanted = [term.strip() for term in text.split(",")]
        for term in wanted:
            if term.removeprefix("-") not in known:
                raise ValidationError(
                    {"ordering": f"«{term}» orders nothing. Use {', '.join(known)}."}
                )
        columns = [column for term in wanted for column in _columns(term, known)]
        # The key goes the way of the last column, so that an index gives either way.
        last = "-pk" if columns[-1].startswith("-") else "pk"
        return queryset.order_by(*map(_nulls_last, columns), last)

    def get_schema_operation_parameters(self, view: APIView) -> list[dict[str, Any]]:
        """Name the columns."""
        columns = [sign + name for name in view.ordering_fields for sign in ("", "-")]
        return [
            {
                "name": self.ordering_param,
                "in": "query",
                "explode": False,
                "schema": {"type": "array", "minItems": 1,
                           "items": {"type": "string", "enum": columns}},
                "description": "Columns in which the rows are ordered, a minus for the reverse.",
            }
        ]  # fmt: skip


def _columns(term: str, known: Mapping[str, str | tuple[str, ...]]) -> Iterator[str]:
    """Yield the columns of a term, the way it goes."""
    name = term.removeprefix("-")
    sign = term.removesuffix(name)
    its = known[name]
    for column in (its,) if isinstance(its, str) else its:
        yield f"{sign}{column}".removeprefix("--")


def _nulls_last(column: str) -> str | OrderBy:
    name = column.removeprefix("-")
    if not name.startswith(OF_STATUS):
        return column
    return OrderBy(F(name), descending=name != column, nulls_last=True)


def _those_with(rows: QuerySet, by: OrderBy) -> QuerySet:
    """Return the rows that have what they are ordered by, in the order of an index over it."""
    name = by.expression.name
    _first, *others = rows.query.order_by
    told = rows.filter(**{f"{name}__isnull": False})
    return told.order_by(f"-{name}" if by.descending else name, *others)
