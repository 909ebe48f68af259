"""What a tablet takes along for one inspection: ``ledger-packet/1``.

Everything that a crew sees on site is in it: elements in walking order, what is read on each,
last values, limits, and the five numbers that give expected value and band at any temperature.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db.models import Count, Exists, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone

from inspections.criteria import CRITERIA, NEXT_STEPS, STATES, defects_of
from inspections.event_checklists import checklist_of
from inspections.lookups.field import inspection_sheet
from inspections.lookups.stops import Stop
from inspections.models import AgencySettings, Condition, Inspection, Instrument, Photo
from inspections.models.choices import (
    InspectionState,
    LeftOutReason,
    TemperaturePlace,
)
from inspections.rights import roles_of
from inspections.selectors.packet_channels import channels_of
from inventory.models import Element
from inventory.models.choices import ElementKind
from inventory.units import System
from inventory.words import translated
from movement.expected import BAND_K

FORMAT = "ledger-packet/1"
PHOTOS_AN_ELEMENT = 4
MOST_OF_NOBODY = 200
"""Inspections that a list to choose from holds at most, beside the user's own."""


def inspections_to_take(user: AbstractBaseUser) -> tuple[list[dict[str, Any]], bool]:
    """Return the open inspections that a user leads or belongs to, or that nobody is named for.

    Of the latter, which may be those of a whole country, the ``MOST_OF_NOBODY`` newest, and whether
    there are more.
    """
    crews = Inspection.crew.through.objects
    rows = Inspection.objects.filter(state=InspectionState.OPEN)
    of_user = rows.filter(
        Q(lead=user) | Q(pk__in=crews.filter(user=user).values("inspection"))
    ).values_list("pk", flat=True)
    of_nobody = (
        rows.filter(~Exists(crews.filter(inspection=OuterRef("pk"))), lead__isnull=True)
        .order_by("-date", "bridge__code")
        .values_list("pk", flat=True)[: MOST_OF_NOBODY + 1]
    )
    free = list(of_nobody)
    elements = (
        Element.objects.filter(bridge=OuterRef("bridge"))
        .order_by()
        .values("bridge")
        .annotate(count=Count("pk"))
        .values("count")
    )
    listed = (
        Inspection.objects.filter(pk__in=[*of_user, *free[:MOST_OF_NOBODY]])
        .select_related("bridge")
        .annotate(element_count=Coalesce(Subquery(elements), 0))
        .order_by("-date", "bridge__code")
    )
    heads = [_head(row, user) | {"elements": row.element_count} for row in listed]
    return heads, len(free) > MOST_OF_NOBODY


def user_record(user: AbstractBaseUser) -> dict[str, Any]:
    """Return who is signed in."""
    return {
        "id": user.pk,
        "name": user.get_username(),
        "roles": roles_of(user),
    }


def packet_of(
    inspection: Inspection, user: AbstractBaseUser, system: System, build: str
) -> dict[str, Any]:
    """Return the packet of an inspection; numbers in the stored units, null where unknown."""
    agency = AgencySettings.current()
    stops = inspection_sheet(inspection).stops
    channels = channels_of(inspection, stops, agency)
    more = _beside(inspection)
    used = {code for stop in stops for code in defects_of(stop.installation.device_type)}
    return {
        "format": FORMAT,
        "made_at": timezone.now().isoformat(),
        "build": build,
        "user": user_record(user),
        "units": system.value,
        "inspection": _head(inspection, user) | {"time_zone": inspection.bridge.time_zone},
        "thresholds": {
            "band_k": BAND_K,
            "watch_k": agency.watch_k,
            "out_k": agency.out_k,
            "watch_use": agency.watch_use,
        },
        "temperature": {
            "window_h": agency.temperature_window_h,
            "u_surfaces_k": agency.u_surfaces_k,
            "u_shaded_surface_k": agency.u_shaded_surface_k,
            "u_shade_air_k": agency.u_shade_air_k,
            "units": [
                {"id": unit.pk, "code": unit.code, "deck_share": unit.deck_share}
                for unit in inspection.bridge.units.order_by("start_station_m")
            ],
            "taken": _temperatures(inspection),
            "places": [
                {"code": place.value, "label": place.label}
                for place in TemperaturePlace
                if place != TemperaturePlace.EMBEDDED
            ],
        },
        "instruments": [
            {
                "id": each.pk,
                "code": each.code,
                "name": each.name,
                "dimension": each.dimension,
                "accuracy": each.accuracy,
            }
            for each in Instrument.objects.order_by("code")
        ],
        "stops": _by_support(stops, channels, more),
        "defects": {
            str(code.value): {"label": code.label}
            | dict(zip(map(str.lower, STATES), map(translated, CRITERIA[code]), strict=True))
            for code in sorted(used)
        },
        "left_out_reasons": [
            {"code": reason.value, "label": reason.label} for reason in LeftOutReason
        ],
        "critical": {"next_steps": [translated(step) for step in NEXT_STEPS]},
        "checklist": _checklist(inspection),
    }


