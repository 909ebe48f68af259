"""What every resource shares."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.db.models import Model, QuerySet
from rest_framework import status
from rest_framework.exceptions import ValidationError
from rest_framework.mixins import ListModelMixin
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.viewsets import GenericViewSet, ReadOnlyModelViewSet

from inspections.field.access import VIEW
from inspections.selectors.reassessment import bridges_waiting
from inventory.units import System

BY_ID = "[0-9]{1,18}"
STILL_TO_JUDGE = "Ledger-Still-To-Judge"
"""Header with how many bridges have verdicts and flags from before a change of the settings."""


class Asked:
    """What is asked of any view: its permissions, its units, no parameter that it does not know.

    ``rows`` gives the rows of the districts in scope, asked for when they are needed; ``needs`` are
    the permissions of the role that the pages of these rows ask for.
    """

    rows: Callable[[], QuerySet]
    needs: tuple[str, ...] = ()
    needs_also: Mapping[str, tuple[str, ...]] = {}
    waiting = 0

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Check who asks, then whether the parameters are known."""
        super().initial(request, *args, **kwargs)
        # Before the rows are read: better one bridge too many than one in silence.
        self.waiting = bridges_waiting() if request.user.has_perm(VIEW) else 0
        self.system = _system_of(request)
        self._refuse_unknown(request)

    def finalize_response(
        self, request: Request, response: Response, *args: Any, **kwargs: Any
    ) -> Response:
        """Tell, as every page does, that verdicts are still to be judged by newer settings."""
        answer = super().finalize_response(request, response, *args, **kwargs)
        if self.waiting and answer.status_code < status.HTTP_400_BAD_REQUEST:
            answer[STILL_TO_JUDGE] = f"{self.waiting}"
        return answer

    def get_serializer_context(self) -> dict[str, Any]:
        """Hand the units on."""
        context = super().get_serializer_context()
        return context | {"system": getattr(self, "system", System.SI)}

    @property
    def queryset(self) -> QuerySet:
        """Return the rows that whoever asks may see; what describes the API reads it."""
        return self.get_queryset()

    def get_queryset(self) -> QuerySet:
        """Return the rows that whoever asks may see."""
        return type(self).rows()

    def known_parameters(self) -> Iterable[str]:
        """Return the names of further parameters."""
        return ()

    def _refuse_unknown(self, request: Request) -> None:
        """Refuse a parameter that would do nothing: a filter misspelt would show all rows."""
        known = {"units", *self.known_parameters()}
        wrong = sorted({*request.query_params} - known)
        if wrong:
            use = f"Use {', '.join(sorted(known))}."
            raise ValidationError(dict.fromkeys(wrong, f"There is no such parameter. {use}"))


class Resource(Asked, ReadOnlyModelViewSet):
    """Rows that may be listed and fetched.

    ``ordering_fields`` maps the names that order a list to columns, or to several that an index
    holds in their order; ``paged_actions`` are the further actions that answer in pages,
    ``parameters_of`` what further actions are asked with.
    """

    ordering_fields: Mapping[str, str | tuple[str, ...]] = {}
    paged_actions: tuple[str, ...] = ()
    parameters_of: Mapping[str, tuple[str, ...]] = {}
    lookup_value_regex = BY_ID

    def known_parameters(self) -> Iterable[str]:
        """Return those of a list, or of a page of something else."""
        if self.action == "list":
            return ("page", "page_size", "ordering", *self.filterset_class.base_filters)
        paged = ("page", "page_size") if self.action in self.paged_actions else ()
        return (*paged, *self.parameters_of.get(self.action, ()))

    def beside(self, rows: list[Any]) -> dict[str, Any]:
        """Return what the words of some rows need beside them, read once for all."""
        return {}

    def get_serializer(self, *args: Any, **kwargs: Any) -> BaseSerializer:
        """Hand what stands beside the rows on with them."""
        if args:
            rows = list(args[0]) if kwargs.get("many") else [args[0]]
            kwargs["context"] = self.get_serializer_context() | self.beside(rows)
        return super().get_serializer(*args, **kwargs)

    def shown(self, row: Model) -> BaseSerializer:
        """Return a row that was written as the resource shows it."""
        return self.get_serializer(self.get_queryset().get(pk=row.pk))


class ListOnly(Asked, ListModelMixin, GenericViewSet):
    """Rows that are computed or gathered, and so have no id to be fetched by."""

    filter_backends: tuple[type, ...] = ()
    parameters: tuple[str, ...] = ()

    def known_parameters(self) -> Iterable[str]:
        """Return those of its pages and its own."""
        return ("page", "page_size", *self.parameters)


def _system_of(request: Request) -> System:
    text = request.query_params.get("units", System.SI.value)
    if text not in [*System]:
        raise ValidationError({"units": f"«{text}» is not known. Use si or us."})
    return System(text)
