"""Rules that span rows: told at a field by the forms, kept by the database for every other door."""

import datetime as dt
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import IntegrityError, connection, models, transaction
from django.db.migrations import AlterField
from django.db.migrations.loader import MigrationLoader

from inventory.cross_row_rules import set_up, take_down
from inventory.models import (
    BearingDesign,
    Drawing,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    Support,
    Unit,
    UnitSection,
)
from inventory.models.choices import EndReason
from inventory.services.installations import replace_installation
from tests.make import (
    make_bridge,
    make_concrete,
    make_element,
    make_section,
    make_support,
    make_unit,
)
from tests.rows import valid_row

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge())


@pytest.fixture
def bearing(unit):
    return make_element(unit, code="B1", station_m=60.0)


def refused(rule: str):
    return pytest.raises(IntegrityError, match=rule)


def new_element(near: Unit, **fields) -> Element:
    """Return an unsaved bearing beside those of the unit, whose device does not exist."""
    support = Support.objects.filter(bridge=near.bridge).first() or make_support(near.bridge)
    values = {
        "bridge": near.bridge,
        "support": support,
        "kind": "bearing",
        "code": "B9",
        "unit": near,
        "station_m": 60.0,
        "current_installation_id": uuid.uuid4(),
    }
    return Element(**values | fields)


def told_at(row, field: str) -> str:
    with pytest.raises(ValidationError) as refusal:
        row.full_clean()
    return refusal.value.message_dict[field][0]


# One device at every place, its own


def test_a_place_without_a_device_is_refused(unit):
    with refused(r"(?i)null"), transaction.atomic():
        Element.objects.bulk_create([new_element(unit, current_installation_id=None)])


def test_a_place_whose_device_does_not_exist_is_refused_when_the_transaction_ends(unit):
    Element.objects.bulk_create([new_element(unit)])
    with refused(r"(?i)foreign key"), transaction.atomic():
        connection.check_constraints()
    Element.objects.filter(code="B9").delete()


def test_a_place_cannot_name_the_device_of_another_place(unit, bearing):
    ended = replaced(bearing)
    other = make_element(unit, code="B2", station_m=60.0)
    with refused("element_current_is_its_own"), transaction.atomic():
        Element.objects.filter(pk=other.pk).update(current_installation=ended)
    with refused("element_current_is_its_own"), transaction.atomic():
        Element.objects.bulk_create([new_element(unit, current_installation_id=ended.pk)])


def test_a_place_cannot_name_a_device_that_has_ended(bearing):
    ended = replaced(bearing)
    with refused("element_current_is_its_own"), transaction.atomic():
        Element.objects.filter(pk=bearing.pk).update(current_installation=ended)


def test_the_current_device_cannot_end_without_a_successor(bearing):
    with refused("element_current_is_its_own"), transaction.atomic():
        Installation.objects.filter(element=bearing).update(
            removed_on=dt.date(2020, 1, 1), end_reason="replaced"
        )


def test_the_device_that_a_place_names_cannot_be_written_at_another_place(unit, bearing):
    place = new_element(unit)
    Element.objects.bulk_create([place])
    with refused("element_current_is_its_own"), transaction.atomic():
        Installation.objects.bulk_create(
            [
                Installation(
                    id=place.current_installation_id,
                    element=bearing,
                    device_type="pot",
                    installed_on=dt.date(2000, 1, 1),
                    removed_on=dt.date(2001, 1, 1),
                    end_reason="replaced",
                )
            ]
        )
    Element.objects.filter(code="B9").delete()


def test_a_device_stays_at_the_place_it_was_installed_at(unit, bearing):
    ended = replaced(bearing)
    other = make_element(unit, code="B2", station_m=60.0)
    with refused("installation_keeps_its_place"), transaction.atomic():
        Installation.objects.filter(pk=ended.pk).update(element=other)


def test_two_devices_do_not_stand_at_one_place_at_a_time(bearing):
    ended = replaced(bearing)
    day_too_many = ended.removed_on + dt.timedelta(days=1)
    with refused("installations_do_not_overlap"), transaction.atomic():
        Installation.objects.filter(pk=ended.pk).update(removed_on=day_too_many)
    ended.removed_on = day_too_many
    assert "stands at this place" in told_at(ended, "installed_on")
    with refused("installations_do_not_overlap"), transaction.atomic():
        Installation.objects.bulk_create(
            [
                Installation(
                    element=bearing,
                    device_type="pot",
                    installed_on=ended.installed_on,
                    removed_on=ended.removed_on,
                    end_reason="replaced",
                )
            ]
        )


