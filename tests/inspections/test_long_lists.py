"""Lists of a register that has grown: their pages, and how a bridge is chosen out of many."""

import datetime as dt
import html
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections import bridge_choice, paging
from inspections.desk import views
from inspections.lookups.field import inspections
from inspections.models import ElementStatus
from inspections.models.choices import VerdictWord
from inspections.paging import RowPaginator
from inspections.selectors.desk import (
    STATUS_ORDERS,
    bridges_with_counts,
    sorted_bridges,
    sorted_statuses,
)
from inventory.models import Element
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db
COUNT = re.compile(r'<strong class="count">([^<]+)<')


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


@pytest.fixture
def few_counted(monkeypatch):
    """Let lists be long from four rows on, and two of them make a page."""
    monkeypatch.setattr(paging, "MOST_COUNTED", 3)
    monkeypatch.setattr(views, "ROWS_A_PAGE", 2)


def walk(client, address: str) -> list[list[str]]:
    """Return the codes of each page, from the first along «Next» to the last."""
    pages = []
    while True:
        answer = client.get(address)
        pages.append([row.code for row in answer.context["page"].object_list])
        following = re.search(r'rel="next" href="([^"]+)"', answer.content.decode())
        if following is None:
            return pages
        address = reverse("bridges") + html.unescape(following[1])


def test_a_list_of_more_than_is_counted_says_so_and_is_walked_to_its_end(
    engineer, bridges, few_counted
):
    page = engineer.get(reverse("bridges")).content.decode()
    assert "<caption>More than 3 bridges</caption>" in page
    assert "Page 1 of more than 2" in page
    pages = walk(engineer, reverse("bridges") + "?sort=code")
    assert pages == [["L-0", "L-1"], ["L-2", "L-3"], ["L-4", "L-5"], ["L-6"]]
    assert walk(engineer, reverse("bridges") + "?sort=code&q=L-2") == [["L-2"]]
    assert "<caption>1 bridge</caption>" in engineer.get("/bridges/?q=L-2").content.decode()


def test_a_page_past_the_end_of_a_long_list_is_the_last_that_is_counted(
    engineer, bridges, few_counted
):
    shown = engineer.get(reverse("bridges") + "?sort=code&page=99").context["page"].object_list
    assert [row.code for row in shown] == ["L-2", "L-3"]


def test_a_long_list_costs_as_many_queries_as_a_short_one(
    engineer, bridges, monkeypatch, django_assert_num_queries
):
    engineer.get(reverse("bridges"))
    with CaptureQueriesContext(connection) as short:
        engineer.get(reverse("bridges"))
    monkeypatch.setattr(paging, "MOST_COUNTED", 3)
    with django_assert_num_queries(len(short)):
        engineer.get(reverse("bridges"))


def test_a_long_list_is_told_in_german(engineer, bridges, few_counted):
    engineer.post("/language/", {"language": "de"})
    page = engineer.get(reverse("bridges")).content.decode()
    assert "<caption>Mehr als 3 Brücken</caption>" in page
    assert "von mehr als 2" in page


def test_a_program_is_told_that_not_all_rows_are_counted_and_follows_next_to_the_end(
    engineer, bridges, monkeypatch
):
    address, found = "/api/v1/bridges/?page_size=2", []
    assert engineer.get(address).json()["counts_all"] is True
    monkeypatch.setattr(paging, "MOST_COUNTED", 3)
    while address:
        told = engineer.get(address).json()
        assert (told["count"], told["counts_all"]) == (3, False)
        found += [row["code"] for row in told["results"]]
        address = told["next"]
    assert found == [f"L-{number}" for number in range(7)]
    assert engineer.get("/api/v1/bridges/?page_size=2&page=5").status_code == 404


def test_the_tabs_of_elements_count_no_further_than_the_list(engineer, bridges, few_counted):
    ElementStatus.objects.update(verdict=VerdictWord.WATCH)
    made = ElementStatus.objects.count()
    for query, told in (("", "more than 3"), ("?q=L-1", "2"), ("?kind=bearing", "more than 3")):
        page = engineer.get(reverse("elements") + query)
        counts = [html.unescape(each) for each in COUNT.findall(page.content.decode())]
        assert counts == [told, "0", told, "0", "0", told]
        assert page.context["page"].paginator.counts_all == (told == "2")
    beyond = engineer.get(f"{reverse('elements')}?page={(made + 1) // 2}").context["page"]
    assert len(beyond.object_list) == 2 - made % 2
    assert not beyond.has_next()


@pytest.mark.parametrize("sort", [sign + by for by in STATUS_ORDERS for sign in ("", "-")])
def test_elements_stand_on_their_pages_as_they_are_sorted_ties_and_gaps_included(
    engineer, bridges, monkeypatch, sort
):
    day = dt.date(2026, 5, 1)
    for number, row in enumerate(ElementStatus.objects.order_by("pk")):
        row.verdict = (VerdictWord.WATCH, VerdictWord.OUT_OF_RANGE)[number % 2]
        row.greatest_use = (0.7, 0.9, None, 0.7)[number % 4]
        row.greatest_residual_in_u = (None, 2.0, 3.0)[number % 3]
        row.last_seen_on = (day, None, day + dt.timedelta(1))[number % 3]
        row.save()
    rows = sorted_statuses(ElementStatus.objects.all(), sort.lstrip("-"), sort.startswith("-"))
    monkeypatch.setattr(views, "ROWS_A_PAGE", 3)
    for most in (2, 100):
        monkeypatch.setattr(paging, "MOST_COUNTED", most)
        found = []
        for number in range(1, (len(rows) + 2) // 3 + 1):
            page = engineer.get(reverse("elements"), {"sort": sort, "page": number}).context["page"]
            found += [row.pk for row in page.object_list]
        assert found == [row.pk for row in rows]


def test_words_are_found_in_parts_of_codes_and_names_of_element_and_bridge(engineer):
    for code, name, element in (("L-1", "Mill race", "J1"), ("L-2", "Meadow", "J1"),
                                ("L-3", "Mill pond", "B7")):  # fmt: skip
        bridge = make_bridge(code, {})
        bridge.name = name
        bridge.save(update_fields=["name"])
        make_element(make_unit(bridge), code=element)
    standing = [each.pk for each in Element.objects.order_by("pk")]

    def found(text: str) -> list[int]:
        page = engineer.get("/elements/", {"verdict": "all", "q": text}).context["page"]
        return [standing.index(row.element_id) for row in page.object_list]

    assert found("ill") == [0, 2]
    assert found("MILL j1") == [0]
    assert found("j mill-race") == []
    assert found("l-2") == [1]
    assert found("b7") == [2]
    assert found("%") == found("_") == []
