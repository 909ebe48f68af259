"""How the tablet is answered: always in JSON, with problems it can show."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.db import OperationalError
from django.http import Http404, HttpRequest, JsonResponse
from django.utils.translation import gettext as _

from inspections.accounts.second_factor import DETAIL, is_second_factor_due
from inspections.problems import problem

View = Callable[..., JsonResponse]
logger = logging.getLogger(__name__)


def for_the_tablet(view: View) -> View:
    """Answer in JSON, never by a page: no session, no permission, a database that is busy."""

    @login_not_required
    @wraps(view)
    def checked(request: HttpRequest, *args: Any, **kwargs: Any) -> JsonResponse:
        if not request.user.is_authenticated:
            return problem(
                401, _("Not signed in"), _("Sign in again. What waits stays on this tablet.")
            )
        if is_second_factor_due(request):
            return problem(403, _("Not allowed"), _(DETAIL))
        try:
            return view(request, *args, **kwargs)
        except PermissionDenied:
            return problem(
                403,
                _("Not allowed"),
                _(
                    "This account may not enter readings. Ask an administrator, or sign in as"
                    " another."
                ),
            )
        except Http404:
            return problem(404, _("Not known"), _("It is not there any more. Take along anew."))
        except OperationalError:
            # Locked for too long, or away: no fault of what was sent, which comes again.
            logger.exception("The database did not answer in time.")
            return problem(503, _("Busy"), _("The database is busy. What waits is sent again."))

    return checked