def replaced(element: Element) -> Installation:
    """Replace the device of a place; return the one that stood there."""
    before = element.current_installation
    day = dt.date(2020, 5, 4)
    replace_installation(
        element=element,
        ended_on=day,
        end_reason=EndReason.REPLACED,
        installation=Installation(device_type="pot", installed_on=day),
    )
    before.refresh_from_db()
    return before


# Inside its units, on one bridge


@pytest.mark.parametrize("station_m", [-0.5, 100.5])
def test_an_element_outside_its_unit_is_refused(unit, bearing, station_m):
    with refused("element_inside_its_units"), transaction.atomic():
        Element.objects.filter(pk=bearing.pk).update(station_m=station_m)
    with refused("element_inside_its_units"), transaction.atomic():
        Element.objects.bulk_create([new_element(unit, station_m=station_m)])
    bearing.station_m = station_m
    assert "outside unit U1" in told_at(bearing, "station_m")


def test_a_joint_must_lie_on_the_unit_ahead_as_well(unit):
    joint = make_element(unit, "strip_seal")
    ahead = make_unit(
        unit.bridge, "U2", start_station_m=110.0, end_station_m=200.0, fixed_station_m=None
    )
    with refused("element_inside_its_units"), transaction.atomic():
        Element.objects.filter(pk=joint.pk).update(unit_ahead=ahead)
    joint.unit_ahead = ahead
    assert "outside unit U2" in told_at(joint, "station_m")


@pytest.mark.parametrize(("end", "station_m"), [("start_station_m", 61.0), ("end_station_m", 59.0)])
def test_a_unit_cannot_be_cut_short_of_its_elements(bearing, end, station_m):
    unit = bearing.unit
    Unit.objects.filter(pk=unit.pk).update(fixed_station_m=None)
    with refused("element_inside_its_units"), transaction.atomic():
        Unit.objects.filter(pk=unit.pk).update(**{end: station_m})
    unit.refresh_from_db()
    setattr(unit, end, station_m)
    assert "Element B1 at 60 m would lie outside the unit" in told_at(unit, end)


def test_a_unit_may_end_where_its_last_element_stands(bearing):
    bearing.unit.end_station_m = 60.0
    bearing.unit.full_clean()
    bearing.unit.save()
    assert Unit.objects.get(pk=bearing.unit.pk).end_station_m == bearing.station_m


def test_a_drawing_is_of_an_element_of_its_bridge():
    drawing = valid_row(Drawing)
    drawing.element = make_element(make_unit(make_bridge()))
    with pytest.raises(ValidationError) as refusal:
        drawing.full_clean()
    assert [*refusal.value.message_dict] == ["element"]
    with refused("drawing_of_one_bridge"), transaction.atomic():
        drawing.save()


def test_an_element_does_not_leave_its_drawings_behind():
    place, there = valid_row(Drawing).element, make_unit(make_bridge())
    with refused("drawing_of_one_bridge"), transaction.atomic():
        Element.objects.filter(pk=place.pk).update(
            bridge=there.bridge, unit=there, support=make_support(there.bridge)
        )


@pytest.mark.parametrize("name", ["unit", "support"])
def test_an_element_stands_on_its_own_bridge(unit, bearing, name):
    elsewhere = make_bridge()
    foreign = make_unit(elsewhere) if name == "unit" else make_support(elsewhere)
    with refused("element_of_one_bridge"), transaction.atomic():
        Element.objects.filter(pk=bearing.pk).update(**{name: foreign})
    with refused("element_of_one_bridge"), transaction.atomic():
        Element.objects.bulk_create([new_element(unit, **{name: foreign})])
    setattr(bearing, name, foreign)
    assert "belongs to another bridge" in told_at(bearing, name)


def test_a_joint_has_no_unit_of_another_bridge_ahead(unit):
    joint = make_element(unit, "strip_seal")
    foreign = make_unit(make_bridge())
    with refused("element_of_one_bridge"), transaction.atomic():
        Element.objects.filter(pk=joint.pk).update(unit_ahead=foreign)


@pytest.mark.parametrize("name", ["unit", "support"])
def test_a_unit_or_support_does_not_leave_its_elements_behind(bearing, name):
    row, elsewhere = getattr(bearing, name), make_bridge()
    with refused("element_of_one_bridge"), transaction.atomic():
        type(row).objects.filter(pk=row.pk).update(bridge=elsewhere)
    row.bridge = elsewhere
    assert "cannot move to another bridge" in told_at(row, "bridge")


# Devices and capacities of the element's kind


