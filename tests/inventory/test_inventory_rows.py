"""National inventory rows become the stock of bridges.

The rows are real ones, see ``tests/data/README.md``; damaged ones are made here.  Expected
words and signs follow FHWA-PD-96-001 (1995), items 8, 16, 17, 34 and 43.
"""

from pathlib import Path

import pytest

from inventory.exchange.nbi_cells import split_line
from inventory.exchange.nbi_rows import import_nbi
from inventory.exchange.problems import ImportRefused
from inventory.models import Bridge, District
from tests.inventory.register_file import take
from tests.make import make_bridge

pytestmark = pytest.mark.django_db

SAMPLE = Path(__file__).parents[1] / "data" / "nbi_sample.csv"
HEADER, *LINES = SAMPLE.read_text(encoding="utf-8").splitlines()
COLUMNS = HEADER.split(",")
GOOD = [line for line in LINES if "00000000016A139" not in line and "CEPORHWV" not in line]


def changed(line: str, **cells: str) -> str:
    """Return a row with some cells replaced; its text has no comma inside."""
    parts = line.split(",")
    for name, cell in cells.items():
        parts[COLUMNS.index(name)] = cell
    return ",".join(parts)


def import_lines(*lines: str, **options):
    return import_nbi(text_or_file="\n".join([HEADER, *lines]), **options)


def refusal_of(*lines: str) -> list[str]:
    with pytest.raises(ImportRefused) as caught:
        import_lines(*lines)
    return [str(problem) for problem in caught.value.problems]


def test_rows_that_cannot_be_taken_are_told_and_none_is_taken():
    told = refusal_of(*LINES)
    assert [text.partition(":")[0] for text in told] == [
        "line 18, column LONG_017",
        "line 26, column STRUCTURE_NUMBER_008",
    ]
    assert "65 minutes" in told[0]
    assert "line 25 already" in told[1]
    assert not Bridge.objects.exists()


def test_good_rows_are_taken_if_bad_ones_may_be_skipped():
    result = import_nbi(text_or_file=SAMPLE.read_bytes(), skip_bad_rows=True)
    assert (result.created["bridge"], len(result.problems)) == (23, 2)
    assert Bridge.objects.count() == 23


def test_a_file_of_bad_rows_alone_is_refused_even_then():
    bad = changed(GOOD[0], YEAR_BUILT_027="x")
    with pytest.raises(ImportRefused, match="YEAR_BUILT_027"):
        import_lines(bad, skip_bad_rows=True)


def test_a_bridge_has_what_its_row_says():
    import_lines(*GOOD)
    bridge = Bridge.objects.get(code="54-00000000001A107")
    assert bridge.district.code == "54-07"
    assert bridge.name == "US 250 T over TYGART VALLEY RV CSX RR"
    assert bridge.main_material == "Prestressed concrete, continuous: stringers or multiple beams"
    assert (bridge.year_built, bridge.length_m, bridge.largest_span_m) == (2001, 273.7, 42.7)
    # 39 deg 08 min 48.00 s north, 80 deg 02 min 24.00 s west
    assert bridge.latitude_deg == pytest.approx(39.14667, abs=1e-5)
    assert bridge.longitude_deg == pytest.approx(-80.04, abs=1e-5)
    assert bridge.skew_deg == 0.0
    assert bridge.remarks == "NBI item 9, location: 0.08 MI N CO 30"
    assert (bridge.inventory_state_code, bridge.inventory_number) == ("54", "00000000001A107")


def test_a_skew_that_varies_is_left_empty_and_noted():
    import_lines(*GOOD)
    bridge = Bridge.objects.get(inventory_number="00000000001A086")
    assert bridge.skew_deg is None
    assert "NBI item 34: the skew varies." in bridge.remarks


def test_double_quotes_in_a_name_are_kept():
    import_lines(*GOOD)
    assert Bridge.objects.get(inventory_number="00000000020A341").carries == 'I-64 WEST-RAMP "B"'


def test_apostrophes_and_commas_in_a_name_are_kept():
    line = changed(GOOD[0], FEATURES_DESC_006A="'O'TOOLE'S RUN, CO'S RD       '")
    import_lines(line)
    assert Bridge.objects.get().crosses == "O'TOOLE'S RUN, CO'S RD"


def test_a_file_that_a_spreadsheet_saved_again_is_read_the_same():
    assert list(split_line('1,"\'RAMP ""B"", EAST \'",,\'x\'')) == ["1", 'RAMP "B", EAST', "", "x"]


def test_positions_of_zeros_and_a_district_of_one_digit_are_taken_with_a_notice():
    result = import_lines(*GOOD)
    bridge = Bridge.objects.get(inventory_number="092104000003038")
    assert (bridge.latitude_deg, bridge.longitude_deg) == (None, None)
    assert bridge.district.code == "54-08"
    notices = [str(notice) for notice in result.notices]
    assert sum("No position is given" in text for text in notices) == 2
    assert any("«8» has not two digits: read as 54-08" in text for text in notices)


