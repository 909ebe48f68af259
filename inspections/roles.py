"""The three roles and what each may do."""

from django.apps import apps
from django.contrib.auth.management import create_permissions
from django.contrib.auth.models import Group, Permission

INSPECTOR = "inspector"
ENGINEER = "engineer"
MANAGER = "manager"

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
)


def _write(app: str, *models: str) -> tuple[str, ...]:
    """Return the permissions to see, add and change; nothing of the register is deleted."""
    return tuple(f"{app}.{act}_{model}" for model in models for act in ("view", "add", "change"))


ROLES = {
    INSPECTOR: (*_VIEW, "inspections.add_inspection", "inspections.add_reading"),
    ENGINEER: (
        *_VIEW,
        "inspections.add_inspection",
        "inspections.add_reading",
        "inspections.review_inspection",
        "inspections.print_report",
        "inspections.import_files",
        "inspections.decide_flag",
        "inspections.plan_visits",
        "inspections.manage_work",
        "inspections.write_plain_page",
        *(
            f"inventory.{action}_{model}"
            for model in _REGISTER
            for action in ("view", "add", "change")
        ),
        *(
            f"inspections.{action}_{model}"
            for model in ("instrument", "agencysettings")
            for action in ("view", "add", "change")
        ),
        "inspections.view_reading",
        "inspections.view_temperaturereading",
        "inspections.view_airtemperature",
        "inspections.view_airday",
    ),
    MANAGER: (*_VIEW, "inspections.print_report", "inspections.write_plain_page"),
}


def ensure_roles(**_kwargs: object) -> None:
    """Create the three groups with just these permissions; run after every migration."""
    for label in ("inventory", "inspections"):
        create_permissions(apps.get_app_config(label), verbosity=0)
    by_name = {
        f"{permission.content_type.app_label}.{permission.codename}": permission
        for permission in Permission.objects.select_related("content_type").filter(
            content_type__app_label__in=("inventory", "inspections")
        )
    }
    for role, names in ROLES.items():
        group, _ = Group.objects.get_or_create(name=role)
        group.permissions.set([by_name[name] for name in names])
