"""Entry of temperatures and readings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import product

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections import wording
from inspections.field.access import ENTER, inspection_for, may_correct
from inspections.field.reading_form import Block, ReadingForm
from inspections.field.temperature_forms import ThermometerForm, temperature_formset
from inspections.form_spec import RODS
from inspections.lookups.field import (
    instruments_in_use,
    known_time,
    neighbours,
    noon_of,
    reads_of,
    temperatures_of,
    walk,
)
from inspections.lookups.stops import Stop
from inspections.models import Reading, Verdict
from inspections.models.choices import InspectionState, ReadingQuantity
from inspections.preferences import system_of
from inspections.selectors.forecast import Forecast, Outlook, last_at_point, outlook
from inspections.services.device_figures import NOT_COMPARED
from inspections.services.readings import NewReading, Recorded, RowsRefused, record
from inventory.models.choices import GapAxis


@dataclass(frozen=True, slots=True)
class PointRow:
    """The inputs of one point, beside what is known of it before it is read."""

    name: str
    inputs: list[BoundField]
    last: Verdict | None
    forecasts: list[Forecast]


def reading_form(request: HttpRequest, pk: int, element_pk: int) -> HttpResponse:
    """Take the readings of one element, and show their verdicts."""
    inspection = inspection_for(request.user, pk, ENTER)
    stops = walk(inspection)
    stop = next((each for each in stops if each.element.pk == element_pk), None)
    if stop is None:
        raise Http404("No device stood at this place in that visit.")
    stop.reads = reads_of(inspection, stop.element)[element_pk]
    stop.rods_said = _rods_said(request)
    at = known_time(inspection)
    form = ReadingForm(
        request.POST or None,
        inspection=inspection,
        stop=stop,
        system=system_of(request),
        initial={"taken_at": at}
        | {f"instrument-{each}": pk for each, pk in instruments_in_use(inspection).items()},
    )
    if request.method == "POST" and form.is_valid():
        try:
            done = record(
                inspection=inspection, readings=form.rows(), temperatures=[], user=request.user
            )
        except (RowsRefused, ValidationError) as refusal:
            form.refuse(refusal)
        else:
            _tell(request, done, _readings_recorded)
            _tell_read_twice(request, stop, form.rows())
            return redirect(request.get_full_path() + "#read")
    before, after = neighbours(stops, element_pk)
    ahead = outlook(
        inspection, stop.installation, _channels(stop, form.is_skewed), at or noon_of(inspection)
    )
    return render(
        request,
        "field/reading_form.html",
        {
            "inspection": inspection,
            "stop": stop,
            "form": form,
            "most_rods": len(RODS),
            "blocks": [(block, _rows(block, ahead)) for block in form.blocks()],
            "outlook": ahead,
            "before": before,
            "after": after,
            "place": _("%(number)s of %(count)s")
            % {"number": stops.index(stop) + 1, "count": len(stops)},
            "is_open": inspection.state == InspectionState.OPEN,
            "may_correct": may_correct(request.user, inspection),
        },
    )


def temperature_form(request: HttpRequest, pk: int) -> HttpResponse:
    """Take several temperatures at once."""
    inspection = inspection_for(request.user, pk, ENTER)
    formset = temperature_formset(
        request.POST or None,
        inspection=inspection,
        at=known_time(inspection),
        system=system_of(request),
    )
    thermometer = ThermometerForm(request.POST or None)
    if request.method == "POST" and formset.is_valid() and thermometer.is_valid():
        try:
            done = record(
                inspection=inspection,
                readings=[],
                temperatures=formset.rows(thermometer.cleaned_data["instrument"]),
                user=request.user,
            )
        except (RowsRefused, ValidationError) as refusal:
            formset.refuse(refusal)
        else:
            _tell(request, done, _temperatures_recorded)
            return redirect(reverse("inspection", args=[pk]) + "#temperatures")
    return render(
        request,
        "field/temperature_form.html",
        {
            "inspection": inspection,
            "formset": formset,
            "thermometer": thermometer,
            "taken": temperatures_of(inspection),
            "may_correct": may_correct(request.user, inspection),
            "is_open": inspection.state == InspectionState.OPEN,
        },
    )


def _rods_said(request: HttpRequest) -> int | None:
    """Return how many rods the inspector counted; what is no count asks for none."""
    said = request.GET.get("rods", "").strip()
    return int(said) if said.isascii() and said.isdigit() and len(said) < 5 else None


def _channels(stop: Stop, skewed: bool) -> Iterable[tuple[str, str, str]]:
    """Return quantity, point and axis of everything that the form may take."""
    for each in stop.fields:
        axes = [""]
        if each.quantity == ReadingQuantity.GAP:
            axes = [*GapAxis.values] if skewed else [GapAxis.SQUARE.value]
        for point, axis in product(stop.offered(each), axes):
            yield each.quantity.value, point, axis


def _rows(block: Block, ahead: Outlook) -> list[PointRow]:
    quantity = block.spec.quantity
    return [
        PointRow(
            point,
            inputs,
            last_at_point(ahead, quantity, point),
            [
                forecast
                for key, forecast in ahead.forecasts.items()
                if (key.quantity, key.point) == (quantity, point) and quantity not in NOT_COMPARED
            ],
        )
        for point, inputs in block.points
    ]


def _readings_recorded(count: int) -> str:
    words = ngettext("%(count)s reading recorded.", "%(count)s readings recorded.", count)
    return words % {"count": count}


def _temperatures_recorded(count: int) -> str:
    words = ngettext("%(count)s temperature recorded.", "%(count)s temperatures recorded.", count)
    return words % {"count": count}


def _tell_read_twice(request: HttpRequest, stop: Stop, rows: list[NewReading]) -> None:
    """Name the points that were read at another hour as well: a paper may repeat a tablet."""
    before = defaultdict(list)
    for read in stop.reads:
        before[_point_of(read.first)].append(read.first)
    twice = {
        wording.name_of(earlier[0]): None
        for row in rows
        if (earlier := before[_point_of(row)])
        and row.taken_at not in {each.taken_at for each in earlier}
    }
    if twice:
        words = _(
            "Read at another hour of this visit as well: %(points)s. Both count. If it is one"
            " measurement entered twice, set one aside by «Correct» beside it."
        )
        messages.info(request, words % {"points": "; ".join(twice)})


def _point_of(row: Reading | NewReading) -> tuple[str, str, str]:
    return row.quantity, row.point, row.axis


def _tell(request: HttpRequest, done: Recorded, recorded: Callable[[int], str]) -> None:
    if done.added:
        messages.success(request, recorded(done.added))
    if done.already_there:
        words = ngettext(
            "%(count)s stands in the ledger already, the same.",
            "%(count)s stand in the ledger already, the same.",
            done.already_there,
        )
        messages.info(request, words % {"count": done.already_there})
