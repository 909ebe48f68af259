"""The user's units, for templates and pages."""

from django.http import HttpRequest

from inspections.models import Preference
from inventory.units import System


def system_of(request: HttpRequest) -> System:
    """Return the units that the user chose, metric where nobody has."""
    if not hasattr(request, "_unit_system"):
        row = (
            Preference.objects.filter(user=request.user).first()
            if request.user.is_authenticated
            else None
        )
        request._unit_system = System(row.units) if row else System.SI
    return request._unit_system


def units(request: HttpRequest) -> dict[str, System]:
    """Context processor: ``unit_system`` for the quantity tag."""
    return {"unit_system": system_of(request) if hasattr(request, "user") else System.SI}
