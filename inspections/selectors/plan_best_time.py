"""When to visit so that histories with not enough information get enough."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Avg, F, Prefetch, QuerySet

from inspections.lookups.plan_climate import Climate, climates_of
from inspections.lookups.plan_facts import HANDED_IN
from inspections.models import ElementHistory, Verdict
from inspections.models.choices import ResponseWord
from inventory.models import Bridge, Unit
from movement.best_time import BestTimes, best_times

Channel = tuple[object, str, str, str]


@dataclass(frozen=True, slots=True, eq=False)
class ChannelTime:
    """A channel whose history has not enough information, and when it is best read next."""

    history: ElementHistory
    earlier_c: list[float]
    times: BestTimes | None
    climate: Climate | None


@dataclass(frozen=True, slots=True, eq=False)
class BridgeTime:
    """When a bridge is best visited next, over all that was read there.

    ``channels`` are those with not enough information, the least known first.
    """

    times: BestTimes | None
    climate: Climate | None
    channels: list[ChannelTime]


def not_enough() -> QuerySet[ElementHistory]:
    """Return the histories of devices now in place that cannot tell how they follow.

    Only those of which a slope is expected: what does not move needs no other temperature.
    The nearest to a word come first.
    """
    units = Unit.objects.select_related("section").order_by("start_station_m")
    return (
        ElementHistory.objects.filter(
            installation=F("element__current_installation"),
            response=ResponseWord.NOT_ENOUGH_INFORMATION,
            expected_slope_per_c__isnull=False,
        )
        .exclude(expected_slope_per_c=0)
        .select_related("element__bridge__temperature_basis", "installation")
        .prefetch_related(Prefetch("element__bridge__units", units))
        .order_by("-visits", "element__bridge__code", "element__code", "quantity", "point", "axis")
    )


def times_of_channels(histories: Iterable[ElementHistory]) -> list[ChannelTime]:
    """Return the best time of each history's channel."""
    rows = list(histories)
    climates = climates_of(row.element.bridge for row in rows)
    earlier = _temperatures_of_channels(rows)
    found = []
    for row in rows:
        climate, earlier_c = climates[row.element.bridge_id], earlier[_channel(row)]
        found.append(ChannelTime(row, earlier_c, _best(earlier_c, climate), climate))
    return found


def time_of_bridge(bridge: Bridge) -> BridgeTime:
    """Return when a bridge is best visited next, and which elements would gain by it."""
    rows = list(not_enough().filter(element__bridge=bridge))
    channels = times_of_channels(rows)
    units = Unit.objects.select_related("section").order_by("start_station_m")
    there = (
        Bridge.objects.select_related("temperature_basis")
        .prefetch_related(Prefetch("units", units))
        .get(pk=bridge.pk)
    )
    climate = climates_of([there])[bridge.pk]
    temperatures_c = (
        _judged()
        .filter(element__bridge=bridge, installation=F("element__current_installation"))
        .values_list("inspection")
        .annotate(mean=Avg("temperature_c"))
        .values_list("mean", flat=True)
    )
    return BridgeTime(_best(list(temperatures_c), climate), climate, channels)


def _best(earlier_c: list[float], climate: Climate | None) -> BestTimes | None:
    return best_times(earlier_c, climate.table_c) if climate is not None else None


def _judged() -> QuerySet[Verdict]:
    return Verdict.objects.filter(
        inspection__state__in=HANDED_IN, temperature_c__isnull=False
    ).order_by()


def _channel(row: ElementHistory) -> Channel:
    return row.installation_id, row.quantity, row.point, row.axis


def _temperatures_of_channels(rows: list[ElementHistory]) -> defaultdict[Channel, list[float]]:
    """Return the effective temperature of each visit that read a channel."""
    found: defaultdict[Channel, list[float]] = defaultdict(list)
    wanted = {_channel(row) for row in rows}
    means = (
        _judged()
        .filter(installation__in={row.installation_id for row in rows})
        .values_list("installation", "quantity", "point", "axis", "inspection")
        .annotate(mean=Avg("temperature_c"))
    )
    for *channel, _inspection, mean in means:
        if tuple(channel) in wanted:
            found[tuple(channel)].append(mean)
    return found
