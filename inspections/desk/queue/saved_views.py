"""Keeping, renaming and removing lists."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inspections.desk.queue.access import SEE
from inspections.models import SavedFilter
from inspections.rights import User, require
from inspections.services import saved_lists

PAGE = "queue"


@require_POST
def save(request: HttpRequest) -> HttpResponse:
    """Keep the present list."""
    require(request.user, SEE)
    query = request.POST.get("query", "")[:600]
    try:
        row = saved_lists.save_list(
            user=request.user, page=PAGE, name=request.POST.get("name", ""), query=query
        )
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        return _back(query)
    messages.success(request, _("The list is kept as «%(name)s».") % {"name": row.name})
    return _back(row.query)


@require_POST
def rename(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a list another name."""
    row = _own(request.user, pk)
    try:
        saved_lists.rename_list(row=row, name=request.POST.get("name", ""))
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    return _back(row.query)


@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a list."""
    row = _own(request.user, pk)
    saved_lists.remove_list(row=row)
    messages.success(request, _("The list «%(name)s» is removed.") % {"name": row.name})
    return _back("")


def _own(user: User, pk: int) -> SavedFilter:
    require(user, SEE)
    return get_object_or_404(SavedFilter, pk=pk, user_id=user.pk, page=PAGE)


def _back(query: str) -> HttpResponse:
    return redirect(f"{reverse('home')}?{query}" if query else "home")
