"""What a time zone is called where it is shown."""

import datetime as dt
import io
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from inspections.paper.cover import printed_words
from inventory.models import Bridge
from inventory.zones import zone_words
from tests.inspections.desk_rows import words
from tests.inspections.work_rows import an_order, off_joints, position
from tests.make import make_bridge, make_inspection, make_unit

WEST = "Etc/GMT+5"
"""Five hours behind UTC: the names of these zones count westwards."""


@pytest.mark.parametrize(
    ("name", "told"),
    [
        (WEST, "UTC−5"),
        ("Etc/GMT-1", "UTC+1"),
        ("Etc/GMT+12", "UTC−12"),
        ("Etc/GMT", "UTC"),
        ("Etc/GMT-0", "UTC"),
        ("Etc/UTC", "UTC"),
        ("UTC", "UTC"),
        ("Europe/Lisbon", "Europe/Lisbon"),
        ("Etc/Nowhere", "Etc/Nowhere"),
    ],
)
def test_a_zone_without_a_place_is_told_by_what_it_is_ahead_of_utc(name, told):
    assert zone_words(name) == told


@pytest.fixture
def joint(db):
    (found,) = off_joints(make_unit(make_bridge("B-1")), "J-1")
    Bridge.objects.filter(pk=found.bridge_id).update(time_zone=WEST)
    return found


def test_pages_tell_it_so_and_with_the_hour_that_it_means(as_role, joint):
    client = as_role("engineer")
    visit = make_inspection(joint.bridge, dt.date(2024, 7, 1), kind="in_depth")
    order = an_order([position(joint)], "repair")
    pages = {
        "visit": client.get(f"/inspections/{visit.pk}/"),
        "form": client.get(f"/inspections/{visit.pk}/elements/{joint.pk}/"),
        "bridge": client.get("/bridges/B-1/"),
        "finish": client.get(f"/work/{order.pk}/finish/"),
    }
    for name, page in pages.items():
        told = words(page)
        assert "UTC−5" in told, name
        assert "GMT" not in told, name


def test_papers_tell_it_so(as_role, joint):
    answer = as_role("engineer").get("/bridges/B-1/report.pdf")
    text = "".join(
        page.extract_text()
        for page in PdfReader(io.BytesIO(b"".join(answer.streaming_content))).pages
    )
    assert "UTC−5" in text
    assert "GMT" not in text


def test_the_foot_of_a_page_tells_the_hour_of_that_zone():
    local = dt.datetime(2024, 7, 1, 12, tzinfo=dt.UTC).astimezone(ZoneInfo(WEST))
    assert printed_words(local, WEST, "engineer") == (
        "Printed 2024-07-01 07:00 (UTC−5), by engineer"
    )
