"""Judge a bridge: what its readings say one by one, over the years, and all together.

Everything written here is derived and replaced as a whole, one bridge in one transaction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from django.db import transaction
from django.utils import timezone

from inspections.models import (
    AgencySettings,
    CapacityCheck,
    ElementHistory,
    UnitDiagnosis,
    Verdict,
)
from inspections.services.capacity import write_checks
from inspections.services.explanations import diagnoses_of, replace_diagnoses
from inspections.services.histories import histories_of, replace_histories
from inspections.services.judged import judged
from inspections.services.points import points_of
from inspections.services.status import mark_standing, write_statuses
from inspections.services.verdict_rows import verdicts_of
from inventory.models import Bridge
from movement import MODEL_VERSION

DERIVED = {
    Verdict: "element__bridge_id",
    ElementHistory: "element__bridge_id",
    CapacityCheck: "element__bridge_id",
    UnitDiagnosis: "unit__bridge_id",
}
"""Rows that keep the version they were computed by, and the way to their bridge."""


def judge_bridges(
    bridge_ids: Iterable[int], progress: Callable[[int], None] = lambda count: None
) -> None:
    """Judge every reading of some bridges again and replace all that rests on them.

    Each bridge is one transaction; ``progress`` is told the bridges done, one by one.
    """
    agency = AgencySettings.current()
    for bridge_id in sorted(set(bridge_ids)):
        with transaction.atomic():
            _judge(bridge_id, agency)
        progress(1)


def judge_outdated(progress: Callable[[int], None] = lambda count: None) -> list[int]:
    """Judge again the bridges that hold results of another version of the model.

    Returns the bridges judged.  To be run once after the product was brought up to date.
    """
    found: set[int] = set()
    for model, bridge in DERIVED.items():
        older = model.objects.exclude(model_version=MODEL_VERSION).order_by()
        found.update(older.values_list(bridge, flat=True).distinct())
    judge_bridges(found, progress)
    return sorted(found)


def _judge(bridge_id: int, agency: AgencySettings) -> None:
    # Two at once would both write what each deletes once only.  Rows that refer to the bridge
    # may be written meanwhile: they are judged by whoever wrote them.
    Bridge.objects.select_for_update(no_key=True).filter(pk=bridge_id).first()
    now = timezone.now()
    points = points_of(bridge_id, agency)
    found = judged(points, agency) if points else None
    verdicts = verdicts_of(found, now) if found else []
    # Readings of open visits neither stand nor disprove.
    handed_in = [
        verdict for verdict, point in zip(verdicts, points, strict=True) if point.handed_in
    ]
    mark_standing(handed_in, agency.watch_k)
    Verdict.objects.filter(element__bridge_id=bridge_id).delete()
    Verdict.objects.bulk_create(verdicts, batch_size=500)
    histories = histories_of(found, agency, now) if found else []
    replace_histories(bridge_id, histories)
    told = diagnoses_of(bridge_id, found, agency, now)
    replace_diagnoses(bridge_id, told)
    write_statuses(bridge_id, handed_in, histories, told)
    write_checks(bridge_id, verdicts)
