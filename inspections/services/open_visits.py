"""Judge what was read in visits that are still open.

Readings of an open visit neither stand nor disprove: of all that is on record of a bridge only
their own verdicts follow from them.  So a tablet that sends them in parts, and a form that keeps
them one by one, need not have the bridge judged each time; handing the visit in does.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from inspections.collecting import collecting_seldom
from inspections.models import AgencySettings, Inspection, Reading, ToJudge, UnitDiagnosis, Verdict
from inspections.models.choices import InspectionState
from inspections.services.device_figures import ChannelKey, setting_of
from inspections.services.judge import judge_bridges
from inspections.services.judged import judged
from inspections.services.points import Point, points_in
from inspections.services.standing_register import StandingRegister
from inspections.services.verdict_rows import verdicts_of, write_verdicts
from inventory.models import Bridge
from inventory.scoping import seeing_all
from inventory.words import in_english
from movement import MODEL_VERSION


@seeing_all
@in_english
def judge_visits(visits: Iterable[Inspection]) -> None:
    """Judge visits whose readings or temperatures have changed.

    Of an open one that is its own verdicts.  The whole bridge is judged where one of them is
    open no more, and where the rest of what is on record is not as this version and the present
    settings have it.
    """
    by_bridge: dict[int, set[int]] = defaultdict(set)
    for visit in visits:
        by_bridge[visit.bridge_id].add(visit.pk)
    whole = [pk for pk in sorted(by_bridge) if not _judged_alone(pk, by_bridge[pk])]
    if whole:
        judge_bridges(whole)


@seeing_all
@in_english
def judge_open(
    bridge_id: int, visits: Collection[int], register: StandingRegister | None = None
) -> bool:
    """Judge open visits of a bridge that is held; return False, and judge nothing, where that is
    not enough.

    ``register``: of the bridge, where it has been read since it is held.
    """
    here = _open_of_judged_bridge(bridge_id, visits)
    if here is None:
        return False
    agency = AgencySettings.current()
    register = StandingRegister.of(bridge_id) if register is None else register
    own = points_in(Reading.objects.filter(inspection__in=visits), here, agency)
    verdicts: list[Verdict] = []
    if own:
        first = _before(bridge_id, own, register, agency)
        found = judged([*first, *own], agency, registers=[register])
        verdicts = verdicts_of(found, timezone.now())[len(first) :]
    write_verdicts(Verdict.objects.filter(inspection__in=visits), verdicts)
    return True


def hold_bridge(bridge_id: int) -> None:
    """Keep others from judging a bridge meanwhile.

    Two at once would both write what each deletes once only, and settings that are saved after
    the list of what is to be judged was read leave the bridge on it.
    """
    Bridge.objects.select_for_update(no_key=True).only("pk").get(pk=bridge_id)


@collecting_seldom()
@transaction.atomic
def _judged_alone(bridge_id: int, visits: Collection[int]) -> bool:
    hold_bridge(bridge_id)
    return judge_open(bridge_id, visits)


def _open_of_judged_bridge(
    bridge_id: int, visits: Collection[int]
) -> dict[int, tuple[str, object]] | None:
    """Return state and day of open visits; None where their bridge is to be judged as a whole."""
    is_listed = Exists(ToJudge.objects.filter(bridge=OuterRef("bridge")))
    is_judged = Exists(
        UnitDiagnosis.objects.filter(unit__bridge=OuterRef("bridge"), model_version=MODEL_VERSION)
    )
    rows = Inspection.objects.filter(pk__in=visits, bridge=bridge_id).order_by()
    found = {}
    for pk, state, day, listed, was_judged in rows.values_list(
        "pk", "state", "date", is_listed, is_judged
    ):
        if state != InspectionState.OPEN or listed or not was_judged:
            return None
        found[pk] = (state, day)
    return found


def _before(
    bridge_id: int, own: list[Point], register: StandingRegister, agency: AgencySettings
) -> list[Point]:
    """Return what accepted visits read of the channels whose setting may come from there."""
    unset = {
        point.key.channel: point.element_id
        for point in own
        if _is_unset(point.key.channel, register, agency)
    }
    if not unset:
        return []
    accepted = Inspection.objects.filter(bridge=bridge_id, state=InspectionState.ACCEPTED)
    visits = {pk: about for pk, *about in accepted.order_by().values_list("pk", "state", "date")}
    if not visits:
        return []
    readings = Reading.objects.filter(
        inspection__in=accepted.order_by(), element__in=set(unset.values())
    )
    return [each for each in points_in(readings, visits, agency) if each.key.channel in unset]


def _is_unset(key: ChannelKey, register: StandingRegister, agency: AgencySettings) -> bool:
    value, temperature_c, *_ = setting_of(register.installations[key.installation_id], key, agency)
    return value != value or temperature_c != temperature_c  # NaN: no record has it
