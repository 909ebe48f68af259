"""What every page needs to know: its reader's units, and what is still to be judged again."""

from django.contrib.auth import get_user_model
from django.db.models import Subquery
from django.http import HttpRequest

from inspections.selectors.reassessment import StillToJudge, newest_waiting, still_to_judge
from inventory.units import System


def _known(request: HttpRequest) -> tuple[str | None, int | None]:
    """Return the user's units and the job that judges again, both in one query a page."""
    if not hasattr(request, "_known"):
        users = get_user_model().objects.filter(pk=request.user.pk)
        request._known = (
            users.values_list("preference__units", Subquery(newest_waiting()[:1])).first()
            if request.user.is_authenticated
            else None
        ) or (None, None)
    return request._known


def system_of(request: HttpRequest) -> System:
    """Return the units that the user chose, metric where nobody has."""
    return System(_known(request)[0] or System.SI)


def units(request: HttpRequest) -> dict[str, System | StillToJudge | None]:
    """Context processor: ``unit_system`` for the quantity tag, ``still_to_judge`` to be told."""
    if not hasattr(request, "user"):
        return {"unit_system": System.SI}
    job_id = _known(request)[1]
    return {
        "unit_system": system_of(request),
        "still_to_judge": still_to_judge(job_id) if job_id else None,
    }
