"""The register in the admin site."""

from inventory.admin.designs import BearingDesignAdmin, JointDesignAdmin, RestraintDesignAdmin
from inventory.admin.elements import ElementAdmin
from inventory.admin.installations import InstallationAdmin
from inventory.admin.places import (
    BridgeAdmin,
    DistrictAdmin,
    SupportAdmin,
    TemperatureBasisAdmin,
)
from inventory.admin.stations import StationYearAdmin
from inventory.admin.units import UnitAdmin, UnitConcreteAdmin, UnitSectionAdmin

__all__ = [
    "BearingDesignAdmin",
    "BridgeAdmin",
    "DistrictAdmin",
    "ElementAdmin",
    "InstallationAdmin",
    "JointDesignAdmin",
    "RestraintDesignAdmin",
    "StationYearAdmin",
    "SupportAdmin",
    "TemperatureBasisAdmin",
    "UnitAdmin",
    "UnitConcreteAdmin",
    "UnitSectionAdmin",
]
