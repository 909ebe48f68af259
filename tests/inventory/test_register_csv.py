"""The register goes out as one file and comes back from it."""

import datetime as dt

import pytest

from inventory.exchange.register_csv import import_register
from inventory.exchange.register_guide import EXAMPLES
from inventory.models import Bridge, Element, Installation, JointDesign, Unit
from inventory.services import changes
from inventory.services.changes import subscribe
from inventory.services.installations import replace_installation
from tests.inventory.register_file import (
    BRIDGE,
    DISTRICT,
    JOINT,
    SEAL,
    SUPPORT,
    UNIT,
    WHOLE,
    empty_the_register,
    exported,
    file_of,
    history_rows,
    take,
)
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


def test_a_file_fills_an_empty_register():
    result = take(*WHOLE)
    assert result.created == {
        "district": 1, "bridge": 1, "unit": 1, "support": 1, "element": 1, "installation": 1,
    }  # fmt: skip
    joint = Element.objects.get(bridge__code="N-1", code="J2")
    assert joint.current_installation.device_type == "strip_seal"
    assert joint.current_installation.joint_design.opening_max_mm == 80.0
    assert joint.unit.expansion_per_c == 12e-6


def test_rows_may_stand_in_any_order():
    result = take(*reversed(WHOLE))
    assert sum(result.created.values()) == 6


def test_the_same_file_again_changes_nothing_and_leaves_no_history():
    take(*WHOLE)
    before, changes = exported(), history_rows()
    result = take(*WHOLE)
    assert (result.created, result.updated) == ({}, {})
    assert sum(result.unchanged.values()) == 6
    assert (exported(), history_rows()) == (before, changes)


def test_an_update_changes_the_columns_of_the_file_alone():
    take(*WHOLE, {**BRIDGE, "bridge_code": "N-2", "remarks": "kept"})
    result = take({"record": "bridge", "bridge_code": "N-1", "carries": "A lane"},
                  {"record": "bridge", "bridge_code": "N-2", "carries": "A road"})  # fmt: skip
    assert result.updated == {"bridge": 2}
    second = Bridge.objects.get(code="N-2")
    assert (second.carries, second.remarks, second.name) == ("A road", "kept", "Mill Lane")
    change = second.history.first()
    assert (change.history_type, change.history_change_reason) == ("~", "Register file")


def test_an_empty_cell_empties_its_column():
    take(*WHOLE[:1], {**BRIDGE, "skew_deg": "12", "remarks": "old"})
    take({**BRIDGE, "skew_deg": "", "remarks": ""})
    bridge = Bridge.objects.get()
    assert (bridge.skew_deg, bridge.remarks) == (None, "")


def test_a_bridge_row_without_basis_columns_filled_keeps_the_basis():
    take(DISTRICT, {**BRIDGE, "basis_method": "aashto_a", "basis_climate": "cold"})
    take({**BRIDGE, "basis_method": "", "basis_climate": ""})
    assert Bridge.objects.get().temperature_basis.climate == "cold"


def test_a_dry_run_tells_the_same_and_writes_nothing():
    result = take(*WHOLE, dry_run=True)
    assert result.dry_run
    assert sum(result.created.values()) == 6
    assert not Bridge.objects.exists()
    assert history_rows() == 0


def test_headers_and_cells_may_use_other_units():
    # NIST SP 811: 1 ft = 0.3048 m and 1 in = 25.4 mm exactly; 50 degF = 10 degC by definition;
    # a coefficient of 6.5e-6 per degF is 11.7e-6 per degC, as AASHTO LRFD gives both for steel.
    unit = {**UNIT, "end_station_ft": "300", "expansion_per_f": "6.5e-6"}
    del unit["end_station_m"], unit["expansion_per_c"]
    seal = {
        **SEAL,
        "setting_source": "measured",
        "setting_temperature_f": "50",
        "setting_gap_mm": "1 3/4 in",
        "opening_min_in": "3/8",
        "opening_max_in": '2-3/16"',
    }
    del seal["opening_min_mm"], seal["opening_max_mm"]
    take(DISTRICT, BRIDGE, unit, SUPPORT, JOINT, seal)
    stored = Unit.objects.get()
    assert stored.end_station_m == pytest.approx(91.44)
    assert stored.expansion_per_c == pytest.approx(11.7e-6)
    device = Installation.objects.get()
    assert device.setting_temperature_c == pytest.approx(10.0)
    assert device.setting_gap_mm == pytest.approx(44.45)
    assert device.joint_design.opening_min_mm == pytest.approx(9.525)
    assert device.joint_design.opening_max_mm == pytest.approx(55.5625)


@pytest.mark.parametrize(
    "content",
    [
        file_of(*WHOLE).encode("utf-8-sig"),
        file_of(*WHOLE, delimiter=";").encode(),
        file_of(*WHOLE, delimiter="\t").encode(),
        file_of(*WHOLE).replace("\n", "\r\n\r\n").encode(),
        file_of(*WHOLE).replace("strip_seal", "Strip Seal").replace("record", "Record").encode(),
    ],
    ids=["byte order mark", "semicolons", "tabs", "blank lines", "other capitals"],
)
def test_files_as_spreadsheets_save_them_are_taken(content):
    assert sum(import_register(text_or_file=content).created.values()) == 6


