"""What the engineer's pages show: statuses, bridges with their counts, one element's record."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from django.db.models import (
    Count,
    Exists,
    F,
    FilteredRelation,
    IntegerField,
    OrderBy,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
)
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from inspections.form_spec import FIELDS
from inspections.models import ElementStatus, Inspection, Reading, Verdict
from inspections.models.choices import ReadingQuantity, VerdictWord
from inspections.selectors.statuses import FLAGGED, REASONS, BridgeStrip
from inventory.design_temperature import design_extremes
from inventory.models import (
    BearingDesign,
    Bridge,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    Support,
    TemperatureBasis,
    Unit,
)
from inventory.models.temperature_basis import BASIS_QUANTITIES
from inventory.models.unit_details import SECTION_QUANTITIES
from inventory.station_records import StationRecords
from movement.errors import InputError
from movement.results import Reason
from movement.thermal_range import BridgeExtremes

DESIGNS = ("bearing_design", "joint_design", "restraint_design")
STATUS_ORDERS = {
    "verdict": ("verdict",),
    "use": ("greatest_use",),
    "residual": ("greatest_residual_in_u",),
    "bridge": ("bridge__code",),
    "element": ("element__code",),
    "seen": ("last_seen_on",),
}
_COUNTED = {
    "element_count": Count("elements"),
    "out_of_range": Count("flagged", filter=Q(flagged__verdict=VerdictWord.OUT_OF_RANGE)),
    "watch": Count("flagged", filter=Q(flagged__verdict=VerdictWord.WATCH)),
}
BRIDGE_ORDERS = {
    "code": ("code",),
    "name": ("name",),
    "district": ("district__code",),
    "flagged": ("out_of_range", "watch"),
    "elements": ("element_count",),
}


def sorted_statuses(
    statuses: QuerySet[ElementStatus], by: str, down: bool, few: bool = False
) -> QuerySet:
    """Order statuses by one of ``STATUS_ORDERS``; ties go worst first, then by code.

    Where ``few`` of all are wanted they are found first. A store would go along its index by
    verdict, as it takes them to lie evenly there; no index has the verdict with nothing added.
    """
    first = [F("verdict") + 0] if few and by == "verdict" else STATUS_ORDERS[by]
    return statuses.order_by(
        *_directed(first, down),
        *_directed(("verdict", "greatest_use"), down=True),
        "bridge__code",
        "element__code",
        "pk",
    )


def sorted_bridges(bridges: QuerySet[Bridge], by: str, down: bool) -> QuerySet[Bridge]:
    """Order bridges by one of ``BRIDGE_ORDERS``; ties go by code."""
    return bridges.order_by(*_directed(BRIDGE_ORDERS[by], down), "code")


def all_bridges_sorted(bridges: QuerySet[Bridge], by: str, down: bool) -> QuerySet[Bridge]:
    """Return the same, the counts of the order made by one pass over all elements.

    For a few bridges they are sooner counted one by one.
    """
    names = BRIDGE_ORDERS[by]
    counted = {f"in_order_{name}": _COUNTED[name] for name in names if name in _COUNTED}
    columns = [f"in_order_{name}" if name in _COUNTED else name for name in names]
    # Joined alone, as most elements are in range.
    flagged = FilteredRelation("statuses", condition=Q(statuses__verdict__in=FLAGGED))
    return (
        bridges.alias(flagged=flagged).alias(**counted).order_by(*_directed(columns, down), "code")
    )


def with_reason(statuses: QuerySet[ElementStatus], reason: Reason) -> QuerySet[ElementStatus]:
    """Keep the statuses whose deciding verdict has a reason among its own."""
    if reason == Reason.NO_READING:
        return statuses.filter(deciding__isnull=True)
    return statuses.alias(found=F("deciding__reasons").bitand(int(reason))).filter(found__gt=0)


def counts_by_verdict(statuses: QuerySet[ElementStatus]) -> dict[VerdictWord, int]:
    """Return how many elements have each verdict, 0 included."""
    found = Counter(dict(statuses.order_by().values_list("verdict").annotate(count=Count("pk"))))
    return {word: found[word] for word in VerdictWord}


def count_of_verdicts(statuses: Iterable[ElementStatus]) -> dict[VerdictWord, int]:
    """Return the same for statuses that have been read."""
    found = Counter(status.verdict for status in statuses)
    return {word: found[word] for word in VerdictWord}


def bridges_with_counts() -> QuerySet[Bridge]:
    """Return every bridge with how many elements it has, and how many of each verdict."""

    def of(rows: QuerySet) -> Coalesce:
        here = rows.filter(bridge=OuterRef("pk")).order_by()
        counted = here.values("bridge").annotate(count=Count("pk")).values("count")
        return Coalesce(Subquery(counted, output_field=IntegerField()), 0)

    return Bridge.objects.select_related("district").annotate(
        element_count=of(Element.objects.all()),
        out_of_range=of(ElementStatus.objects.filter(verdict=VerdictWord.OUT_OF_RANGE)),
        watch=of(ElementStatus.objects.filter(verdict=VerdictWord.WATCH)),
        in_range=of(ElementStatus.objects.filter(verdict=VerdictWord.IN_RANGE)),
        cannot_judge=of(ElementStatus.objects.filter(verdict=VerdictWord.CANNOT_JUDGE)),
    )


def bridges_holding(bridges: QuerySet[Bridge], verdicts: Iterable[int] = ()) -> QuerySet[Bridge]:
    """Keep the bridges that have elements, or elements of some verdicts."""
    return bridges.filter(Exists(_elements_here(verdicts)))


def bridges_without_elements(bridges: QuerySet[Bridge]) -> QuerySet[Bridge]:
    """Keep the bridges that have no elements yet."""
    return bridges.filter(~Exists(_elements_here()))


def _elements_here(verdicts: Iterable[int] = ()) -> QuerySet:
    if verdicts:
        here = ElementStatus.objects.filter(bridge=OuterRef("pk"), verdict__in=[*verdicts])
    else:
        here = Element.objects.filter(bridge=OuterRef("pk"))
    return here.order_by()


def bridges_to_show() -> QuerySet[Bridge]:
    """Return bridges with what the head of a bridge's page needs."""
    return Bridge.objects.select_related("district", "temperature_basis__bridge").prefetch_related(
        Prefetch("units", Unit.objects.select_related("section").order_by("start_station_m", "pk"))
    )


