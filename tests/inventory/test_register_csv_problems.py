"""Whatever is wrong with a register file is told at its line, with the remedy, all at once."""

import datetime as dt

import pytest

from inventory.exchange.problems import ImportRefused
from inventory.exchange.register_csv import import_register
from inventory.models import Bridge, Element
from tests.inventory.register_file import (
    BRIDGE,
    DISTRICT,
    JOINT,
    SEAL,
    SUPPORT,
    UNIT,
    WHOLE,
    file_of,
    history_rows,
    take,
)

pytestmark = pytest.mark.django_db

TOMORROW_WEEK = (dt.datetime.now(dt.UTC) + dt.timedelta(days=7)).date().isoformat()


def problems_of(*rows: dict[str, str]) -> list[str]:
    with pytest.raises(ImportRefused) as caught:
        take(*rows)
    return [str(problem) for problem in caught.value.problems]


def without(row: dict[str, str], *names: str) -> dict[str, str]:
    return {name: cell for name, cell in row.items() if name not in names}


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ({**UNIT, "start_station_m": "abc"}, ["column start_station_m", "«abc»", "120.5 m"]),
        ({**UNIT, "start_station_m": "1,5"}, ["column start_station_m", "decimal point"]),
        ({**UNIT, "end_station_m": "nan"}, ["column end_station_m", "«nan»"]),
        ({**UNIT, "end_station_m": "84 kN"}, ["column end_station_m", "«kN» is no unit"]),
        ({**UNIT, "deck_type": ""}, ["column deck_type", "needed for a unit"]),
        ({**UNIT, "deck_type": "stel"}, ["Did you mean steel?", "steel, composite, concrete"]),
        ({**UNIT, "start_station_m": "90"}, ["column start_station_m", "not below 84"]),
        ({**UNIT, "expansion_per_c": "11.7"}, ["column expansion_per_c", "above 2.5e-05"]),
        ({**UNIT, "fixed_station_m": "85"}, ["column fixed_station_m", "outside the unit"]),
        ({**UNIT, "device_type": "pot"}, ["column device_type", "belongs to installation rows"]),
        ({**UNIT, "bridge_code": "N-9"}, ["column bridge_code", "There is no bridge «N-9»"]),
        ({**UNIT, "unit_code": "U/2"}, ["column unit_code", "letters, digits"]),
        ({**BRIDGE, "district_code": "X"}, ["column district_code", "There is no district «X»"]),
        ({**BRIDGE, "time_zone": "Nowhere"}, ["column time_zone", "Europe/Lisbon"]),
        ({**BRIDGE, "year_built": "1899.5"}, ["column year_built", "no whole number"]),
        ({**BRIDGE, "year_built": "18"}, ["column year_built", "between 1700 and 2200"]),
        ({**BRIDGE, "name": "x" * 161}, ["column name", "at most 160"]),
        ({**BRIDGE, "basis_climate": "cold"}, ["column basis_method", "needed with basis_climate"]),
        ({**BRIDGE, "basis_method": "aashto_a"}, ["column basis_climate", "Needed"]),
        ({**JOINT, "support_code": "A9"},
         ["column support_code", "There is no support «A9» in bridge N-1"]),
        ({**JOINT, "unit_code": ""}, ["column unit_code", "A joint needs the unit"]),
        ({**JOINT, "unit_ahead_code": "U1"},
         ["column unit_ahead_code", "same unit stands on both sides"]),
        ({**JOINT, "station_m": "84.1"}, ["column station_m", "outside unit U1"]),
        ({**JOINT, "kind": "bearing"}, ["column kind", "keeps its kind"]),
        ({**SEAL, "installed_on": "17/05/2011"}, ["column installed_on", "2024-06-01"]),
        ({**SEAL, "installed_on": "2011-02-30"}, ["column installed_on", "calendar"]),
        ({**SEAL, "removed_on": "2015-01-01"}, ["column end_reason", "day and the reason"]),
        ({**SEAL, "device_type": "pot"}, ["column device_type", "is no deck joint"]),
        ({**SEAL, "rotation_mrad": "5"}, ["column rotation_mrad", "Only a bearing has it"]),
        ({**SEAL, "opening_min_mm": "90"}, ["column opening_min_mm", "not below 80"]),
        ({**SEAL, "cells": "41"}, ["column cells", "41 is above 40. Correct the value."]),
        ({**SEAL, "setting_source": "measured"}, ["column setting_temperature_c", "known setting"]),
        ({**SEAL, "element_code": "J9"}, ["column element_code", "There is no element «J9»"]),
        ({"record": "brdge", "bridge_code": "N-1"}, ["column record", "Did you mean bridge?"]),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_told_with_its_line_column_and_remedy(row, expected):
    take(*WHOLE)
    told = problems_of({"record": "district", "district_code": "N", "name": "North"}, row)
    text = "\n".join(told)
    assert "line 3" in text
    for part in expected:
        assert part in text


def test_every_bad_row_is_told_and_none_is_written():
    told = problems_of(
        DISTRICT,
        {**BRIDGE, "year_built": "long ago"},
        {**UNIT, "start_station_m": "?", "deck_type": "wood"},
        {**UNIT, "unit_code": "U2", "end_station_m": "-5"},
        {**SUPPORT, "kind": ""},
        {**JOINT, "support_code": "A7"},
        {**SEAL, "opening_max_mm": "9"},
    )
    assert [text.partition(":")[0] for text in told] == [
        "line 3, column year_built",
        "line 4, column deck_type",
        "line 4, column start_station_m",
        "line 5, column start_station_m",
        "line 6, column kind",
        "line 7, column support_code",
        "line 8, column opening_min_mm",
    ]
    assert not Bridge.objects.exists()
    assert history_rows() == 0


