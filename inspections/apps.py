"""Visits, readings and verdicts."""

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    default_auto_field = "django.db.models.BigAutoField"
    name = "inspections"
    verbose_name = "Inspections"

    def ready(self) -> None:
        """Create roles after migrating; follow sign-ins and what changes of the register touch."""
        from django.contrib.auth.signals import user_logged_in
        from django.db.models.signals import post_migrate

        from inspections import checks  # noqa: F401 - registers what they check
        from inspections.accounts.session_store import note_sign_in
        from inspections.roles import ensure_roles
        from inspections.services.attribution import readings_follow_devices
        from inspections.services.judge import judge_bridges
        from inventory.services.changes import subscribe

        post_migrate.connect(ensure_roles, sender=self)
        user_logged_in.connect(note_sign_in)
        subscribe(readings_follow_devices)
        subscribe(judge_bridges)
