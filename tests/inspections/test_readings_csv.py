"""Readings files come in whole or not at all, and go out as they come in."""

import datetime as dt
import io
import itertools

import pytest
from django.core.management import CommandError, call_command

from inspections.exchange.readings_csv import import_readings
from inspections.exchange.readings_csv_columns import NAMES, described
from inspections.exchange.readings_csv_export import write_readings
from inspections.form_spec import FIELDS
from inspections.models import (
    ElementStatus,
    Inspection,
    Instrument,
    Reading,
    TemperatureReading,
    Verdict,
)
from inspections.services.readings import correct_reading
from inventory.exchange.problems import ImportRefused
from inventory.models import Bridge
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db

HEAD = "bridge_code,inspection_date,team,taken_at"
VISIT = "B-1,2024-06-01,lead and one,2024-06-01 08:30"


@pytest.fixture
def bridge():
    """Bridge B-1 with a joint J, a pot bearing P and a rocker R."""
    bridge = make_bridge("B-1")
    unit = make_unit(bridge)
    make_element(unit, "strip_seal", code="J")
    make_element(unit, "pot", code="P")
    make_element(unit, "rocker", code="R")
    return bridge


def table(columns: str, *rows: str, visit: str = VISIT) -> str:
    return "\n".join([f"{HEAD},{columns}", *(f"{visit},{row}" for row in rows)]) + "\n"


def problems_of(text: str, **options) -> list[tuple[int, str, str]]:
    before = counts()
    with pytest.raises(ImportRefused) as refused:
        import_readings(text, **options)
    assert counts() == before
    return [(each.line, each.column, each.message) for each in refused.value.problems]


def counts() -> tuple[int, int, int]:
    return tuple(model.objects.count() for model in (Inspection, Reading, TemperatureReading))


def contents() -> list:
    return [
        list(model.objects.order_by("pk").values())
        for model in (Inspection, Reading, TemperatureReading)
    ]


def test_a_visit_comes_in_with_its_readings_and_temperatures(bridge):
    report = import_readings(
        table(
            "air_shade_c,girder_web_c,element_code,point,gap_square_mm,offset_along_mm,rotation_mrad",
            "17.5,16.2,,,,,",
            ",,J,left,55.5,,",
            ",,P,,,-12.5,4",
        )
    )
    assert (report.inspections_opened, report.added, report.bridges_judged) == (1, 5, 1)
    inspection = Inspection.objects.get()
    assert (inspection.team, inspection.kind, inspection.state) == (
        "lead and one",
        "routine",
        "open",
    )
    gap = Reading.objects.get(element__code="J")
    assert (gap.quantity, gap.axis, gap.point, gap.value) == ("gap", "square", "left", 55.5)
    assert gap.taken_at == dt.datetime(2024, 6, 1, 8, 30, tzinfo=dt.UTC)
    assert set(TemperatureReading.objects.values_list("place", "temperature_c")) == {
        ("air_shade", 17.5),
        ("girder_web", 16.2),
    }
    assert Verdict.objects.count() == 3


@pytest.mark.parametrize(
    ("header", "cell", "value", "typed"),
    [
        # inch: 25.4 mm exactly (international yard and pound agreement, 1959)
        ("gap_square_mm", "2 3/16 in", 55.5625, "2 3/16 in"),
        ("gap_square_in", "2 3/16", 55.5625, "2 3/16 in"),
        ("gap_square_in", '"2-3/16"""', 55.5625, '2-3/16"'),
        ("gap_square_in", "55.5 mm", 55.5, "55.5 mm"),
        ("gap_square_mm", "5.5 cm", 55.0, "5.5 cm"),
        ("gap_square_cm", "5.5", 55.0, "5.5 cm"),
        ("Gap_Square_MM", "55.5", 55.5, "55.5"),
    ],
)
def test_a_gap_is_taken_in_the_unit_of_its_cell_or_else_of_its_header(
    bridge, header, cell, value, typed
):
    import_readings(table(f"element_code,point,{header}", f"J,left,{cell}"))
    reading = Reading.objects.get()
    assert reading.value == pytest.approx(value)
    assert reading.typed == typed


@pytest.mark.parametrize(
    ("header", "cell"), [("air_shade_f", "68"), ("air_shade_c", "68 F"), ("air_shade_c", "20 °C")]
)
def test_a_temperature_is_a_point_of_its_scale(bridge, header, cell):
    import_readings(table(header, cell))
    assert TemperatureReading.objects.get().temperature_c == pytest.approx(20.0)


