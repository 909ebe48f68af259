"""Lists that a user keeps under a name."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.core.validators import ProhibitNullCharactersValidator
from django.db import transaction
from django.http import QueryDict
from django.utils.translation import gettext as _

from inspections.models import SavedFilter

NOT_KEPT = ("page", "csrfmiddlewaretoken")
"""Parameters of an address that belong to one look at a list."""


@transaction.atomic
def save_list(*, user: AbstractBaseUser, page: str, name: str, query: str) -> SavedFilter:
    """Keep a list as it is narrowed and sorted; a name that is known takes the new list."""
    kept = QueryDict(query, mutable=True)
    for each in NOT_KEPT:
        kept.pop(each, None)
    name = _checked(name)
    row = SavedFilter.objects.filter(user=user, page=page, name=name).first()
    row = row or SavedFilter(user=user, page=page, name=name)
    row.query = kept.urlencode()
    return _kept(row)


@transaction.atomic
def rename_list(*, row: SavedFilter, name: str) -> SavedFilter:
    """Give a kept list another name."""
    row.name = _checked(name)
    return _kept(row)


@transaction.atomic
def remove_list(*, row: SavedFilter) -> None:
    """Forget a kept list; what it shows stays."""
    row.delete()


def _checked(name: str) -> str:
    name = name.strip()
    if not name:
        raise ValidationError({"name": _("Give the list a name.")})
    ProhibitNullCharactersValidator()(name)
    return name


def _kept(row: SavedFilter) -> SavedFilter:
    row.full_clean()
    row.save()
    return row
