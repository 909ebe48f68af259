"""The list of events, a new one, and the page of one."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from inspections.desk.events.forms import BridgesForm, EventForm, InspectionsForm
from inspections.event_checklists import CAUTION, checklist_of
from inspections.field.access import OPEN_VISIT, VIEW
from inspections.models import AgencySettings, Event, EventBridge
from inspections.paging import RowPaginator
from inspections.preferences import system_of
from inspections.refusals import tell, written
from inspections.rights import require
from inspections.selectors import events as selectors
from inspections.selectors.list_tables import events_table
from inspections.services import events as services
from inspections.tables import table_file
from inventory.zones import zone_words
from movement.event_step import chance_beyond

PLAN = "inspections.plan_visits"
ROWS_A_PAGE = 50
BRIDGES_A_PAGE = 15
MOST_SHOWN = 200


@require_safe
def events(request: HttpRequest) -> HttpResponse:
    """List events, the last first."""
    require(request.user, VIEW)
    page = RowPaginator(selectors.events(), ROWS_A_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "events/events.html",
        {"page": page, "zone": zone_words(timezone.get_current_timezone_name())},
    )


@require_safe
def events_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the list of events."""
    require(request.user, VIEW)
    system = system_of(request)
    return table_file(events_table(system), selectors.events(), system, kind)


def event_new(request: HttpRequest) -> HttpResponse:
    """Record an event: first show the bridges that it may have touched, then save."""
    require(request.user, VIEW, PLAN)
    agency = AgencySettings.current()
    form = EventForm(
        request.POST or None,
        initial={"within_days": round(agency.after_event_days)},
        system=system_of(request),
    )
    shown = None
    if request.method == "POST" and form.is_valid():
        near, unknown = (
            selectors.in_reach(*(form.cleaned_data[name] for name in
                                 ("latitude_deg", "longitude_deg", "radius_km")))
            if form.has_place
            else ([], [])
        )  # fmt: skip
        offered = list(dict.fromkeys([*(each.bridge for each in near), *form.chosen]))
        key = ",".join(str(each) for each in sorted(bridge.pk for bridge in offered))
        left_out = _left_out(request, key)
        chosen = [each for each in offered if each.pk not in left_out]
        if request.POST.get("act") == "save" and request.POST.get("shown", "") != key:
            form.add_error(None, _("These are other bridges than were shown. Look at them first."))
        if request.POST.get("act") == "save" and form.is_valid():
            made = _recorded(request, form, chosen)
            if made is not None:
                messages.success(
                    request,
                    ngettext(
                        "%(name)s is recorded with %(count)s bridge.",
                        "%(name)s is recorded with %(count)s bridges.",
                        len(chosen),
                    )
                    % {"name": made.name, "count": len(chosen)},
                )
                return redirect("event", made.pk)
        else:
            by_code = {
                each.pk: each
                for each in selectors.bridges_with_devices().filter(
                    pk__in=[each.pk for each in form.chosen]
                )
            }
            listed = [selectors.InReach(each, None) for each in by_code.values()]
            inside = {each.bridge.pk for each in near}
            bridges = [*near, *(each for each in listed if each.bridge.pk not in inside)]
            shown = {
                "bridges": bridges,
                "ticks": [each.bridge.pk for each in bridges[:MOST_SHOWN]],
                "left_out": left_out,
                "unknown": unknown,
                "key": key,
            }
    return render(
        request,
        "events/event_new.html",
        {"form": form, "shown": shown, "caution": _(CAUTION), "most": MOST_SHOWN},
    )


@require_safe
def event(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one event: what to look at, its bridges and their visits, the steps found."""
    require(request.user, VIEW)
    return _event(request, get_object_or_404(selectors.events(), pk=pk))


@require_POST
def event_bridges(request: HttpRequest, pk: int) -> HttpResponse:
    """Add bridges by code or district."""
    require(request.user, VIEW, PLAN)
    found = get_object_or_404(selectors.events(), pk=pk)
    form = BridgesForm(request.POST)
    if form.is_valid() and written(
        form, lambda: services.add_bridges(event=found, bridges=form.chosen)
    ):
        return redirect("event", found.pk)
    return _event(request, found, more=form)


@require_POST
def event_remove(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Take a bridge off an event."""
    require(request.user, VIEW, PLAN)
    found = get_object_or_404(EventBridge.objects.select_related("bridge"), pk=row, event_id=pk)
    try:
        services.remove_bridge(row=found)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    return redirect("event", pk)


@require_POST
def event_inspections(request: HttpRequest, pk: int) -> HttpResponse:
    """Open an inspection at each of the bridges that are ticked."""
    require(request.user, VIEW, PLAN, OPEN_VISIT)
    found = get_object_or_404(selectors.events(), pk=pk)
    form = InspectionsForm(request.POST, event=found)
    if form.is_valid():
        values = dict(form.cleaned_data)
        try:
            opened = services.open_inspections(
                event=found, bridges=values.pop("bridge"), user=request.user, **values
            )
        except ValidationError as refusal:
            tell(form, refusal)
        else:
            count = len(opened)
            messages.success(
                request,
                ngettext("%(count)s inspection opened.", "%(count)s inspections opened.", count)
                % {"count": count},
            )
            return redirect("event", found.pk)
    return _event(request, found, opening=form)


def _event(
    request: HttpRequest,
    found: Event,
    more: BridgesForm | None = None,
    opening: InspectionsForm | None = None,
) -> HttpResponse:
    rows = selectors.bridges_after(found)
    page = RowPaginator(rows, BRIDGES_A_PAGE).get_page(request.GET.get("page"))
    agency = AgencySettings.current()
    to_open = [each for each in rows if each.inspection is None]
    return render(
        request,
        "events/event.html",
        {
            "event": found,
            "page": page,
            "summary": selectors.summary_of(rows),
            "compared": selectors.before_and_after(page.object_list),
            "chance_stepped": chance_beyond(agency.out_k),
            "chance_watch": chance_beyond(agency.watch_k),
            "zone": zone_words(timezone.get_current_timezone_name()),
            "checklist": checklist_of(found.kind),
            "caution": _(CAUTION),
            "more": more or BridgesForm(),
            "opening": opening
            or InspectionsForm(event=found, to_open=[each.row.bridge for each in to_open]),
            "to_open": to_open,
            "ticked": [str(each.row.bridge_id) for each in to_open]
            if opening is None
            else opening.data.getlist("bridge"),
            "may_plan": request.user.has_perms([PLAN, OPEN_VISIT]),
        },
    )


def _left_out(request: HttpRequest, key: str) -> set[int]:
    """Return the bridges whose tick was taken away, where these very bridges were shown."""
    if request.POST.get("shown", "") != key:
        return set()
    ticks, ticked = (set(request.POST.getlist(name)) for name in ("offered", "bridge"))
    return {int(each) for each in ticks - ticked if each.isdecimal()}


def _recorded(request: HttpRequest, form: EventForm, chosen: list) -> Event | None:
    values = {name: form.cleaned_data[name] for name in EventForm.Meta.fields}
    try:
        return services.record_event(bridges=chosen, user=request.user, **values)
    except ValidationError as refusal:
        tell(form, refusal)
        return None
