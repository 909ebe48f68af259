"""A large file, written beside its checks, comes in as one that is written all at once does."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction

from inspections.exchange import readings_csv
from inspections.exchange.readings_csv import import_readings
from inspections.models import AirTemperature, Inspection, Reading
from inspections.services import writes_beside
from inspections.services.many_rows import TOGETHER, insert_columns
from inspections.services.writes_beside import WritesBeside
from inventory.exchange.problems import ImportRefused
from tests.make import make_bridge, make_element, make_unit

pytestmark = pytest.mark.django_db
HEAD = "bridge_code,inspection_date,team,taken_at,element_code,offset_along_mm"


class NoThreads(writes_beside.ThreadPoolExecutor):
    """As on a machine that gives a process no more threads."""

    def submit(self, *told, **named):
        raise RuntimeError("can't start new thread")


@pytest.fixture(params=["beside", "no thread"], autouse=True)
def threads(request, monkeypatch):
    if request.param == "no thread":
        monkeypatch.setattr(writes_beside, "ThreadPoolExecutor", NoThreads)
    monkeypatch.setattr(readings_csv, "TOGETHER", 2)


@pytest.fixture
def places():
    bridge = make_bridge("B-1")
    unit = make_unit(bridge)
    return [make_element(unit, "pot", code=f"P{each}").code for each in range(3)]


def file_of(places: list[str], values: dict[tuple[int, str], str] | None = None) -> str:
    """Return seven visits, a value of a day and place of one's own where told."""
    lines = [HEAD]
    for day in range(1, 8):
        for number, code in enumerate(places):
            value = (values or {}).get((day, code), f"{day + number / 4:g}")
            lines.append(f"B-1,2024-06-0{day},lead,2024-06-0{day} 08:{number:02},{code},{value}")
    return "\n".join(lines) + "\n"


def air(count: int, repeated: int | None = None) -> dict[str, list]:
    first = dt.datetime(2024, 1, 1, tzinfo=dt.UTC)
    hours = [first + dt.timedelta(hours=each) for each in range(count)]
    if repeated is not None:
        hours[repeated] = hours[repeated - 1]
    return {
        "station": ["S"] * count,
        "time_utc": hours,
        "temperature_c": [each % 50 / 4 for each in range(count)],
        "sun_w_per_m2": [None if each % 3 else 5.5 for each in range(count)],
        "wind_m_per_s": [None] * count,
    }


@pytest.mark.parametrize("state", ["open", "submitted", "accepted"])
def test_every_visit_of_many_parts_is_written(places, state):
    report = import_readings(file_of(places), state=state)
    assert report.added == 21
    assert report.inspections_opened == 7
    assert report.inspections_moved_on == (0 if state == "open" else 7)
    stored = Reading.objects.order_by("pk").values_list(
        "inspection__date", "element__code", "value", "inspection__state"
    )
    assert [(day.day, code, value, its) for day, code, value, its in stored] == [
        (day, code, day + number / 4, state)
        for day in range(1, 8)
        for number, code in enumerate(places)
    ]
    again = import_readings(file_of(places), state=state)
    assert (again.added, again.already_there, Reading.objects.count()) == (0, 21, 21)


@pytest.mark.parametrize("state", ["open", "accepted"])
def test_wrong_rows_of_several_parts_are_all_told_and_nothing_is_written(places, state):
    wrong = {(1, "P0"): "9999", (4, "P1"): "x", (7, "P2"): "-9999"}
    with pytest.raises(ImportRefused) as refused:
        import_readings(file_of(places, wrong), state=state)
    assert [(each.line, each.column) for each in refused.value.problems] == [
        (2, "offset_along_mm"),
        (12, "offset_along_mm"),
        (22, "offset_along_mm"),
    ]
    assert not Reading.objects.exists()
    assert not Inspection.objects.exists()


def test_a_trial_run_leaves_nothing(places):
    assert import_readings(file_of(places), dry_run=True).added == 21
    assert not Reading.objects.exists()


def test_a_query_sees_what_was_begun_before():
    with WritesBeside() as beside:
        beside.hold(lambda: insert_columns(AirTemperature, air(3000)))
        assert AirTemperature.objects.count() == 0
        beside.begin()
        assert AirTemperature.objects.count() == 3000
        beside.hold(lambda: insert_columns(AirTemperature, air(2) | {"station": ["T", "T"]}))
    assert AirTemperature.objects.count() == 3002


@pytest.mark.parametrize("count", [TOGETHER - 1, TOGETHER, 2 * TOGETHER + 345])
def test_rows_of_long_statements_are_stored_as_they_are_told(count):
    told = air(count)
    insert_columns(AirTemperature, told)
    assert list(AirTemperature.objects.order_by("pk").values_list(*told)) == list(
        zip(*told.values(), strict=True)
    )


def write_some_that_is_refused() -> None:
    with transaction.atomic(), WritesBeside() as beside:
        beside.hold(lambda: insert_columns(AirTemperature, air(10) | {"station": ["T"] * 10}))
        beside.begin()
        beside.hold(lambda: insert_columns(AirTemperature, air(3000, repeated=1500)))


def test_what_a_write_refuses_is_raised_and_takes_all_back():
    with pytest.raises(IntegrityError):
        write_some_that_is_refused()
    assert AirTemperature.objects.count() == 0
