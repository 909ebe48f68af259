"""The page that finishes an order, with what stands at each element afterwards."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from inspections.desk.options.access import WORK
from inspections.desk.work.access import order_for
from inspections.desk.work.forms import FinishForm, finished_initial
from inspections.desk.work.place_forms import place_forms, refused_at
from inspections.models import WorkOrder
from inspections.preferences import system_of
from inspections.refusals import tell
from inspections.selectors.work import RUNNING
from inspections.services.work_done import PlaceRefused, finish_order

CONFLICT = 409


def order_finish(request: HttpRequest, pk: int) -> HttpResponse:
    """Finish an order: the register, the flags and what is due follow in one step."""
    order = order_for(request.user, pk, WORK)
    form = FinishForm(request.POST or None, order=order, initial=finished_initial(order))
    places = place_forms(order, request.POST or None, system_of(request))
    # Each is asked, so that every mistake is told at once.
    asked = [form, *places]
    valid = [each.is_valid() for each in asked]
    if request.method == "POST" and all(valid):
        try:
            _write(request, order, form, places)
        except PlaceRefused as refusal:
            place = next(each for each in places if each.element.pk == refusal.element.pk)
            _tell(form, place, refusal)
        except ValidationError as refusal:
            tell(form, refusal)
        else:
            messages.success(
                request, _("Finished. A proving measurement is due; the first reading proves it.")
            )
            return redirect("order", order.pk)
    return render(
        request,
        "work/finish.html",
        {
            "order": order,
            "form": form,
            "places": places,
            "wrong": any(each.errors for each in asked),
            "is_running": order.state in RUNNING,
        },
        status=200 if order.state in RUNNING else CONFLICT,
    )


def _write(
    request: HttpRequest, order: WorkOrder, form: FinishForm, places: list[forms.Form]
) -> None:
    after = {each.element.pk: each.place() for each in places}
    finish_order(
        order=order,
        user=request.user,
        places={pk: place for pk, place in after.items() if place is not None},
        **form.cleaned_data,
    )


def _tell(form: FinishForm, place: forms.Form, refusal: PlaceRefused) -> None:
    """Put what the register refused at its element; the days are those of the order."""
    of_day, of_field = refused_at(refusal, place)
    for text in of_day:
        form.add_error("finished_at", text)
    for name, told in of_field.items():
        place.add_error(name, told)
