"""The intervals of a bridge and its elements, with their history."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inspections.desk.plan.forms import EndIntervalForm, IntervalForm
from inspections.desk.plan.shown import whys_shown
from inspections.desk.plan.visit_views import PLAN
from inspections.field.access import VIEW
from inspections.lookups.plan_due import agency_months
from inspections.models import AgencySettings, Interval
from inspections.models.choices import InspectionKind
from inspections.plan_days import day_at
from inspections.rights import User, only_in, require
from inspections.selectors import plan as selector
from inspections.selectors.intervals import changes_of_intervals
from inspections.services.intervals import end_interval, set_interval
from inventory.models import Bridge

MOST_CHANGES = 50


def bridge_for(user: User, code: str, *permissions: str) -> Bridge:
    """Return a bridge to a user who may see its plan and do what is asked."""
    require(user, VIEW, *permissions)
    bridge = get_object_or_404(Bridge.objects.select_related("district"), code=code)
    only_in(bridge.district_id)
    return bridge


def intervals(request: HttpRequest, code: str) -> HttpResponse:
    """Show the intervals of a bridge; set one."""
    posted = request.method == "POST"
    bridge = bridge_for(request.user, code, *([PLAN] if posted else []))
    form = IntervalForm(request.POST if posted else None, bridge=bridge)
    if posted and form.is_valid():
        try:
            set_interval(bridge=bridge, **form.cleaned_data, user=request.user)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, _("Interval set. What is due was reckoned anew."))
            return redirect("bridge-intervals", code)
    return _page(request, bridge, form=form)


@require_POST
def interval_end(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """End an interval, so that the agency's stands again."""
    bridge = bridge_for(request.user, code, PLAN)
    interval = get_object_or_404(Interval, bridge=bridge, pk=pk)
    form = EndIntervalForm(request.POST, auto_id=f"end_{pk}_%s")
    if not form.is_valid():
        return _page(request, bridge, ending=(pk, form))
    end_interval(interval=interval, **form.cleaned_data, user=request.user)
    messages.success(request, _("Ended. The agency's interval stands again."))
    return redirect("bridge-intervals", code)


def _page(
    request: HttpRequest,
    bridge: Bridge,
    *,
    form: IntervalForm | None = None,
    ending: tuple[int, EndIntervalForm] | None = None,
) -> HttpResponse:
    months = agency_months(AgencySettings.current())
    rows = Interval.objects.filter(bridge=bridge).select_related("element")
    asked, refused = ending or (None, None)
    today = day_at(timezone.now(), bridge.time_zone)
    return render(
        request,
        "plan/intervals.html",
        {
            "bridge": bridge,
            "form": form or IntervalForm(bridge=bridge),
            "intervals": [
                (row, refused if row.pk == asked else EndIntervalForm(auto_id=f"end_{row.pk}_%s"))
                for row in rows
            ],
            "asked": asked,
            "routine_months": months[InspectionKind.ROUTINE],
            "in_depth_months": months[InspectionKind.IN_DEPTH],
            "changes": changes_of_intervals().filter(bridge=bridge)[:MOST_CHANGES],
            "whys": whys_shown(selector.due().filter(bridge=bridge), today),
            "has_elements": bridge.elements.exists(),
        },
    )