def test_degrees_of_a_rotation_become_milliradians(bridge):
    import_readings(table("element_code,rotation_deg", "P,0.23"))
    # 0.23 degrees of arc, 1 degree being 17.4533 mrad
    assert Reading.objects.get().value == pytest.approx(4.01426, abs=1e-5)


def test_the_hour_is_told_in_the_bridges_time_zone_or_with_its_offset():
    bridge = make_bridge("B-1", time_zone="Europe/Lisbon")
    make_element(make_unit(bridge), code="P")
    text = table("element_code,offset_along_mm", "P,1") + (
        "B-1,2024-06-01,,2024-06-01T10:00-05:00,P,2\n"
    )
    import_readings(text)
    # Lisbon is one hour ahead of UTC in summer
    assert list(Reading.objects.order_by("value").values_list("taken_at", flat=True)) == [
        dt.datetime(2024, 6, 1, 7, 30, tzinfo=dt.UTC),
        dt.datetime(2024, 6, 1, 15, 0, tzinfo=dt.UTC),
    ]


def test_an_hour_that_clocks_skipped_or_repeated_is_refused_with_what_to_write():
    bridge = make_bridge("B-1", time_zone="Europe/Lisbon")
    make_element(make_unit(bridge), code="P")
    # Clocks went from 01:00 to 02:00 on 2024-03-31 and from 02:00 to 01:00 on 2024-10-27.
    text = "\n".join(
        [
            f"{HEAD},element_code,offset_along_mm",
            "B-1,2024-03-31,two,2024-03-31 01:30,P,1",
            "B-1,2024-10-27,two,2024-10-27 01:30,P,1",
        ]
    )
    skipped, repeated = problems_of(text)
    assert skipped[:2] == (2, "taken_at")
    assert "does not exist" in skipped[2]
    assert "2024-10-27T01:30+01:00 or 2024-10-27T01:30+00:00" in repeated[2]
    import_readings(text.replace("2024-03-31 01:30", "2024-03-31 02:30").replace(
        "2024-10-27 01:30", "2024-10-27T01:30+01:00"
    ))  # fmt: skip
    assert Reading.objects.count() == 2


@pytest.mark.parametrize(
    "taken_at",
    ["0001-01-01 00:00", "9999-12-31T23:59-12:00", "2024-06-01", "01/06/2024 08:30", "8:30"],
)
def test_a_time_that_cannot_be_read_or_cannot_be_is_refused(bridge, taken_at):
    text = table("element_code,offset_along_mm", "P,1", visit=f"B-1,2024-06-01,two,{taken_at}")
    [(line, column, _)] = problems_of(text)
    assert (line, column) == (2, "taken_at")


def test_temperatures_may_stand_beside_the_readings_of_an_element_and_count_once(bridge):
    text = table(
        "deck_top_c,sunlit,element_code,offset_along_mm,offset_across_mm",
        "31,deck_top,P,1,",
        "31,deck_top,P,,2",
    )
    report = import_readings(text)
    assert (report.added, report.already_there) == (3, 0)
    again = import_readings(text)
    assert (again.added, again.already_there) == (0, 3)
    temperature = TemperatureReading.objects.get()
    assert (temperature.place, temperature.sunlit, temperature.unit) == ("deck_top", True, None)


def test_a_temperature_may_stand_for_one_unit_alone(bridge):
    make_unit(bridge, "U2", start_station_m=100.0, end_station_m=200.0, fixed_station_m=200.0)
    import_readings(table("unit_code,girder_web_c", "U2,12"))
    assert TemperatureReading.objects.get().unit.code == "U2"


def test_a_temperature_that_one_row_puts_in_the_sun_and_another_in_the_shade_is_refused(bridge):
    [(line, column, message)] = problems_of(table("deck_top_c,sunlit", "31,deck_top", "31,"))
    assert (line, column) == (3, "sunlit")
    assert "recorded as taken in the sun" in message


def test_an_instrument_goes_with_the_values_in_its_unit(bridge):
    Instrument.objects.create(code="T-1", name="Tape", dimension="mm", accuracy=1.0)
    import_readings(table("instrument,element_code,offset_along_mm,rotation_mrad", "T-1,P,12,4"))
    assert dict(Reading.objects.values_list("quantity", "instrument__code")) == {
        "offset_along": "T-1",
        "rotation": None,
    }


