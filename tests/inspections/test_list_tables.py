"""Every list as a file: what the page shows, in its order, all pages of it."""

import datetime as dt
import io

import openpyxl
import pandas as pd
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.lookups import parts
from inspections.models import Event, Inspection, OptionStudy, WorkOrder
from inspections.services.preferences import choose_units
from inventory.exchange.problems import restored
from inventory.models import Bridge, District, Element, Support, Unit
from tests.inspections.desk_rows import codes, hand_in, one_of_each
from tests.inspections.plan_rows import due_bridge
from tests.make import UTC, make_bridge, make_unit

pytestmark = pytest.mark.django_db

LISTS = (
    "/queue",
    "/elements",
    "/bridges",
    "/inspections",
    "/plan/due",
    "/work",
    "/events",
    "/options",
)
HOSTILE = ("=cmd|' /C calc'!A0", "+1+1", "-1+1", "@x", "'=quoted", "#N/A", "_x000D_", " =1+1",
           "\t=1+1", "\u00a0@x", "\uff1d1+1", "\uff0b1", "\uff0d1", "\uff20x")  # fmt: skip
STARTS_A_FORMULA = tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20")


def csv_of(client, address: str) -> pd.DataFrame:
    response = client.get(address)
    assert response.status_code == 200
    return pd.read_csv(io.BytesIO(response.getvalue()), dtype=str, keep_default_na=False)


def book_of(client, address: str) -> openpyxl.Workbook:
    response = client.get(address)
    assert response.status_code == 200
    return openpyxl.load_workbook(io.BytesIO(response.getvalue()))


def xlsx_of(client, address: str) -> pd.DataFrame:
    return pd.read_excel(io.BytesIO(client.get(address).getvalue()))


@pytest.mark.parametrize("address", LISTS)
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize(("role", "status"), [("inspector", 200), ("manager", 200), (None, 403)])
def test_who_may_see_a_list_gets_its_file_and_nobody_else(as_role, address, kind, role, status):
    response = as_role(role).get(f"{address}.{kind}")
    assert response.status_code == status
    if status == 200:
        name = address.rpartition("/")[2]
        assert f'filename="{name}.{kind}"' in response["Content-Disposition"]


@pytest.mark.parametrize(
    "query",
    ["", "?verdict=all", "?verdict=all&sort=element", "?verdict=all&sort=-use&q=J", "?page=7"],
)
def test_elements_come_as_they_are_narrowed_and_sorted(as_role, query):
    one_of_each()
    client = as_role("engineer")
    shown = codes(client.get(f"/elements/{query}"))
    assert list(csv_of(client, f"/elements.csv{query}")["element"]) == shown
    assert list(xlsx_of(client, f"/elements.xlsx{query}")["element"]) == shown


@pytest.mark.parametrize("query", ["", "?show=all&sort=element", "?severity=2&sort=-bridge"])
def test_flags_come_as_they_are_narrowed_and_sorted(as_role, query):
    one_of_each()
    client = as_role("engineer")
    rows = client.get(f"/{query}").context["rows"]
    shown = [(each.flag.element.code, each.flag.get_cause_display()) for each in rows]
    for table in (csv_of(client, f"/queue.csv{query}"), xlsx_of(client, f"/queue.xlsx{query}")):
        assert list(zip(table["element"], table["cause"], strict=True)) == shown
    if rows:
        table = xlsx_of(client, f"/queue.xlsx{query}")
        assert list(table["score_of_100"]) == [round(each.flag.score, 1) for each in rows]


def test_all_pages_come_not_the_shown_one(as_role):
    client = as_role("engineer")
    for number in range(60):
        make_bridge(f"X-{number:02}")
    assert len(client.get("/bridges/?page=2").context["page"].object_list) == 10
    table = csv_of(client, "/bridges.csv?sort=-code&page=2")
    assert list(table["bridge"]) == [f"X-{number:02}" for number in reversed(range(60))]


