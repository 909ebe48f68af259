"""The agency's settings, what a change would do, and saving it."""

from __future__ import annotations

from contextlib import suppress
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from inspections.desk.thresholds.forms import ThresholdForm
from inspections.field.access import VIEW
from inspections.models import AgencySettings
from inspections.models.agency import AGENCY_QUANTITIES
from inspections.rights import require
from inspections.selectors import thresholds as selectors
from inspections.selectors.reassessment import unfinished_reassessment
from inspections.services import thresholds as services
from inventory.decimal_mark import with_mark

CHANGE = "inspections.change_agencysettings"
AT_ONCE = "preview-all"


@require_http_methods(["GET", "HEAD", "POST"])
def thresholds(request: HttpRequest) -> HttpResponse:
    """Show every figure with its history; show what a change would do; save it."""
    require(request.user, VIEW, *([CHANGE] if request.method == "POST" else []))
    form = ThresholdForm(request.POST or None)
    shown = None
    if request.method == "POST" and form.is_valid():
        if request.POST.get("act") == "save":
            if _saved(request, form):
                job = unfinished_reassessment()
                return redirect("job", job.pk) if job else redirect("thresholds")
        else:
            shown = _preview(request, form)
    return render(
        request,
        "thresholds/thresholds.html",
        {
            "form": form,
            "groups": list(form.groups),
            "shown": shown,
            "history": [
                (
                    each,
                    [(_label(name), _shown(was), _shown(now)) for name, was, now in each.figures],
                )
                for each in selectors.history_of_settings()
            ],
            "may_change": request.user.has_perm(CHANGE),
        },
    )


@require_safe
def preview(request: HttpRequest, pk: int) -> HttpResponse:
    """Return what proposed figures would do at one bridge, as a part of the page."""
    require(request.user, VIEW, CHANGE)
    bridge = get_object_or_404(selectors.bridges_to_preview(), pk=pk)
    present = AgencySettings.current()
    data = {name: getattr(present, name) for name in services.FIGURES}
    form = ThresholdForm(data | _as_numbers(request.GET.dict()) | {"based_on": 0})
    if not form.is_valid():
        return HttpResponseBadRequest(form.errors.as_text(), content_type="text/plain")
    told = selectors.preview_of(bridge, present, form.settings, form.names, timezone.localdate())
    return render(request, "thresholds/_bridge.html", {"each": told})


def _saved(request: HttpRequest, form: ThresholdForm) -> bool:
    try:
        names = services.save_settings(
            figures={name: form.cleaned_data[name] for name in services.FIGURES},
            reason=form.cleaned_data["reason"],
            user=request.user,
            based_on=form.cleaned_data["based_on"],
        )
    except ValidationError as refusal:
        form.add_error(None, refusal)
        # Whoever has seen what holds now may save on top of it: what they had not changed
        # themselves is what the other one made of it.
        base = selectors.settings_at(form.cleaned_data["based_on"])
        form.data = request.POST.copy()
        form.data["based_on"] = services.present_version()
        for name in services.FIGURES:
            if form.cleaned_data[name] == getattr(base, name):
                form.data[name] = getattr(form.present, name)
        return False
    messages.success(
        request, _("Saved: %(names)s.") % {"names": ", ".join(_label(name) for name in names)}
    )
    return True


def _preview(request: HttpRequest, form: ThresholdForm) -> dict[str, object] | None:
    names = form.names
    if not names:
        form.add_error(None, _("Nothing is different from what holds now. Change a figure first."))
        return None
    today = timezone.localdate()
    bridges = list(selectors.bridges_to_preview())
    found = selectors.Proposal(form.present, form.settings, names)
    needs = found.moves_bridges
    at_once = needs and request.POST.get("act") == AT_ONCE
    return {
        "names": [(_label(name), _shown(was), _shown(would)) for name, was, would in found.figures],
        "bridges": bridges if needs else [],
        "query": urlencode({name: getattr(form.settings, name) for name in names}),
        "told": [
            selectors.preview_of(each, form.present, form.settings, names, today)
            for each in bridges
        ]
        if at_once
        else [],
        "at_once": at_once,
        "moves": found.queue_moves(today),
    }


def _as_numbers(asked: dict[str, str]) -> dict[str, object]:
    """Return figures of an address, which has a decimal point in every language."""
    found: dict[str, object] = dict(asked)
    for name in AGENCY_QUANTITIES.keys() & asked.keys():
        with suppress(ValueError):
            found[name] = float(asked[name])
    return found


def _label(name: str) -> str:
    quantity = AGENCY_QUANTITIES.get(name)
    return _(quantity.label) if quantity else _("Currency of costs")


def _shown(figure: object) -> str:
    return with_mark(str(figure))