@pytest.mark.parametrize(
    ("header", "cell", "accuracy_mm"),
    [("offset_along_mm", "1.5", 1.5), ("offset_along_in", "1/16", 1.5875),
     ("offset_along_in", "±0.5 mm", 0.5)],
)  # fmt: skip
def test_an_accuracy_is_in_the_unit_of_the_rows_values(bridge, header, cell, accuracy_mm):
    import_readings(table(f"element_code,{header},accuracy", f"P,1,{cell}"))
    assert Reading.objects.get().accuracy == pytest.approx(accuracy_mm)


def test_an_accuracy_that_could_be_of_two_units_is_refused(bridge):
    [(line, column, message)] = problems_of(
        table("element_code,offset_along_mm,rotation_mrad,accuracy", "P,1,2,0.5")
    )
    assert (line, column) == (2, "accuracy")
    assert "row of its own" in message


def test_a_row_without_a_value_is_nothing_and_is_named(bridge):
    report = import_readings(table("element_code,offset_along_mm,remark", "P,1,", "R,,rusted in"))
    assert report.without_value == [3]
    assert Reading.objects.count() == 1


def test_every_bad_row_of_every_visit_is_told_with_line_column_and_remedy(bridge):
    text = (
        "bridge_code,inspection_date,inspection_kind,team,taken_at,element_code,point,"
        "gap_square_mm,offset_along_mm,repeat,instrument\n"
        "B-1,2024-06-01,,two,2024-06-01 08:30,J,left,55.5,,,\n"
        "B1,2024-06-01,,two,2024-06-01 08:30,J,left,55.5,,,\n"
        "B-1,01/06/2024,,two,2024-06-01 08:30,J,left,55.5,,,\n"
        "B-1,2024-06-01,weekly,two,2024-06-01 08:30,J,left,55.5,,,\n"
        "B-1,2024-06-01,,two,2024-06-01,J,left,55.5,,,\n"
        "B-1,2024-06-01,,two,2024-06-01 08:30,K,left,55.5,,,\n"
        "B-1,2024-06-01,,two,2024-06-01 08:30,J,top,55.5,,,\n"
        'B-1,2024-06-01,,two,2024-06-01 08:30,J,right,"55,5",,,\n'
        "B-1,2024-06-01,,two,2024-06-01 08:30,J,right,9000,,,\n"
        "B-1,2024-06-01,,two,2024-06-01 08:30,P,,55.5,,,\n"
        "B-1,2024-06-01,,two,2024-06-01 08:30,,,,3,,\n"
        "B-1,2024-06-01,,two,2024-06-01 08:30,P,,,3,0,\n"
        "B-1,2024-06-01,,two,2024-06-01 08:30,P,,,3,,T-7\n"
        "B-1,2023-06-01,,,2023-06-01 08:30,P,,,3,,\n"
        "B-1,2022-06-01,,two,2022-06-09 08:30,P,,,3,,\n"
    )
    problems = problems_of(text)
    assert [(line, column) for line, column, _ in problems] == [
        (3, "bridge_code"),
        (4, "inspection_date"),
        (5, "inspection_kind"),
        (6, "taken_at"),
        (7, "element_code"),
        (8, "point"),
        (9, "gap_square_mm"),
        (10, "gap_square_mm"),
        (11, "gap_square_mm"),
        (12, "element_code"),
        (13, "repeat"),
        (14, "instrument"),
        (15, "team"),
        (16, "taken_at"),
    ]
    said = {line: message for line, _, message in problems}
    assert "Did you mean B-1?" in said[3]
    assert "year-month-day" in said[4]
    assert "Use one of: routine" in said[5]
    assert "left, centre, right" in said[8]
    assert "decimal point, not a comma" in said[9]
    assert "is above 3000" in said[10]
    assert "who made it" in said[15]
    assert "not read on a pot bearing" in said[11]


@pytest.mark.parametrize(
    ("columns", "column", "says"),
    [
        ("element_code,gap_sqare_mm", "gap_sqare_mm", "Did you mean gap_square_mm?"),
        ("element_code,gap_square", "gap_square", "Not a column"),
        ("element_code,offset_along_f", "offset_along_f", "Not a column"),
        ("element_code,tilt_deg,tilt_mrad", "tilt_mrad", "«tilt_deg» holds the same"),
        ("element_code,remark", "", "No column holds values"),
    ],
)
def test_a_header_that_cannot_be_read_is_refused_at_its_column(bridge, columns, column, says):
    [(line, at, message)] = problems_of(table(columns, "P,1"[: 2 * columns.count(",") + 1]))
    assert (line, at) == (1, column)
    assert says in message


