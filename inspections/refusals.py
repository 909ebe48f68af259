"""What a service refused, told where it was entered."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError


def tell(form: forms.BaseForm, refusal: ValidationError) -> None:
    """Put each message at its field, above the form where it has none there."""
    told = refusal.error_dict if hasattr(refusal, "error_dict") else {NON_FIELD_ERRORS: refusal}
    for name, problems in told.items():
        form.add_error(name if name in form.fields else None, problems)


def written(form: forms.BaseForm, write: Callable[[], object]) -> bool:
    """Write what a valid form holds; a refusal is told in it, and then it is False."""
    try:
        write()
    except ValidationError as refusal:
        tell(form, refusal)
        return False
    return True
