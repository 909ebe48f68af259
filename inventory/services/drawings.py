"""Add drawings to a bridge, say anew what they are, withdraw them."""

from __future__ import annotations

import datetime as dt
import hashlib
import uuid

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import Bridge, Drawing, Element
from inventory.services.authorship import by_user
from inventory.services.drawing_files import cleaned

SAID = ("element", "number", "revision", "title", "dated")


@by_user
def add_drawing(
    *,
    bridge: Bridge,
    sent: bytes,
    number: str,
    title: str,
    revision: str = "",
    dated: dt.date | None = None,
    element: Element | None = None,
    user: AbstractBaseUser | None = None,
) -> Drawing:
    """Keep a drawing, encoded anew.

    Raises
    ------
    InputError
        At ``file``, if it cannot be kept.
    ValidationError
        By field: the revision is on record, the element is of another bridge.
    """
    drawing = Drawing(
        bridge=bridge, element=element, number=number, revision=revision, title=title, dated=dated
    )
    # What was said is checked before the file, which takes longer.
    drawing.full_clean(exclude=["file", "format", "sheets", "size_bytes", "sent_sha256"])
    clean = cleaned(sent)
    drawing.format, drawing.sheets, drawing.size_bytes = (
        clean.format,
        clean.sheets,
        len(clean.content),
    )
    drawing.sent_sha256 = hashlib.sha256(sent).hexdigest()
    drawing.file = ContentFile(clean.content, f"{uuid.uuid4()}.{clean.format}")
    with transaction.atomic():
        _alone_at(bridge.pk)
        drawing.full_clean()
        drawing.save(force_insert=True)
    return drawing


@by_user
@transaction.atomic
def change_drawing(
    *,
    drawing: Drawing,
    number: str,
    title: str,
    revision: str = "",
    dated: dt.date | None = None,
    element: Element | None = None,
    user: AbstractBaseUser | None = None,
) -> Drawing:
    """Say anew what a drawing is; its file stays as it is.

    Raises
    ------
    ValidationError
        As in `add_drawing`, or where it is withdrawn.
    """
    row = _standing(drawing)
    _alone_at(row.bridge_id)
    row.element, row.number, row.revision = element, number, revision
    row.title, row.dated = title, dated
    row.full_clean(exclude=["file"])
    row.save(update_fields=SAID)
    return row


@by_user
@transaction.atomic
def withdraw_drawing(
    *, drawing: Drawing, reason: str, user: AbstractBaseUser | None = None
) -> Drawing:
    """Mark a drawing as one that holds no longer, with the reason.

    Raises
    ------
    ValidationError
        At ``reason`` where there is none, and where it is withdrawn already.
    """
    row = _standing(drawing)
    row.withdrawn_at, row.withdrawn_why = timezone.now(), reason.strip()
    if not row.withdrawn_why:
        raise ValidationError({"reason": _("Say why it holds no longer.")})
    row.full_clean(exclude=["file"])
    row.save(update_fields=["withdrawn_at", "withdrawn_why"])
    return row


def _standing(drawing: Drawing) -> Drawing:
    row = Drawing.objects.select_for_update(of=("self",)).get(pk=drawing.pk)
    if row.withdrawn_at is not None:
        raise ValidationError(_("This drawing is withdrawn and stays as it is. Add it anew."))
    return row


def _alone_at(bridge_id: int) -> None:
    """Let nobody else number a sheet of the bridge until this transaction ends."""
    Bridge.objects.select_for_update(no_key=True).order_by().get(pk=bridge_id)