def test_a_route_under_a_bridge_is_left_out_and_told():
    result = import_lines(GOOD[0], changed(GOOD[0], RECORD_TYPE_005A="2"))
    assert result.created["bridge"] == 1
    assert "line 3, column RECORD_TYPE_005A: «2» is a route under a bridge" in str(
        result.notices[0]
    )


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ({"LAT_016": "39993000"}, "column LAT_016: «39993000» has 99 minutes"),
        ({"LAT_016": "391306"}, "column LAT_016: «391306» is no position"),
        ({"LAT_016": "99130600"}, "column LAT_016: 99.2183 is above 90 deg"),
        ({"STRUCTURE_LEN_MT_049": "-3"}, "column STRUCTURE_LEN_MT_049: «-3» is no figure"),
        ({"YEAR_BUILT_027": "0012"}, "column YEAR_BUILT_027: 12 is not a year"),
        ({"DEGREES_SKEW_034": "85"}, "column DEGREES_SKEW_034: 85 is above 80 deg"),
        ({"STRUCTURE_TYPE_043B": "77"}, "column STRUCTURE_KIND_043A: «1» with type «77»"),
        ({"STRUCTURE_NUMBER_008": "12/7"}, "column STRUCTURE_NUMBER_008: Use letters"),
        ({"STRUCTURE_NUMBER_008": ""}, "column STRUCTURE_NUMBER_008: State or structure number"),
        ({"LOCATION_009": "'A,B,"}, "The row has 135 cells, the header 133"),
    ],
)
def test_a_cell_that_cannot_be_right_is_told(cells, expected):
    told = refusal_of(GOOD[1], changed(GOOD[0], **cells))
    assert len(told) == 1
    assert told[0].startswith("line 3")
    assert expected in told[0]


def test_a_length_of_zero_is_not_known():
    result = import_lines(changed(GOOD[0], STRUCTURE_LEN_MT_049="0", YEAR_BUILT_027="0000"))
    assert Bridge.objects.values_list("length_m", "year_built").get() == (None, None)
    assert "No length is given" in str(result.notices[0])


def test_the_same_rows_again_change_nothing():
    import_lines(*GOOD)
    changes = Bridge.history.count()
    result = import_lines(*GOOD)
    assert (result.created, result.updated) == ({}, {})
    assert result.unchanged["bridge"] == len(GOOD)
    assert Bridge.history.count() == changes


def test_a_later_file_updates_what_the_inventory_tells_and_leaves_what_was_entered():
    import_lines(*GOOD)
    code = "54-00000000001A086"
    own = District.objects.create(code="own", name="Own")
    bridge = Bridge.objects.get(code=code)
    take(
        {
            "record": "bridge",
            "district_code": own.code,
            "bridge_code": code,
            "name": "Long name",
            "altitude_m": "410",
            "skew_deg": "31",
            "time_zone": "America/New_York",
            "remarks": f"{bridge.remarks}\nBearings renewed.",
            "basis_method": "aashto_a",
            "basis_climate": "cold",
        }
    )
    row = next(line for line in GOOD if "00000000001A086" in line)
    result = import_lines(
        changed(
            row, FACILITY_CARRIED_007="'US 119 N'", LOCATION_009="'NEAR MILL'", YEAR_BUILT_027="0"
        )
    )
    assert result.updated["bridge"] == 1
    bridge.refresh_from_db()
    assert (bridge.carries, bridge.year_built) == ("US 119 N", 1994)
    assert bridge.remarks == (
        "NBI item 9, location: NEAR MILL\nNBI item 34: the skew varies.\nBearings renewed."
    )
    assert (bridge.district, bridge.name, bridge.altitude_m) == (own, "Long name", 410.0)
    assert (bridge.skew_deg, bridge.time_zone) == (31.0, "America/New_York")
    assert bridge.temperature_basis.climate == "cold"


def test_a_code_that_another_bridge_has_is_not_taken_over():
    make_bridge("54-00000000001A012")
    assert "Fill in its NBI items 1 and 8" in refusal_of(GOOD[0])[0]


def test_a_dry_run_tells_the_same_and_writes_nothing():
    result = import_lines(*GOOD, dry_run=True)
    assert result.created["bridge"] == len(GOOD)
    assert not Bridge.objects.exists()
    assert not District.objects.exists()


def test_a_file_that_lacks_needed_columns_names_each():
    with pytest.raises(ImportRefused) as caught:
        import_nbi(text_or_file="STRUCTURE_NUMBER_008,LAT_016\n1,2\n")
    columns = [problem.column for problem in caught.value.problems]
    assert "YEAR_BUILT_027" in columns
    assert "LAT_016" not in columns