def test_one_accuracy_for_values_in_two_units_is_refused_with_both_ways_out(bridge):
    [(line, at, message)] = problems_of(
        table("element_code,offset_along_mm,rotation_mrad,accuracy", "P,1.0,2.0,1.5")
    )
    assert (line, at) == (2, "accuracy")
    assert "a row of its own, or leave this cell empty" in message


def test_a_point_of_what_is_read_at_one_alone_is_refused_with_the_remedy(bridge):
    [(line, at, message)] = problems_of(table("element_code,point,offset_along_mm", "P,middle,1.0"))
    assert (line, at) == (2, "point")
    assert message.endswith("it is read at one alone. Leave it empty.")


def test_a_missing_column_is_named():
    [(line, column, _)] = problems_of("bridge_code,taken_at,tilt_deg\nB-1,2024-06-01 08:30,1\n")
    assert (line, column) == (1, "inspection_date")


def test_rows_of_one_visit_may_stand_anywhere_and_write_its_day_and_kind_in_their_own_way(bridge):
    head = (
        "bridge_code,inspection_date,inspection_kind,team,taken_at,element_code,point,gap_square_mm"
    )
    rows = [
        "B-1,2024-06-01,routine,lead and one,2024-06-01 08:30,J,left,55.5",
        "B-1,2024-06-02,,lead and one,2024-06-02 08:30,J,left,55.0",
        "B-1,2024-06-01,,,2024-06-01 08:31,J,right,56.5",
    ]
    report = import_readings("\r".join([head, *rows]))

    assert (report.inspections_opened, report.added) == (2, 3)
    first = Inspection.objects.get(date=dt.date(2024, 6, 1))
    assert sorted(first.readings.values_list("point", flat=True)) == ["left", "right"]
    told = problems_of("\n".join([head, *rows, rows[2].replace(",,2024", ",another,2024")]))
    assert [(line, column) for line, column, _ in told] == [(5, "team")]
    assert "on line 2" in told[0][2]


def test_two_rows_may_not_tell_different_things_of_one_visit(bridge):
    text = (
        table("element_code,offset_along_mm", "P,1") + "B-1,2024-06-01,three,2024-06-01 09:30,P,1\n"
    )
    [(line, column, message)] = problems_of(text)
    assert (line, column) == (3, "team")
    assert "on line 2" in message


def test_a_file_may_not_tell_of_a_known_visit_otherwise_than_its_record(bridge):
    make_inspection(bridge, team="one inspector")
    [(_, column, message)] = problems_of(table("element_code,offset_along_mm", "P,1"))
    assert column == "team"
    assert "on record" in message


def test_the_same_value_at_the_same_time_is_one_and_another_is_refused(bridge):
    assert import_readings(table("element_code,offset_along_mm", "P,1", "P,1")).already_there == 1
    [(line, column, message)] = problems_of(table("element_code,offset_along_mm", "P,2"))
    assert (line, column) == (2, "offset_along_mm")
    assert "1 mm is recorded" in message


def test_a_change_of_accuracy_alone_is_not_swallowed(bridge):
    import_readings(table("element_code,offset_along_mm,accuracy", "P,1,0.5"))
    [(line, column, _)] = problems_of(table("element_code,offset_along_mm,accuracy", "P,1,5"))
    assert (line, column) == (2, "accuracy")


def test_a_dry_run_tells_the_same_and_writes_nothing(bridge):
    text = table("element_code,offset_along_mm", "P,1")
    report = import_readings(text, dry_run=True, state="accepted")
    assert (report.inspections_opened, report.inspections_moved_on, report.added) == (1, 1, 1)
    assert counts() == (0, 0, 0)
    assert not Verdict.objects.exists()


@pytest.mark.parametrize("state", ["open", "submitted", "accepted"])
def test_the_same_file_again_changes_nothing(bridge, state):
    text = table("air_shade_c,element_code,point,gap_square_mm", "12,,,", ",J,left,55.5")
    import_readings(text, state=state)
    assert Inspection.objects.get().state == state
    before = contents()
    report = import_readings(text, state=state)
    assert (report.added, report.already_there, report.bridges_judged) == (0, 2, 0)
    assert contents() == before


