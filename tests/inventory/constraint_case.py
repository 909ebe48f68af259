"""A rule of a row, and a saved row with the change that breaks it."""

import dataclasses
from collections.abc import Callable
from typing import Any

from django.db import models

from tests.rows import valid_row

Broken = tuple[models.Model, dict[str, Any]]


@dataclasses.dataclass(frozen=True)
class Case:
    """A saved row, the change that breaks one rule of it, and the field that tells it."""

    constraint: str
    field: str
    make: Callable[[], Broken]


def change(model: type[models.Model], **changes: Any) -> Callable[[], Broken]:
    return lambda: (valid_row(model), changes)


def second_of(model: type[models.Model], name: str, other: Any) -> Callable[[], Broken]:
    """Return a copy of a row that differs in one field, to be made equal in it.

    A callable makes the other value, as where it is a row itself.
    """

    def make() -> Broken:
        row = valid_row(model)
        first = getattr(row, name)
        row.pk = None
        row._state.adding = True
        setattr(row, name, other() if callable(other) else other)
        row.save()
        return row, {name: first}

    return make