def test_a_device_is_of_its_elements_kind(bearing):
    device = bearing.current_installation
    with refused("device_of_its_kind"), transaction.atomic():
        Installation.objects.filter(pk=device.pk).update(device_type="strip_seal")
    with refused("device_of_its_kind"), transaction.atomic():
        Element.objects.filter(pk=bearing.pk).update(kind="restraint")
    device.device_type = "strip_seal"
    assert "is no bearing" in told_at(device, "device_type")


def test_a_bearing_may_turn_out_to_be_of_another_type(bearing):
    device = bearing.current_installation
    device.device_type = "disc"
    device.full_clean()
    device.save()
    assert Installation.objects.get(pk=device.pk).device_type == "disc"


@pytest.mark.parametrize("design", [JointDesign, RestraintDesign])
def test_a_bearing_has_no_capacities_of_another_kind(bearing, design):
    with refused("design_of_its_kind"), transaction.atomic():
        design.objects.bulk_create([design(installation=bearing.current_installation)])


def test_a_joint_has_no_capacities_of_a_bearing(unit):
    joint = make_element(unit, "finger")
    with refused("design_of_its_kind"), transaction.atomic():
        BearingDesign.objects.bulk_create([BearingDesign(installation=joint.current_installation)])


# Section and concrete that fit the unit's deck


def test_a_section_is_one_of_the_units_deck_type(unit):
    section = make_section(unit)
    with refused("section_fits_deck"), transaction.atomic():
        UnitSection.objects.filter(pk=section.pk).update(section_form="steel_box")
    section.section_form = "steel_box"
    assert "is not for a deck of type" in told_at(section, "section_form")
    concrete_deck = make_unit(unit.bridge, "U2", deck_type="concrete")
    with refused("section_fits_deck"), transaction.atomic():
        make_section(concrete_deck, section_form="composite_girders")


def test_a_steel_unit_has_no_concrete_to_creep_and_shrink(unit):
    steel = make_unit(unit.bridge, "U2", deck_type="steel")
    with refused("concrete_fits_deck"), transaction.atomic():
        make_concrete(steel)
    concrete = make_concrete(unit)
    concrete.unit = steel
    assert "neither creeps nor shrinks" in told_at(concrete, "shortening_rule")


@pytest.mark.parametrize(
    ("make", "deck_type", "rule", "what"),
    [
        (make_section, "concrete", "section_fits_deck", "section"),
        (make_concrete, "steel", "concrete_fits_deck", "concrete"),
    ],
)
def test_a_deck_type_that_section_or_concrete_do_not_fit_is_refused_with_the_way_out(
    unit, make, deck_type, rule, what
):
    make(unit)
    with refused(rule), transaction.atomic():
        Unit.objects.filter(pk=unit.pk).update(deck_type=deck_type)
    unit.deck_type = deck_type
    told = told_at(unit, "deck_type")
    assert f"Its {what} is recorded" in told
    assert f"Remove the {what} from the unit first" in told
    getattr(unit, what).delete()
    unit.full_clean()
    unit.save()


def test_a_composite_unit_with_concrete_may_turn_out_to_be_all_of_concrete(unit):
    make_concrete(unit)
    unit.deck_type = "concrete"
    unit.full_clean()
    unit.save()
    assert Unit.objects.get(pk=unit.pk).deck_type == "concrete"


# How the rules stand


def test_the_rules_stand_again_after_a_migration(bearing):
    take_down()
    Element.objects.filter(pk=bearing.pk).update(station_m=100.5)
    Element.objects.filter(pk=bearing.pk).update(station_m=60.0)
    call_command("migrate", verbosity=0)
    with refused("element_inside_its_units"), transaction.atomic():
        Element.objects.filter(pk=bearing.pk).update(station_m=100.5)


def test_setting_the_rules_up_twice_leaves_one_of_each(bearing):
    set_up()
    set_up()
    take_down()
    Element.objects.filter(pk=bearing.pk).update(station_m=100.5)
    Element.objects.filter(pk=bearing.pk).update(station_m=60.0)
    set_up()


@pytest.mark.django_db(transaction=True)
def test_a_migration_may_rebuild_a_table_while_the_rules_stand_aside():
    before = MigrationLoader(connection).project_state()
    longer, shorter = (
        AlterField("element", "line", models.CharField(max_length=length, blank=True))
        for length in (31, 30)
    )
    after = before.clone()
    longer.state_forwards("inventory", after)
    take_down()
    with connection.schema_editor() as editor:
        longer.database_forwards("inventory", editor, before, after)
    with connection.schema_editor() as editor:
        shorter.database_forwards("inventory", editor, after, before)
    set_up()
    bearing = make_element(make_unit(make_bridge()), station_m=60.0)
    with refused("element_inside_its_units"), transaction.atomic():
        Element.objects.filter(pk=bearing.pk).update(station_m=100.5)
