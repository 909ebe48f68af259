"""What many readings say together, air records, settings and photos, in both systems of units."""

import datetime as dt
import html

import pytest
from django.core.files.base import ContentFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.element_rows import ElementRow
from inspections.exchange.element_data import import_element_data
from inspections.models import (
    AirTemperature,
    CapacityCheck,
    ElementDataRow,
    ElementHistory,
    EventBridge,
    Explanation,
    Photo,
)
from inspections.models.choices import CauseWord
from inspections.selectors.element_data import element_data
from tests import rows_desk
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.test_element_data import REAL, a_bridge, rate, written
from tests.inspections.test_event_report import shaken
from tests.make import make_bridge, make_element, make_unit, make_user
from tests.rows import valid_row

pytestmark = pytest.mark.django_db


@pytest.fixture
def caller() -> Caller:
    return Caller(make_user("inspector"))


def changed(model, **fields):
    row = valid_row(model)
    model.objects.filter(pk=row.pk).update(**fields)
    return row


def test_a_slope_is_told_per_degree_of_either_scale(caller):
    fields = {"quantity": "offset_along", "slope_per_c": 1.27, "drift_per_year": 2.54}
    row = changed(ElementHistory, **fields, spread_k=10.0, travelled_m=30.48)
    metric = caller.get(f"histories/{row.pk}/").json()
    assert (metric["slope_mm_per_c"], metric["drift_mm_per_year"]) == (1.27, 2.54)
    us = caller.get(f"histories/{row.pk}/", units="us").json()
    assert us["slope_in_per_f"] == pytest.approx(0.05 / 1.8)
    assert us["drift_in_per_year"] == pytest.approx(0.1)
    assert us["spread_delta_f"] == pytest.approx(18.0)
    assert us["travelled_ft"] == pytest.approx(100.0)
    assert not [name for name in us if "_mm" in name or name.endswith("_per_c")]


def test_a_slope_of_a_rotation_stays_in_milliradians(caller):
    row = changed(ElementHistory, slope_per_c=1.8)
    assert caller.get(f"histories/{row.pk}/", units="us").json()["slope_mrad_per_f"] == 1.0


def test_a_check_tells_demand_and_capacity_in_its_unit(caller):
    row = changed(CapacityCheck, unit="mm", demand=25.4, capacity=50.8, use=0.5)
    us = caller.get(f"capacity-checks/{row.pk}/", units="us").json()
    assert (us["demand"], us["capacity"], us["unit"]) == (1.0, 2.0, "in")
    assert caller.get(f"capacity-checks/{row.pk}/").json()["unit"] == "mm"


def test_a_diagnosis_comes_with_its_explanations(caller):
    changed(Explanation, cause=CauseWord.SUPPORT_MOVED, size=25.4, low=12.7)
    told = caller.get("diagnoses/", units="us").json()["results"][0]["explanations"]
    assert (told[0]["cause"], told[0]["size_unit"]) == ("support_moved", "in")
    assert (told[0]["size"], told[0]["low"], told[0]["high"]) == (1.0, 0.5, None)


def test_an_air_record_is_found_by_station_and_hour(caller):
    row = changed(AirTemperature, wind_m_per_s=3.048)
    for hours in range(1, 4):
        at = row.time_utc + dt.timedelta(hours=hours)
        AirTemperature.objects.create(station=row.station, time_utc=at, temperature_c=20.0)
    valid_row(AirTemperature)
    station = next(
        each
        for each in caller.get("air-stations/").json()["results"]
        if each["station"] == row.station
    )
    assert station["hours"] == 4
    found = caller.get("air-temperatures/", station=row.station, time_until=station["first_at"])
    assert found.json()["count"] == 1
    us = caller.get(f"air-temperatures/{row.pk}/", units="us").json()
    assert us["temperature_f"] == pytest.approx(53.6)
    assert us["wind_ft_per_s"] == pytest.approx(10.0)


def test_thresholds_come_with_unit_and_limits(caller):
    def figure(name, **query):
        rows = caller.get("thresholds/", **query).json()["figures"]
        return next(row for row in rows if row["name"] == name)

    assert figure("u_fixed_station_m")["unit"] == "m"
    assert figure("u_fixed_station_m", units="us")["highest"] == pytest.approx(100 / 0.3048)
    assert figure("watch_k") == figure("watch_k", units="us")
    assert caller.get("thresholds/changes/").json() == []
    assert fields_of(is_problem(caller.get("thresholds/", bridge="A"), 400)) == ["bridge"]


def test_element_data_names_each_condition_state(caller):
    row = valid_row(ElementDataRow)
    told = caller.get("element-data/").json()["results"]
    assert told[0] == {
        "state_code": "99", "structure_number": row.structure_number, "element_number": 510,
        "parent_number": 12, "total": 10, "cs1": 7, "cs2": 3, "cs3": 0, "cs4": 0,
    }  # fmt: skip
    assert caller.get("element-data/", bridge=make_bridge().code).json()["count"] == 0


