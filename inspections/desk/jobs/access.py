"""Fetches of jobs with the permission inside."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from inspections.field.access import VIEW
from inspections.models import Job
from inspections.rights import User, require
from inspections.selectors.jobs import jobs_to_see


def job_for(user: User, pk: int) -> Job:
    """Return a job to whoever may see it; to others there is none."""
    require(user, VIEW)
    return get_object_or_404(jobs_to_see(user), pk=pk)
