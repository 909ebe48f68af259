"""How checks of capacity are kept: complete, current, one device never spoiling another."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.models import AgencySettings, CapacityCheck, ElementStatus
from inspections.services.capacity import Held, write_checks
from inspections.services.capacity.rules import CHECKS_OF_DEVICE
from inspections.services.judge import judge_bridges
from inspections.services.standing_register import StandingRegister
from inspections.wording_capacity import tell_check
from inventory.models import BearingDesign, Installation
from inventory.models.choices import DeviceType
from inventory.services.installations import replace_installation
from inventory.units import System
from tests.inspections.capacity_rows import device_with, the_check, uses, visit
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db
POT = {"rotation_mrad": 25.0, "movement_back_mm": 50.0, "movement_ahead_mm": 50.0}


def test_every_type_of_device_is_checked_and_says_what_it_lacks_in_words():
    assert set(CHECKS_OF_DEVICE) == set(DeviceType.values)
    unit = make_unit(make_bridge())
    for device_type in DeviceType.values:
        make_element(unit, device_type)
    judge_bridges([unit.bridge_id])
    for element in unit.bridge.elements.all():
        checks = CapacityCheck.objects.filter(element=element)
        assert checks, element.current_installation.device_type
        for check in checks:
            assert check.edition
            if check.use is None:
                needs = tell_check(check, System.SI).needs
                assert needs.startswith("cannot check: needs")
                assert "_" not in needs  # no name of a field


def test_what_lacks_is_named_by_its_field_or_reading():
    pot = device_with("pot", {"plan_diameter_mm": 350.0})
    assert the_check(pot, "Elastomer stress", "AASHTO").lacking == "vertical_service_max_kn"
    assert the_check(pot, "Rotation", "EN").lacking == "rotation_along_mrad"
    told = tell_check(the_check(pot, "Rotation", "AASHTO"), System.SI)
    assert told.needs == (
        "cannot check: needs a reading of the rotation, «Rotation, part from live load» and"
        " «Rotation, either way»"
    )


def test_what_keeps_a_reading_from_being_carried_is_said():
    bearing = device_with("pot", POT, [("offset_along", 10.0)])
    assert the_check(bearing, "Movement", when="at_max").use is not None
    nowhere = device_with(
        "pot", POT, [("offset_along", 10.0)], unit=make_unit(make_bridge(basis={}))
    )
    lacking = the_check(nowhere, "Movement", when="at_max").lacking
    assert lacking == "the design temperatures of the bridge"
    assert the_check(nowhere, "Movement").use == pytest.approx(0.2)


def test_a_check_without_a_limit_has_no_capacity_and_uses_nothing():
    # stable by its shape alone: 20 x 24 x 0.5 in, one layer (tests/published)
    bearing = device_with(
        "reinforced_elastomeric",
        {"plan_length_mm": 508.0, "plan_width_mm": 609.6, "layer_thickness_mm": 6.35,
         "rubber_thickness_mm": 12.7, "shear_modulus_mpa": 1.0, "vertical_service_max_kn": 6000.0},
    )  # fmt: skip
    stability = the_check(bearing, "Stability")
    assert (stability.capacity, stability.use, stability.nothing_left) == (None, 0.0, False)


def test_where_nothing_is_left_it_says_so():
    joint = device_with("open", {"opening_min_mm": 20.0, "opening_max_mm": 80.0},
                        [("gap", 40.0, "left")])  # fmt: skip
    closed = the_check(joint, "Smallest opening", when="at_max")  # 45.5 mm narrower than 40
    assert (closed.use, closed.nothing_left) == (None, True)


def test_a_change_of_the_register_changes_the_checks():
    pot = device_with("pot", POT, [("offset_along", 10.0)])
    assert the_check(pot, "Movement").use == pytest.approx(0.2)
    BearingDesign.objects.filter(installation=pot.current_installation).update(
        movement_ahead_mm=20.0
    )
    judge_bridges([pot.bridge_id])
    assert the_check(pot, "Movement").use == pytest.approx(0.5)


def test_judging_again_leaves_checks_that_stay_the_same():
    pot = device_with("pot", POT, [("offset_along", 10.0)])
    before = list(CapacityCheck.objects.values())
    judge_bridges([pot.bridge_id])
    assert list(CapacityCheck.objects.values()) == before


def test_the_last_visit_that_was_handed_in_counts():
    pot = device_with("pot", POT, [("offset_along", 10.0), ("rotation", 5.0)])
    later = visit(pot, [("offset_along", 30.0)], date=dt.date(2025, 6, 1))
    read(make_inspection(pot.bridge, dt.date(2025, 9, 1)), pot, "offset_along", 45.0, 10.0)
    movement = the_check(pot, "Movement")
    assert (movement.use, movement.inspection) == (pytest.approx(0.6), later)
    assert the_check(pot, "Rotation", "register").use == pytest.approx(0.2)  # of the visit before


def test_a_new_device_is_not_checked_with_readings_of_the_old_one():
    pot = device_with("pot", POT, [("offset_along", 10.0)])
    old = pot.current_installation
    replace_installation(
        element=pot,
        ended_on=dt.date(2025, 1, 1),
        end_reason="replaced",
        installation=Installation(device_type="disc", installed_on=dt.date(2025, 1, 1)),
    )
    judge_bridges([pot.bridge_id])
    checks = CapacityCheck.objects.filter(element=pot)
    assert not checks.filter(installation=old).exists()
    assert {each.inspection for each in checks} == {None}


def test_a_figure_that_cannot_be_right_spoils_its_own_device_alone():
    unit = make_unit(make_bridge())
    rods = [
        make_element(unit, "anchor_rods", design={"rod_count": count, "rod_pretension_kn": 100.0})
        for count in (8, 4, 6)
    ]
    for element in rods:
        visit(element, [("broken_rods", 5)], date=dt.date(2024, 6, 1 + rods.index(element)))
    assert the_check(rods[0], "Whole rods").use == pytest.approx(8 / 3)
    assert the_check(rods[2], "Whole rods").use == pytest.approx(6.0)
    wrong = the_check(rods[1], "Figures on record")
    assert wrong.use is None
    told = tell_check(wrong, System.SI).needs
    assert told == (
        "cannot check: needs the number of broken rods corrected:"
        " is more than the rods there are. Count the rods again"
    )
    assert ElementStatus.objects.get(element=rods[1]).deciding is not None


def test_a_use_above_1_does_not_change_the_verdict():
    pot = device_with("pot", {"rotation_mrad": 6.0, "live_rotation_mrad": 2.0}, [("rotation", 3.0)])
    assert the_check(pot, "Rotation", "AASHTO").use > 1.0
    assert ElementStatus.objects.get(element=pot).get_verdict_display() != "Out of range"


def test_as_many_queries_for_one_device_as_for_many():
    counts = []
    for number in (1, 12):
        unit = make_unit(make_bridge())
        for _ in range(number):
            make_element(unit, "pot", design=POT)
            make_element(unit, "strip_seal")
        register, agency = StandingRegister.of(unit.bridge_id), AgencySettings.current()
        with CaptureQueriesContext(connection) as queries:
            write_checks([Held(register, [])], agency)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_the_rotation_of_a_device_is_carried_nowhere():
    pot = device_with("pot", POT, [("rotation", 5.0), ("offset_along", 10.0)])
    rotation = CapacityCheck.objects.filter(element=pot, name="Rotation")
    assert set(rotation.values_list("when", flat=True)) == {"now"}
    assert None not in uses(pot, "Movement")


def test_a_bearing_made_to_stand_still_has_no_movement_to_use_up():
    still = dict.fromkeys(
        ("movement_back_mm", "movement_ahead_mm", "movement_left_mm", "movement_right_mm"), 0.0
    )
    pin = device_with("fixed_pin", still, [("offset_along", 1.0), ("offset_across", 0.5)])
    assert not CapacityCheck.objects.filter(element=pin, name__startswith="Movement").exists()
    assert ElementStatus.objects.get(element=pin).deciding is not None
