"""A user's own choices."""

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from inspections.models import Preference
from inventory.units import System


@transaction.atomic
def choose_units(*, user: AbstractBaseUser, units: str) -> Preference:
    """Keep the units that a user wants to see.

    Raises
    ------
    ValidationError
        If there is no such system of units.
    """
    return _kept(user, units=units)


@transaction.atomic
def choose_language(*, user: AbstractBaseUser, language: str) -> Preference:
    """Keep the language that a user reads.

    Raises
    ------
    ValidationError
        If the product does not speak it.
    """
    return _kept(user, language=language)


def _kept(user: AbstractBaseUser, **chosen: str) -> Preference:
    preference = Preference.objects.filter(user=user).first() or Preference(
        user=user, units=System.SI
    )
    for name, value in chosen.items():
        setattr(preference, name, value)
    preference.full_clean()
    preference.save()
    return preference
