"""What the tablets of a soak work on, and what the server holds in the end."""

from __future__ import annotations

import random
from typing import Any

from tests.served.rows import PASSWORD

POINTS = [("offset_along", "", "")] + [("gap", point, "square") for point in
                                       ("left", "centre", "right")]  # fmt: skip


def make(inspections: int, tablets: int, seed: int) -> dict[str, Any]:
    """Make bridges, open inspections and users; several tablets share an inspection."""
    from django.utils import timezone

    from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

    dice = random.Random(seed)
    users = [make_user("inspector", password=PASSWORD).username for _ in range(tablets)]
    visits = []
    for number in range(inspections):
        unit = make_unit(make_bridge(f"S-{number}"))
        joint = make_element(unit, "strip_seal", design={"opening_max_mm": 130.0})
        bearings = [make_element(unit, "pot") for _ in range(3)]
        visit = make_inspection(unit.bridge, timezone.now().date())
        places = [(each.pk, *POINTS[0]) for each in bearings]
        places += [(joint.pk, *point) for point in POINTS[1:]]
        crew = dice.sample(range(tablets), min(tablets, dice.randint(1, 3)))
        visits.append({"id": visit.pk, "crew": crew, "places": places})
    return {"users": users, "visits": visits}


def held() -> dict[str, Any]:
    """Return every row that came from a tablet, and what is wrong between rows."""
    from django.db.models import Count

    from inspections.models import Photo, Reading, TabletRecord

    point = ("inspection", "element", "quantity", "point", "axis", "taken_at", "repeat")
    twice = Reading.objects.values(*point).annotate(count=Count("pk")).filter(count__gt=1)
    return {
        "records": [
            (str(uid), *rest)
            for uid, *rest in TabletRecord.objects.values_list(
                "uid", "inspection_id", "kind", "tablet", "payload"
            )
        ],
        "readings": [
            (str(uid), *rest)
            for uid, *rest in Reading.objects.values_list(
                "record_id", "inspection_id", "element_id", "point", "value", "typed"
            )
        ],
        "photos": [_photo(each) for each in Photo.objects.all()],
        "one_place_twice": twice.count(),
        "files": files(),
    }


def stale_verdicts() -> int:
    """Return how many verdicts differ once every bridge is judged again."""
    from inspections.models import Verdict
    from inspections.services.judge import judge_bridges
    from inventory.models import Bridge

    columns = ("reading_id", "verdict", "value", "reasons", "repeats")
    before = set(Verdict.objects.values_list(*columns))
    judge_bridges(Bridge.objects.values_list("pk", flat=True))
    return len(before ^ set(Verdict.objects.values_list(*columns)))


def _photo(photo: Any) -> tuple[str, int, str, int, bool]:
    from PIL import Image

    with Image.open(photo.image) as image:
        image.load()
        is_whole = image.size == (photo.width_px, photo.height_px)
    return (
        str(photo.uid),
        photo.inspection_id,
        photo.sent_sha256,
        photo.record.payload["element"],
        is_whole and photo.thumbnail.size > 0,
    )


def files() -> int:
    """Return how many picture files there are."""
    from pathlib import Path

    from django.conf import settings

    return sum(each.is_file() for each in Path(settings.MEDIA_ROOT).rglob("*.jpg"))
