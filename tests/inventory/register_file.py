"""Register files for tests: made from rows, exported, and a register emptied for them."""

import csv
import io

from django.db import connection

from inspections.models import (
    CapacityCheck,
    Due,
    ElementHistory,
    ElementStatus,
    Explanation,
    UnitDiagnosis,
)
from inventory.exchange.register_csv import import_register, write_register
from inventory.models import (
    DESIGN_OF_KIND,
    Bridge,
    District,
    Element,
    Installation,
    StationYear,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)

TABLES = (
    *DESIGN_OF_KIND.values(),
    Installation,
    Element,
    Support,
    UnitConcrete,
    UnitSection,
    Unit,
    TemperatureBasis,
    Bridge,
    District,
    StationYear,
)

DISTRICT = {"record": "district", "district_code": "N", "name": "North"}
BRIDGE = {"record": "bridge", "district_code": "N", "bridge_code": "N-1", "name": "Mill Lane"}
UNIT = {
    "record": "unit",
    "bridge_code": "N-1",
    "unit_code": "U1",
    "deck_type": "steel",
    "start_station_m": "0",
    "end_station_m": "84",
    "expansion_per_c": "12e-6",
}
SUPPORT = {
    "record": "support",
    "bridge_code": "N-1",
    "support_code": "A2",
    "kind": "abutment",
    "station_m": "84",
}
JOINT = {
    "record": "element",
    "bridge_code": "N-1",
    "unit_code": "U1",
    "support_code": "A2",
    "element_code": "J2",
    "kind": "joint",
    "station_m": "84",
}
SEAL = {
    "record": "installation",
    "bridge_code": "N-1",
    "element_code": "J2",
    "device_type": "strip_seal",
    "installed_on": "2011-05-17",
    "opening_min_mm": "10",
    "opening_max_mm": "80",
}
WHOLE = (DISTRICT, BRIDGE, UNIT, SUPPORT, JOINT, SEAL)


def file_of(*rows: dict[str, str], delimiter: str = ",") -> str:
    """Return a file with the columns that its rows name."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    stream = io.StringIO(newline="")
    writer = csv.DictWriter(stream, names, restval="", lineterminator="\n", delimiter=delimiter)
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()


def take(*rows: dict[str, str], **options):
    """Import a file of some rows."""
    return import_register(text_or_file=file_of(*rows), **options)


def exported(bridges=None) -> str:
    """Return the register's file."""
    stream = io.StringIO(newline="")
    write_register(stream, bridges)
    return stream.getvalue()


def empty_the_register() -> None:
    """Delete all of it; a place and its device hold each other, so below the models."""
    for model in (Due, ElementStatus, CapacityCheck, ElementHistory, Explanation, UnitDiagnosis):
        model.objects.all().delete()
    with connection.cursor() as cursor:
        for model in TABLES:
            cursor.execute(f"DELETE FROM {model._meta.db_table}")  # noqa: S608 - our own table names


def history_rows() -> int:
    """Return how many changes of the register are on record."""
    return sum(model.history.count() for model in TABLES)
