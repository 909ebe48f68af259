"""The lead's signature: what is missing, what was signed, and the lock that follows."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterator
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.core.validators import ProhibitNullCharactersValidator
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.lookups.completeness import codes_in_short, rivals_of, unexplained
from inspections.models import Inspection, SealedKind, SetAside, SignOff, TabletRecord
from inspections.models.choices import RecordKind
from inspections.models.readings import Reading
from inspections.services import visits
from inspections.services.judge import judge_bridges
from inspections.services.seals import seal
from inventory.services.authorship import by_user
from movement.errors import InputError

SIGNED_ROWS = (
    ("readings", "pk", "element_id", "quantity", "point", "axis", "repeat", "value", "typed",
     "taken_at", "corrects_id"),
    ("temperatures", "pk", "unit_id", "place", "sunlit", "temperature_c", "typed", "taken_at",
     "corrects_id"),
    ("conditions", "pk", "element_id", "defect", "cs1", "cs2", "cs3", "cs4", "total"),
    ("notes", "pk", "element_id", "text"),
    ("critical_findings", "pk", "element_id", "what", "done", "told", "found_at"),
    ("left_out", "pk", "element_id", "reason", "remark"),
    ("photos", "pk", "element_id", "caption", "sent_sha256"),
)  # fmt: skip
"""What a signature covers: a table of the inspection and its columns."""


@transaction.atomic
@by_user
def sign(
    *,
    inspection: Inspection,
    user: AbstractBaseUser,
    role: str,
    statement: str,
    records_expected: int | None = None,
    tablet: str = "",
    record: TabletRecord | None = None,
) -> SignOff:
    """Sign an inspection, which hands it in and locks it.

    Parameters
    ----------
    records_expected : int
        How many records the signing tablet has sent before: none may be on its way still.

    Raises
    ------
    ValidationError
        If somebody else leads it, two tablets disagree on a point, or something was left
        out without a reason.
    """
    if inspection.lead_id is not None and inspection.lead_id != user.pk:
        raise ValidationError(
            _(
                "%(lead)s leads this inspection. Only the lead signs it; ask the engineer to name"
                " another lead."
            )
            % {"lead": inspection.lead}
        )
    if records_expected is not None:
        there = TabletRecord.objects.filter(inspection=inspection, tablet=tablet)
        came = there.exclude(kind=RecordKind.SIGN_OFF).count()
        if came < records_expected:
            raise InputError(
                "count",
                _("%(count)s records of this tablet have not arrived")
                % {"count": records_expected - came},
                _("Send what waits, then sign again"),
            )
    rivals = rivals_of(inspection)
    if rivals:
        named = ", ".join(dict.fromkeys(each.first.element.code for each in rivals))
        raise ValidationError(
            _(
                "Two tablets read different values at %(elements)s. Set one of each aside, then"
                " sign."
            )
            % {"elements": named}
        )
    missing = unexplained(inspection)
    if missing:
        raise ValidationError(
            _("Not read, and no reason given: %(elements)s. Read them, or say why not.")
            % {"elements": codes_in_short(missing)}
        )
    visits.submit(inspection=inspection, judge=False)
    signed = SignOff(
        inspection=inspection,
        created_by=user,
        record=record,
        role=role,
        statement=statement,
        signed_at=timezone.now(),
        digest=digest_of(inspection),
    )
    signed.full_clean()
    signed.save(force_insert=True)
    seal(
        kind=SealedKind.SIGN_OFF,
        row_id=signed.pk,
        content=signed.digest,
        signed_at=signed.signed_at,
    )
    judge_bridges([inspection.bridge_id])
    return signed


def digest_of(inspection: Inspection, until: dt.datetime | None = None) -> str:
    """Return the SHA-256 of every row that a signature covers; of those known until an hour."""
    digest = hashlib.sha256()
    for line in _lines(inspection, until):
        digest.update(line.encode())
    return digest.hexdigest()


def _lines(inspection: Inspection, until: dt.datetime | None) -> Iterator[str]:
    for table, *columns in SIGNED_ROWS:
        rows: Any = getattr(inspection, table).order_by("pk")
        if until is not None:
            rows = rows.filter(created_at__lte=until)
        for row in rows.values_list(*columns):
            yield json.dumps([table, *row], cls=DjangoJSONEncoder) + "\n"


@transaction.atomic
def set_aside(
    *, reading: Reading, reason: str, user: AbstractBaseUser, record: TabletRecord | None = None
) -> SetAside:
    """Let a reading count no longer; the row itself stays."""
    if not reason.strip():
        raise ValidationError({"reason": _("Say why it is set aside.")})
    ProhibitNullCharactersValidator()(reason)
    if SetAside.objects.filter(reading=reading).exists():
        raise ValidationError(_("This reading has been set aside already."))
    row = SetAside(reading=reading, reason=reason, created_by=user, record=record)
    row.full_clean()
    row.save(force_insert=True)
    judge_bridges([reading.inspection.bridge_id])
    return row
