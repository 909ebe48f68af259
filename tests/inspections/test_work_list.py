"""The printed list of work orders, read back as whoever receives it reads it."""

import io
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from inspections.models import WorkOrder
from inspections.paper.cover import Printing
from inspections.paper.work_list import write_work_list
from inspections.selectors.work import orders
from inventory.models import Bridge
from inventory.units import System
from tests.inspections.test_condition_report import fonts_of, outline_of, text_of
from tests.inspections.test_district_summary import AT
from tests.inspections.work_rows import a_unit, an_order, off_joints, position

pytestmark = pytest.mark.django_db


def work_list(page_size: str = "A4") -> PdfReader:
    """Return the list of all work, read back."""
    file = io.BytesIO()
    printing = Printing(System.SI, AT, "A. Reader", page_size)
    write_work_list(orders(), file, printing, currency="EUR")
    return PdfReader(file)


def ordered(count: int, code: str = "B-1") -> list[WorkOrder]:
    """Return an order on each of some joints of a bridge."""
    unit = a_unit(code)
    joints = off_joints(unit, *(f"J-{n}" for n in range(count)))
    return [an_order([position(joint)]) for joint in joints]


@pytest.mark.parametrize("page_size", ["A4", "Letter"])
def test_sums_are_told_by_kind_and_district_and_what_lacks_a_cost_is_counted(page_size):
    first, second, third = ordered(3)
    WorkOrder.objects.filter(pk=first.pk).update(cost_estimate=Decimal("1000.10"))
    WorkOrder.objects.filter(pk=second.pk).update(
        cost_estimate=Decimal("0.20"), kind="replacement", cost=Decimal("7.00")
    )
    reader = work_list(page_size)
    text = text_of(reader).replace("\u202f", " ").replace("\u00a0", " ")
    assert "EUR 1 000.30 (1 without)" in text
    assert "EUR 7.00 (2 without)" in text
    assert str(first.bridge.district) in text
    assert third.code in text
    assert "Finished orders" in outline_of(reader)
    assert all(fonts_of(reader).values())


def test_without_any_order_it_says_so():
    assert "No work is open or finished" in text_of(work_list())


def test_long_names_and_long_lists_keep_their_head_and_every_order():
    found = ordered(40)
    Bridge.objects.update(name="Neverendingcrossing" * 6)
    WorkOrder.objects.update(title="Long & <winding> " * 9)
    reader = work_list()
    text = text_of(reader)
    assert all(each.code in text for each in found)
    assert sum("Planned for" in page.extract_text() for page in reader.pages) > 1


def test_the_page_prints_what_it_is_narrowed_to_and_says_so(as_role):
    kept, left = ordered(2)
    WorkOrder.objects.filter(pk=kept.pk).update(kind="replacement")
    answer = as_role("manager").get("/work/list.pdf?kind=replacement&state=ordered")
    text = text_of(PdfReader(io.BytesIO(answer.getvalue())))
    assert kept.code in text
    assert left.code not in text
    kind = WorkOrder.objects.get(pk=kept.pk).get_kind_display()
    assert f"those with state Ordered; kind {kind}" in text
    everything = as_role("manager").get("/work/list.pdf")
    assert "all on record" in text_of(PdfReader(io.BytesIO(everything.getvalue())))


def test_the_number_of_queries_does_not_grow_with_the_orders():
    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            work_list()
        return len(captured)

    ordered(1)
    few = queries()
    ordered(5, "B-2")
    assert queries() == few < 5


@pytest.mark.parametrize(
    ("role", "status"), [("manager", 200), ("engineer", 200), ("inspector", 403), (None, 403)]
)
def test_managers_and_engineers_print_it_from_the_list_of_work(as_role, role, status):
    ordered(1)
    client = as_role(role)
    assert client.get("/work/list.pdf").status_code == status
    if status == 200:
        assert "/work/list.pdf" in client.get("/work/").content.decode()


def test_the_command_prints_it_and_takes_no_code(tmp_path):
    path = str(tmp_path / "w.pdf")
    call_command("report", "--kind", "work", "--output", path)
    assert "List of work" in PdfReader(path).pages[0].extract_text()
    with pytest.raises(CommandError, match="takes none"):
        call_command("report", "X", "--kind", "work", "--output", path)
