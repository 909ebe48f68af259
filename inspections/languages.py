"""In which language a page is shown: the reader's, where the page is translated as a whole.

Papers are written in it as well. Every other page, file and call stays English, whatever the
reader chose: half a page in each language helps nobody, and what is stored, signed or sent to
programs must read the same for all. The frame of a page, its heading and navigation, is the
reader's everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.cache import patch_vary_headers

SESSION_KEY = "language"
TRANSLATED = frozenset(
    {
        # the way in, and one's own account
        "login", "password-forgotten", "password-set", "second-factor", "second-factor-set-up",
        "second-factor-codes", "second-factor-off", "account", "password-change", "session-end",
        "sessions-end", "language",
        # visits: their list, their page, what is read
        "inspections", "inspection-new", "inspection", "inspection-submit", "inspection-accept",
        "inspection-return", "rating-add", "temperature-form", "reading-form", "reading-correct",
        "temperature-correct", "reading-set-aside", "critical-seen",
        # the desk: the queue, one flag, elements, bridges, how it is judged
        "home", "flag", "flags-decide", "saved-list-save", "saved-list-rename",
        "saved-list-remove", "elements", "element", "bridges", "bridge", "how-it-is-judged",
        "units",
        # what the tablet asks for and sends
        # the plan
        "plan", "plan-not-enough", "plan-calendar", "plan-subscriptions", "plan-subscription-end",
        "plan-route", "visit-new", "visit", "visit-change", "visit-cancel", "visit-open",
        "bridge-intervals", "bridge-interval-end",
        # events, work, options
        "events", "event-new", "event", "event-bridges", "event-remove", "event-inspections",
        "orders", "order-new", "order", "order-change", "order-begin", "order-cancel",
        "order-finish", "options", "option-new", "study-new", "study", "criterion-new",
        "study-weights", "study-choose", "option-change", "option-judge", "option-drop",
        "option-take-up",
        # thresholds, files, jobs, people, changes, drawings, keys
        "thresholds", "thresholds-preview", "imports", "import-register", "import-readings",
        "import-air", "import-element-data", "import-columns", "job-import", "element-data-out",
        "jobs", "job", "job-state", "job-again", "people", "person", "person-invite", "person-link",
        "person-state", "person-second-factor", "role-end", "who-may-what", "changes",
        "drawing-new", "drawing-change", "drawing-withdraw", "api-keys", "api-key-revoke",
        # what is printed
        "bridge-report", "bridge-labels", "inspection-form", "study-paper", "element-card",
        "event-report", "work-list", "district-summary", "plain-flag", "plain-bridge",
        "plain-flag-paper", "plain-bridge-paper",
        "tablet-inspections", "tablet-packet", "tablet-photo", "tablet-records",
    }
)  # fmt: skip
"""Names of the addresses whose every text is in the catalogue."""
OF_THE_REGISTER = (
    "admin:inventory_", "admin:inspections_", "admin:index", "admin:app_list", "admin:jsi18n",
    "admin:autocomplete", "admin:view_on_site",
)  # fmt: skip
"""How the names of those of the register begin; tables of other packages are shown in English."""


def reader_language(request: HttpRequest) -> str:
    """Return the language that a reader chose, else the one that the browser asks for."""
    session = getattr(request, "session", None)
    chosen = session.get(SESSION_KEY) if session is not None else None
    if chosen in dict(settings.LANGUAGES):
        return chosen
    return translation.get_language_from_request(request)


class LanguageMiddleware:
    """Speak English, and the reader's language on the pages that are translated."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and leave no language behind for the next request of this thread."""
        with translation.override(settings.LANGUAGE_CODE):
            response = self.get_response(request)
            if getattr(request, "is_translated", False):
                patch_vary_headers(response, ["Accept-Language", "Cookie"])
                response.headers.setdefault("Content-Language", translation.get_language())
        return response

    def process_view(self, request: HttpRequest, _view: Any, _args: Any, _kwargs: Any) -> None:
        """Turn to the reader's language where the whole page is in it."""
        match = request.resolver_match
        if match is not None and _is_translated(match.view_name):
            request.is_translated = True
            translation.activate(reader_language(request))


def _is_translated(name: str) -> bool:
    return name in TRANSLATED or name.startswith(OF_THE_REGISTER)


def frame(request: HttpRequest) -> dict[str, str]:
    """Context processor: ``frame_language`` of heading and navigation, on whatever page."""
    return {"frame_language": reader_language(request)}
