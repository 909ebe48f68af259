"""What is wrong with an answer to bad input: a broken server, a part written, no reason given."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import lxml.html
from django.apps import apps
from django.db import connection, transaction
from django.http import HttpResponse

TRACES = ("sessions", "axes", "admin", "contenttypes", "otp_totp", "otp_static")
"""Apps whose tables note that somebody asked, whatever was answered."""
REASON = "//*[contains(@class, 'error') or contains(@class, 'wrong') or @role = 'alert']"
TOLD = (b'name="confirm"', b"nothing to import", b"data-preview")
"""What a page says that writes nothing yet and refuses nothing: confirm a file, or it would change
nothing, or look what a figure would change.
"""


def rows() -> dict[str, int]:
    """Return how many rows each table has, those of past states among them."""
    tables = sorted(
        model._meta.db_table
        for model in apps.get_models(include_auto_created=True)
        if model._meta.app_label not in TRACES
    )
    counts = " UNION ALL ".join(f"SELECT count(*) FROM {name}" for name in tables)  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(counts)
        return dict(zip(tables, (count for (count,) in cursor.fetchall()), strict=True))


def tried(ask: Callable[[], HttpResponse]) -> tuple[HttpResponse, list[str]]:
    """Ask, undo what was written, and return the answer with what is wrong about it, in words."""
    with transaction.atomic():
        before = rows()
        answer = ask()
        wrong = []
        if answer.status_code >= 500:
            wrong.append(f"broken: {answer.status_code} {_cause(answer)}")
        else:
            reason, changed = reason_of(answer), _changed(before)
            if is_refused(answer) and not reason:
                wrong.append(f"{answer.status_code} without a reason: {answer.content[:300]!r}")
            if reason and changed:
                wrong.append(f"{answer.status_code} {reason[:100]} but wrote {changed}")
            if _is_page_of_a_form(answer) and not (
                reason or changed or any(told in answer.content for told in TOLD)
            ):
                wrong.append(f"neither taken nor refused: {answer.content[:300]!r}")
        transaction.set_rollback(True)
    return answer, wrong


def _changed(before: dict[str, int]) -> list[str]:
    return [name for name, count in rows().items() if count != before[name]]


def is_refused(answer: HttpResponse) -> bool:
    """Tell whether an answer says by its kind that what was sent was not taken."""
    return answer.status_code >= 400 or bool(_refusals(answer))


def _is_page_of_a_form(answer: HttpResponse) -> bool:
    return (
        answer.status_code == 200
        and answer.wsgi_request.method == "POST"
        and answer.get("Content-Type", "").startswith("text/html")
    )


def _refusals(answer: HttpResponse) -> list[dict[str, str]]:
    """Return what a tablet is told, where nothing that it sent was taken."""
    receipts = _json(answer).get("receipts", [])
    return receipts if all(each["outcome"] == "refused" for each in receipts) else []


def reason_of(answer: HttpResponse) -> str:
    """Return the words in which an answer says why; none where it refuses nothing."""
    told, kind = _json(answer), answer.get("Content-Type", "")
    words = [
        told.get("detail"),
        told.get("errors"),
        *(each["message"] for each in _refusals(answer)),
    ]
    if kind.startswith("text/html") and answer.content:
        page = lxml.html.fromstring(answer.content)
        places = page.xpath(REASON) if answer.status_code == 200 else page.xpath("//main")
        words = [each.text_content().strip() for each in places]
    elif answer.status_code >= 400 and not told:
        words = [answer.content.decode(errors="replace").strip()]
    return " ".join(str(each) for each in words if each)


def _json(answer: HttpResponse) -> dict[str, Any]:
    if answer.streaming or "json" not in answer.get("Content-Type", ""):
        return {}
    told = json.loads(answer.content)
    return told if isinstance(told, dict) else {}


def _cause(answer: HttpResponse) -> str:
    found = getattr(answer, "exc_info", None)
    return f"{found[0].__name__}: {found[1]}" if found else f"{answer.content[:300]!r}"
