"""The order of a day's bridges along the least straight way."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from inspections.desk.plan.forms import RouteForm
from inspections.field.access import VIEW
from inspections.preferences import system_of
from inspections.rights import require
from inspections.routing import Place, least_way
from inspections.selectors import plan as selector
from inspections.wording_plan import distance_words
from inventory.decimal_mark import decimal_mark
from inventory.models import Bridge

MOST_STOPS = 30
COORDINATES = re.compile(r"\s*(-?\d{1,2}(?:\.\d+)?)\s*[,; ]\s*(-?\d{1,3}(?:\.\d+)?)\s*", re.ASCII)
_COMMA = re.compile(r"(?<=\d),(?=\d)")


@dataclass(frozen=True, slots=True)
class StopShown:
    """A bridge on the way, and the straight way to it from the stop before."""

    bridge: Bridge
    leg: str


@require_safe
def day_route(request: HttpRequest) -> HttpResponse:
    """Show the order in which to visit some bridges, or those of a day."""
    require(request.user, VIEW)
    asked = request.GET.copy()
    if ticked := asked.getlist("bridge"):
        asked["codes"] = ", ".join(filter(None, [*ticked, asked.get("codes")]))
    form = RouteForm(asked or None)
    bridges: list[Bridge] = []
    start: Place | None = None
    if form.is_bound and form.is_valid():
        bridges = _bridges(form)
        start = _start(form)
    placed = [each for each in bridges if _place(each) is not None]
    route = least_way([_place(each) for each in placed], start) if not form.errors else None
    system = system_of(request)
    return render(
        request,
        "plan/route.html",
        {
            "form": form,
            "asked": form.is_bound and not form.errors,
            "stops": [
                StopShown(placed[row], distance_words(leg, system))
                for row, leg in zip(route.order, route.legs_km, strict=True)
            ]
            if route
            else [],
            "without_place": [each for each in bridges if _place(each) is None],
            "route": route,
            "start": start,
            "total": distance_words(route.total_km, system) if route else "",
            "back": distance_words(route.back_km, system) if route else "",
        },
    )


def _place(bridge: Bridge) -> Place | None:
    if bridge.latitude_deg is None or bridge.longitude_deg is None:
        return None
    return bridge.latitude_deg, bridge.longitude_deg


def _bridges(form: RouteForm) -> list[Bridge]:
    """Return the bridges that were named and those of the day's visits, each once."""
    asked = form.cleaned_data
    codes = [each.strip() for each in asked["codes"].split(",") if each.strip()]
    named = {each.code: each for each in Bridge.objects.filter(code__in=codes)}
    if unknown := [code for code in codes if code not in named]:
        form.add_error(
            "codes",
            _("No bridge has the code %(names)s. Check the spelling, capitals too.")
            % {"names": ", ".join(f"«{each}»" for each in unknown)},
        )
    found = {each.pk: each for each in named.values()}
    if asked["day"]:
        plans = selector.standing(selector.planned()).filter(planned_on=asked["day"])
        if asked["who"]:
            plans = selector.of_user(plans, asked["who"])
        found |= {each.bridge_id: each.bridge for each in plans}
    elif asked["who"]:
        form.add_error("day", _("Give the day whose visits are meant."))
    if not found and not form.errors and not asked["day"]:
        form.add_error("codes", _("Name bridges here, or give a day with visits."))
    if len(found) > MOST_STOPS:
        form.add_error(
            "codes",
            _("%(count)s bridges are more than a day holds. Name %(most_stops)s at most.")
            % {"count": len(found), "most_stops": MOST_STOPS},
        )
    return list(found.values())


def _start(form: RouteForm) -> Place | None:
    text = form.cleaned_data["start"].strip()
    if not text:
        return None
    if bridge := Bridge.objects.filter(code=text).first():
        if _place(bridge) is None:
            form.add_error(
                "start",
                _("%(text)s has no coordinates. Give latitude and longitude.") % {"text": text},
            )
        return _place(bridge)
    found = COORDINATES.fullmatch(text)
    if found is None and decimal_mark() == ",":
        found = COORDINATES.fullmatch(_COMMA.sub(".", text))
    place = (float(found[1]), float(found[2])) if found else None
    if place is None or abs(place[0]) > 90 or abs(place[1]) > 180:
        form.add_error(
            "start",
            _(
                "«%(text)s» is neither a bridge nor a latitude and longitude in degrees, north"
                " and east positive. Write 47.05, 8.31."
            )
            % {"text": text},
        )
        return None
    return place
