"""Keys as somebody may send them, by hand or by mistake."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models


def may_be_key(model: type[models.Model], value: Any) -> bool:
    """Return whether a row of a table may have a value as its key; no other is asked for."""
    key = model._meta.pk
    try:
        key.run_validators(key.to_python(value))
    except ValidationError:
        return False
    return True


class RowsField(forms.ModelMultipleChoiceField):
    """Several rows, of which none can have a key that the database cannot hold."""

    def clean(self, value: Any) -> Any:
        """Return the rows; a key that none can have is refused as one that none has."""
        for each in value or ():
            if not may_be_key(self.queryset.model, each):
                raise ValidationError(
                    self.error_messages["invalid_pk_value"], "invalid_pk_value", {"pk": each}
                )
        return super().clean(value)
