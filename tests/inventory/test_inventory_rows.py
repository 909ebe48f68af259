"""National inventory rows become the stock of bridges.

The rows are real ones, see ``tests/data/README.md``; damaged ones are made here.  Expected
words and signs follow FHWA-PD-96-001 (1995), items 8, 16, 17, 34 and 43.
"""

from pathlib import Path

import pytest

from inspections.models import Inspection
from inventory.exchange.nbi_cells import split_line
from inventory.exchange.nbi_rows import import_nbi
from inventory.exchange.problems import ImportRefused
from inventory.models import (
    Bridge,
    District,
    Element,
    Installation,
    InventoryTold,
    JointDesign,
    Support,
    TemperatureBasis,
    Unit,
)
from tests.inventory.register_file import take
from tests.make import make_bridge, make_element, make_inspection, make_unit

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


def row_of(number: str, **cells: str) -> str:
    return changed(next(line for line in GOOD if number in line), **cells)


def stood(*models) -> dict:
    """Return every row of some tables as it stands."""
    return {model: list(model.objects.order_by("pk").values()) for model in models}


class TestALaterFile:
    """One bridge with all that people enter, whose row comes again otherwise."""

    NUMBER, CODE = "00000000001A107", "54-00000000001A107"

    @pytest.fixture
    def bridge(self) -> Bridge:
        import_lines(*GOOD)
        return Bridge.objects.get(code=self.CODE)

    def again(self, **cells: str):
        others = [line for line in GOOD if self.NUMBER not in line]
        result = import_lines(row_of(self.NUMBER, **cells), *others)
        assert result.unchanged["bridge"] + result.updated["bridge"] == len(GOOD)
        return result

    def test_what_nobody_touched_follows_the_inventory_its_name_as_well(self, bridge):
        result = self.again(
            FACILITY_CARRIED_007="'US 250'",
            STRUCTURE_LEN_MT_049="280.1",
            LAT_016="39085000",
            LOCATION_009="'NEAR MILL'",
        )
        assert result.updated["bridge"] == 1
        bridge.refresh_from_db()
        assert (bridge.carries, bridge.length_m) == ("US 250", 280.1)
        assert bridge.name == "US 250 over TYGART VALLEY RV CSX RR"
        # 39 deg 08 min 50.00 s
        assert bridge.latitude_deg == pytest.approx(39.14722, abs=1e-5)
        assert bridge.remarks == "NBI item 9, location: NEAR MILL"
        assert not [each for each in result.notices if each.line == 2]

    def test_units_supports_places_devices_and_basis_stay_as_they_are(self, bridge):
        joint = make_element(make_unit(bridge), "strip_seal")
        make_inspection(bridge)
        kept = (Unit, Support, Element, Installation, JointDesign, TemperatureBasis, Inspection)
        before = stood(*kept)
        self.again(STRUCTURE_LEN_MT_049="10.0", FEATURES_DESC_006A="'RUN'")
        assert stood(*kept) == before
        assert Element.objects.get() == joint

    def test_what_was_corrected_here_stays_in_every_field_of_the_inventory(self, bridge):
        mine = {
            "name": "Tygart high bridge",
            "carries": "US 250 and a footway",
            "crosses": "Tygart Valley River",
            "main_material": "Weathering steel",
            "year_built": 2002,
            "latitude_deg": 39.1466,
            "longitude_deg": -80.0401,
            "length_m": 273.9,
            "largest_span_m": 43.0,
            "skew_deg": -12.5,
            "altitude_m": 301.0,
            "time_zone": "America/New_York",
            "air_station": "HILL",
            "remarks": "Bearings renewed.\nNBI item 9, location: 0.08 MI N CO 30, by the mill",
        }
        Bridge.objects.filter(pk=bridge.pk).update(**mine)
        assert self.again().updated == {}
        result = self.again(
            FACILITY_CARRIED_007="'US 250'",
            FEATURES_DESC_006A="'RUN'",
            STRUCTURE_KIND_043A="3",
            YEAR_BUILT_027="1999",
            LAT_016="39085000",
            LONG_017="080030000",
            STRUCTURE_LEN_MT_049="280.1",
            MAX_SPAN_LEN_MT_048="50.5",
            DEGREES_SKEW_034="15",
            LOCATION_009="'NEAR MILL'",
        )
        bridge.refresh_from_db()
        remarks = mine.pop("remarks")
        assert {name: getattr(bridge, name) for name in mine} == mine
        assert bridge.remarks.splitlines() == [
            "NBI item 9, location: NEAR MILL",
            *remarks.splitlines(),
        ]
        told = [each.column for each in result.notices if each.line == 2]
        assert sorted(told) == [
            "DEGREES_SKEW_034",
            "FACILITY_CARRIED_007",
            "FEATURES_DESC_006A",
            "LAT_016",
            "LONG_017",
            "MAX_SPAN_LEN_MT_048",
            "STRUCTURE_KIND_043A",
            "STRUCTURE_LEN_MT_049",
            "YEAR_BUILT_027",
        ]

    def test_a_conflict_is_told_with_both_values_once(self, bridge):
        Bridge.objects.filter(pk=bridge.pk).update(length_m=273.9)
        [told] = [
            each for each in self.again(STRUCTURE_LEN_MT_049="280.1").notices if each.line == 2
        ]
        assert str(told).startswith(
            "line 2, column STRUCTURE_LEN_MT_049: The inventory says 280.1, and 273.9 was entered"
        )
        again = self.again(STRUCTURE_LEN_MT_049="280.1")
        assert not [each for each in again.notices if each.line == 2]

    def test_half_a_position_is_never_taken(self, bridge):
        Bridge.objects.filter(pk=bridge.pk).update(latitude_deg=39.1466)
        self.again(LONG_017="080030000")
        bridge.refresh_from_db()
        assert bridge.latitude_deg == 39.1466
        assert bridge.longitude_deg == pytest.approx(-80.04, abs=1e-5)

    def test_an_emptied_field_or_the_inventorys_own_figure_follows_it_again(self, bridge):
        Bridge.objects.filter(pk=bridge.pk).update(length_m=273.9, year_built=2002)
        self.again(STRUCTURE_LEN_MT_049="280.1", YEAR_BUILT_027="1999")
        Bridge.objects.filter(pk=bridge.pk).update(length_m=280.1, year_built=None)
        self.again(STRUCTURE_LEN_MT_049="290.5", YEAR_BUILT_027="1999")
        bridge.refresh_from_db()
        assert (bridge.length_m, bridge.year_built) == (290.5, 1999)

    def test_a_bridge_entered_here_first_keeps_what_was_entered_and_gets_the_rest(self):
        bridge = make_bridge(
            "TYGART",
            inventory_state_code="54",
            inventory_number=self.NUMBER,
            length_m=273.0,
            remarks="Ours.",
        )
        result = import_lines(row_of(self.NUMBER))
        assert [each.column for each in result.notices] == ["STRUCTURE_LEN_MT_049"]
        bridge.refresh_from_db()
        assert (bridge.length_m, bridge.year_built) == (273.0, 2001)
        assert bridge.remarks == "NBI item 9, location: 0.08 MI N CO 30\nOurs."

    def test_a_bridge_moved_to_another_district_by_the_inventory_is_told_and_stays(self, bridge):
        result = self.again(HIGHWAY_DISTRICT_002="08")
        [told] = [str(each) for each in result.notices if each.line == 2]
        assert told.startswith("line 2, column HIGHWAY_DISTRICT_002: The inventory moved it from")
        bridge.refresh_from_db()
        assert bridge.district.code == "54-07"

    def test_a_vanished_row_is_told_and_its_bridge_stays_new_rows_come(self, bridge):
        before = Bridge.history.count()
        others = [line for line in GOOD if self.NUMBER not in line]
        new = changed(GOOD[0], STRUCTURE_NUMBER_008="NEW1")
        result = import_lines(*others, new)
        [told] = [str(each) for each in result.notices if each.line == 0]
        assert f"Bridge {self.CODE} (state 54, number «{self.NUMBER}») was in an earlier" in told
        assert Bridge.objects.filter(code=self.CODE).exists()
        assert (result.created["bridge"], Bridge.history.count()) == (1, before + 1)

    def test_a_file_of_another_district_says_nothing_of_this_one(self, bridge):
        new = changed(GOOD[0], STRUCTURE_NUMBER_008="NEW1", HIGHWAY_DISTRICT_002="44")
        assert not [each for each in import_lines(new).notices if each.line == 0]

    def test_a_row_that_is_wrong_has_not_vanished(self, bridge):
        bad = row_of(self.NUMBER, YEAR_BUILT_027="x")
        result = import_lines(
            bad, *(line for line in GOOD if self.NUMBER not in line), skip_bad_rows=True
        )
        assert [each.line for each in result.problems] == [2]
        assert not [each for each in result.notices if each.line == 0]

    def test_a_changed_file_again_changes_no_row(self, bridge):
        Bridge.objects.filter(pk=bridge.pk).update(length_m=273.9)
        cells = {"STRUCTURE_LEN_MT_049": "280.1", "FEATURES_DESC_006A": "'RUN'"}
        self.again(**cells)
        before = stood(Bridge, District, InventoryTold, Bridge.history.model)
        assert self.again(**cells).changes == 0
        assert stood(Bridge, District, InventoryTold, Bridge.history.model) == before

    def test_a_dry_run_remembers_nothing(self, bridge):
        before = stood(InventoryTold)
        import_lines(row_of(self.NUMBER, STRUCTURE_LEN_MT_049="280.1"), dry_run=True)
        assert stood(InventoryTold) == before


def test_a_stock_that_comes_again_is_asked_for_at_once(django_assert_max_num_queries):
    import_lines(*GOOD)
    with django_assert_max_num_queries(12):
        assert import_lines(*GOOD).unchanged["bridge"] == len(GOOD)


def test_a_state_whose_0_a_spreadsheet_cut_off_is_read_with_it():
    import_lines(changed(GOOD[0], STATE_CODE_001="6"))
    assert Bridge.objects.get().inventory_state_code == "06"


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
