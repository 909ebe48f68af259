"""The columns of the register's file, derived from the tables that they fill.

A column is declared by its field: label, unit, limits, words and whether it is needed are
those of the field and its Quantity and stand nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db import models

from inventory.exchange.cells import Cell, Choice, Day, Number, Text, Whole
from inventory.models import (
    BearingDesign,
    Bridge,
    District,
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
    UNIT_QUANTITIES,
)
from inventory.models.places import STATION as ALONG
from inventory.models.station_year import STATION_YEAR_QUANTITIES
from inventory.models.temperature_basis import BASIS_QUANTITIES
from inventory.models.unit_details import CONCRETE_QUANTITIES, SECTION_QUANTITIES

FORMAT = "ledger-register/1"
RECORD = "record"


class Record(StrEnum):
    """What a row of the file is, as its first column says."""

    DISTRICT = "district"
    BRIDGE = "bridge"
    UNIT = "unit"
    SUPPORT = "support"
    ELEMENT = "element"
    INSTALLATION = "installation"
    STATION_YEAR = "station_year"


MODELS: dict[Record, tuple[type[models.Model], ...]] = {
    # the table a row stands for, then those that hold more of its columns
    Record.DISTRICT: (District,),
    Record.BRIDGE: (Bridge, TemperatureBasis),
    Record.UNIT: (Unit, UnitConcrete, UnitSection),
    Record.SUPPORT: (Support,),
    Record.ELEMENT: (Element,),
    Record.INSTALLATION: (Installation, BearingDesign, JointDesign, RestraintDesign),
    Record.STATION_YEAR: (StationYear,),
}


def code_column(what: str) -> str:
    """Return the column of a code, whether it names the row itself or another that it refers to."""
    return f"{what}_code"


BRIDGE_CODE = code_column(Record.BRIDGE)
ELEMENT_CODE = code_column(Record.ELEMENT)
STATION = "station"
KEYS = {
    # columns that together name a row
    Record.DISTRICT: (code_column(Record.DISTRICT),),
    Record.BRIDGE: (BRIDGE_CODE,),
    Record.UNIT: (BRIDGE_CODE, code_column(Record.UNIT)),
    Record.SUPPORT: (BRIDGE_CODE, code_column(Record.SUPPORT)),
    Record.ELEMENT: (BRIDGE_CODE, ELEMENT_CODE),
    Record.INSTALLATION: (BRIDGE_CODE, ELEMENT_CODE, "installed_on"),
    Record.STATION_YEAR: (STATION, "year"),
}
QUANTITIES = {
    Bridge: BRIDGE_QUANTITIES,
    TemperatureBasis: BASIS_QUANTITIES,
    Unit: UNIT_QUANTITIES,
    UnitConcrete: CONCRETE_QUANTITIES,
    UnitSection: SECTION_QUANTITIES,
    Support: {"station_m": ALONG},
    Element: ELEMENT_QUANTITIES,
    Installation: INSTALLATION_QUANTITIES,
    BearingDesign: BEARING_QUANTITIES | BEARING_COUNTS,
    JointDesign: JOINT_QUANTITIES | JOINT_COUNTS,
    RestraintDesign: RESTRAINT_QUANTITIES | RESTRAINT_COUNTS,
    StationYear: STATION_YEAR_QUANTITIES,
}
_NOT_COLUMNS = {"id", "current_installation"}
_NAMES = {
    (TemperatureBasis, "method"): "basis_method",
    (TemperatureBasis, "climate"): "basis_climate",
    (TemperatureBasis, "source"): "basis_source",
}
_OF_WHAT = {
    TemperatureBasis: "Design temperature basis: ",
    UnitConcrete: "Concrete: ",
    UnitSection: "Section: ",
    BearingDesign: "Bearings: ",
    JointDesign: "Joints: ",
    RestraintDesign: "Restraints: ",
}
PART = {TemperatureBasis: "basis", UnitConcrete: "concrete", UnitSection: "section"}
"""Tables that a bridge's or unit's row may leave empty as a whole, and what people call them."""
_NOTES = {
    (Element, "unit"): "Whose movement a bearing or restraint sees; at a joint the one behind it,"
    " towards the start of the bridge.",
    (Element, "unit_ahead"): "Joints, and restraints that tie two units across a hinge or a"
    " joint. Of a joint at an abutment one of the two units is empty.",
    (StationYear, "station"): "As bridges name it in air_station.",
    (StationYear, "year"): "Complete years alone.",
    (Installation, "installed_on"): "One device follows the other at a place.",
    (Installation, "removed_on"): "Empty for the device that stands there now.",
}


@dataclass(frozen=True, slots=True)
class Column:
    """One column as the rows of one record use it."""

    name: str
    record: Record
    field: models.Field[Any, Any]
    cell: Cell

    @property
    def model(self) -> type[models.Model]:
        """Return the table it is kept in."""
        return self.field.model

    @property
    def attribute(self) -> str:
        """Return the field's name there."""
        return self.field.name

    @property
    def is_key(self) -> bool:
        """True if it is part of what names the row."""
        return self.name in KEYS[self.record]

    @property
    def is_reference(self) -> bool:
        """True if it names a row of another record."""
        return self.field.is_relation

    @property
    def needed(self) -> bool:
        """True if each row of the record must fill it."""
        if self.is_key:
            return True
        its_own_table = self.model is MODELS[self.record][0]
        return its_own_table and not self.field.blank and not self.field.has_default()

    @property
    def needed_in_part(self) -> bool:
        """True if it must be filled where any column of its part is."""
        return self.model in PART and not self.field.blank and not self.field.has_default()

    @property
    def when_empty(self) -> Any:
        """Return what an empty cell stores."""
        if self.field.has_default():
            return self.field.get_default()
        is_text = isinstance(self.field, models.CharField | models.TextField)
        return "" if is_text and not self.field.null else None

    @property
    def meaning(self) -> str:
        """Return label, help and the words or limits of the column."""
        label = str(self.field.verbose_name).partition(" [")[0]
        if self.is_reference or (self.is_key and self.attribute == "code"):
            label = f"Code of the {label if self.is_reference else self.record}"
        note = _NOTES.get((self.model, self.attribute), "")
        if self.needed_in_part:
            note = f"Needed if any other column of the {PART[self.model]} is filled."
        parts = [f"{_OF_WHAT.get(self.model, '')}{label}.", note, str(self.field.help_text)]
        if isinstance(self.cell, Choice):
            parts.append(f"One of: {', '.join(self.cell.words)}.")
        quantity = QUANTITIES.get(self.model, {}).get(self.attribute)
        if quantity is not None:
            parts.append(f"From {quantity.low:.10g} to {quantity.high:.10g}.")
        if isinstance(self.cell, Day):
            parts.append("As 2024-06-01.")
        if self.field.has_default() and self.when_empty != "":
            parts.append(f"Empty: {self.cell.write(self.when_empty)}.")
        return " ".join(part for part in parts if part)

    def written(self, row: models.Model) -> str:
        """Return the cell of a stored row."""
        value = getattr(row, self.attribute)
        return self.cell.write(getattr(value, "code", value) if self.is_reference else value)


