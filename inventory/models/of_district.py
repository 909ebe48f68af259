"""What every row that belongs to a district has."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import reduce
from operator import and_

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import BaseConstraint, CheckConstraint, Model
from django_scopes import scopes_disabled


class _Checks:
    """The checks of a table, asked of the database in one query where all of them hold."""

    def __init__(self, checks: Sequence[CheckConstraint]) -> None:
        self._checks = checks

    def validate(
        self, model: type[Model], instance: Model, exclude: Collection[str] | None, using: str
    ) -> None:
        """Raise ValidationError with the message of each check that does not hold."""
        known = instance._get_field_expression_map(meta=model._meta, exclude=exclude)
        # As ever, a check that names a field which is left out is not made.
        checks = [
            each for each in self._checks if each.condition.referenced_base_fields <= {*known}
        ]
        if not checks or reduce(and_, (each.condition for each in checks)).check(known, using):
            return
        wrong = []
        for each in checks:
            try:
                each.validate(model, instance, exclude=exclude, using=using)
            except ValidationError as refusal:
                wrong.append(refusal)
        if wrong:
            raise ValidationError(wrong)


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

    def get_constraints(self) -> list[tuple[type[Model], list[BaseConstraint | _Checks]]]:
        """Return the constraints of each table, its checks as one."""
        return [
            (
                model,
                [
                    *(each for each in constraints if not isinstance(each, CheckConstraint)),
                    _Checks([each for each in constraints if isinstance(each, CheckConstraint)]),
                ],
            )
            for model, constraints in super().get_constraints()
        ]

    def validate_constraints(self, exclude: Collection[str] | None = None) -> None:
        """Look for the same values in every district."""
        with scopes_disabled():
            super().validate_constraints(exclude)
