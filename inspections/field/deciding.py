"""What is decided about what came home: which value counts, who has seen it, how it is rated."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inspections.field.access import (
    ENTER,
    critical_to_see,
    inspection_for,
    may_correct,
    reading_to_correct,
)
from inspections.field.forms import RatingForm
from inspections.field.views import inspection_answer
from inspections.services.critical import mark_seen
from inspections.services.ratings import rate
from inspections.services.sign_off import set_aside
from inventory.decimal_mark import with_mark


@require_POST
def reading_set_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Let one of two values count no longer."""
    reading = reading_to_correct(request.user, pk)
    try:
        set_aside(reading=reading, reason=request.POST.get("reason", "")[:240], user=request.user)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        told = _("%(typed)s is set aside; it stays on record.")
        messages.success(request, told % {"typed": with_mark(reading.typed)})
    return redirect(reverse("inspection", args=[reading.inspection_id]) + "#rivals")


@require_POST
def critical_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that an engineer has seen a critical finding."""
    finding = critical_to_see(request.user, pk)
    mark_seen(finding=finding, user=request.user)
    return redirect(reverse("inspection", args=[finding.inspection_id]) + "#critical")


@require_POST
def rating_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Rate the bearings or joints of a bridge as this inspection found them."""
    inspection = inspection_for(request.user, pk, ENTER)
    if not may_correct(request.user, inspection):
        raise PermissionDenied
    form = RatingForm(request.POST)
    if form.is_valid():
        try:
            rating = rate(inspection=inspection, user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(
                request,
                _("%(item)s rated %(code)s.")
                % {"item": rating.get_item_display(), "code": rating.get_code_display()},
            )
            return redirect(reverse("inspection", args=[pk]) + "#ratings")
    return inspection_answer(request, inspection, rating_form=form)
