"""Rows belong to a district, and a query sees those of the districts it is made for.

What is asked by a person (a page, the API, a job) is narrowed to that person's districts before
anything is read; what nobody asked for (commands, judging) says that it sees all. A query made
under neither fails, so that what was forgotten shows nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from contextlib import AbstractContextManager
from functools import wraps
from typing import Any

from django.db import models
from django_scopes import ScopedManager, scope, scopes_disabled
from django_scopes.manager import DisabledQuerySet
from django_scopes.state import get_scope, state

DISTRICT = "district"


def of_district(path: str) -> models.Manager:
    """Return a manager that sees the rows of the districts in scope; ``path`` leads to them."""
    manager = ScopedManager(**{DISTRICT: path})
    manager.district_path = path
    return manager


def changes_of(model: type[models.Model]) -> models.QuerySet:
    """Return the past states of the rows of a model that belong to the districts in scope."""
    rows, seen = model.history.all(), districts_seen()
    if seen is None or not hasattr(model.objects, "district_path"):
        return rows
    # The key of a past state is its own; that of the row stands in a column.
    path = model.objects.district_path.replace("pk", "id")
    return rows.filter(**{f"{path}__in": seen})


def of_districts(
    narrow: Callable[[models.QuerySet, list[int]], models.QuerySet],
) -> models.Manager:
    """Return a manager of rows that may concern several districts; ``narrow`` says which ones."""

    class Manager(models.Manager):
        def get_queryset(self) -> models.QuerySet:
            seen, rows = get_scope(), super().get_queryset()
            if seen and not seen["_enabled"]:
                return rows
            if DISTRICT not in seen:
                return DisabledQuerySet(self.model, using=self._db, missing_scopes={DISTRICT})
            return rows if seen[DISTRICT] is None else narrow(rows, seen[DISTRICT])

    return Manager()


def see_only(districts: Collection[int] | None) -> None:
    """See these districts from here to the end of the enclosing scope; None is all of them."""
    state.set({"_enabled": True, DISTRICT: None if districts is None else [*districts]})


def see_all() -> None:
    """See every district from here on: for a process that nobody asks anything of."""
    state.set({"_enabled": False})


def districts_seen() -> list[int] | None:
    """Return the ids of the districts in scope; None where all of them are."""
    return get_scope().get(DISTRICT)


def same_scope() -> Callable[[], AbstractContextManager[None]]:
    """Return what opens the scope of now again, for what is read after its end."""
    seen = districts_seen() if DISTRICT in get_scope() else []
    return lambda: scope(**{DISTRICT: seen})


def seeing_all(function: Callable[..., Any]) -> Callable[..., Any]:
    """Make a function that derives rows from rows see every district, whoever set it off."""

    @wraps(function)
    def wrapped(*args: Any, **kwargs: Any) -> Any:
        with scopes_disabled():
            return function(*args, **kwargs)

    return wrapped
