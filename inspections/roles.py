"""The four roles and what each may do in the districts where it is held."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext_noop as _

from inventory.words import TextWords


class Role(TextWords):
    """What somebody is in a district."""

    INSPECTOR = "inspector", _("Inspector")
    ENGINEER = "engineer", _("Engineer")
    MANAGER = "manager", _("Manager")
    ADMINISTRATOR = "administrator", _("Administrator")


MANAGE_PEOPLE = "inspections.manage_people"
SEE_CHANGES = "inspections.see_changes"
IMPORT_FOR_ALL = "inspections.import_for_all"

_VIEW = (
    "inventory.view_bridge",
    "inventory.view_element",
    "inspections.view_inspection",
    "inspections.view_verdict",
)
_REGISTER = (
    "district",
    "bridge",
    "temperaturebasis",
    "unit",
    "unitconcrete",
    "unitsection",
    "stationyear",
    "support",
    "element",
    "installation",
    "bearingdesign",
    "jointdesign",
    "restraintdesign",
    "drawing",
)
_SHARED = ("inventory.district", "inventory.stationyear", "inspections.instrument",
           "inspections.agencysettings")  # fmt: skip


def _write(*models_: str) -> Iterator[str]:
    """Give the permissions to see, add and change; nothing of the register is deleted."""
    for each in models_:
        app, model = each.split(".")
        yield from (f"{app}.{act}_{model}" for act in ("view", "add", "change"))


PERMISSIONS: dict[Role, frozenset[str]] = {
    Role.INSPECTOR: frozenset({*_VIEW, "inspections.add_inspection", "inspections.add_reading"}),
    Role.ENGINEER: frozenset(
        {
            *_VIEW,
            "inspections.add_inspection",
            "inspections.add_reading",
            "inspections.review_inspection",
            "inspections.print_report",
            "inspections.import_files",
            IMPORT_FOR_ALL,
            SEE_CHANGES,
            "inspections.decide_flag",
            "inspections.plan_visits",
            "inspections.manage_work",
            "inspections.write_plain_page",
            *_write(*(f"inventory.{model}" for model in _REGISTER)),
            *_write("inspections.instrument", "inspections.agencysettings"),
            "inspections.view_reading",
            "inspections.view_temperaturereading",
            "inspections.view_airtemperature",
            "inspections.view_airday",
        }
    ),
    Role.MANAGER: frozenset(
        {*_VIEW, SEE_CHANGES, "inspections.print_report", "inspections.write_plain_page"}
    ),
    Role.ADMINISTRATOR: frozenset({*_VIEW, SEE_CHANGES, MANAGE_PEOPLE}),
}

FOR_ALL_DISTRICTS = frozenset(
    {IMPORT_FOR_ALL, *(each for each in _write(*_SHARED) if ".view_" not in each)}
)
"""What touches every district, so that only a role held for all of them allows it."""
