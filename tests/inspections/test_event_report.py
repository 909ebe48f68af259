"""The printed report of an event, read back as whoever receives it reads it."""

import datetime as dt
import io

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from inspections.paper.cover import Printing
from inspections.paper.event_report import write_event_report
from inventory.models import Bridge
from inventory.units import System
from tests.inspections.test_condition_report import fonts_of, outline_of, text_of
from tests.inspections.test_district_summary import AT
from tests.inspections.test_events import bridge_at, record, visit

pytestmark = pytest.mark.django_db
BEFORE, AFTER = dt.date(2024, 2, 1), dt.date(2024, 3, 2)


def report(event, page_size: str = "A4", system: System = System.SI) -> PdfReader:
    """Return the report of an event, read back."""
    file = io.BytesIO()
    write_event_report(event, file, Printing(system, AT, "A. Reader", page_size))
    return PdfReader(file)


def shaken(count: int = 1):
    """Return an event after which the last of some bridges stands 60 mm off."""
    bridges = [bridge_at(f"B-{count}-{n}") for n in range(count)]
    for bridge in bridges:
        visit(bridge, BEFORE, -40.0, -15.0)
    waiting = bridge_at(f"W-{count}")
    event = record(*bridges, waiting, description="Felt <strongly> & long.")
    for bridge in bridges:
        visit(bridge, AFTER, 20.0 if bridge is bridges[-1] else -40.0, -15.0, event)
    return event


@pytest.mark.parametrize("page_size", ["A4", "Letter"])
def test_the_bridge_that_stepped_comes_first_and_what_is_not_visited_is_named(page_size):
    reader = report(shaken(3), page_size)
    text = text_of(reader)
    assert "3 of 4 bridges visited, 1 overdue" in text
    assert "Stepped at 1" in text
    table = text[text.index("those without a step by") :]
    assert table.index("B-3-2") < table.index("B-3-0")
    assert "stepped: +60.0 mm" in text
    assert "Felt <strongly> & long." in text
    waiting = text[text.rindex("Not yet visited") :]
    assert "W-3" in waiting
    assert "2024-03-0" in waiting
    assert "Holm" in text
    assert all(fonts_of(reader).values())
    assert "Steps found" in outline_of(reader)


def test_points_without_a_step_are_counted_and_not_listed():
    text = text_of(report(shaken(2)))
    steps = text[text.index("Last reading before and first after the event at B-2-1") :]
    assert "stepped" in steps
    quiet = steps[steps.index("B-2-0") :]
    assert quiet.index("1 point shows no step") < quiet.index("Not yet visited")
    assert "Last reading before and first after the event at B-2-0" not in text


def test_before_the_first_visit_it_says_that_nothing_has_been_compared():
    text = text_of(report(record(bridge_at("B-1"))))
    assert "0 of 1 bridges visited" in text
    assert "Nothing has been compared yet" in text


def test_names_as_long_as_they_may_be_stay_on_the_page():
    event = shaken()
    Bridge.objects.update(name="Neverendingcrossing" * 6)
    event.name = "Verylongname" * 10
    assert "Neverending" in text_of(report(event))


def test_the_number_of_queries_does_not_grow_with_the_bridges():
    def queries(count: int) -> int:
        event = shaken(count)
        with CaptureQueriesContext(connection) as captured:
            report(event)
        return len(captured)

    few, many = queries(1), queries(6)
    assert few == many < 12


@pytest.mark.parametrize(
    ("role", "status"), [("manager", 200), ("engineer", 200), ("inspector", 403), (None, 403)]
)
def test_managers_and_engineers_print_it_from_the_page_of_the_event(as_role, role, status):
    event = shaken()
    client = as_role(role)
    assert client.get(f"/events/{event.pk}/report.pdf").status_code == status
    if status == 200:
        page = client.get(f"/events/{event.pk}/").content.decode()
        assert f"/events/{event.pk}/report.pdf" in page


def test_the_command_prints_an_event_by_its_number(tmp_path):
    path = str(tmp_path / "e.pdf")
    call_command("report", str(shaken().pk), "--kind", "event", "--output", path)
    assert "Event report" in PdfReader(path).pages[0].extract_text()
    with pytest.raises(CommandError, match="no event has the number"):
        call_command("report", "no", "--kind", "event", "--output", path)
