"""The page that opens without a network: one for all, with nothing of any user in it.

Its files are named plainly, not by their content as elsewhere: modules name one another so,
and the worker keeps them by the name of the whole build.
"""

from __future__ import annotations

import hashlib
import json
import posixpath
import re
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.cache import cache_control
from django.views.decorators.csrf import ensure_csrf_cookie

FOLDER = "field"
ALSO = ("inspections/ledger.css", "inspections/frame.css", "inspections/icon.svg")
KINDS = (".js", ".css", ".json", ".svg", ".png")
NOT_CACHED = "worker.js"
IMPORTED = re.compile(r'^(?:import|export|\}) .*from "(\.[^"]+)";$', re.MULTILINE)


@login_not_required
@ensure_csrf_cookie
def page(request: HttpRequest) -> HttpResponse:
    """Show the tablet's page; whoever is not signed in is told so by the page itself."""
    shown = {"build": build(), "static_url": settings.STATIC_URL, "modules": modules()}
    return render(request, "field/tablet.html", shown)


@login_not_required
@cache_control(no_cache=True)
def worker(_request: HttpRequest) -> HttpResponse:
    """Return the worker script with this build's name and files written into it."""
    head = (
        f"const BUILD = {json.dumps(build())};\n"
        f"const FILES = {json.dumps([settings.STATIC_URL + name for name in files()])};\n"
    )
    script = head + Path(finders.find(f"{FOLDER}/{NOT_CACHED}")).read_text(encoding="utf-8")
    response = HttpResponse(script, content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = "/"
    return response


@login_not_required
@cache_control(max_age=3600)
def manifest(_request: HttpRequest) -> JsonResponse:
    """Return what an installed app needs to know."""
    return JsonResponse(
        {
            "name": "Bearing and Joint Ledger",
            "short_name": "Ledger",
            "start_url": "/field/",
            "scope": "/field/",
            "display": "standalone",
            "background_color": "#ffffff",
            "theme_color": "#1d2b36",
            "icons": [
                {
                    "src": f"{settings.STATIC_URL}inspections/icon.svg",
                    "sizes": "any",
                    "type": "image/svg+xml",
                    "purpose": "any",
                }
            ],
        },
        content_type="application/manifest+json",
    )


@cache
def files() -> tuple[str, ...]:
    """Return the static files that the page needs, as names."""
    found = [*ALSO]
    for finder in finders.get_finders():
        for name, _storage in finder.list([]):
            if name.startswith(f"{FOLDER}/") and name.endswith(KINDS) and NOT_CACHED not in name:
                found.append(name)
    return tuple(sorted(dict.fromkeys(found)))


@cache
def modules() -> tuple[str, ...]:
    """Return the scripts of the first screen, to be asked for at once.

    Without, a browser would learn of each from another one's imports; what comes later is asked
    for by the page once its first screen is there.
    """
    found, waiting = set(), [f"{FOLDER}/app.js"]
    while waiting:
        name = waiting.pop()
        found.add(name)
        script = Path(finders.find(name)).read_text(encoding="utf-8")
        named = {
            posixpath.normpath(f"{posixpath.dirname(name)}/{each}")
            for each in IMPORTED.findall(script)
        }
        waiting += named - found
    return tuple(sorted(found))


@cache
def build() -> str:
    """Return a name that changes with any of the page's files."""
    digest = hashlib.sha256()
    for name in (*files(), f"{FOLDER}/{NOT_CACHED}"):
        path = finders.find(name)
        if path:
            digest.update(name.encode() + Path(path).read_bytes())
    return digest.hexdigest()[:12]
