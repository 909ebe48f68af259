"""What a tablet sends: records in batches, photos one by one."""

from __future__ import annotations

import datetime as dt
import json
import re
import uuid
from typing import Any

from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inspections.field.access import ENTER, VIEW, inspection_for
from inspections.field.tablet.answers import for_the_tablet
from inspections.models.choices import RecordKind
from inspections.problems import problem
from inspections.rights import require
from inspections.services.photos import LARGEST_BYTES, take_photo
from inspections.services.tablet import Receipt, Sent, Tablet, take_records
from movement.errors import InputError

MOST_RECORDS = 200
LONGEST_PAYLOAD = 20_000
NUL = re.compile(r"(?<!\\)(\\\\)*\\u0000")
"""As JSON writes it; a backslash that was typed before «u0000» is written twice."""
KINDS = {kind.value for kind in RecordKind} - {RecordKind.PHOTO.value}


@require_POST
@for_the_tablet
def records(request: HttpRequest) -> JsonResponse:
    """Take records; each is answered by a receipt that names it."""
    require(request.user, VIEW, ENTER)
    try:
        body = json.loads(request.body)
        tablet, sent, refused = _read(body)
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError) as error:
        return problem(
            400, _("Not a batch of records"), _("It cannot be read: %(why)s.") % {"why": error}
        )
    except InputError as error:
        return problem(400, _("Not a batch of records"), str(error))
    receipts = take_records(tablet=tablet, sent=sent, user=request.user)
    return JsonResponse(
        {
            "receipts": [_receipt(each) for each in (*receipts, *refused)],
            "server_now": timezone.now().isoformat(),
        }
    )


@require_POST
@for_the_tablet
def photo(request: HttpRequest, uid: uuid.UUID) -> JsonResponse:
    """Take one photo, whole or not at all."""
    require(request.user, VIEW, ENTER)
    try:
        inspection_pk = int(request.POST["inspection"])
        element = request.POST.get("element", "")
        element_id = int(element) if element else None
        taken_at, made_at = (_time(name, request.POST[name]) for name in ("taken_at", "made_at"))
        tablet = Tablet.of(
            request.POST["tablet"][:36], _time("clock_now", request.POST["clock_now"])
        )
        file = request.FILES["image"]
    except (KeyError, ValueError) as error:
        return problem(
            400,
            _("Not a photo"),
            _("A part is missing or cannot be read: %(why)s.") % {"why": error},
        )
    except InputError as error:
        return problem(400, _("Not a photo"), str(error))
    inspection = inspection_for(request.user, inspection_pk, ENTER)
    receipt = take_photo(
        uid=uid,
        inspection=inspection,
        element_id=element_id,
        caption=request.POST.get("caption", "")[:240],
        taken_at=taken_at,
        made_at=made_at,
        tablet=tablet,
        sent=file.read(LARGEST_BYTES + 1),
        sent_sha256=request.POST.get("sha256", ""),
        user=request.user,
    )
    return JsonResponse({"receipts": [_receipt(receipt)], "server_now": timezone.now().isoformat()})


def _read(body: dict[str, Any]) -> tuple[Tablet, list[Sent], list[Receipt]]:
    """Return the tablet, what can be taken, and receipts of what cannot be read."""
    tablet = Tablet.of(str(body["tablet"])[:36], _time("clock_now", body["clock_now"]))
    rows = body["records"]
    if not isinstance(rows, list) or len(rows) > MOST_RECORDS:
        raise InputError(
            "records",
            _("is no list of up to %(count)s") % {"count": MOST_RECORDS},
            _("Send fewer at once"),
        )
    sent, refused = [], []
    for row in rows:
        uid = uuid.UUID(str(row["uid"]))
        try:
            sent.append(_sent(uid, row))
        except InputError as error:
            message = f"{error.message}. {error.remedy}"
            refused.append(Receipt(uid, "refused", error.field, message))
    return tablet, sent, refused


def _sent(uid: uuid.UUID, row: dict[str, Any]) -> Sent:
    kind, payload, inspection = row.get("kind"), row.get("payload"), row.get("inspection")
    if kind not in KINDS:
        raise InputError(
            "kind", _("«%(kind)s» is not known") % {"kind": kind}, _("Load the app anew")
        )
    if not isinstance(payload, dict) or len(json.dumps(payload)) > LONGEST_PAYLOAD:
        raise InputError("payload", _("is no record, or too long"), _("Shorten it"))
    if not _can_be_kept(payload):
        raise InputError("payload", _("holds what no table keeps"), _("Type that record anew"))
    if not isinstance(inspection, int) or isinstance(inspection, bool):
        raise InputError("inspection", _("is missing"), _("Take the inspection along anew"))
    return Sent(uid, inspection, kind, _time("made_at", row.get("made_at")), payload)


def _can_be_kept(payload: dict[str, Any]) -> bool:
    """Return whether a payload is without NaN, half a pair of surrogates, and the sign NUL."""
    try:
        text = json.dumps(payload, ensure_ascii=False, allow_nan=False)
        text.encode()
    except ValueError:
        return False
    return NUL.search(text) is None


def _time(name: str, text: Any) -> dt.datetime:
    try:
        told = dt.datetime.fromisoformat(text)
    except (TypeError, ValueError):
        raise InputError(
            name, _("«%(text)s» is no time") % {"text": text}, _("Set the tablet's clock")
        ) from None
    if told.tzinfo is None or not dt.MINYEAR + 1 < told.year < dt.MAXYEAR - 1:
        raise InputError(
            name,
            _("«%(text)s» is no time with its offset") % {"text": text},
            _("Set the tablet's clock"),
        )
    return told


def _receipt(receipt: Receipt) -> dict[str, str]:
    return {
        "uid": str(receipt.uid),
        "outcome": receipt.outcome,
        "field": receipt.field,
        "message": receipt.message,
    }
