"""From which address and device a request comes."""

from __future__ import annotations

import ipaddress

from django.conf import settings
from django.http import HttpRequest
from django.utils.translation import gettext as _

# The first that fits: many browsers name others too, to be served as they are.
BROWSERS = (
    ("Edg", "Edge"), ("OPR/", "Opera"), ("SamsungBrowser", "Samsung Internet"),
    ("Firefox", "Firefox"), ("FxiOS", "Firefox"), ("CriOS", "Chrome"), ("Chrom", "Chrome"),
    ("Safari", "Safari"),
)  # fmt: skip
SYSTEMS = (
    ("iPad", "iPad"), ("iPhone", "iPhone"), ("Android", "Android"), ("Windows", "Windows"),
    ("CrOS", "ChromeOS"), ("Macintosh", "Mac"), ("Linux", "Linux"),
)  # fmt: skip


def address_of(request: HttpRequest) -> str | None:
    """Return the address of whoever asks; behind proxies, as the outermost of ours saw it.

    Entries further left in ``X-Forwarded-For`` were written by the client, who may write anything.
    """
    found = request.META.get("REMOTE_ADDR", "")
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")
    if settings.PROXIES and any(forwarded):
        found = forwarded[-min(settings.PROXIES, len(forwarded))]
    try:
        return str(ipaddress.ip_address(found.strip()))
    except ValueError:
        return None


def device_text(agent: str) -> str:
    """Return browser and system in words, of what a browser says of itself."""
    browser = next((name for mark, name in BROWSERS if mark in agent), "")
    system = next((name for mark, name in SYSTEMS if mark in agent), "")
    if browser and system:
        return _("%(browser)s on %(system)s") % {"browser": browser, "system": system}
    return browser or system or _("Another program")
