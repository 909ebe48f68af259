"""What every resource shares."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.viewsets import ReadOnlyModelViewSet

from inventory.units import System

BY_ID = "[0-9]{1,18}"


class Resource(ReadOnlyModelViewSet):
    """Rows that may be listed and fetched.

    ``needs`` are the permissions of the role that the pages of these rows ask for;
    ``ordering_fields`` maps the names that order a list to columns.
    """

    needs: tuple[str, ...] = ()
    needs_also: Mapping[str, tuple[str, ...]] = {}
    ordering_fields: Mapping[str, str] = {}
    lookup_value_regex = BY_ID

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Check who asks, then whether the parameters are known."""
        super().initial(request, *args, **kwargs)
        self.system = _system_of(request)
        self._refuse_unknown(request)

    def get_serializer_context(self) -> dict[str, Any]:
        """Hand the units on."""
        context = super().get_serializer_context()
        return context | {"system": getattr(self, "system", System.SI)}

    def _refuse_unknown(self, request: Request) -> None:
        """Refuse a parameter that would do nothing: a filter misspelt would show all rows."""
        known = {"units"}
        if self.action == "list":
            known |= {"page", "page_size", "ordering", *self.filterset_class.base_filters}
        wrong = sorted({*request.query_params} - known)
        if wrong:
            use = f"Use {', '.join(sorted(known))}."
            raise ValidationError(dict.fromkeys(wrong, f"There is no such parameter. {use}"))


def _system_of(request: Request) -> System:
    text = request.query_params.get("units", System.SI.value)
    if text not in [*System]:
        raise ValidationError({"units": f"«{text}» is not known. Use si or us."})
    return System(text)
