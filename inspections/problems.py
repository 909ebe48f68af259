"""Refusals for programs: a problem document in place of a page."""

from __future__ import annotations

from typing import Any

from django.http import JsonResponse


def problem(status: int, title: str, detail: str, **more: Any) -> JsonResponse:
    """Return a problem document (RFC 9457)."""
    return JsonResponse(
        {"status": status, "title": title, "detail": detail, **more},
        status=status,
        content_type="application/problem+json",
    )
