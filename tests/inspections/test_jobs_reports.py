"""Every report of more than one element: its progress, and a job that makes it."""

import datetime as dt
import io
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from inspections.jobs.reports import REPORTS, orders_narrowed
from inspections.models import Event, EventBridge, Inspection, Job
from inspections.models.jobs import REPORT_KINDS, JobKind
from inspections.paper.cover import Printing
from inspections.services.visits import submit
from inventory.models import District
from inventory.units import System
from tests.make import make_bridge, make_element, make_inspection, make_unit, read
from tests.rows_desk import order

pytestmark = pytest.mark.django_db
PRINTING = Printing(
    System.SI, dt.datetime(2024, 7, 2, 3, 30, tzinfo=dt.UTC), "A. Reader", zone=ZoneInfo("UTC")
)


@pytest.fixture(autouse=True)
def site_folder(settings, tmp_path):
    """A folder of the site of this test's own."""
    settings.LOCAL_DIR = tmp_path
    return tmp_path


@pytest.fixture
def event():
    """Three bridges of an event: one moved, one did not, one was not visited."""
    found = Event.objects.create(
        name="Shake",
        kind="earthquake",
        occurred_at=dt.datetime(2024, 6, 2, 12, tzinfo=dt.UTC),
        within_days=7,
    )
    for code, after_mm in (("MOVED", 60.0), ("STILL", 0.5), ("UNSEEN", None)):
        bridge = make_bridge(code)
        bearing = make_element(make_unit(bridge))
        EventBridge.objects.create(event=found, bridge=bridge)
        before = make_inspection(bridge, dt.date(2024, 6, 1))
        read(before, bearing, "offset_along", 0.0, 12.0)
        submit(inspection=before)
        if after_mm is not None:
            after = make_inspection(bridge, dt.date(2024, 6, 3))
            Inspection.objects.filter(pk=after.pk).update(event=found)
            read(after, bearing, "offset_along", after_mm, 12.0)
            submit(inspection=after)
    return found


def printed(kind: JobKind, subject) -> tuple[int, int]:
    """Return how many units were told, and how many were to come."""
    told, report = [], REPORTS[kind]
    report.write(subject, io.BytesIO(), PRINTING, told.append)
    return sum(told), report.units(subject)


def test_every_kind_of_report_is_printed_by_a_job():
    assert set(REPORTS) == set(REPORT_KINDS)


def test_an_event_tells_each_bridge_once(event):
    assert printed(JobKind.EVENT_REPORT, event) == (3, 3)


@pytest.mark.parametrize("states", [[], ["ordered", "finished"], ["cancelled", "ordered"]])
def test_a_list_of_work_tells_each_order_once(states):
    more = {
        "finished": {"finished_on": dt.date(2024, 7, 1)},
        "cancelled": {
            "cancelled_at": dt.datetime(2024, 7, 1, tzinfo=dt.UTC),
            "cancelled_why": "Mended by another.",
        },
    }
    for state in states:
        order(state=state, **more.get(state, {}))
    assert printed(JobKind.WORK_LIST, orders_narrowed(None)) == (len(states), len(states))


def test_a_summary_tells_its_parts(event):
    told, total = printed(JobKind.DISTRICT_SUMMARY, District.objects.get())
    assert told == total > 1


@pytest.mark.parametrize(
    ("address", "name", "words"),
    [
        ("/districts/summary.pdf", "all-districts-summary-", "All districts"),
        ("/districts/summary.pdf?district=T", "T-summary-", "Test district"),
        ("/work/list.pdf", "work-", "Work orders and their costs"),
        ("/events/{event}/report.pdf", "event-", "Shake"),
    ],
)
def test_a_large_one_is_made_by_a_job(as_role, settings, event, address, name, words):
    order(), order()
    client = as_role("manager")
    address = address.format(event=event.pk)
    assert client.get(address)["Content-Type"] == "application/pdf"
    settings.LARGE_REPORT = 1
    where = client.get(address)["Location"]
    file = client.get(f"{where}result/")
    assert f'filename="{name}' in file["Content-Disposition"]
    reader = PdfReader(io.BytesIO(b"".join(file.streaming_content)))
    assert words in reader.pages[0].extract_text()
    assert Job.objects.get().done_count == Job.objects.get().total_count
