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
    preference = Preference.objects.filter(user=user).first() or Preference(
        user=user, units=System.SI
    )
    preference.units = units
    preference.full_clean()
    preference.save()
    return preference