def test_what_stands_on_a_bad_row_is_not_told_once_more():
    told = problems_of(*WHOLE[:1], {**BRIDGE, "district_code": "X"}, *WHOLE[2:])
    assert len(told) == 1


def test_the_same_key_twice_in_a_file_names_the_first_line():
    told = problems_of(*WHOLE, {**UNIT, "start_station_m": "1"})
    assert told == [
        "line 8, column unit_code: The same unit stands on line 4. Keep one of the two rows."
    ]


def test_an_unknown_column_is_refused_with_the_nearest_name():
    told = problems_of({**UNIT, "statoin_m": "1"})
    assert len(told) == 1
    assert "column statoin_m" in told[0]
    assert "Did you mean station_m?" in told[0]


def test_one_column_in_two_units_is_refused():
    assert "end_station_m says the same" in problems_of({**UNIT, "end_station_ft": "1"})[0]


def test_a_file_without_the_record_column_says_how_to_add_it():
    with pytest.raises(ImportRefused, match="say in it what each row is: district, bridge"):
        import_register(text_or_file="bridge_code,name\nN-1,x\n")


def test_a_column_that_new_rows_lack_is_told_once_for_all_of_them():
    told = problems_of(
        DISTRICT,
        BRIDGE,
        *(
            without({**UNIT, "unit_code": f"U{n}"}, "deck_type", "expansion_per_c")
            for n in range(9)
        ),
    )
    assert len(told) == 2
    assert (
        "column deck_type: The column is missing, and a new unit needs it (line 4 and 8 more)"
        in (told[0])
    )


def test_a_key_column_that_is_missing_is_told_once():
    take(*WHOLE)
    told = problems_of(without(SUPPORT, "support_code"), without(JOINT, "support_code"))
    assert told == [
        "line 1, column support_code: The column is missing; support rows need it. Add it."
    ]


def test_a_place_without_a_device_is_refused_with_the_row_to_add():
    told = problems_of(*WHOLE[:-1])
    assert len(told) == 1
    assert told[0].startswith("line 6, column element_code")
    assert "record installation" in told[0]


def test_a_device_whose_row_is_wrong_is_not_told_missing():
    told = problems_of(*WHOLE[:-1], {**SEAL, "installed_on": "May 2011"})
    assert [text.partition(":")[0] for text in told] == ["line 7, column installed_on"]


@pytest.mark.parametrize(
    ("devices", "expected"),
    [
        ([{"removed_on": "2020-01-01", "end_reason": "replaced"}], "The last device"),
        ([{}, {"installed_on": "2020-01-01"}], "another device was installed here on 2020-01-01"),
        (
            [
                {"removed_on": "2020-01-02", "end_reason": "replaced"},
                {"installed_on": "2020-01-01"},
            ],
            "2020-01-01 is before 2020-01-02",
        ),
        ([{"removed_on": "2011-05-17", "end_reason": "reset"},
          {"installed_on": "2020-01-01"}], "is not below"),
        ([{"installed_on": TOMORROW_WEEK}], "lies in the future"),
    ],
    ids=["none stands there", "two stand there", "they overlap", "no day at all", "future"],
)  # fmt: skip
def test_devices_of_a_place_must_follow_each_other(devices, expected):
    told = problems_of(*WHOLE[:-1], *({**SEAL, **device} for device in devices))
    assert expected in "\n".join(told)


def test_a_unit_may_not_leave_its_elements_outside():
    take(*WHOLE)
    told = problems_of({**UNIT, "end_station_m": "80"})
    assert told == [
        "line 2, column end_station_m: Element J2 at 84 m would lie outside the unit. Move the"
        " element in the same file, or keep the unit as long."
    ]
    assert Element.objects.get().unit.end_station_m == 84.0


def test_two_bridges_may_not_have_one_structure_number():
    number = {"inventory_state_code": "54", "inventory_number": "A1"}
    take(DISTRICT, {**BRIDGE, **number})
    told = problems_of(
        {**BRIDGE, "bridge_code": "N-2", **number}, {**BRIDGE, "bridge_code": "N-3", **number}
    )
    assert len(told) == 2
    assert all("Bridge N-1 has this state and structure number" in text for text in told)


def test_two_bridges_may_exchange_their_remarks_in_one_file():
    take(DISTRICT, {**BRIDGE, "remarks": "a"}, {**BRIDGE, "bridge_code": "N-2", "remarks": "b"})
    take({**BRIDGE, "remarks": "b"}, {**BRIDGE, "bridge_code": "N-2", "remarks": "a"})
    assert list(Bridge.objects.values_list("remarks", flat=True)) == ["b", "a"]


def test_control_characters_of_a_cell_do_not_reach_the_terminal():
    told = problems_of({**UNIT, "deck_type": "\x1b[2Jsteel"})
    assert "\x1b" not in told[0]


def test_a_header_alone_is_refused():
    with pytest.raises(ImportRefused, match="header alone"):
        import_register(text_or_file=file_of(BRIDGE).partition("\n")[0] + "\n")
