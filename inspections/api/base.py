"""What every resource shares."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.db.models import Model, QuerySet
from rest_framework.exceptions import ValidationError
from rest_framework.mixins import ListModelMixin
from rest_framework.request import Request
from rest_framework.serializers import BaseSerializer
from rest_framework.viewsets import GenericViewSet, ReadOnlyModelViewSet

from inventory.units import System

BY_ID = "[0-9]{1,18}"


class Asked:
    """What is asked of any view: its permissions, its units, no parameter that it does not know.

    ``rows`` gives the rows of the districts in scope, asked for when they are needed; ``needs`` are
    the permissions of the role that the pages of these rows ask for.
    """

    rows: Callable[[], QuerySet]
    needs: tuple[str, ...] = ()
    needs_also: Mapping[str, tuple[str, ...]] = {}

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Check who asks, then whether the parameters are known."""
        super().initial(request, *args, **kwargs)
        self.system = _system_of(request)
        self._refuse_unknown(request)

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

    ``ordering_fields`` maps the names that order a list to columns; ``paged_actions`` are the
    further actions that answer in pages.
    """

    ordering_fields: Mapping[str, str] = {}
    paged_actions: tuple[str, ...] = ()
    lookup_value_regex = BY_ID

    def known_parameters(self) -> Iterable[str]:
        """Return those of a list, or of a page of something else."""
        if self.action == "list":
            return ("page", "page_size", "ordering", *self.filterset_class.base_filters)
        return ("page", "page_size") if self.action in self.paged_actions else ()

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