def _temperatures(inspection: Inspection) -> list[dict[str, Any]]:
    """Return the temperatures that the visit has on record, by whichever tablet."""
    rows = inspection.temperatures.filter(corrected_by__isnull=True).order_by("taken_at", "pk")
    return [
        {
            "record_uid": str(row.record_id) if row.record_id else None,
            "unit": row.unit_id,
            "place": row.place,
            "sunlit": row.sunlit,
            "temperature_c": row.temperature_c,
            "taken_at": row.taken_at.isoformat(),
        }
        for row in rows
    ]


def _head(inspection: Inspection, user: AbstractBaseUser) -> dict[str, Any]:
    return {
        "id": inspection.pk,
        "bridge_code": inspection.bridge.code,
        "bridge_name": inspection.bridge.name,
        "date": inspection.date.isoformat(),
        "kind": inspection.get_kind_display(),
        "team": inspection.team,
        "state": inspection.state,
        "is_lead": inspection.lead_id in (None, user.pk),
    }


def _beside(inspection: Inspection) -> dict[str, dict[int, list[dict[str, Any]]]]:
    """Return by element what else is known: conditions, photos, and what this visit has read."""
    conditions: dict[tuple[int, int], dict[str, Any]] = {}
    rows = Condition.objects.filter(inspection__bridge_id=inspection.bridge_id)
    for row in rows.select_related("inspection").order_by("inspection__date", "pk"):
        conditions[row.element_id, row.defect] = {
            "defect": row.defect,
            **{name: getattr(row, name) for name in ("cs1", "cs2", "cs3", "cs4", "total")},
            "remark": row.remark,
            "date": row.inspection.date.isoformat(),
            "is_of_visit": row.inspection_id == inspection.pk,
        }
    found: dict[str, dict[int, list[dict[str, Any]]]] = {
        name: defaultdict(list) for name in ("conditions", "photos", "readings")
    }
    for (element_id, _), record in conditions.items():
        found["conditions"][element_id].append(record)
    photos = Photo.objects.filter(element__bridge_id=inspection.bridge_id)
    for photo in photos.order_by("-taken_at"):
        kept = found["photos"][photo.element_id]
        if len(kept) < PHOTOS_AN_ELEMENT:
            kept.append(
                {
                    "uid": str(photo.uid),
                    "caption": photo.caption,
                    "taken_at": photo.taken_at.isoformat(),
                    "thumbnail_url": reverse("photo-thumbnail", args=[photo.uid]),
                }
            )
    standing = inspection.readings.filter(corrected_by__isnull=True, set_aside__isnull=True)
    for reading in standing.order_by("pk"):
        found["readings"][reading.element_id].append(
            {
                "record_uid": str(reading.record_id) if reading.record_id else None,
                **{
                    name: getattr(reading, name)
                    for name in ("quantity", "point", "axis", "repeat", "value", "typed")
                },
                "taken_at": reading.taken_at.isoformat(),
            }
        )
    return found


def _by_support(
    stops: list[Stop],
    channels: dict[int, list[dict[str, Any]]],
    more: dict[str, dict[int, list[dict[str, Any]]]],
) -> list[dict[str, Any]]:
    """Return the elements in walking order, gathered at their supports."""
    supports: dict[int, dict[str, Any]] = {}
    for stop in stops:
        element, device = stop.element, stop.installation
        support = supports.setdefault(
            element.support_id,
            {
                "support_code": element.support.code,
                "support_name": element.support.name,
                "station_m": element.support.station_m,
                "elements": [],
            },
        )
        is_joint = element.kind == ElementKind.JOINT
        support["elements"].append(
            {
                "id": element.pk,
                "code": element.code,
                "name": element.name,
                "kind": element.kind,
                "device_type": device.device_type,
                "device_label": device.get_device_type_display(),
                "unit_ids": [pk for pk in (element.unit_id, element.unit_ahead_id) if pk],
                "access": element.get_access_display(),
                "skew_deg": element.skew_deg,
                "quantity_unit": "m" if is_joint else "each",
                "rods_to_count": stop.has_rods and stop.rods_on_record is None,
                "channels": channels.get(element.pk, []),
                "defects": [code.value for code in defects_of(device.device_type)],
                **{name: rows.get(element.pk, []) for name, rows in more.items()},
            }
        )
    return list(supports.values())


def _checklist(inspection: Inspection) -> list[dict[str, str]]:
    """Return what to look at first where the visit follows an event."""
    if inspection.event is None:
        return []
    return [{"kind": kind, "told": told} for kind, told in checklist_of(inspection.event.kind)]
