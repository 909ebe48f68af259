"""Rods whose count the register does not give: asked for once they are counted, and no sooner."""

import datetime as dt

import pytest

from inspections.models import Reading
from inspections.selectors.packet import packet_of
from inventory.units import System
from tests.inspections.field_pages import form_of, page_of
from tests.inspections.test_paper_forms import pages
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db
QUESTION = "How many rods are there?"


@pytest.fixture
def rods():
    return make_element(make_unit(make_bridge("B-1")), "anchor_rods", code="A")


@pytest.fixture
def visit(rods):
    return make_inspection(rods.bridge, dt.date(2024, 6, 1))


def test_the_form_asks_for_the_count_and_shows_one_rod(as_role, rods, visit):
    page = page_of(as_role("inspector").get(form_of(visit, rods)))
    assert QUESTION in page
    assert "Rod 1 [mm]" in page
    assert "Rod 2 [mm]" not in page


@pytest.mark.parametrize(("said", "last"), [("6", 6), ("40", 12), ("0", 1), ("-2", 1), ("six", 1)])
def test_it_shows_as_many_as_were_counted(as_role, rods, visit, said, last):
    page = page_of(as_role("inspector").get(form_of(visit, rods) + f"?rods={said}"))
    assert f"Rod {last} [mm]" in page
    assert f"Rod {last + 1} [mm]" not in page


def test_the_counted_rods_are_taken_and_still_shown_after_saving(as_role, rods, visit):
    address = form_of(visit, rods) + "?rods=3"
    values = {"taken_at": "2024-06-01T10:00", "projection-rod_3-1": "58"}
    response = as_role("inspector").post(address, values, follow=True)
    assert Reading.objects.get().point == "rod 3"
    page = page_of(response)
    assert "Still to be read here: rod projection rod 1, rod 2" in page
    assert QUESTION in page
    assert 'name="rods" type="number" min="1" max="1000" required value="3"' in page


def test_without_a_count_the_highest_rod_read_counts(as_role, rods, visit):
    read(visit, rods, "projection", 58.0, point="rod 4")
    page = page_of(as_role("inspector").get(form_of(visit, rods)))
    assert "Rod 4 [mm]" in page
    assert "Rod 5 [mm]" not in page


def test_a_count_on_record_is_not_asked_about_nor_overruled(as_role, visit):
    known = make_element(visit.bridge.units.get(), "clamp", code="C", design={"rod_count": 2})
    page = page_of(as_role("inspector").get(form_of(visit, known) + "?rods=5"))
    assert QUESTION not in page
    assert "Rod 2 [kN]" in page
    assert "Rod 3 [kN]" not in page


def test_a_tablet_takes_every_rod_along_and_holds_no_visit_up_for_one_nobody_counted(visit):
    packet = packet_of(visit, make_user("inspector"), System.SI, "")
    (element,) = packet["stops"][0]["elements"]
    of_rods = [each for each in element["channels"] if each["quantity"] == "projection"]
    assert [each["point"] for each in of_rods if each["is_wanted"]] == ["rod 1"]
    assert len(of_rods) == 12


def test_the_paper_leaves_a_line_for_the_count(visit):
    make_element(visit.bridge.units.get(), "clamp", code="C", design={"rod_count": 3})
    text = " ".join(pages(make_user("inspector"), f"/inspections/{visit.pk}/form.pdf"))
    assert text.count("How many rods there are is not on record") == 1
    assert "Rod projection, rod 1" in text
    assert "Rod projection, rod 2" not in text
    assert "Rod tension, rod 3" in text
    assert "Rod tension, rod 4" not in text
