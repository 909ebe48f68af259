"""The description of the API as a page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inspections.api.problems import TYPES


def docs(request: HttpRequest) -> HttpResponse:
    """Show every address of the API, with what it takes and answers."""
    return render(request, "api/docs.html", {"problems": sorted(TYPES.items())})
