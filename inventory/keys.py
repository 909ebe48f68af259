"""Keys as somebody may send them, by hand or by mistake."""

from __future__ import annotations

from typing import Any

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