def test_pages_of_element_data_are_the_file_cut_to_pieces(caller):
    import_element_data(REAL)
    unit = make_unit(a_bridge())
    rate(make_element(unit, "poured"), (0, 10, 0, 0))  # 301, which the file has as well
    rate(make_element(unit, "pot"), (1, 0, 0, 0), dt.date(2024, 6, 2))  # 314, which it has not
    rate(make_element(make_unit(a_bridge("X-2", "08", "B-2")), "pot"), (0, 1, 0, 0))
    a_bridge("X-3", "08", "B-3")
    rows = element_data().rows
    assert len(rows) == 23 + 2
    for size in (1, 4, 25, 200):
        pages = []
        for number in range(1, -(-25 // size) + 1):
            told = caller.get("element-data/", page=number, page_size=size).json()
            assert told["count"] == 25
            pages += told["results"]
        names = ("state_code", "structure_number", "element_number", "parent_number", "total")
        assert [tuple(row[name] for name in names) for row in pages] == [
            (row.state, row.number, row.element, row.parent, row.total) for row in rows
        ]
        assert [tuple(row[f"cs{n}"] for n in range(1, 5)) for row in pages] == [
            row.states for row in rows
        ]
    assert caller.get("element-data/", bridge="B-2").json()["count"] == 1
    assert caller.get("element-data/", bridge="B-3").json()["count"] == 0
    is_problem(caller.get("element-data/", page=26, page_size=1), 404)


def test_a_page_of_element_data_reads_the_rows_of_its_structures_alone(caller):
    rows = [ElementRow("99", f"S{n:03}", 12, None, n, (n, 0, 0, 0)) for n in range(50)]
    import_element_data(written(rows).encode())
    with CaptureQueriesContext(connection) as asked:
        told = caller.get("element-data/", page=4, page_size=5).json()
    numbers = [f"S0{n}" for n in range(15, 20)]
    assert [row["structure_number"] for row in told["results"]] == numbers
    (fetched,) = [
        each["sql"]
        for each in asked
        if "elementdatarow" in each["sql"] and '."cs1"' in each["sql"].split("FROM")[0]
    ]
    assert all(number in fetched for number in numbers)
    assert "S014" not in fetched
    assert "S020" not in fetched


def test_what_element_data_cannot_tell_is_told_as_on_its_page(caller, as_role):
    bridge = a_bridge()
    make_element(make_unit(bridge), "strip_seal", code="J-9")
    make_bridge("NAMELESS")
    nameless, joint = caller.get("element-data/not-told/").json()["results"]
    assert (nameless["bridge"], nameless["element_number"]) == ("NAMELESS", None)
    assert (joint["bridge"], joint["element_number"], joint["elements"]) == ("B-1", 300, ["J-9"])
    page = html.unescape(as_role("manager").get("/exports/element-data/").content.decode())
    assert nameless["why"] in page
    assert joint["why"] in page
    assert caller.get("element-data/not-told/", bridge="B-1").json()["results"] == [joint]


@pytest.mark.parametrize("code", ["NOPE", "", "x" * 81, "\x00"])
@pytest.mark.parametrize("path", ["element-data/", "element-data/not-told/"])
def test_element_data_of_a_bridge_that_is_none_is_refused(caller, path, code):
    told = is_problem(caller.get(path, bridge=code), 400)
    assert fields_of(told) == ["bridge"]
    assert "Correct it" in told["errors"][0]["message"]


def test_the_bridges_of_an_event_are_told_in_few_queries(caller):
    event = rows_desk.event()
    address = f"events/{event.pk}/bridges/"

    def queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            assert caller.get(address).status_code == 200
        return len(asked)

    EventBridge.objects.create(event=event, bridge=make_bridge(), distance_km=4.0)
    queries()
    few = queries()
    for _ in range(4):
        EventBridge.objects.create(event=event, bridge=make_bridge())
    assert queries() == few <= 12
    rows = caller.get(address, page_size=2).json()
    assert rows["count"] == 5
    assert (rows["results"][0]["distance_km"], rows["results"][0]["overdue"]) == (4.0, True)
    is_problem(caller.get("events/999999/bridges/"), 404)


def test_the_steps_at_a_bridge_are_told_with_their_channel_in_either_unit(caller):
    event = shaken(2)
    address = f"events/{event.pk}/bridges/"
    first = caller.get(address).json()["results"][0]
    assert (first["bridge"], first["stepped"]) == ("B-2-1", 1)
    (step,) = first["steps"]
    assert (step["quantity"], step["word"], step["unit"]) == ("offset_along", "stepped", "mm")
    # From -40 to 20 mm at one temperature, with no creep.
    assert step["size"] == pytest.approx(60.0)
    assert step["in_u"] == pytest.approx(step["size"] / step["u"])
    (in_us,) = caller.get(address, units="us").json()["results"][0]["steps"]
    assert (in_us["unit"], in_us["in_u"]) == ("in", step["in_u"])
    for name in ("size", "u", "value_before", "value_after"):
        assert in_us[name] == pytest.approx(step[name] / 25.4)


def test_a_photo_is_given_to_whoever_may_see_its_visit(caller, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    row = valid_row(Photo)
    row.image.save("a.jpg", ContentFile(b"picture"))
    told = caller.get(f"photos/{row.pk}/").json()
    assert (told["width_px"], told["caption"]) == (800, "")
    for accept in ("*/*", "image/jpeg"):
        headers = caller.headers | {"Accept": accept}
        answer = caller.client.get(told["image"], headers=headers)
        assert answer["Content-Type"] == "image/jpeg"
        assert b"".join(answer.streaming_content) == b"picture"
    is_problem(Caller(make_user(None)).client.get(told["image"]), 401)
    is_problem(Caller(make_user(None)).get(f"photos/{row.pk}/image/"), 403)
    is_problem(caller.get("photos/00000000-0000-0000-0000-000000000000/image/"), 404)
