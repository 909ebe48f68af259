"""Whose change it is, where no request tells: a job, a command, a service called by another."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from types import SimpleNamespace
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import models
from simple_history.models import HistoricalRecords


@contextmanager
def changes_by(user: AbstractBaseUser | None) -> Iterator[None]:
    """Name somebody in the history of all that is written within; None leaves who was named."""
    if user is None:
        yield
        return
    context = HistoricalRecords.context
    before = getattr(context, "request", None)
    context.request = SimpleNamespace(user=user)
    try:
        yield
    finally:
        if before is None:
            del context.request
        else:
            context.request = before


def by_user(service: Callable[..., Any]) -> Callable[..., Any]:
    """Make a service that is given its ``user`` name them in the history of what it writes."""

    @wraps(service)
    def signed(*args: Any, **kwargs: Any) -> Any:
        with changes_by(kwargs.get("user")):
            return service(*args, **kwargs)

    return signed


@contextmanager
def kept_with_the_row(row: models.Model) -> Iterator[None]:
    """Leave what is written within to the history of the row's next save, as one change."""
    row.skip_history_when_saving = True
    try:
        yield
    finally:
        del row.skip_history_when_saving