def test_a_later_import_takes_an_inspection_on_but_never_back(bridge):
    text = table("element_code,offset_along_mm", "P,1")
    for asked, found in (("open", "open"), ("accepted", "accepted"), ("submitted", "accepted")):
        import_readings(text, state=asked)
        assert Inspection.objects.get().state == found


def test_nothing_is_added_to_an_inspection_that_has_been_accepted(bridge):
    import_readings(table("element_code,offset_along_mm", "P,1"), state="accepted")
    [(line, _, message)] = problems_of(table("element_code,offset_across_mm", "P,1"))
    assert line == 2
    assert "nothing can be added" in message


def test_an_accepted_import_gives_the_elements_their_status(bridge):
    import_readings(table("element_code,point,gap_square_mm", "J,left,55.5"), state="accepted")
    assert ElementStatus.objects.get(element__code="J").last_seen_on == dt.date(2024, 6, 1)


def test_who_imported_is_kept(bridge):
    user = make_user("engineer")
    import_readings(table("element_code,offset_along_mm", "P,1"), user=user, state="accepted")
    assert Reading.objects.get().created_by == user
    assert Inspection.objects.get().reviewed_by == user


# Out again


def exported(as_typed: bool = False) -> str:
    stream = io.StringIO()
    write_readings(stream, Bridge.objects.order_by("code"), as_typed)
    return stream.getvalue()


def summary() -> list:
    """What an engineer would miss if it changed on the way out and in."""
    return [
        sorted(
            Inspection.objects.values_list("bridge__code", "date", "kind", "team", "weather")
        ),
        sorted(
            (*key, round(value, 6), accuracy, instrument or "", remark)
            for *key, value, accuracy, instrument, remark in Reading.objects.values_list(
                "element__code", "quantity", "point", "axis", "repeat", "taken_at", "value",
                "accuracy", "instrument__code", "remark",
            )
        ),
        sorted(
            (unit or "", *rest, instrument or "")
            for unit, *rest, instrument in TemperatureReading.objects.values_list(
                "unit__code", "place", "sunlit", "temperature_c", "taken_at", "instrument__code"
            )
        ),
    ]  # fmt: skip


@pytest.fixture
def full_bridge(bridge):
    """Bridge B-1 with two visits that use every column."""
    bridge.time_zone = "Europe/Lisbon"
    bridge.save()
    Instrument.objects.create(code="T-1", name="Tape", dimension="mm", accuracy=1.0)
    Instrument.objects.create(code="TH-1", name="Thermometer", dimension="degC", accuracy=0.5)
    import_readings(
        table(
            "weather,unit_code,deck_top_c,girder_web_c,sunlit,instrument,element_code,point,"
            "gap_square_in,gap_road_mm,offset_along_mm,rotation_mrad,tilt_deg,accuracy,repeat,remark",
            "clear,U1,30.5,18,deck_top,TH-1,,,,,,,,,,",
            "clear,,29,,,,,,,,,,,,,",
            ",,,,,T-1,J,left,2 3/16,,,,,0.0625,,",
            ",,,,,T-1,J,left,2 1/4,,,,,0.0625,2,",
            ",,,,,,J,right,,61.25,,,,,,=SUM(A1)",
            ",,,,,,P,,,,-12.5,4.25,,,,-rusted",
            ",,,,,,R,,,,,,3.5,0.1,,",
        )
        + "B-1,2024-06-01,,2024-06-01 09:15:30,,,,,,,P,,,,1,,,,,\n",
        state="accepted",
    )
    import_readings(table("element_code,offset_along_mm", "P,-7",
                          visit="B-1,2024-10-27,two,2024-10-27T01:30+01:00"))  # fmt: skip
    return bridge


def test_an_export_imports_again_without_a_change(full_bridge):
    before = contents()
    report = import_readings(exported())
    assert report.added == 0
    assert contents() == before


@pytest.mark.parametrize("as_typed", [False, True])
def test_an_export_brings_an_empty_ledger_to_the_same_state(full_bridge, as_typed):
    text, before = exported(as_typed), summary()
    Verdict.objects.all().delete()
    for model in (Reading, TemperatureReading, Inspection):
        model.objects.all().delete()
    import_readings(text)
    assert summary() == before
    assert exported(as_typed) == text


