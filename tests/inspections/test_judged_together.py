"""Bridges that are judged together: of each is stored what is stored if it is judged alone."""

import datetime as dt
import random

import pytest
from django.db import IntegrityError
from django.utils import timezone

from inspections.models import (
    CapacityCheck,
    Due,
    ElementHistory,
    ElementStatus,
    Explanation,
    Flag,
    Sighting,
    ToJudge,
    UnitDiagnosis,
    Verdict,
    VisitSeen,
)
from inspections.services import judge
from inventory.models import BearingDesign, Bridge
from inventory.services.installations import reset_installation
from tests.inspections.flag_stories import new_story
from tests.inspections.healthy_bridges import make_register, read_and_judge
from tests.inspections.over_years import MEASURED, make_bearing, visit
from tests.make import make_bridge, make_unit
from tests.rows_desk import job

pytestmark = pytest.mark.django_db

COLUMNS_OF = {
    # what tells a row apart, by model; keys of derived rows are told by what they refer to
    Verdict: ("reading_id",),
    ElementHistory: ("installation_id", "quantity", "point", "axis"),
    UnitDiagnosis: ("unit_id",),
    Explanation: ("diagnosis__unit_id", "beside", "rank"),
    ElementStatus: (
        "element_id",
        "deciding__reading_id",
        "history__installation_id",
        "history__point",
        "explanation__diagnosis__unit_id",
        "explanation__rank",
    ),
    CapacityCheck: ("installation_id", "order"),
    Sighting: ("element_id", "inspection_id", "cause"),
    VisitSeen: ("inspection_id",),
    Flag: ("element_id", "cause"),
    Due: ("bridge_id", "element_id", "reason", "due_on"),
}
LEFT_OUT = {"id", "judged_at", "deciding", "history", "explanation", "diagnosis", "flag"}


def all_stored():
    """Return every derived row, without its key and hour."""
    found = {}
    for model, key in COLUMNS_OF.items():
        names = [each.name for each in model._meta.concrete_fields if each.name not in LEFT_OUT]
        rows = model.objects.order_by(*key).values_list(*key, *names)
        found[model.__name__] = [list(map(_plain, row)) for row in rows]
    return found


def _plain(value):
    return value if isinstance(value, (int, float, list, type(None))) else str(value)


def is_near(one, other) -> bool:
    """Return whether two tellings are the same, numbers to nine digits."""
    if isinstance(one, float) and isinstance(other, float):
        return one == pytest.approx(other, rel=1e-9, abs=1e-8)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(is_near(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(is_near, one, other))
    return one == other


def forget_all():
    """Remove what is derived, but what decisions rest on."""
    Flag.objects.filter(decisions__isnull=True).delete()
    for model in (ElementStatus, Explanation, UnitDiagnosis, ElementHistory, CapacityCheck):
        model.objects.all().delete()
    for model in (Due, VisitSeen, Sighting, Verdict):
        model.objects.all().delete()


@pytest.fixture
def stock():
    """Return bridges with nearly all that may befall one, in any order."""
    told = new_story()
    told.tell(told.in_time())
    late = new_story()
    for number in (3, 0, 5):
        late.hand_in(number, misread="MOVED" if number == 0 else "", accept=number != 5)
    set_anew = late.elements["RESTLESS"]
    reset_installation(
        element=set_anew,
        reset_on=dt.date(2020, 1, 1),
        setting=MEASURED | {"setting_offset_along_mm": 2.0},
    )
    visit(late.bridge, dt.date(2026, 3, 2), 18.0, [(set_anew, "offset_along", 3.0, "")], "open")
    for seed, kind in enumerate(
        (("steel", "drawings"), ("concrete", "measured"), ("composite", "measured"))
    ):
        read_and_judge(make_register(seed, *kind), seed)
    wrong = make_bearing(make_unit(make_bridge()))
    # No form lets this in: a figure that no rule can be held by.
    BearingDesign.objects.filter(installation__element=wrong).update(ptfe_thickness_mm=5.0)
    visit(wrong.bridge, dt.date(2024, 1, 30), -10.0, [(wrong, "offset_along", -35.0, "")])
    make_bearing(make_unit(make_bridge()))
    make_bridge()
    return list(Bridge.objects.order_by("pk").values_list("pk", flat=True))


@pytest.mark.parametrize("together", [2, 3, 100])
def test_of_bridges_judged_together_the_same_is_stored_as_of_each_alone(
    stock, together, monkeypatch
):
    now = timezone.now()
    monkeypatch.setattr(timezone, "now", lambda: now)  # histories end today
    forget_all()
    for bridge_id in random.Random(together).sample(stock, len(stock)):
        judge.judge_bridges([bridge_id])
    alone = all_stored()
    assert all(alone.values())
    for forget in (forget_all, VisitSeen.objects.all().delete, lambda: None):
        forget()
        monkeypatch.setattr(judge, "TOGETHER", together)
        judge.judge_bridges(stock)
        stored = all_stored()
        for name, rows in alone.items():
            assert len(rows) == len(stored[name]), name
            for one, other in zip(rows, stored[name], strict=True):
                assert is_near(one, other), name


def test_a_bridge_that_fails_stops_at_itself_what_was_judged_with_it_before(stock, monkeypatch):
    forget_all()
    waiting_for = job()
    ToJudge.objects.bulk_create(ToJudge(bridge_id=pk, job=waiting_for) for pk in stock)
    bad = stock[3]

    def fails(bridge_ids, agency, real=judge._judge):
        real(bridge_ids, agency)
        if bad in bridge_ids:
            raise IntegrityError

    monkeypatch.setattr(judge, "_judge", fails)
    with pytest.raises(IntegrityError):
        judge.judge_bridges(stock)
    done = set(ElementStatus.objects.values_list("element__bridge_id", flat=True))
    assert done == set(stock[:3])
    assert set(ToJudge.objects.values_list("bridge_id", flat=True)) == set(stock[3:])


def test_progress_counts_every_bridge(stock, monkeypatch):
    monkeypatch.setattr(judge, "TOGETHER", 3)
    told = []
    judge.judge_bridges(stock, told.append)
    assert sum(told) == len(stock)
