"""Rows of the register as label and text: only what is filled, in the user's units."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import models

from inventory.decimal_mark import with_mark
from inventory.models import (
    BearingDesign,
    Bridge,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    TemperatureBasis,
    Unit,
)
from inventory.models.designs import BEARING_QUANTITIES, JOINT_QUANTITIES, RESTRAINT_QUANTITIES
from inventory.models.element import ELEMENT_QUANTITIES
from inventory.models.installation import INSTALLATION_QUANTITIES
from inventory.models.places import BRIDGE_QUANTITIES, UNIT_QUANTITIES
from inventory.models.temperature_basis import BASIS_QUANTITIES
from inventory.quantities import Quantity
from inventory.units import Dimension, System, shown
from inventory.words import translated, word_of
from inventory.zones import zone_words

QUANTITIES_OF: dict[type[models.Model], dict[str, Quantity]] = {
    BearingDesign: BEARING_QUANTITIES,
    JointDesign: JOINT_QUANTITIES,
    RestraintDesign: RESTRAINT_QUANTITIES,
    Installation: INSTALLATION_QUANTITIES,
    Bridge: BRIDGE_QUANTITIES,
    Element: ELEMENT_QUANTITIES,
    Unit: UNIT_QUANTITIES,
    TemperatureBasis: BASIS_QUANTITIES,
}
HEAD_OF_BRIDGE = (
    "district", "carries", "crosses", "main_material", "year_built", "length_m",
    "largest_span_m", "skew_deg", "latitude_deg", "longitude_deg", "altitude_m", "time_zone",
    "air_station", "inventory_state_code", "inventory_number", "remarks",
)  # fmt: skip
BASIS = ("method", "climate", "map_min_c", "map_max_c", "shade_air_min_c", "shade_air_max_c",
         "return_period_years", "surfacing_rule", "entered_min_c", "entered_max_c",
         "reference_temperature_c", "source")  # fmt: skip
PLACE = ("kind", "line", "unit", "unit_ahead", "station_m", "skew_deg", "axis_angle_deg")
ACCESS = ("access", "replaceable", "replaceable_why", "jacking_points")
DEVICE = ("device_type", "installed_on", "maker", "lot", "remarks")
SETTING = (
    "setting_source",
    "setting_temperature_c",
    "setting_gap_mm",
    "setting_gap_axis",
    "setting_offset_along_mm",
    "setting_offset_across_mm",
    "setting_tilt_deg",
    "setting_rotation_mrad",
)
_ONLY_WITH = {
    # a choice that has a default, and the figure without which it says nothing
    "setting_gap_axis": "setting_gap_mm",
    "opening_axis": "opening_max_mm",
}
_SIGNED = ("offset", "tilt", "rotation")


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that the register knows."""

    label: str
    text: str
    help: str = ""
    is_choice: bool = False


def facts_of(row: models.Model, names: Iterable[str], system: System) -> list[Fact]:
    """Return the filled ones of some fields of a row, in the order asked for."""
    quantities = QUANTITIES_OF.get(type(row), {})
    found = []
    for name in names:
        value = getattr(row, name)
        needs = _ONLY_WITH.get(name)
        if value in (None, "") or (needs and getattr(row, needs) is None):
            continue
        field = row._meta.get_field(name)
        quantity = quantities.get(name)
        if isinstance(field, models.FloatField) and quantity is not None:
            signed = name.startswith("setting_") and any(part in name for part in _SIGNED)
            text = quantity_text(quantity, value, system, sign=signed)
            label, _, _advice = quantity.label.partition(", empty")
            found.append(Fact(translated(label), text, translated(quantity.help)))
        else:
            text = word_of(row, name) if field.choices else _plain(value)
            text = zone_words(text) if name == "time_zone" else text
            label = _capital(str(field.verbose_name))
            found.append(Fact(label, text, is_choice=bool(field.choices)))
    return found


def capacities_of(design: models.Model | None, system: System) -> list[Fact]:
    """Return the filled capacities of a device, in the order of their declaration."""
    if design is None:
        return []
    names = [
        field.name
        for field in design._meta.concrete_fields
        if field.name not in ("id", "installation")
    ]
    return facts_of(design, names, system)


def quantity_text(quantity: Quantity, value: float, system: System, sign: bool = False) -> str:
    """Return a value of a declared quantity with its unit; one that no system changes as it is."""
    try:
        dimension = Dimension(quantity.unit)
    except ValueError:
        return with_mark(f"{value:g}\u202f{translated(quantity.unit)}")
    if dimension is Dimension.COUNT:
        return with_mark(f"{value:g}")
    return shown(value, dimension, system, sign)


def _plain(value: object) -> str:
    return f"{value:%Y-%m-%d}" if isinstance(value, dt.date) else str(value)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
