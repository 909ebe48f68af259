"""Visits, readings and verdicts."""

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    default_auto_field = "django.db.models.BigAutoField"
    name = "inspections"
    verbose_name = "Inspections"

    def ready(self) -> None:
        """Follow what a change of the register touches."""
        from inspections import checks  # noqa: F401 - registers what they check
        from inspections.services.attribution import readings_follow_devices
        from inspections.services.judge import judge_bridges
        from inventory.services.changes import subscribe

        subscribe(readings_follow_devices)
        subscribe(judge_bridges)
