"""The lists of flagged elements and of bridges: what they say, sorting and narrowing."""

import datetime as dt
import re

import pytest

from inventory.models import Bridge, District, Element, Installation
from inventory.models.choices import EndReason
from inventory.services.installations import replace_installation
from tests.inspections.desk_rows import codes, hand_in, one_of_each, words
from tests.make import make_bridge, make_element, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge("B-1"))


@pytest.fixture
def each_verdict():
    return one_of_each()


def test_the_list_opens_with_what_is_flagged_the_worst_first(as_role, each_verdict):
    response = as_role("engineer").get("/elements/")
    assert codes(response) == ["J-OUT", "J-WATCH"]
    page = words(response)
    assert "Flagged 2" in page
    assert "Out of range 1" in page
    assert "Cannot judge 1" in page
    assert "In range 1" in page
    assert "All 4" in page


def test_a_row_gives_the_reason_as_a_sentence_with_its_numbers(as_role, each_verdict):
    page = words(as_role("engineer").get("/elements/"))
    assert "30.0 mm narrower than the 70.0 mm expected, outside the band of ±" in page
    assert "Strip seal joint" in page
    assert "2024-06-01" in page


@pytest.mark.parametrize(
    ("tab", "expected"),
    [
        ("out-of-range", ["J-OUT"]),
        ("watch", ["J-WATCH"]),
        ("in-range", ["J-FINE"]),
        ("cannot-judge", ["P-NEVER"]),
        ("all", ["J-OUT", "J-WATCH", "J-FINE", "P-NEVER"]),
    ],
)
def test_a_tab_narrows_the_list_to_one_verdict(as_role, each_verdict, tab, expected):
    assert codes(as_role("engineer").get(f"/elements/?verdict={tab}")) == expected


@pytest.mark.parametrize(
    ("sort", "expected"),
    [
        ("element", ["J-FINE", "J-OUT", "J-WATCH", "P-NEVER"]),
        ("-element", ["P-NEVER", "J-WATCH", "J-OUT", "J-FINE"]),
        ("verdict", ["P-NEVER", "J-FINE", "J-WATCH", "J-OUT"]),
        ("-residual", ["J-OUT", "J-WATCH", "J-FINE", "P-NEVER"]),
        ("residual", ["J-FINE", "J-WATCH", "J-OUT", "P-NEVER"]),
    ],
)
def test_a_heading_sorts_the_list_and_what_has_no_number_comes_last(
    as_role, each_verdict, sort, expected
):
    assert codes(as_role("engineer").get(f"/elements/?verdict=all&sort={sort}")) == expected


def test_the_sorted_heading_says_so_and_turns_the_order_round(as_role, each_verdict):
    page = as_role("engineer").get("/elements/?verdict=all&sort=-use").content.decode()
    assert page.count("aria-sort=") == 1
    heading = re.search(r'<th[^>]*aria-sort="descending"[^>]*>(.*?)</th>', page, re.DOTALL)
    assert heading
    assert "Greatest use of a limit" in heading[1]
    assert "sort=use" in heading[1]
    assert "verdict=all" in heading[1]


@pytest.mark.parametrize(
    "address",
    [
        "/elements/?sort=nonsense",
        "/elements/?verdict=nonsense",
        "/elements/?page=99",
        "/elements/?bridge=X",
    ],
)
def test_nonsense_in_the_address_does_not_break_the_list(as_role, each_verdict, address):
    assert codes(as_role("engineer").get(address)) == ["J-OUT", "J-WATCH"]


def test_the_list_is_narrowed_by_place_device_reason_and_words(as_role, each_verdict):
    north = District.objects.create(code="N", name="North")
    other = make_unit(make_bridge("B-2"))
    Bridge.objects.filter(pk=other.bridge_id).update(district=north, name="Far crossing")
    hand_in(other, {"J-FAR": 20.0})
    client = as_role("engineer")
    for question, expected in {
        "district=N": ["J-FAR"],
        "bridge=B-1": ["J-OUT", "J-WATCH", "J-FINE", "P-NEVER"],
        "kind=bearing": ["P-NEVER"],
        "device=strip_seal&bridge=B-1": ["J-OUT", "J-WATCH", "J-FINE"],
        "device=finger": [],
        "reason=RESIDUAL_OUT&bridge=B-1": ["J-OUT"],
        "reason=RESIDUAL_WATCH": ["J-WATCH"],
        "reason=NO_READING": ["P-NEVER"],
        "q=watch": ["J-WATCH"],
        "q=far+j-": ["J-FAR"],
    }.items():
        assert codes(client.get(f"/elements/?verdict=all&{question}")) == expected, question


