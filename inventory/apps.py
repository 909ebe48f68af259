"""The register: what stands where, and what it can take."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy


class InventoryConfig(AppConfig):
    default_auto_field = "django.db.models.BigAutoField"
    name = "inventory"
    verbose_name = gettext_lazy("Register")

    def import_models(self) -> None:
        """Have tables and fields named in the reader's language, before any form is made."""
        super().import_models()
        from inventory.words import name_in_readers_words  # it makes words, which are models' own

        for model in self.models.values():
            name_in_readers_words(model)

    def ready(self) -> None:
        """Have the rules that span rows stand aside while tables are migrated."""
        from django.db.models.signals import post_migrate, pre_migrate

        from inventory import cross_row_rules

        pre_migrate.connect(cross_row_rules.take_down, sender=self)
        post_migrate.connect(cross_row_rules.set_up, sender=self)
