"""The register: what stands where, and what it can take."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    default_auto_field = "django.db.models.BigAutoField"
    name = "inventory"
    verbose_name = "Register"

    def ready(self) -> None:
        """Have the rules that span rows stand aside while tables are migrated."""
        from django.db.models.signals import post_migrate, pre_migrate

        from inventory import cross_row_rules

        pre_migrate.connect(cross_row_rules.take_down, sender=self)
        post_migrate.connect(cross_row_rules.set_up, sender=self)
