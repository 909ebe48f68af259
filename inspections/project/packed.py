"""Answers in text are packed, so that a slow line carries a third or less of them."""

from __future__ import annotations

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

PACKED = ("text/", "application/json", "application/geo+json", "application/problem+json")


class PackTextMiddleware(GZipMiddleware):
    """Pack pages, tables and JSON; pictures, PDF and archives are packed by themselves.

    Django's own lengthens each answer by chance, and hides its tokens anew in each page, so what
    is secret in a page cannot be told from how well it packs.
    """

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        """Pack an answer in text."""
        if response.get("Content-Type", "").startswith(PACKED):
            return super().process_response(request, response)
        return response