def test_numbers_are_numbers_and_dates_are_dates_under_a_frozen_header(as_role):
    one_of_each()
    sheet = book_of(as_role("engineer"), "/elements.xlsx?verdict=all").active
    header = [cell.value for cell in sheet[1]]
    assert sheet.freeze_panes == "A2"
    row = next(each for each in sheet.iter_rows(min_row=2) if "J-OUT" in [c.value for c in each])
    by_name = dict(zip(header, row, strict=True))
    assert by_name["measured_mm"].value == 40
    assert by_name["measured_mm"].data_type == "n"
    assert by_name["last_seen_on"].is_date
    assert by_name["last_seen_on"].number_format == "yyyy-mm-dd"
    reason = sheet.column_dimensions["H"].width
    assert 10 < reason <= 60


def test_headers_and_values_are_in_the_users_units(as_role):
    one_of_each()
    client = as_role("engineer")
    user = client.get("/elements/").wsgi_request.user
    choose_units(user=user, units="us")
    table = xlsx_of(client, "/elements.xlsx?verdict=all").set_index("element")
    assert table["measured_in"]["J-OUT"] == pytest.approx(40 / 25.4, abs=1e-6)
    assert table["effective_temperature_f"]["J-OUT"] == pytest.approx(59.0)
    assert not {"measured_mm", "effective_temperature_c"} & set(table)
    assert "1.57\u202fin" in table["reason"]["J-OUT"]


def test_the_plan_comes_bridge_by_bridge_as_shown(as_role):
    due_bridge("P-2", -20)
    due_bridge("P-1", 20)
    client = as_role("manager")
    for query in ("", "?within=overdue", "?within=30", "?q=P-1", "?reason=routine"):
        shown = [
            (each.bridge.code, why.due_on)
            for each in client.get(f"/plan/{query}").context["bridges"]
            for why in each.whys
        ]
        table = xlsx_of(client, f"/plan/due.xlsx{query}")
        assert [
            (bridge, day.date())
            for bridge, day in zip(table["bridge"], table["due_on"], strict=True)
        ] == shown
        assert list(csv_of(client, f"/plan/due.csv{query}")["bridge"]) == [b for b, _ in shown]


def test_inspections_orders_events_and_studies_come_in_the_order_of_their_pages(as_role):
    unit = one_of_each()
    hand_in(unit, {"J-NEW": 70.0}, kind="in_depth")
    client = as_role("engineer")
    user = client.get("/").wsgi_request.user
    for day in (1, 2):
        WorkOrder.objects.create(
            bridge=unit.bridge,
            code=f"W-{day}",
            kind="repair",
            title=f"Order {day}",
            ordered_on=dt.date(2025, 5, day),
            ordered_by=user,
            cost_estimate="1200.50",
        )
        Event.objects.create(
            kind="flood",
            name=f"Flood {day}",
            occurred_at=dt.datetime(2025, 5, day, 6, 30, tzinfo=UTC),
            within_days=7,
        )
        OptionStudy.objects.create(
            bridge=unit.bridge, title=f"Study {day}", question="?", opened_by=user
        )
    visits = client.get("/inspections/?kind=in_depth").context["page"].object_list
    table = xlsx_of(client, "/inspections.xlsx?kind=in_depth")
    assert [day.date() for day in table["date"]] == [each.date for each in visits]
    assert list(table["readings"]) == [each.reading_count for each in visits]
    work = xlsx_of(client, "/work.xlsx")
    assert list(work["title"]) == ["Order 2", "Order 1"]
    assert list(work["estimated"]) == [1200.5, 1200.5]
    events = xlsx_of(client, "/events.xlsx")
    assert list(events["event"]) == ["Flood 2", "Flood 1"]
    assert events["occurred_at_utc"][0] == pd.Timestamp("2025-05-02 06:30")
    assert list(csv_of(client, "/options.csv")["study"]) == ["Study 2", "Study 1"]


