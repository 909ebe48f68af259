"""Where a page leads on to, where its address is asked for in the request."""

from __future__ import annotations

from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme


def next_path(request: HttpRequest) -> str:
    """Return the path of this site that ``next`` asks for; the home page where it asks for none."""
    target = request.POST.get("next", request.GET.get("next", ""))
    here = url_has_allowed_host_and_scheme(
        target, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return target if here and target.startswith("/") else reverse("home")
