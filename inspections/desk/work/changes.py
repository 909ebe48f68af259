"""Pages that change an order: its plan and bill, its beginning, its cancelling."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from inspections.desk.options.access import WORK
from inspections.desk.work.access import order_for
from inspections.desk.work.forms import BeginForm, CancelForm, ChangeForm
from inspections.models import WorkOrder
from inspections.refusals import written
from inspections.services import work as services

CHANGED = ("title", "description", "by_whom", "planned_on", "cost_estimate", "cost")


def order_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is planned, or enter what was billed."""
    order = order_for(request.user, pk, WORK)
    form = ChangeForm(
        request.POST or None, initial={name: getattr(order, name) for name in CHANGED}
    )
    return _page(
        request,
        order,
        form,
        lambda: services.change_order(order=order, **form.cleaned_data),
        heading=_("Change %(code)s") % {"code": order.code},
        button=_("Save"),
        done=_("Saved. The earlier figures stay on record."),
    )


def order_begin(request: HttpRequest, pk: int) -> HttpResponse:
    """Note the day on which the work began."""
    order = order_for(request.user, pk, WORK)
    form = BeginForm(request.POST or None, initial={"begun_on": services.today_at(order.bridge)})
    return _page(
        request,
        order,
        form,
        lambda: services.begin_order(order=order, **form.cleaned_data),
        heading=_("Begin %(code)s") % {"code": order.code},
        button=_("The work has begun"),
        done=_("The work has begun."),
    )


def order_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Cancel work that is not finished."""
    order = order_for(request.user, pk, WORK)
    form = CancelForm(request.POST or None)
    return _page(
        request,
        order,
        form,
        lambda: services.cancel_order(order=order, user=request.user, **form.cleaned_data),
        heading=_("Cancel %(code)s") % {"code": order.code},
        button=_("Cancel the order"),
        done=_("Cancelled. Its flags wait for a decision again."),
        about=_(
            "Its flags go back to the queue to be decided on. The order and its decisions stay"
            " on record."
        ),
    )


def _page(
    request: HttpRequest,
    order: WorkOrder,
    form: forms.Form,
    write: Callable[[], object],
    *,
    heading: str,
    button: str,
    done: str,
    about: str = "",
) -> HttpResponse:
    """Show a form of an order, or write what it holds and go back to the order."""
    if request.method == "POST" and form.is_valid() and written(form, write):
        messages.success(request, done)
        return redirect("order", order.pk)
    return render(
        request,
        "work/change.html",
        {"order": order, "form": form, "heading": heading, "button": button, "about": about},
    )
