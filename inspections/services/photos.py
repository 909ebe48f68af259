"""Photos from the field: checked, encoded anew, kept once."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import uuid

from django.contrib.auth.models import AbstractBaseUser
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _
from PIL import Image, ImageOps

from inspections.models import Inspection, Photo, TabletRecord
from inspections.models.choices import InspectionState, RecordKind
from inspections.services.tablet import Receipt, Tablet
from inventory.models import Element
from inventory.services.damaged_pictures import DAMAGED
from inventory.words import in_sentence
from movement.errors import InputError

LARGEST_BYTES = 4 * 1024 * 1024
LARGEST_PIXELS = 40_000_000
"""More would take the server's memory when it is opened."""
LONGEST_SIDE_PX = 2048
THUMBNAIL_PX = 320
QUALITY = 82
FORMATS = ("JPEG", "PNG", "WEBP")


def take_photo(
    *,
    uid: uuid.UUID,
    inspection: Inspection,
    element_id: int | None,
    caption: str,
    taken_at: dt.datetime,
    made_at: dt.datetime,
    tablet: Tablet,
    sent: bytes,
    sent_sha256: str,
    user: AbstractBaseUser,
) -> Receipt:
    """Keep a photo, whole or not at all; the same one twice is one.

    Metadata of the camera, the place among it, is dropped.
    """
    if TabletRecord.objects.filter(pk=uid).exists():
        return _known(uid, sent_sha256)
    record = TabletRecord(
        uid=uid,
        inspection=inspection,
        kind=RecordKind.PHOTO,
        tablet=tablet.name,
        made_at=made_at,
        clock_slow_s=round(tablet.clock_slow.total_seconds(), 1),
        payload={"element": element_id, "caption": caption, "sha256": sent_sha256},
        user=user,
    )
    try:
        _check_open(inspection)
        row = _photo(uid, inspection, element_id, sent, sent_sha256)
        row.caption, row.taken_at, row.created_by = caption, tablet.true_time(taken_at), user
        _keep(record, row)
    except InputError as error:
        return Receipt(uid, "refused", error.field, f"{error.message}. {error.remedy}")
    except IntegrityError:
        # The same photo came in twice at once: the other one has been taken.
        if not TabletRecord.objects.filter(pk=uid).exists():
            raise
        return _known(uid, sent_sha256)
    return Receipt(uid, "taken")


def _known(uid: uuid.UUID, sent_sha256: str) -> Receipt:
    """Return the receipt of an id that was taken before: it names one photo only."""
    if Photo.objects.filter(pk=uid, sent_sha256=sent_sha256.lower()).exists():
        return Receipt(uid, "already")
    return Receipt(uid, "refused", "uid", _("This id was used for something else. Take it anew."))


@transaction.atomic
def _keep(record: TabletRecord, row: Photo) -> None:
    """Write record, row and files, unless a signature has locked the inspection meanwhile."""
    _check_open(Inspection.objects.select_for_update(no_key=True).get(pk=record.inspection_id))
    # The id comes first, so that no file is written for a photo that is there already.
    record.save(force_insert=True)
    row.record = record
    row.full_clean(exclude=["image", "thumbnail"])
    row.save(force_insert=True)


def _check_open(inspection: Inspection) -> None:
    if inspection.state != InspectionState.OPEN:
        raise InputError(
            "inspection",
            _("This inspection is %(state)s: nothing can be added")
            % {"state": in_sentence(inspection.get_state_display())},
            _("Ask the engineer to return it, then send again"),
        )


def _photo(
    uid: uuid.UUID,
    inspection: Inspection,
    element_id: int | None,
    sent: bytes,
    sent_sha256: str,
) -> Photo:
    if len(sent) > LARGEST_BYTES:
        raise InputError(
            "image",
            _("is larger than %(size)s MB") % {"size": LARGEST_BYTES // 2**20},
            _("Take it with the app's camera"),
        )
    if hashlib.sha256(sent).hexdigest() != sent_sha256.lower():
        raise InputError(
            "sha256", _("is not that of the photo, which came damaged"), _("Send it again")
        )
    element = None
    if element_id is not None:
        element = Element.objects.filter(pk=element_id, bridge_id=inspection.bridge_id).first()
        if element is None:
            raise InputError(
                "element", _("is not of this bridge"), _("Take the inspection along anew")
            )
    picture = _opened(sent)
    large, small = picture.copy(), picture.copy()
    large.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    small.thumbnail((THUMBNAIL_PX, THUMBNAIL_PX))
    return Photo(
        uid=uid,
        inspection=inspection,
        element=element,
        image=ContentFile(_jpeg(large), f"{uid}.jpg"),
        thumbnail=ContentFile(_jpeg(small), f"{uid}.jpg"),
        width_px=large.width,
        height_px=large.height,
        sent_sha256=sent_sha256.lower(),
    )


def _opened(sent: bytes) -> Image.Image:
    """Return the picture upright, or refuse what is none."""
    try:
        picture = Image.open(io.BytesIO(sent), formats=FORMATS)
        if picture.width * picture.height > LARGEST_PIXELS:
            raise InputError(
                "image",
                _("has more than %(count)s million pixels") % {"count": LARGEST_PIXELS // 10**6},
                _("Take it with the app's camera"),
            )
        return ImageOps.exif_transpose(picture).convert("RGB")
    except InputError:  # itself a ValueError
        raise
    except DAMAGED as error:
        raise InputError("image", _("is no photo that can be opened"), _("Take it anew")) from error


def _jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
