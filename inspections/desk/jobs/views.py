"""My long jobs, one of them with its progress, its result, and starting it again."""

from __future__ import annotations

from pathlib import PurePath

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from inspections.desk.jobs.access import job_for
from inspections.desk.jobs.told import message_of, progress_words, standing_words, title_of
from inspections.exchange.kinds import KINDS as IMPORTS
from inspections.field.access import VIEW
from inspections.jobs.imports import awaits_confirmation
from inspections.jobs.kinds import KINDS
from inspections.models import Job
from inspections.models.jobs import JobKind, JobState
from inspections.rights import require
from inspections.roles import IMPORT_FOR_ALL
from inspections.selectors.jobs import jobs_to_see, standing_of, standings_of
from inspections.services import jobs as services
from inspections.services.job_files import result_path
from inspections.tables import CONTENT_TYPES

PER_PAGE = 25


@require_safe
@never_cache
def jobs(request: HttpRequest) -> HttpResponse:
    """The user's own jobs, the newest first; staff may look at everybody's."""
    require(request.user, VIEW)
    everybody = request.user.has_perm(IMPORT_FOR_ALL) and request.GET.get("of") == "all"
    rows = jobs_to_see(request.user)
    if not everybody:
        rows = rows.filter(asked_by=request.user)
    page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "standings": [
            (each, title_of(each.job), standing_words(each)) for each in standings_of(page)
        ],
        "everybody": everybody,
    }
    return render(request, "jobs/jobs.html", context)


@require_safe
@never_cache
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """One job: how far it is, or what became of it."""
    found = job_for(request.user, pk)
    standing = standing_of(found)
    context = {
        "job": found,
        "standing": standing,
        "title": title_of(found),
        "message": message_of(found),
        "words": standing_words(standing),
        "progress": progress_words(standing),
        "may_act": request.user.has_perm(KINDS[JobKind(found.kind)].permission),
        "silent_after_min": settings.JOB_SILENT_MIN,
        "awaits_confirmation": awaits_confirmation(found),
        "next_steps": _next_steps(found),
        "more_problems": _more_problems(found),
    }
    return render(request, "jobs/job.html", context)


def _next_steps(job: Job) -> list[tuple[str, str]]:
    """Return where to go on after a file was taken in."""
    if job.kind != JobKind.IMPORT or job.state != JobState.DONE or job.parameters["dry_run"]:
        return []
    return IMPORTS[job.parameters["of"]].steps(job.parameters["options"])


def _more_problems(job: Job) -> int:
    """Return how many problems of a file its page does not show."""
    told = job.told or {}
    return int(told.get("problem_count", 0)) - len(told.get("problems", ()))


@require_safe
@never_cache
def job_state(request: HttpRequest, pk: int) -> JsonResponse:
    """How far a job is, for the page to renew itself by."""
    standing = standing_of(job_for(request.user, pk))
    return JsonResponse(
        {
            "ended": standing.job.has_ended,
            "silent": standing.is_silent,
            "words": standing_words(standing),
            "done": standing.told.done,
            "total": standing.told.total,
        }
    )


@require_safe
def job_result(request: HttpRequest, pk: int) -> FileResponse:
    """The file that a job made, while it is kept."""
    found = job_for(request.user, pk)
    require(request.user, KINDS[JobKind(found.kind)].permission)
    path = result_path(found.pk)
    if not found.result_name or not path.exists():
        raise Http404("The file of this job is no longer kept.")
    response = FileResponse(
        path.open("rb"),
        as_attachment=True,
        filename=found.result_name,
        content_type=CONTENT_TYPES[PurePath(found.result_name).suffix.removeprefix(".")],
    )
    response["Cache-Control"] = "private, no-store"
    return response


@require_POST
def job_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Start a job again that failed or went silent."""
    found = job_for(request.user, pk)
    require(request.user, KINDS[JobKind(found.kind)].permission)
    try:
        services.start_again(job=found)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    return redirect("job", found.pk)