@pytest.mark.parametrize("sort", ["", "&sort=verdict", "&sort=-seen", "&sort=bridge"])
def test_the_list_of_a_district_or_bridge_is_in_the_order_of_all(as_role, each_verdict, sort):
    north = District.objects.create(code="N", name="North")
    for code in ("B-3", "B-2"):
        there = make_unit(make_bridge(code))
        Bridge.objects.filter(pk=there.bridge_id).update(district=north)
        hand_in(there, {f"J-{code}-{at}": 20.0 + 20.0 * (at % 3) for at in (3, 1, 2, 0)})
    client = as_role("engineer")
    everywhere = codes(client.get(f"/elements/?verdict=all{sort}"))
    for question, begins in {"district=N": ("J-B-",), "bridge=B-2": ("J-B-2",)}.items():
        here = codes(client.get(f"/elements/?verdict=all&{question}{sort}"))
        assert here == [code for code in everywhere if code.startswith(begins)], question
        assert len(here) >= 4


def test_an_element_is_listed_by_the_device_that_stands_there_now(as_role, each_verdict):
    joint = Element.objects.get(code="J-OUT")
    replace_installation(
        element=joint,
        ended_on=dt.date(2025, 5, 4),
        end_reason=EndReason.REPLACED,
        installation=Installation(device_type="finger", installed_on=dt.date(2025, 5, 4)),
        design={"opening_min_mm": 10.0, "opening_max_mm": 80.0},
    )
    client = as_role("engineer")
    for question, expected in {
        "device=finger": ["J-OUT"],
        "device=strip_seal": ["J-WATCH", "J-FINE"],
        "kind=joint": ["J-WATCH", "J-FINE", "J-OUT"],
    }.items():
        assert codes(client.get(f"/elements/?verdict=all&{question}")) == expected, question


def test_the_counts_follow_the_filter_and_the_tabs_keep_it(as_role, each_verdict):
    response = as_role("engineer").get("/elements/?q=fine&sort=-use")
    assert "All 1" in words(response)
    assert 'href="?q=fine&amp;sort=-use&amp;verdict=all"' in response.content.decode()


def test_long_lists_are_paged(as_role, unit):
    for number in range(51):
        make_element(unit, "pot", f"P{number:02}")
    client = as_role("engineer")
    first = client.get("/elements/?verdict=all")
    assert len(codes(first)) == 50
    assert "Page 1 of 2" in words(first)
    assert len(codes(client.get("/elements/?verdict=all&page=2"))) == 1


def test_an_empty_list_says_what_belongs_there_and_what_to_do(as_role, unit):
    client = as_role("engineer")
    assert "No element is on record yet" in words(client.get("/elements/"))
    make_element(unit, "pot", "P1")
    assert "Nothing is flagged" in words(client.get("/elements/"))
    assert "No element fits" in words(client.get("/elements/?q=zzz"))
    assert "No element has this verdict" in words(client.get("/elements/?verdict=watch"))


def test_the_bridge_list_copes_with_a_stock_of_bridges_without_elements(as_role, each_verdict):
    district = District.objects.create(code="S", name="Stock")
    Bridge.objects.bulk_create(
        Bridge(district=district, code=f"A-{number:03}", name="Stock bridge")
        for number in range(600)
    )
    client = as_role("manager")
    response = client.get("/bridges/")
    page = words(response)
    assert "601 bridges" in page
    assert "Page 1 of 13" in page
    assert "no elements yet" in page
    assert response.context["page"].object_list[0].code == "B-1"
    assert "1 out of range 1 watch 1 cannot judge 1 in range" in page
    assert "1 bridge " in words(client.get("/bridges/?q=A-007"))
    assert "600 bridges" in words(client.get("/bridges/?district=S"))
    assert "1 bridge " in words(client.get("/bridges/?holds=flagged"))
    assert "1 bridge " in words(client.get("/bridges/?holds=elements"))
    assert "600 bridges" in words(client.get("/bridges/?holds=none"))
    assert "No bridge fits" in words(client.get("/bridges/?q=zzz"))


def test_bridges_sort_by_code(as_role):
    make_bridge("C-1")
    make_bridge("C-2")
    response = as_role("engineer").get("/bridges/?sort=-code")
    assert [each.code for each in response.context["page"].object_list] == ["C-2", "C-1"]


def test_without_any_bridge_the_list_says_what_to_do(as_role):
    assert "No bridge is on record yet" in words(as_role("engineer").get("/bridges/"))
