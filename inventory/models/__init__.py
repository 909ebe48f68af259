"""The register's tables."""

from inventory.models.choices import DeviceType, ElementKind
from inventory.models.designs import BearingDesign, JointDesign, RestraintDesign
from inventory.models.drawing import Drawing
from inventory.models.element import Element
from inventory.models.installation import Installation
from inventory.models.inventory_told import InventoryTold
from inventory.models.places import Bridge, District, Support, Unit
from inventory.models.station_year import StationYear
from inventory.models.temperature_basis import TemperatureBasis
from inventory.models.unit_details import UnitConcrete, UnitSection

DESIGN_OF_KIND = {
    ElementKind.BEARING: BearingDesign,
    ElementKind.JOINT: JointDesign,
    ElementKind.RESTRAINT: RestraintDesign,
}

__all__ = [
    "DESIGN_OF_KIND",
    "BearingDesign",
    "Bridge",
    "DeviceType",
    "District",
    "Drawing",
    "Element",
    "ElementKind",
    "Installation",
    "InventoryTold",
    "JointDesign",
    "RestraintDesign",
    "StationYear",
    "Support",
    "TemperatureBasis",
    "Unit",
    "UnitConcrete",
    "UnitSection",
]