@dataclass(frozen=True, slots=True)
class UnitExtremes:
    """A unit with its design extremes, or with what is wrong with its basis."""

    unit: Unit
    extremes: BridgeExtremes | None
    problem: str = ""


def extremes_of_units(
    basis: TemperatureBasis | None, units: Iterable[Unit], records: StationRecords | None = None
) -> list[UnitExtremes]:
    """Return the design extremes of each unit of a bridge."""
    found = []
    records = records or StationRecords()
    for unit in units:
        try:
            found.append(UnitExtremes(unit, design_extremes(basis, unit, records)))
        except InputError as error:
            found.append(UnitExtremes(unit, None, _told(error)))
    return found


def by_support(strip: BridgeStrip) -> list[tuple[Support, list[ElementStatus]]]:
    """Return the statuses of a bridge under their supports, along the stations."""
    rows = sorted(
        strip.statuses,
        key=lambda each: (
            each.element.support.station_m,
            each.element.support_id,
            each.element.station_m,
            each.element.code,
        ),
    )
    return [
        (group[0].element.support, group)
        for _, found in groupby(rows, key=lambda each: each.element.support_id)
        for group in [list(found)]
    ]


def inspections_of(bridge: Bridge) -> QuerySet[Inspection]:
    """Return the inspections of a bridge, newest first, with how much was read."""
    return bridge.inspections.annotate(
        reading_count=Count("readings", distinct=True),
        element_count=Count("readings__element", distinct=True),
    ).order_by("-date", "-pk")


def elements() -> QuerySet[Element]:
    """Return elements with all that the head of an element's page shows."""
    return Element.objects.select_related(
        "bridge__district",
        "bridge__temperature_basis",
        "support",
        "unit",
        "unit_ahead",
        *(f"status__{join}" for join in REASONS),
        *(f"current_installation__{design}" for design in DESIGNS),
    )


def design_of(installation: Installation) -> BearingDesign | JointDesign | RestraintDesign | None:
    """Return the capacities of a device, None where none are recorded."""
    return next(
        (row for name in DESIGNS if (row := getattr(installation, name, None)) is not None), None
    )


@dataclass(slots=True)
class Judged:
    """A verdict beside the readings it is the verdict of, repeats in their order."""

    verdict: Verdict
    readings: list[Reading]
    current: bool


def judged_readings(element: Element) -> list[Judged]:
    """Return every verdict of an element with its readings, newest first."""
    readings = defaultdict(list)
    for reading in (
        Reading.objects.filter(element=element, corrected_by__isnull=True)
        .select_related("instrument", "corrects")
        .order_by("repeat", "pk")
    ):
        readings[_key(reading)].append(reading)
    verdicts = sorted(
        Verdict.objects.filter(element=element).select_related("inspection__event"),
        key=_on_the_form,
    )
    verdicts.sort(key=lambda each: each.taken_at, reverse=True)
    return [
        Judged(
            verdict,
            readings[_key(verdict)],
            verdict.installation_id == element.current_installation_id,
        )
        for verdict in verdicts
    ]


def earlier_installations(element: Element) -> QuerySet[Installation]:
    """Return what stood at a place before, newest first."""
    return (
        element.installations.exclude(pk=element.current_installation_id)
        .select_related(*DESIGNS)
        .annotate(verdict_count=Count("verdicts"))
        .order_by("-installed_on")
    )


def _key(row: Reading | Verdict) -> tuple:
    """Return what makes readings repeats of one point, and a verdict the one of them."""
    return (
        row.installation_id,
        row.inspection_id,
        row.quantity,
        row.point,
        row.axis,
        row.taken_at,
    )


_LABELS = {
    # of what a basis may lack
    **{name: each.label for name, each in (BASIS_QUANTITIES | SECTION_QUANTITIES).items()},
    "air_station": Bridge._meta.get_field("air_station").verbose_name,
}


def _told(error: InputError) -> str:
    """Return what is wrong with a basis, by the label of its field."""
    return f"{_LABELS.get(error.field, error.field)}: {error.message}. {error.remedy}"


def _on_the_form(verdict: Verdict) -> tuple[int, int, str]:
    """Return where the form that the crew fills has a verdict's point."""
    quantity = ReadingQuantity(verdict.quantity)
    return (
        list(FIELDS).index(quantity),
        FIELDS[quantity].points.index(verdict.point),
        verdict.axis,
    )


def _directed(names: Iterable[str | Combinable], down: bool) -> list[OrderBy]:
    return [
        OrderBy(F(each) if isinstance(each, str) else each, descending=down, nulls_last=True)
        for each in names
    ]
