"""Visits, readings and verdicts."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy


class InspectionsConfig(AppConfig):
    default_auto_field = "django.db.models.BigAutoField"
    name = "inspections"
    verbose_name = gettext_lazy("Inspections")

    def import_models(self) -> None:
        """Have tables and fields named in the reader's language, before any form is made."""
        super().import_models()
        from inventory.words import name_in_readers_words  # it makes words, which are models' own

        for model in self.models.values():
            name_in_readers_words(model)

    def ready(self) -> None:
        """Follow sign-ins and what a change of the register touches."""
        from django.contrib.auth.signals import user_logged_in

        from inspections import checks  # noqa: F401 - registers what they check
        from inspections.accounts.session_store import note_sign_in
        from inspections.services.attribution import readings_follow_devices
        from inspections.services.judge import judge_bridges
        from inventory.services.changes import subscribe

        user_logged_in.connect(note_sign_in)
        subscribe(readings_follow_devices)
        subscribe(judge_bridges)
