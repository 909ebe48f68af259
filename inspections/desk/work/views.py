"""The list of work orders, a new one, and the page of one."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from inspections.desk.options.access import WORK
from inspections.desk.work.access import Asked, asked_for, order_for
from inspections.desk.work.forms import OrderForm, chosen_initial, ordered_initial
from inspections.field.access import VIEW
from inspections.models import AgencySettings, OptionStudy, WorkOrder
from inspections.models.desk_choices import WorkState
from inspections.order_filter import OrderFilter
from inspections.paging import RowPaginator
from inspections.preferences import system_of
from inspections.refusals import tell
from inspections.rights import require
from inspections.selectors import work as selectors
from inspections.selectors.list_tables import orders_table
from inspections.services import work as services
from inspections.tables import table_file

ROWS_A_PAGE = 50
MOST_BRIDGES = 50


@require_safe
def orders(request: HttpRequest) -> HttpResponse:
    """List work orders with the totals of their costs, newest first."""
    require(request.user, VIEW)
    found = OrderFilter(request.GET, queryset=selectors.orders())
    estimated, billed = selectors.sums(found.qs)
    return render(
        request,
        "work/orders.html",
        {
            "filter": found,
            "narrowed": found.form.is_valid() and found.narrowed,
            "page": RowPaginator(found.qs, ROWS_A_PAGE).get_page(request.GET.get("page")),
            "estimated": estimated,
            "billed": billed,
            "currency": AgencySettings.current().currency,
            "today": timezone.localdate(),
            "running": selectors.RUNNING,
            "nothing_yet": not WorkOrder.objects.exists(),
        },
    )


@require_safe
def orders_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the list of work orders as it is narrowed."""
    require(request.user, VIEW)
    found = OrderFilter(request.GET, queryset=selectors.orders())
    today = timezone.localdate()
    table = orders_table(AgencySettings.current().currency, today)
    return table_file(table, found.qs, system_of(request), kind)


def order_new(request: HttpRequest) -> HttpResponse:
    """Order work at one bridge, on several of its flags at once."""
    asked = asked_for(
        request.user,
        request.GET.get("bridge", ""),
        request.GET.getlist("flag"),
        request.GET.getlist("element"),
    )
    if asked is None:
        bridges = selectors.bridges_to_mend(MOST_BRIDGES)
        return render(request, "work/order_from.html", {"bridges": bridges})
    form = OrderForm(
        request.POST or None,
        bridge=asked.bridge,
        elements=asked.elements,
        initial=_initial(request, asked),
    )
    if request.method == "POST" and form.is_valid():
        try:
            made = services.order_work(bridge=asked.bridge, user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            tell(form, refusal)
        else:
            messages.success(request, _("%(code)s is ordered.") % {"code": made.code})
            return redirect("order", made.pk)
    return render(
        request,
        "work/order_new.html",
        {"form": form, "bridge": asked.bridge, "nothing": not _anything(form)},
    )


@require_safe
def order(request: HttpRequest, pk: int) -> HttpResponse:
    """One order: what was found, what was decided, its costs and days, and what proves it."""
    found = order_for(request.user, pk)
    today = services.today_at(found.bridge)
    places = selectors.places_of(found, system_of(request))
    return render(
        request,
        "work/order.html",
        {
            "order": found,
            "places": places,
            "to_prove": found.state == WorkState.FINISHED
            and any(place.proved_by is None for place in places),
            "is_running": found.state in selectors.RUNNING,
            "is_overdue": found.state in selectors.RUNNING
            and found.planned_on is not None
            and found.planned_on < today,
            "life": [state for state in WorkState if state != WorkState.CANCELLED],
            "currency": AgencySettings.current().currency,
            "may_work": request.user.has_perm(WORK),
        },
    )


def _initial(request: HttpRequest, asked: Asked) -> dict[str, object]:
    places = [flag.element for flag in asked.flags] + asked.elements
    codes = selectors.codes_of(places)
    study = _study(request, asked)
    return (chosen_initial(study) if study else {}) | {
        # Two causes at one element are mended by one piece of work.
        "flags": selectors.to_mend_beside(asked.flags),
        "elements": [each.pk for each in asked.elements],
        "title": codes[:160],
        "ordered_on": ordered_initial(asked.bridge),
        "study": study,
    }


def _study(request: HttpRequest, asked: Asked) -> OptionStudy | None:
    """Return the study of the bridge that an order comes from, if one was named."""
    pk = request.GET.get("study", "")
    if not (pk.isascii() and pk.isdigit() and len(pk) < 19):
        return None
    return selectors.studies_of(asked.bridge).filter(pk=int(pk)).first()


def _anything(form: OrderForm) -> bool:
    """Return whether there is anything to tick."""
    return "elements" in form.fields or form.fields["flags"].queryset.exists()
