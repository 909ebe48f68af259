"""Lists of a register that has grown: their pages, and how a bridge is chosen out of many."""

import pytest
from django.urls import reverse

from inspections import bridge_choice
from inspections.paging import RowPaginator
from inspections.selectors.desk import bridges_with_counts, sorted_bridges
from inspections.selectors.field import inspections
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer(client):
    client.force_login(make_user("engineer"))
    return client


@pytest.fixture
def bridges():
    made = [make_bridge(f"L-{number}") for number in range(7)]
    for number, bridge in enumerate(made):
        unit = make_unit(bridge)
        for _ in range(number % 3 + 1):
            make_element(unit)
    return made


def test_pages_hold_all_rows_once_in_their_order(bridges, django_assert_num_queries):
    for rows in (
        sorted_bridges(bridges_with_counts(), "elements", down=True),
        sorted_bridges(bridges_with_counts().filter(element_count__gt=1), "code", down=False),
    ):
        paged = RowPaginator(rows, 2)
        found = [row for number in paged.page_range for row in paged.page(number)]
        assert [(row.code, row.element_count) for row in found] == [
            (row.code, row.element_count) for row in rows
        ]
        with django_assert_num_queries(1):
            assert [row.district.code for row in paged.page(1)] == ["T", "T"]


def test_the_last_page_is_as_long_as_what_is_left(bridges):
    for bridge in bridges:
        make_inspection(bridge)
    paged = RowPaginator(inspections(), 3)
    assert [len(paged.get_page(number).object_list) for number in (1, 2, 3)] == [3, 3, 1]
    assert len(paged.get_page("none").object_list) == 3
    assert [row.pk for row in paged.get_page(99)] == [row.pk for row in inspections()][6:]


@pytest.mark.parametrize("name", ["elements", "home", "changes", "visit-new"])
def test_few_bridges_are_chosen_from_a_list_and_many_by_their_code(
    engineer, bridges, monkeypatch, name
):
    few = engineer.get(reverse(name)).content.decode()
    assert few.count('<option value="L-') == len(bridges)
    monkeypatch.setattr(bridge_choice, "LONGEST_LIST", len(bridges) - 1)
    many = engineer.get(reverse(name)).content.decode()
    assert '<option value="L-' not in many
    assert '<input type="text" name="bridge"' in many


def test_a_code_that_was_typed_narrows_the_list_and_stays(engineer, bridges, monkeypatch):
    monkeypatch.setattr(bridge_choice, "LONGEST_LIST", 1)
    page = engineer.get(reverse("elements"), {"verdict": "all", "bridge": "L-5"}).content.decode()
    assert 'name="bridge" value="L-5"' in page
    assert reverse("bridge", args=["L-5"]) in page
    assert reverse("bridge", args=["L-4"]) not in page


def test_a_code_of_no_bridge_is_refused_and_stays(engineer, bridges, monkeypatch):
    monkeypatch.setattr(bridge_choice, "LONGEST_LIST", 1)
    page = engineer.get(reverse("elements"), {"bridge": "L-55"}).content.decode()
    assert str(bridge_choice.UNKNOWN) in page
    assert 'name="bridge" value="L-55"' in page
