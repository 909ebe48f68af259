"""Events: what happened, which bridges it may have touched, and the visits that it asks for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from simple_history.utils import bulk_create_with_history

from inspections.models import AgencySettings, Event, EventBridge, Inspection
from inspections.models.choices import InspectionKind, Weather
from inspections.routing import great_circle_km
from inspections.services import visits
from inspections.services.plan import write_due
from inventory.models import Bridge
from inventory.services.authorship import by_user

PLACE = ("latitude_deg", "longitude_deg", "radius_km")


def lacking_of_place(values: Mapping[str, object]) -> dict[str, str]:
    """Return by field what lacks of a place that is given in part."""
    lacking = [name for name in PLACE if values.get(name) is None]
    if len(lacking) == len(PLACE):
        return {}
    return dict.fromkeys(lacking, _("Give latitude, longitude and radius together, or none."))


@transaction.atomic
@by_user
def record_event(
    *,
    kind: str,
    name: str,
    occurred_at: dt.datetime,
    bridges: Iterable[Bridge],
    description: str = "",
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
    radius_km: float | None = None,
    within_days: int | None = None,
    user: AbstractBaseUser | None = None,
) -> Event:
    """Record an event with the bridges that it may have touched.

    Raises
    ------
    ValidationError
        By field; nothing is written then.
    """
    chosen = list(bridges)
    days = AgencySettings.current().after_event_days if within_days is None else within_days
    event = Event(
        kind=kind,
        name=name.strip(),
        occurred_at=occurred_at,
        description=description,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        radius_km=radius_km,
        within_days=round(days),
        created_by=user,
    )
    wrong: dict[str, object] = {**lacking_of_place(vars(event))}
    if occurred_at is not None and occurred_at > timezone.now():
        wrong["occurred_at"] = _("This lies in the future. Give the hour when it happened.")
    if not chosen:
        wrong["bridges"] = _("No bridge is chosen. Give a place with a radius, or tick bridges.")
    try:
        event.full_clean()
    except ValidationError as refusal:
        wrong |= refusal.error_dict
    if wrong:
        raise ValidationError(wrong)
    event.save(force_insert=True)
    add_bridges(event=event, bridges=chosen)
    return event


@transaction.atomic
def add_bridges(*, event: Event, bridges: Iterable[Bridge]) -> None:
    """Add bridges to an event; those that it names already stay as they are.

    Raises
    ------
    ValidationError
        If there is none to add.
    """
    chosen = list(bridges)
    if not chosen:
        raise ValidationError({"bridges": _("No bridge is chosen. Give one at least.")})
    there = set(event.bridges.values_list("bridge_id", flat=True))
    new = [each for each in chosen if each.pk not in there]
    rows = [
        EventBridge(event=event, bridge=each, distance_km=distance_km(event, each)) for each in new
    ]
    bulk_create_with_history(rows, EventBridge, batch_size=500)
    for each in new:
        write_due(each.pk)


@transaction.atomic
def remove_bridge(*, row: EventBridge) -> None:
    """Take a bridge off an event, unless it has been visited for it."""
    if Inspection.objects.filter(event=row.event_id, bridge=row.bridge_id).exists():
        raise ValidationError(
            _("%(code)s has an inspection for this event, so it stays on it.")
            % {"code": row.bridge.code}
        )
    bridge_id = row.bridge_id
    row.delete()
    write_due(bridge_id)


@transaction.atomic
@by_user
def open_inspections(
    *,
    event: Event,
    bridges: Iterable[Bridge],
    date: dt.date,
    team: str,
    lead: AbstractBaseUser | None = None,
    crew: Iterable[AbstractBaseUser] = (),
    user: AbstractBaseUser | None = None,
) -> list[Inspection]:
    """Open an inspection for the event at each of some of its bridges, or at none.

    Raises
    ------
    ValidationError
        By field, naming the bridge, such as one that has an inspection of that kind on that day.
    """
    opened = []
    people = list(crew)
    for bridge in bridges:
        if not EventBridge.objects.filter(event=event, bridge=bridge).exists():
            raise ValidationError(
                {
                    "bridges": _("%(code)s is not among the bridges of this event. Add it first.")
                    % {"code": bridge.code}
                }
            )
        try:
            inspection = visits.open_inspection(
                bridge=bridge,
                date=date,
                kind=InspectionKind.EVENT,
                team=team,
                weather=Weather.UNKNOWN,
                remarks=f"After: {event.name}",
                lead=lead,
                crew=people,
                user=user,
            )
        except ValidationError as refusal:
            told = refusal.message_dict.items()
            raise ValidationError(
                {name: [f"{bridge.code}: {each}" for each in them] for name, them in told}
            ) from refusal
        inspection.event = event
        inspection.save(update_fields=["event"])
        opened.append(inspection)
    if not opened:
        raise ValidationError({"bridges": _("No bridge is chosen. Give one at least.")})
    return opened


def distance_km(event: Event, bridge: Bridge) -> float | None:
    """Return how far a bridge is from the place of an event; None where one is not known."""
    place = (event.latitude_deg, event.longitude_deg, bridge.latitude_deg, bridge.longitude_deg)
    if None in place:
        return None
    lat, lon, to_lat, to_lon = (float(each) for each in place if each is not None)
    return great_circle_km((lat, lon), (to_lat, to_lon))
