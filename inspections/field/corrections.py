"""Corrections of readings and temperatures: the old row stays, the new one names it."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from inspections.field.access import reading_to_correct, temperature_to_correct
from inspections.field.correction_forms import CorrectionForm, TemperatureCorrectionForm
from inspections.field.temperature_forms import SHADE, SUN
from inspections.form_spec import FIELDS
from inspections.models import Reading, TemperatureReading
from inspections.preferences import system_of
from inspections.services.readings import correct_reading, correct_temperature


def reading_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Append a correction of a reading."""
    reading = reading_to_correct(request.user, pk)
    spec = FIELDS[reading.quantity]
    form = CorrectionForm(
        request.POST or None,
        dimension=spec.dimension,
        limits=(spec.low, spec.high),
        system=system_of(request),
    )

    def correct() -> None:
        value = form.cleaned_data["value"]
        correct_reading(
            reading=reading,
            value=value.value,
            typed=value.typed,
            reason=form.cleaned_data["reason"],
            user=request.user,
        )

    page = reverse("inspection", args=[reading.inspection_id])
    return _corrected(
        request,
        "field/reading_correct.html",
        reading,
        form,
        correct,
        f"{page}#element-{reading.element_id}",
    )


def temperature_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Append a correction of a temperature."""
    temperature = temperature_to_correct(request.user, pk)
    form = TemperatureCorrectionForm(
        request.POST or None,
        system=system_of(request),
        initial={"exposure": SUN if temperature.sunlit else SHADE},
    )

    def correct() -> None:
        value = form.cleaned_data["value"]
        correct_temperature(
            temperature=temperature,
            temperature_c=value.value,
            sunlit=form.cleaned_data["exposure"] == SUN,
            typed=value.typed,
            reason=form.cleaned_data["reason"],
            user=request.user,
        )

    page = reverse("inspection", args=[temperature.inspection_id])
    return _corrected(
        request,
        "field/temperature_correct.html",
        temperature,
        form,
        correct,
        f"{page}#temperatures",
    )


def _corrected(
    request: HttpRequest,
    template: str,
    row: Reading | TemperatureReading,
    form: CorrectionForm,
    correct: Callable[[], None],
    back: str,
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            correct()
        except ValidationError as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("Corrected. The old value stays, struck through."))
            return redirect(back)
    context = {
        "row": row,
        "inspection": row.inspection,
        "form": form,
        "newer": getattr(row, "corrected_by", None),
        "back": back,
    }
    return render(request, template, context)
