"""Lists in the order that is asked for: each row on one page, whatever is alike."""

import datetime as dt

import pytest

from inspections import paging
from inspections.models import (
    CapacityCheck,
    Condition,
    CriticalFinding,
    ElementDataRow,
    ElementHistory,
    ElementStatus,
    FieldNote,
)
from inspections.selectors.element_data import element_data
from inspections.services.intervals import set_interval
from tests.api.calls import Caller
from tests.inspections.test_element_data import rate
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


def test_element_data_of_more_rows_than_are_counted_is_each_told_once(caller, monkeypatch):
    monkeypatch.setattr(paging, "MOST_COUNTED", 3)
    for state, number in [("19", "s2"), ("19", "S1"), ("07", "Z"), ("19", "S10")]:
        for element, parent in [(12, None), (510, 12), (301, None)]:
            ElementDataRow.objects.create(
                state_code=state, structure_number=number, element_number=element,
                parent_number=parent, total=4, cs1=4, cs2=0, cs3=0, cs4=0,
            )  # fmt: skip
    # One whose joints the ledger reports in place of what was given, one with nothing else.
    for code, number in [("B-1", "S1"), ("B-2", "A")]:
        bridge = make_bridge(code, inventory_state_code="19", inventory_number=number)
        rate(make_element(make_unit(bridge), "strip_seal", code="J-1"), (3, 0, 0, 0))
    expected = [(row.state, row.number, row.element, row.total) for row in element_data().rows]
    first = caller.get("element-data/", page_size=2).json()
    assert (first["count"], first["counts_all"]) == (3, False)
    rows, number = [], 1
    while number:
        page = caller.get("element-data/", page=number, page_size=2).json()
        rows += page["results"]
        number = number + 1 if page["next"] else 0
    columns = ("state_code", "structure_number", "element_number", "total")
    assert [tuple(row[name] for name in columns) for row in rows] == expected
    assert len(expected) == 14


@pytest.mark.parametrize("most_counted", [3, 10_000])
@pytest.mark.parametrize(("by", "column"), [("verdict", "verdict"), ("greatest_use", "use")])
def test_elements_in_order_of_their_verdict_end_with_those_never_judged(
    caller, monkeypatch, by, column, most_counted
):
    monkeypatch.setattr(paging, "MOST_COUNTED", most_counted)
    unit, judged = make_unit(make_bridge()), {}
    # All of them first: a bridge that gets another is judged anew.
    elements = [make_element(unit, code=f"J-{at}") for at in range(5)]
    never = {make_element(unit, code=f"N-{at}").code for at in range(3)}
    ElementStatus.objects.filter(element__code__in=never).delete()
    found_of = [(3, 0.5), (1, 0.2), (3, 0.5), (2, None), (1, 0.9)]
    for element, (verdict, use) in zip(elements, found_of, strict=True):
        ElementStatus.objects.filter(element=element).update(verdict=verdict, greatest_use=use)
        judged[element.code] = {"verdict": verdict, "use": use}[column]
    for sign in ("", "-"):
        found = walked(caller, "elements/", ordering=f"{sign}{by}")
        assert sorted(found) == sorted([*judged, *never])
        values = [judged.get(code) for code in found]
        told = [value for value in values if value is not None]
        assert told == sorted(told, reverse=bool(sign))
        assert values[len(told) :] == [None] * (len(values) - len(told))


def walked(caller: Caller, resource: str, **query: object) -> list[str]:
    """Return the codes of all rows by following the list to its end, however far it is counted."""
    codes, number = [], 1
    while True:
        page = caller.get(resource, page=number, page_size=2, **query).json()
        codes += [row["code"] for row in page["results"]]
        if page["next"] is None:
            return codes
        number += 1
