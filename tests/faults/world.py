"""What the writers of a fault test work on, and what the server then holds; see ``Ledger``."""

from __future__ import annotations

from collections import Counter
from typing import Any

from tests.served.rows import PASSWORD

TOGETHER = 2
"""Flags decided on at once, and elements of one order: both are there, or neither."""
IMPORTED = 5
"""Readings of one file."""
IMPORT_BRIDGE, DESK_BRIDGE = "F-IMPORT", "F-DESK"


def make(tablets: int) -> dict[str, Any]:
    """Make users, bridges and flags; return what the writers need to know of them."""
    from django.utils import timezone

    from tests.api.calls import Caller
    from tests.inspections.work_rows import a_unit, off_joints, position
    from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
    from tests.soak.world import POINTS

    users, visits = [], []
    for number in range(tablets):
        users.append(make_user("inspector", password=PASSWORD).username)
        unit = make_unit(make_bridge(f"F-{number}"))
        joint = make_element(unit, "strip_seal", design={"opening_max_mm": 130.0})
        bearing = make_element(unit, "pot")
        visit = make_inspection(unit.bridge, timezone.now().date())
        places = [(bearing.pk, *POINTS[0]), *((joint.pk, *point) for point in POINTS[1:])]
        visits.append({"id": visit.pk, "places": places})
    make_element(make_unit(make_bridge(IMPORT_BRIDGE)), "pot", code="P")
    joints = off_joints(a_unit(DESK_BRIDGE), *(f"J-{n}" for n in range(TOGETHER)))
    engineer = make_user("engineer", username="engineer", password=PASSWORD)
    return {
        "users": users,
        "visits": visits,
        "key": Caller(engineer).secret,
        "flags": [position(joint).pk for joint in joints],
        "elements": [joint.pk for joint in joints],
    }


def look() -> dict[str, Any]:
    """Return what there is at one moment, whole and in part."""
    from inspections.lookups.snapshot import snapshot

    with snapshot():
        return {"held": _held(), "broken": _broken(), "unjudged": _unjudged()}


def _held() -> dict[str, Any]:
    """Return what there is of each kind of write, by what the writer was answered."""
    from inspections.models import Decision, TabletRecord, WorkOrder
    from inspections.selectors.thresholds import history_of_settings

    return {
        "records": [str(uid) for uid in TabletRecord.objects.values_list("uid", flat=True)],
        "decisions": list(Decision.objects.values_list("pk", flat=True)),
        "orders": list(WorkOrder.objects.values_list("pk", flat=True)),
        "settings": [each.reason for each in history_of_settings()],
        "imports": [f"{day}" for day in _imported()],
    }


def _unjudged() -> list[list[str]]:
    """Return the records of each point of which not every repeat entered its verdict."""
    from inspections.models import Reading

    columns = ("inspection_id", "installation_id", "quantity", "point", "axis", "taken_at")
    rows = Reading.objects.values_list(*columns, "record_id", "verdict__repeats")
    points: dict[tuple, list[tuple]] = {}
    for *point, record, repeats in rows:
        points.setdefault(tuple(point), []).append((f"{record}", repeats or 0))
    return [
        [record for record, _ in found]
        for found in points.values()
        if sum(repeats for _, repeats in found) != len(found)
    ]


def _imported() -> Counter:
    """Return how many readings of an imported file there are, by its visit's day."""
    from inspections.models import Inspection, Reading

    found = Counter(
        Reading.objects.filter(inspection__bridge__code=IMPORT_BRIDGE).values_list(
            "inspection__date", flat=True
        )
    )
    for day in Inspection.objects.filter(bridge__code=IMPORT_BRIDGE).values_list("date", flat=True):
        found.setdefault(day, 0)
    return found


def _broken() -> list[str]:
    """Return, in words, every record of which only a part is there."""
    from django.db.models import Count, F

    from inspections.models import AgencySettings, Decision, Photo, Reading, TabletRecord, WorkOrder
    from inspections.services.seal_checks import verify

    def kept(model) -> set:
        return set(model.objects.exclude(record=None).values_list("record_id", flat=True))

    found = [each.told for each in verify().faults]
    for kind, model in (("reading", Reading), ("photo", Photo)):
        sent = set(TabletRecord.objects.filter(kind=kind).values_list("pk", flat=True))
        found += [f"{kind} {uid}: record or row alone" for uid in sent ^ kept(model)]
    found += [f"photo {each.pk} without its file" for each in Photo.objects.all()
              if not (each.image.storage.exists(each.image.name)
                      and each.thumbnail.storage.exists(each.thumbnail.name))]  # fmt: skip
    pairs = Decision.objects.exclude(together=None).values("together").annotate(n=Count("pk"))
    found += [f"decision {each['together']}: {each['n']} of {TOGETHER}"
              for each in pairs if each["n"] != TOGETHER]  # fmt: skip
    orders = WorkOrder.objects.annotate(n=Count("items")).exclude(n=TOGETHER)
    found += [f"order {each.pk}: {each.n} of {TOGETHER} elements" for each in orders]
    found += [f"import of {day}: {n} of {IMPORTED}" for day, n in _imported().items()
              if n != IMPORTED]  # fmt: skip
    current = AgencySettings.objects.first()
    last = AgencySettings.history.order_by(F("history_date").desc(), F("history_id").desc()).first()
    if current and last and current.watch_k != last.watch_k:
        found.append(f"settings {current.watch_k} without their history, {last.watch_k}")
    return found


def titles_of(order: int) -> list[str]:
    """Return every title that an order has had."""
    from inspections.models import WorkOrder

    return list(WorkOrder.history.filter(id=order).values_list("title", flat=True))