def test_an_export_has_the_documented_columns_and_numbers_in_their_units(full_bridge):
    lines = exported().splitlines()
    assert lines[0].split(",") == NAMES
    assert any(",55.5625," in line for line in lines)
    assert any(",2 3/16 in," in line for line in exported(as_typed=True).splitlines())


def test_no_cell_of_an_export_is_a_formula_and_negative_numbers_stay_numbers(full_bridge):
    text = exported()
    assert ",'=SUM(A1)" in text
    assert ",'-rusted" in text
    assert ",-12.5," in text


def test_a_corrected_reading_goes_out_as_it_now_stands_and_comes_in_unchanged(bridge):
    visit = make_inspection(bridge)
    read(visit, bridge.elements.get(code="P"), "offset_along", 12.0)
    correct_reading(
        reading=Reading.objects.get(), value=21.0, typed="21", reason="digits exchanged",
        user=make_user("engineer"),
    )  # fmt: skip
    assert ",21," in exported()
    assert ",12," not in exported()
    assert import_readings(exported()).added == 0


def test_an_export_takes_as_many_queries_for_ten_visits_as_for_one(
    bridge, django_assert_num_queries
):
    element = bridge.elements.get(code="P")
    for day in range(1, 11):
        read(make_inspection(bridge, dt.date(2024, 1, day)), element, "offset_along", 1.0, 5.0)
        if day in (1, 10):
            bridges = list(Bridge.objects.all())
            with django_assert_num_queries(3):
                write_readings(io.StringIO(), bridges)


def test_ten_thousand_rows_of_170_visits_come_in_whole():
    rows = [f"{HEAD},element_code,point,gap_square_mm,girder_web_c,instrument"]
    Instrument.objects.create(code="T-1", name="Tape", dimension="mm", accuracy=1.0)
    for number in range(5):
        bridge = make_bridge(f"B-{number}")
        unit = make_unit(bridge)
        for joint in range(20):
            make_element(unit, "strip_seal", code=f"J{joint}")
        for month, joint, point in itertools.product(
            range(1, 35), range(20), ("left", "centre", "right")
        ):
            day = f"{2010 + month // 12}-{month % 12 + 1:02}-15"
            rows.append(f"B-{number},{day},two,{day} 08:30,J{joint},{point},5{joint},10,T-1")
    assert len(rows) > 10_000
    report = import_readings("\n".join(rows), state="accepted")
    assert Reading.objects.count() == len(rows) - 1 == 10_200
    assert report.inspections_opened == 170


# Commands


def test_the_printed_columns_document_every_column_and_every_quantity():
    out = io.StringIO()
    call_command("import_readings", "--columns", stdout=out)
    first_words = {line.split()[0] for line in out.getvalue().splitlines()}
    assert set(NAMES) < first_words
    for field in FIELDS.values():
        assert any(name.startswith(field.quantity) for name in NAMES)
    assert all(meaning for _, _, meaning in described())


def test_the_printed_template_comes_in_where_its_bridge_is_known(tmp_path):
    make_element(make_unit(make_bridge("N-001")), "strip_seal", code="J2")
    path = tmp_path / "sample.csv"
    call_command("import_readings", "--template", str(path))
    out = io.StringIO()
    call_command("import_readings", str(path), "--state", "submitted", stdout=out)
    assert "5 values added" in out.getvalue()
    assert Inspection.objects.get().state == "submitted"


def test_the_command_tells_each_bad_line_and_fails(bridge, tmp_path):
    path = tmp_path / "bad.csv"
    path.write_text(table("element_code,offset_along_mm", "P,far", "Q,1"), encoding="utf-8")
    with pytest.raises(CommandError, match="nothing was imported; 2 problems") as failed:
        call_command("import_readings", str(path))
    assert failed.value.returncode == 1
    assert "\n  line 2, column offset_along_mm: " in str(failed.value)
    assert counts() == (0, 0, 0)


def test_the_export_command_writes_one_bridge_and_refuses_an_unknown_one(full_bridge, tmp_path):
    make_element(make_unit(make_bridge("B-2")))
    path = tmp_path / "readings.csv"
    out = io.StringIO()
    call_command("export_readings", "--bridge", "B-1", "--output", str(path), stdout=out)
    assert "9 rows written" in out.getvalue()
    assert import_readings(path.read_bytes()).added == 0
    with pytest.raises(CommandError, match="Did you mean") as failed:
        call_command("export_readings", "--bridge", "B-11")
    assert failed.value.returncode == 2
