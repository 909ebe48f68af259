"""Lists in the order that is asked for: each row on one page, whatever is alike."""

import datetime as dt

import pytest

from inspections.models import CapacityCheck, Condition, CriticalFinding, ElementHistory, FieldNote
from inspections.services.intervals import set_interval
from tests.api.calls import Caller
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.rows import valid_row

pytestmark = pytest.mark.django_db

DAYS = [dt.date(2024, 6, 1), dt.date(2020, 6, 1), dt.date(2024, 6, 1), dt.date(2022, 6, 1)]


@pytest.fixture
def caller() -> Caller:
    return Caller(make_user("engineer"))


def all_pages(caller: Caller, resource: str, **query: object) -> list[dict]:
    """Return the rows of all pages, of which each holds two."""
    rows, number = [], 1
    while True:
        page = caller.get(resource, page=number, page_size=2, **query).json()
        rows += page["results"]
        if page["next"] is None:
            assert page["count"] == len(rows)
            return rows
        number += 1


def copies(model, places) -> None:
    """Save copies of a row, with what is different in each."""
    row = valid_row(model)
    for different in places:
        row.pk = None
        row._state.adding = True
        for name, value in different.items():
            setattr(row, name, value)
        row.save()


@pytest.mark.parametrize(
    ("resource", "model"),
    [
        ("notes/", FieldNote),
        ("conditions/", Condition),
        ("critical-findings/", CriticalFinding),
    ],
)
def test_rows_of_visits_of_one_day_are_each_told_once_with_visits_without_rows(
    caller, resource, model
):
    visits = []
    for number, day in enumerate(DAYS):
        bridge = make_bridge(f"V-{number}")
        make_inspection(bridge, dt.date(2010, 6, 1))
        element = make_element(make_unit(bridge), "pot")
        visits.append({"inspection": make_inspection(bridge, day), "element": element})
    copies(model, [place | {"record_id": None} for place in visits * 2])
    day_of = {row.pk: row.inspection.date for row in model.objects.select_related("inspection")}
    for sign in ("", "-"):
        found = [row["id"] for row in all_pages(caller, resource, ordering=f"{sign}date")]
        assert sorted(found) == sorted(day_of)
        days = [day_of[pk] for pk in found]
        assert days == sorted(days, reverse=bool(sign))


@pytest.mark.parametrize(
    ("resource", "model"), [("histories/", ElementHistory), ("capacity-checks/", CapacityCheck)]
)
def test_rows_of_elements_of_one_code_are_each_told_once(caller, resource, model):
    elements = [
        make_element(make_unit(make_bridge(f"E-{number}")), "pot", code=code)
        for number, code in enumerate(["P-2", "P-1", "P-2", "P-1", "P-1"])
    ]
    copies(model, [{"element": e, "installation": e.current_installation} for e in elements])
    code_of = {row.pk: row.element.code for row in model.objects.select_related("element")}
    for sign in ("", "-"):
        found = [row["id"] for row in all_pages(caller, resource, ordering=f"{sign}element")]
        assert sorted(found) == sorted(code_of)
        codes = [code_of[pk] for pk in found]
        assert codes == sorted(codes, reverse=bool(sign))


def test_intervals_in_force_are_each_told_once_over_all_pages(caller):
    user, expected = make_user("engineer", username="planner"), []
    for number, many in enumerate([0, 3, 1, 0, 2]):
        bridge = make_bridge(f"I-{number}")
        unit = make_unit(bridge)
        codes = [make_element(unit, "pot", code=f"P-{nth}").code for nth in range(max(many, 1))]
        for element in bridge.elements.all()[:many]:
            set_interval(
                bridge=bridge, element=element, kind="routine", months=6, reason="Old", user=user
            )
        expected += [(bridge.code, None), (bridge.code, None)]
        expected += [(bridge.code, code) for code in codes[:many]]
    told = all_pages(caller, "intervals/in-force/")
    assert [(row["bridge"], row["element_code"]) for row in told] == expected


def test_what_element_data_cannot_tell_is_each_told_once_over_all_pages(caller):
    for number in range(3):
        make_bridge(f"NAMELESS-{number}")
        bridge = make_bridge(
            f"B-{number}", inventory_state_code="19", inventory_number=f"00000000000000{number}"
        )
        make_element(make_unit(bridge), code="J-1")
    told = all_pages(caller, "element-data/not-told/")
    assert [(row["bridge"], row["elements"]) for row in told] == [
        *((f"NAMELESS-{number}", []) for number in range(3)),
        *((f"B-{number}", ["J-1"]) for number in range(3)),
    ]
