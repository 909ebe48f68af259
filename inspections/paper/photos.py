"""Photos on paper, two abreast, as fine as paper shows and no finer."""

from __future__ import annotations

import io
from collections.abc import Sequence
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from PIL import Image as Picture
from PIL import UnidentifiedImageError
from reportlab.platypus import Flowable, Image, KeepTogether

from inspections.models import Photo
from inspections.paper.text import NOTE, Caption, layout, para

BETWEEN = 8.0
TALLEST = 190.0
DOTS_A_POINT = 150 / 72
QUALITY = 80


def photo_rows(photos: Sequence[Photo], about: str, room: float, zone: ZoneInfo) -> list[Flowable]:
    """Return photos in rows of two, each numbered and dated; ``about`` is what they show."""
    half = (room - BETWEEN) / 2
    cells = [_photo(each, about, half, zone) for each in photos]
    return [
        KeepTogether(
            layout(
                [[cells[start], cells[start + 1] if start + 1 < len(cells) else ""]],
                [half + BETWEEN, half],
                [("TOPPADDING", (0, 0), (-1, -1), 4)],
            )
        )
        for start in range(0, len(cells), 2)
    ]


def _photo(photo: Photo, about: str, room: float, zone: ZoneInfo) -> list[Flowable]:
    day = f"{photo.taken_at.astimezone(zone):%Y-%m-%d}"
    told = _("%(about)s, photo of %(day)s") % {"about": about, "day": day}
    caption = Caption("Figure", f"{told}: {photo.caption}" if photo.caption else f"{told}.")
    try:
        return [_scaled(photo, room), caption]
    except (FileNotFoundError, UnidentifiedImageError):
        return [para(_("The file of this photo is not where it was stored."), NOTE), caption]


def _scaled(photo: Photo, room: float) -> Image:
    with photo.image.open("rb") as file, Picture.open(file) as picture:
        scale = min(room / picture.width, TALLEST / picture.height)
        width, height = picture.width * scale, picture.height * scale
        wanted = (round(width * DOTS_A_POINT), round(height * DOTS_A_POINT))
        # A JPEG can be read at a fraction of its size, which takes a fraction of the time.
        picture.draft("RGB", wanted)
        picture.thumbnail(wanted)
        small = io.BytesIO()
        picture.save(small, "JPEG", quality=QUALITY)
    small.seek(0)
    return Image(small, width, height, hAlign="LEFT")