def test_text_that_a_spreadsheet_would_run_goes_out_tame_and_comes_back_as_it_was():
    remarks = '=HYPERLINK("x"), «é»\nsecond line, with a comma'
    make_bridge("B-1", remarks=remarks, carries="-way", crosses="'=x")
    text = exported()
    assert "\"'=HYPERLINK" in text
    assert ",'-way,''=x," in text
    empty_the_register()
    import_register(text_or_file=text)
    bridge = Bridge.objects.get()
    assert (bridge.remarks, bridge.carries, bridge.crosses) == (remarks, "-way", "'=x")


def test_line_breaks_as_browsers_send_them_are_no_change():
    make_bridge("B-1", remarks="first\r\nsecond\rthird")
    text = exported()
    assert '"first\nsecond\nthird"' in text
    assert import_register(text_or_file=text).changes == 0


def test_all_devices_of_a_place_go_out_and_come_back():
    bearing = make_element(make_unit(make_bridge("B-1")), design={"rotation_mrad": 12.5})
    replace_installation(
        element=bearing,
        ended_on=dt.date(2015, 3, 1),
        end_reason="replaced",
        installation=Installation(device_type="spherical", installed_on=dt.date(2015, 3, 2)),
        design={"rotation_mrad": 20.0},
    )
    text = exported()
    empty_the_register()
    assert import_register(text_or_file=text).created["installation"] == 2
    place = Element.objects.get()
    assert place.current_installation.device_type == "spherical"
    assert place.installations.get(removed_on="2015-03-01").bearing_design.rotation_mrad == 12.5
    assert exported() == text


def test_a_new_device_ends_the_present_one_in_one_file():
    take(*WHOLE)
    ended = {**SEAL, "removed_on": "2020-04-01", "end_reason": "replaced"}
    follower = {**SEAL, "device_type": "finger", "installed_on": "2020-04-01"}
    result = take(ended, follower)
    assert (result.created["installation"], result.updated["installation"]) == (1, 1)
    assert Element.objects.get().current_installation.device_type == "finger"


def test_a_unit_and_its_elements_move_together():
    take(*WHOLE)
    moved = [
        {**UNIT, "start_station_m": "1000", "end_station_m": "1084"},
        {**SUPPORT, "station_m": "1084"},
        {**JOINT, "station_m": "1084"},
    ]
    take(*moved)
    assert Element.objects.get().station_m == 1084.0
    unit = Unit.objects.get()
    assert (unit.start_station_m, unit.end_station_m) == (1000.0, 1084.0)
    assert unit.history.count() == 2


def test_a_chosen_bridge_goes_out_with_its_district_alone():
    make_bridge("B-1")
    make_bridge("B-2")
    text = exported(Bridge.objects.filter(code="B-2"))
    assert "B-2" in text
    assert "B-1" not in text
    assert text.count("\ndistrict,") == 1


@pytest.fixture
def told():
    """Return the sets of bridges that a subscriber is told of."""
    heard = []
    subscribe(heard.append)
    yield heard
    changes._subscribers.remove(heard.append)


def test_what_computes_from_the_register_is_told_once_of_the_changed_bridges(told):
    take(*WHOLE)
    take({**BRIDGE, "bridge_code": "N-2"}, SEAL)
    ids = {bridge.code: bridge.pk for bridge in Bridge.objects.all()}
    assert told == [{ids["N-1"]}, {ids["N-2"]}]


def test_a_change_of_capacities_judges_the_readings_again():
    unit = make_unit(make_bridge("N-1"))
    joint = make_element(unit, "strip_seal", "J2",
                         design={"opening_min_mm": 10.0, "opening_max_mm": 80.0})  # fmt: skip
    read(make_inspection(unit.bridge), joint, "gap", 90.0, None, point="left", axis="square",
         accept=True)  # fmt: skip
    assert Element.objects.get().status.get_verdict_display() == "Out of range"
    take({**SEAL, "installed_on": "2010-01-01", "opening_max_mm": "120"})
    assert Element.objects.get().status.get_verdict_display() == "Cannot judge"


def test_a_thousand_elements_are_written_in_few_queries(django_assert_max_num_queries):
    places = [{**JOINT, "element_code": f"J{n}", "station_m": str(n % 85)} for n in range(1000)]
    seals = [{**SEAL, "element_code": f"J{n}"} for n in range(1000)]
    # SQLite takes few figures at a time, and what is derived is written as well.
    with django_assert_max_num_queries(600):
        take(*WHOLE[:4], *places, *seals)
    assert JointDesign.objects.count() == 1000
    with django_assert_max_num_queries(20):
        take(*WHOLE[:4], *places, *seals)
    with django_assert_max_num_queries(12):
        exported()


def test_the_examples_of_the_guide_are_a_file_that_can_be_taken():
    result = take(*({"record": str(record), **cells} for record, cells in EXAMPLES.items()))
    assert sum(result.created.values()) == len(EXAMPLES)
