"""The printed summary of a district, read back as whoever receives the file reads it."""

import datetime as dt
import io

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from inspections.drawing.count_bars import count_bars
from inspections.drawing.shapes import Line, Rect
from inspections.models.choices import VerdictWord
from inspections.paper.cover import Printing
from inspections.paper.district_summary import write_district_summary
from inspections.selectors.district import district_summary, year_before
from inspections.services.visits import submit
from inventory.models import Bridge, District
from inventory.units import System
from tests.inspections.plan_rows import due_bridge, today
from tests.inspections.test_condition_report import fonts_of, outline_of, text_of
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db
AT = dt.datetime(2024, 7, 2, 3, 30, tzinfo=dt.UTC)
DAY = dt.date(2024, 7, 2)
JOINT = {
    "installation": {
        "installed_on": dt.date(2020, 1, 1),
        "setting_source": "measured",
        "setting_temperature_c": 20.0,
        "setting_gap_mm": 50.0,
    },
    "design": {"opening_min_mm": 5.0, "opening_max_mm": 130.0},
}


def visited(code: str, *visits: tuple[dt.date, float], joints: int = 1) -> Bridge:
    """Return a bridge with joints read at -10 degC on some days; 85.1 mm is in order there."""
    bridge = make_bridge(code)
    unit = make_unit(bridge)
    made = [make_element(unit, "strip_seal", code=f"J-{n}", **JOINT) for n in range(joints)]
    for day, gap in visits:
        visit = make_inspection(bridge, day)
        for joint in made:
            read(visit, joint, "gap", gap, -10.0, point="left", axis="square")
        submit(inspection=visit)
    return bridge


def printed(district: District | None, day: dt.date = DAY, page_size: str = "A4") -> PdfReader:
    """Return the summary of a district, read back."""
    file = io.BytesIO()
    printing = Printing(System.SI, AT, "A. Reader", page_size)
    write_district_summary(district_summary(district, day), file, printing)
    return PdfReader(file)


def test_a_joint_that_left_its_range_within_the_year_shows_in_the_trend():
    bridge = visited("B-1", (dt.date(2023, 1, 10), 85.1), (dt.date(2024, 1, 10), 50.0))
    found = district_summary(bridge.district, DAY)
    assert found.before == {VerdictWord.IN_RANGE: 1}
    assert found.now == {VerdictWord.OUT_OF_RANGE: 1}
    text = text_of(printed(bridge.district))
    assert "Out of range 0 1 +1" in text
    assert "In range 1 0 −1" in text
    assert "the readings alone" in text


def test_the_year_before_counts_the_day_itself_and_no_later_one():
    bridge = visited("B-1", (dt.date(2023, 7, 2), 85.1))
    assert district_summary(bridge.district, DAY).before.total() == 1
    assert district_summary(bridge.district, DAY - dt.timedelta(days=1)).before.total() == 0
    assert year_before(dt.date(2024, 2, 29)) == dt.date(2023, 2, 28)


def test_what_matters_most_is_named_with_its_bridge_and_what_showed_it():
    bridge = visited("B-77", (dt.date(2024, 1, 10), 50.0))
    text = text_of(printed(bridge.district))
    assert "B-77" in text
    assert "J-0" in text
    assert "What matters most" in text
    assert "To decide" in text


def test_elements_of_another_district_are_left_out():
    here = visited("B-1", (dt.date(2024, 1, 10), 50.0))
    there = visited("B-2", (dt.date(2024, 1, 10), 50.0))
    there.district = District.objects.create(code="SOUTH", name="South")
    there.save()
    assert "B-2" not in text_of(printed(here.district))
    both = text_of(printed(None))
    assert "B-1" in both
    assert "B-2" in both
    assert "All districts" in both


def test_overdue_inspections_are_listed_with_their_days():
    due_bridge("B-LATE", -10)
    text = text_of(printed(None, today()))
    assert "Overdue inspections" in text
    assert "B-LATE" in text


@pytest.mark.parametrize(("size", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_a_district_without_anything_says_so_on_either_paper(size, points):
    empty = District.objects.create(code="NONE", name="Nothing & nobody " + "longname" * 12)
    reader = printed(empty, page_size=size)
    text = text_of(reader)
    assert "No element is on record here yet" in text
    assert "Nothing is overdue here" in text
    assert "No flag is open here" in text
    box = reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == points
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert outline_of(reader) == [
        "Verdicts by kind of element",
        "Against the year before",
        "What matters most",
        "Overdue inspections",
        "Open flags by state and age",
        "Method and basis",
        "Verdicts and thresholds",
        "Where temperatures come from",
        "Uncertainties and windows",
        "Limits of use",
    ]


def test_every_font_is_embedded_and_a_long_list_repeats_its_head():
    bridge = visited("B-1", (dt.date(2024, 1, 10), 50.0), joints=70)
    reader = printed(bridge.district)
    assert all(fonts_of(reader).values())
    heads = [page for page in reader.pages if "what showed the" in page.extract_text()]
    assert len(heads) > 1
    assert "10 more elements are not printed" in text_of(reader)


def test_the_number_of_queries_does_not_grow_with_the_elements():
    def queries(joints: int) -> int:
        bridge = visited(f"Q-{joints}", (dt.date(2024, 1, 10), 50.0), joints=joints)
        with CaptureQueriesContext(connection) as captured:
            printed(bridge.district)
        return len(captured)

    few, many = queries(1), queries(12)
    assert few == many < 15


def test_bars_differ_by_hatching_and_length():
    drawn = count_bars({"Bearing": {VerdictWord.OUT_OF_RANGE: 4, VerdictWord.IN_RANGE: 2}})
    lengths = [shape.width for shape in drawn.shapes if isinstance(shape, Rect)]
    assert lengths[0] == pytest.approx(2 * lengths[1])
    hatch = [each for each in drawn.shapes if isinstance(each, Line) and each.style == "hatch"]
    assert hatch
    assert "4 out of range" in drawn.description


@pytest.mark.parametrize(
    ("role", "status"), [("manager", 200), ("engineer", 200), ("inspector", 403), (None, 403)]
)
def test_managers_and_engineers_print_it_from_the_list_of_bridges(as_role, role, status):
    bridge = visited("B-1", (dt.date(2024, 1, 10), 50.0))
    client = as_role(role)
    code = bridge.district.code
    assert client.get(f"/districts/summary.pdf?district={code}").status_code == status
    if status == 200:
        assert client.get("/districts/summary.pdf").status_code == 200
        assert client.get("/districts/summary.pdf?district=NO-SUCH").status_code == 404
        page = client.get(f"/bridges/?district={code}").content.decode()
        assert f"/districts/summary.pdf?district={code}" in page


def test_the_command_prints_a_district_and_names_those_near_a_wrong_code(tmp_path, capsys):
    bridge = visited("B-1", (dt.date(2024, 1, 10), 50.0))
    code = bridge.district.code
    path = tmp_path / "d.pdf"
    call_command("report", code, "--kind", "district", "--output", str(path))
    assert "District summary" in PdfReader(path).pages[0].extract_text()
    call_command("report", "--kind", "district", "--output", str(path))
    assert "All districts" in PdfReader(path).pages[0].extract_text()
    with pytest.raises(CommandError, match="no district has the code") as error:
        call_command("report", f"{code}x", "--kind", "district", "--output", str(path))
    assert error.value.returncode == 2
    with pytest.raises(CommandError, match="give the code of the bridge"):
        call_command("report", "--output", str(path))
