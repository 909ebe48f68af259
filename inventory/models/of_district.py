"""What every row that belongs to a district has."""

from __future__ import annotations

from collections.abc import Collection

from django.db import models
from django_scopes import scopes_disabled


class OfDistrict(models.Model):
    """A row that belongs to a district by way of what it is about.

    Whether it is unique is asked of all rows: a code that another district took is taken.
    """

    class Meta:
        abstract = True

    def validate_unique(self, exclude: Collection[str] | None = None) -> None:
        """Look for the same values in every district."""
        with scopes_disabled():
            super().validate_unique(exclude)

    def validate_constraints(self, exclude: Collection[str] | None = None) -> None:
        """Look for the same values in every district."""
        with scopes_disabled():
            super().validate_constraints(exclude)