@pytest.mark.parametrize("name", HOSTILE)
def test_no_text_runs_as_a_formula(as_role, name):
    make_bridge("B-1")
    Bridge.objects.update(name=name)
    client = as_role("engineer")
    cell = book_of(client, "/bridges.xlsx").active["B2"]
    assert cell.data_type == "s"
    in_csv = csv_of(client, "/bridges.csv")["name"][0]
    for text in (cell.value, in_csv):
        assert not text.lstrip().startswith(STARTS_A_FORMULA)
    assert restored(in_csv) == Bridge.objects.get().name == name


@pytest.mark.parametrize("address", LISTS)
def test_no_list_lets_what_people_have_written_run_as_a_formula(as_role, address):
    client = as_role("engineer")
    unit = one_of_each()
    user = client.get("/").wsgi_request.user
    due_bridge("P-1", 20)
    told = {"bridge": unit.bridge, "title": "x"}
    WorkOrder.objects.create(
        **told, code="W-1", kind="repair", ordered_on=dt.date(2025, 5, 1), ordered_by=user
    )
    Event.objects.create(
        kind="flood", name="x", occurred_at=dt.datetime(2025, 5, 1, tzinfo=UTC), within_days=7
    )
    OptionStudy.objects.create(**told, question="x", opened_by=user)
    hostile = "=HYPERLINK(1)"
    District.objects.update(name=hostile)
    Bridge.objects.update(name=hostile, carries=hostile, crosses=hostile)
    Support.objects.update(name=hostile)
    Unit.objects.update(name=hostile)
    Element.objects.update(name=hostile, line=hostile[:20])
    Inspection.objects.update(team=hostile)
    WorkOrder.objects.update(title=hostile, description=hostile)
    Event.objects.update(name=hostile, description=hostile)
    OptionStudy.objects.update(title=hostile, question=hostile)
    query = "?show=all&verdict=all"
    written = csv_of(client, f"{address}.csv{query}").to_numpy().ravel()
    cells = [each for row in book_of(client, f"{address}.xlsx{query}").active for each in row]
    assert any(hostile in each for each in written)
    for text in (*written, *(each.value for each in cells if each.data_type == "s")):
        assert not text.lstrip().startswith(STARTS_A_FORMULA) or is_number(text)
    assert "f" not in {each.data_type for each in cells}


def is_number(text: str) -> bool:
    """True for a figure with its sign, which is no formula."""
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_a_list_longer_than_a_query_can_name_comes_whole(as_role, monkeypatch):
    monkeypatch.setattr(parts, "MOST_NAMED_AT_ONCE", 2)
    one_of_each()
    client = as_role("engineer")
    for address in ("/elements.csv?verdict=all", "/queue.csv?show=all"):
        short = csv_of(client, address)
        with monkeypatch.context() as patched:
            patched.setattr(parts, "MOST_NAMED_AT_ONCE", 10_000)
            assert csv_of(client, address).equals(short)
        assert len(short) > 2


def test_a_file_costs_no_more_queries_for_more_rows(as_role):
    client = as_role("engineer")
    unit = make_unit(make_bridge("B-1"))
    hand_in(unit, {"J-00": 20.0})

    def costs() -> list[int]:
        found = []
        for address in LISTS:
            client.get(f"{address}.csv?show=all&verdict=all")
            with CaptureQueriesContext(connection) as captured:
                response = client.get(f"{address}.xlsx?show=all&verdict=all")
            assert response.status_code == 200
            found.append(len(captured))
        return found

    before = costs()
    hand_in(unit, {f"J-{number:02}": 20.0 for number in range(1, 30)}, kind="in_depth")
    due_bridge("P-1", 20)
    assert costs() == before
    assert max(before) <= 30


def test_each_list_offers_both_files_with_its_query(as_role):
    one_of_each()
    page = as_role("engineer").get("/elements/?verdict=all&sort=element&page=1").content.decode()
    assert "/elements.csv?verdict=all&amp;sort=element" in page
    assert "/elements.xlsx?verdict=all&amp;sort=element" in page
