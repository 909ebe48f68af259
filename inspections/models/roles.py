"""Who is what, and where."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from simple_history.models import HistoricalRecords

from inspections.roles import Role
from inventory.models import District


class HeldRole(models.Model):
    """A role that somebody holds in one district, or in all of them."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="held_roles")
    role = models.CharField(gettext_lazy("Role"), max_length=14, choices=Role)
    district = models.ForeignKey(
        District,
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        help_text=gettext_lazy("Empty: every district, also those to come."),
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["user", "role", "district"]
        permissions = [
            ("manage_people", "Can invite people and give out roles"),
            ("import_for_all", "Can import what touches every district"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=Role.values), name="held_role_known"),
            models.UniqueConstraint(
                fields=["user", "role", "district"],
                name="held_role_once_a_district",
                violation_error_message=gettext_lazy("This role is held there already."),
            ),
            models.UniqueConstraint(
                fields=["user", "role"],
                condition=Q(district__isnull=True),
                name="held_role_once_for_all",
                violation_error_message=gettext_lazy(
                    "This role is held for all districts already."
                ),
            ),
        ]

    def __str__(self) -> str:
        where = (
            _("district %(code)s") % {"code": self.district.code}
            if self.district
            else _("all districts")
        )
        return f"{self.get_role_display()}, {where}"
