"""Every stored figure has limits, kept by the form's check and by the database behind it."""

import math

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, models, transaction

from inspections.models import (
    AgencySettings,
    AirDay,
    AirTemperature,
    Criterion,
    Event,
    Instrument,
    Interval,
    OptionJudgement,
    Reading,
)
from inspections.models import TemperatureReading as Temperature
from inspections.models.agency import AGENCY_QUANTITIES
from inspections.models.planning import EVENT_QUANTITIES, INTERVAL_QUANTITIES
from inspections.models.readings import SUN, TEMPERATURE, WIND
from inspections.models.visits import ACCURACY
from inspections.models.work import CRITERION_QUANTITIES, JUDGEMENT_QUANTITIES
from inventory.models import (
    BearingDesign,
    Bridge,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    StationYear,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)
from inventory.models.designs import (
    BEARING_COUNTS,
    BEARING_QUANTITIES,
    JOINT_COUNTS,
    JOINT_QUANTITIES,
    RESTRAINT_COUNTS,
    RESTRAINT_QUANTITIES,
)
from inventory.models.element import ELEMENT_QUANTITIES
from inventory.models.installation import INSTALLATION_QUANTITIES
from inventory.models.places import (
    BRIDGE_QUANTITIES,
    STATION,
    UNIT_QUANTITIES,
)
from inventory.models.station_year import STATION_YEAR_QUANTITIES
from inventory.models.temperature_basis import BASIS_QUANTITIES
from inventory.models.unit_details import CONCRETE_QUANTITIES, SECTION_QUANTITIES
from inventory.quantities import Quantity
from tests.rows import valid_row

pytestmark = pytest.mark.django_db

DECLARED = {
    "bridge": (Bridge, BRIDGE_QUANTITIES),
    "basis": (TemperatureBasis, BASIS_QUANTITIES),
    "unit": (Unit, UNIT_QUANTITIES),
    "concrete": (UnitConcrete, CONCRETE_QUANTITIES),
    "section": (UnitSection, SECTION_QUANTITIES),
    "station_year": (StationYear, STATION_YEAR_QUANTITIES),
    "support": (Support, {"station_m": STATION}),
    "element": (Element, ELEMENT_QUANTITIES),
    "installation": (Installation, INSTALLATION_QUANTITIES),
    "bearing": (BearingDesign, BEARING_QUANTITIES | BEARING_COUNTS),
    "joint": (JointDesign, JOINT_QUANTITIES | JOINT_COUNTS),
    "restraint": (RestraintDesign, RESTRAINT_QUANTITIES | RESTRAINT_COUNTS),
    "agency": (AgencySettings, AGENCY_QUANTITIES),
    "instrument": (Instrument, {"accuracy": ACCURACY}),
    "reading": (Reading, {"accuracy": ACCURACY}),
    "temperature": (Temperature, {"temperature_c": TEMPERATURE}),
    "air": (
        AirTemperature,
        {"temperature_c": TEMPERATURE, "sun_w_per_m2": SUN, "wind_m_per_s": WIND},
    ),
    "air_day": (AirDay, {"min_c": TEMPERATURE, "max_c": TEMPERATURE}),
    "interval": (Interval, INTERVAL_QUANTITIES),
    "event": (Event, EVENT_QUANTITIES),
    "criterion": (Criterion, CRITERION_QUANTITIES),
    "option_judgement": (OptionJudgement, JUDGEMENT_QUANTITIES),
}
FIGURES = [
    pytest.param(model, name, quantity, id=f"{prefix}_{name}_bounds")
    for prefix, (model, quantities) in DECLARED.items()
    for name, quantity in quantities.items()
]
REALS = [
    each
    for each in FIGURES
    if isinstance(each.values[0]._meta.get_field(each.values[1]), models.FloatField)
]


def just_outside(model: type[models.Model], name: str, quantity: Quantity) -> list[float]:
    if isinstance(model._meta.get_field(name), models.FloatField):
        return [math.nextafter(quantity.low, -math.inf), math.nextafter(quantity.high, math.inf)]
    return [int(quantity.low) - 1, int(quantity.high) + 1]


def message_at(row: models.Model, name: str) -> str:
    with pytest.raises(ValidationError) as refusal:
        row.full_clean()
    assert name in refusal.value.message_dict, refusal.value.message_dict
    return refusal.value.message_dict[name][0]


@pytest.mark.parametrize(("model", "name", "quantity"), FIGURES)
def test_a_figure_is_taken_at_its_limits_and_refused_at_its_field_just_outside(
    model, name, quantity
):
    row = valid_row(model)
    for value in (quantity.low, quantity.high):
        setattr(row, name, value)
        row.clean_fields()
    for value in just_outside(model, name, quantity):
        setattr(row, name, value)
        assert message_at(row, name)


@pytest.mark.parametrize(("model", "name", "quantity"), FIGURES)
def test_a_figure_just_outside_its_limits_is_refused_by_the_database(model, name, quantity):
    row = valid_row(model)
    for value in just_outside(model, name, quantity):
        # Where a figure also has a rule with another one, or none below 0, that may be told first.
        told = f"{name}_bounds|_rise|_below_|_inside|_has_|: {name}$|{name}_check"
        with pytest.raises(IntegrityError, match=told), transaction.atomic():
            model.objects.filter(pk=row.pk).update(**{name: value})


@pytest.mark.parametrize(("model", "name", "quantity"), REALS)
def test_what_is_not_a_finite_number_is_refused_at_its_field(model, name, quantity):
    row = valid_row(model)
    for value in (math.nan, math.inf, -math.inf):
        setattr(row, name, value)
        assert message_at(row, name) == "Not a finite number. Give a number."


@pytest.mark.parametrize(("model", "name", "quantity"), REALS)
def test_what_is_not_a_finite_number_never_reaches_a_stored_figure(model, name, quantity):
    rows = model.objects.filter(pk=valid_row(model).pk)
    for value in (math.inf, -math.inf):
        with pytest.raises(IntegrityError, match=r"(?i)check constraint"), transaction.atomic():
            rows.update(**{name: value})
    if connection.vendor == "sqlite" and not quantity.required:
        # SQLite has no NaN: it stores "not known", which an optional figure may be.
        rows.update(**{name: math.nan})
        assert rows.values_list(name, flat=True).get() is None
    else:
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.update(**{name: math.nan})
