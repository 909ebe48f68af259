"""What is kept from a session until it has given its second factor: all pages, and the API.

A key of the API asks for none: it was made by a session that had given it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from rest_framework.authentication import get_authorization_header

from inspections.accounts.second_factor import DETAIL, is_second_factor_due
from inspections.problems import problem
from inspections.selectors.second_factor import app_of

API = ("/api/v1/", "/api/schema/")


class SecondFactorMiddleware:
    """Lead a session that must still give its second factor to where it can."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], _args: Any, _kwargs: Any
    ) -> HttpResponse | None:
        """Answer in place of the page, or let it."""
        is_api = request.path.startswith(API)
        # The views of the API look after the session themselves, and are marked as open.
        is_open = not getattr(view, "login_required", True) and not is_api
        if is_open or not getattr(view, "second_factor_required", True):
            return None
        # Whatever stands in that header is taken for a key, and the session is not looked at.
        if is_api and get_authorization_header(request).split():
            return None
        if not is_second_factor_due(request):
            return None
        if is_api:
            return problem(
                403, "Not allowed", DETAIL, type="/api/docs/#problem-not-allowed", errors=[]
            )
        page = "second-factor" if app_of(request.user) else "second-factor-set-up"
        back = request.get_full_path() if request.method == "GET" else "/"
        return redirect(reverse(page, query={"next": back}))
