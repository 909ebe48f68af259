"""The register in the admin site."""

from django.contrib import admin

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

admin.site.site_header = "Bearing and Joint Ledger"
admin.site.site_title = "Bearing and Joint Ledger"
admin.site.index_title = "Register, inspections and settings"

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
