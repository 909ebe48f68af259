"""The answer of an address that is none."""

from __future__ import annotations

from typing import Any, NoReturn

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView


@extend_schema(exclude=True)
class Nothing(APIView):
    """Tells whoever is signed in that there is nothing here."""

    needs: tuple[str, ...] = ()

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> NoReturn:
        """Answer 404 whatever the method; 401 before it to whom is not signed in."""
        super().initial(request, *args, **kwargs)
        raise Http404