def _cell(field: models.Field[Any, Any]) -> Cell:
    quantity = QUANTITIES.get(field.model, {}).get(field.name)
    if isinstance(field, models.FloatField) and quantity is not None:
        return Number(quantity)
    if field.choices:
        return Choice({str(word): str(label) for word, label in field.flatchoices if word})
    if isinstance(field, models.DateField):
        return Day()
    if isinstance(field, models.IntegerField):
        return Whole()
    return Text()


def _name(model: type[models.Model], field: models.Field[Any, Any], record: Record) -> str:
    if field.is_relation:
        return code_column(field.name)
    if field.name == "code":
        return code_column(record)
    return _NAMES.get((model, field.name), field.name)


def _columns() -> list[Column]:
    return [
        Column(_name(model, field, record), record, field, _cell(field))
        for record, its_models in MODELS.items()
        for model in its_models
        for field in model._meta.concrete_fields
        if field.name not in _NOT_COLUMNS and field.related_model not in its_models
    ]


_OF_PLACE = Element._meta.get_field("bridge")
COLUMNS = [
    *_columns(),
    # A device is named by its place, and a place by its bridge.
    Column(BRIDGE_CODE, Record.INSTALLATION, _OF_PLACE, Text()),
]
OF_RECORD: dict[Record, dict[str, Column]] = {
    record: {each.name: each for each in COLUMNS if each.record == record} for record in Record
}
NAMES = list(
    dict.fromkeys([*dict.fromkeys(name for key in KEYS.values() for name in key[:2]),
                   *(each.name for each in COLUMNS)])
)  # fmt: skip
"""Every column's name beside ``record``, in the order in which they are written."""


def column_of(record: Record, model: type[models.Model], attribute: str) -> Column | None:
    """Return the column that a field of a record's row is filled from."""
    try:
        field = model._meta.get_field(attribute)
    except FieldDoesNotExist:
        return None
    return next((each for each in OF_RECORD[record].values() if each.field == field), None)
