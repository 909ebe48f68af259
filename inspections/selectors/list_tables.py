"""What the lists of the pages hold as tables: the columns of each, one declaration a list."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from operator import attrgetter
from typing import Any

from inspections.models import ElementStatus, Event, Flag, WorkOrder
from inspections.models.desk_choices import WorkState
from inspections.selectors.reassessment import waiting_bridges
from inspections.selectors.work import RUNNING
from inspections.tables import Table, TableColumn, day_of, utc_of
from inspections.wording import dimension_of
from inspections.wording_flags import evidence_in_short
from inspections.wording_plan import way_unit
from inspections.wording_status import status_sentence
from inventory.units import Dimension, System


def _of(name: str, path: str = "", dimension: Dimension | None = None) -> TableColumn:
    """Return a column of an attribute, by default of its own name."""
    return TableColumn(name, attrgetter(path or name), dimension)


def _word(name: str, path: str) -> TableColumn:
    """Return a column of the label of a choice."""
    *way, field = path.split(".")
    return TableColumn(
        name, lambda row: attrgetter(".".join([*way, f"get_{field}_display"]))(row)()
    )


def _day(name: str) -> TableColumn:
    return TableColumn(name.replace("_at", "_on"), lambda row: day_of(getattr(row, name)))


def _place(path: str) -> tuple[TableColumn, ...]:
    """Return the columns of an element at its bridge; ``path`` leads to the element."""
    return (
        _of("district", f"{path}.bridge.district.code"),
        _of("bridge", f"{path}.bridge.code"),
        _of("bridge_name", f"{path}.bridge.name"),
        _of("element", f"{path}.code"),
        _of("element_name", f"{path}.name"),
        _word("device", f"{path}.current_installation.device_type"),
    )


def still_to_judge(path: str) -> TableColumn:
    """Return a column that tells which rows are older; ``path`` leads to the bridge's key."""
    waiting, bridge_id = waiting_bridges(), attrgetter(path)
    return TableColumn("still_to_judge", lambda row: bridge_id(row) in waiting)


def queue_table() -> Table:
    """Return the queue, of flags ``with_what_was_last``."""

    def decision(name: str, value: Callable[[Any], Any]) -> TableColumn:
        def of(flag: Flag) -> Any:
            return value(flag.last_decision) if flag.last_decision else None

        return TableColumn(name, of)

    def evidence(flag: Flag) -> str:
        return evidence_in_short(flag.last_sighting.evidence) if flag.last_sighting else ""

    def points(name: str) -> TableColumn:
        return TableColumn(f"{name}_points", lambda flag: round(getattr(flag, f"by_{name}"), 1))

    return Table(
        "queue",
        (
            TableColumn("score_of_100", lambda flag: round(flag.score, 1)),
            *map(points, ("severity", "consequence", "nearness", "age")),
            _word("verdict", "severity"),
            *_place("element"),
            _word("cause", "cause"),
            TableColumn("evidence", evidence),
            _word("state", "state"),
            _of("until"),
            TableColumn("until_has_passed", lambda flag: bool(flag.lapsed)),
            _of("evidence_changed"),
            _day("opened_at"),
            _day("last_seen_at"),
            _of("times_reopened"),
            decision("decision", lambda row: row.get_kind_display()),
            decision("decided_on", lambda row: day_of(row.decided_at)),
            decision("decision_reason", attrgetter("reason")),
            still_to_judge("element.bridge_id"),
        ),
    )


def statuses_table(system: System) -> Table:
    """Return the elements by verdict; their sentences are in a user's units."""

    def figure(name: str, field: str, dimension: Dimension) -> TableColumn:
        def of(row: ElementStatus) -> float | None:
            verdict = row.deciding
            if verdict is None or dimension_of(verdict) != dimension:
                return None
            return getattr(verdict, field)

        return TableColumn(name, of, dimension)

    def temperature(row: ElementStatus) -> float | None:
        return row.deciding.temperature_c if row.deciding else None

    def quantity(row: ElementStatus) -> str:
        return row.deciding.get_quantity_display() if row.deciding else ""

    return Table(
        "elements",
        (
            _word("verdict", "verdict"),
            *_place("element"),
            TableColumn("reason", lambda row: status_sentence(row, system)),
            _of("finding"),
            TableColumn(
                "greatest_use_percent",
                lambda row: None if row.greatest_use is None else round(100 * row.greatest_use, 1),
            ),
            TableColumn(
                "residual_in_std_unc",
                lambda row: (
                    None
                    if row.greatest_residual_in_u is None
                    else round(row.greatest_residual_in_u, 2)
                ),
            ),
            _of("last_seen_on"),
            TableColumn("quantity", quantity),
            figure("measured", "value", Dimension.LENGTH),
            figure("expected", "expected", Dimension.LENGTH),
            figure("measured", "value", Dimension.ROTATION),
            figure("expected", "expected", Dimension.ROTATION),
            figure("measured", "value", Dimension.TILT),
            figure("expected", "expected", Dimension.TILT),
            TableColumn("effective_temperature", temperature, Dimension.TEMPERATURE),
            still_to_judge("element.bridge_id"),
        ),
    )


def bridges_table() -> Table:
    """Return the bridges with how many of their elements have each verdict."""
    return Table(
        "bridges",
        (
            _of("bridge", "code"),
            _of("name"),
            _of("carries"),
            _of("crosses"),
            _of("district", "district.code"),
            _of("district_name", "district.name"),
            _of("elements", "element_count"),
            _of("out_of_range"),
            _of("watch"),
            _of("cannot_judge"),
            _of("in_range"),
            still_to_judge("pk"),
        ),
    )


INSPECTIONS = Table(
    "inspections",
    (
        _of("bridge", "bridge.code"),
        _of("bridge_name", "bridge.name"),
        _of("date"),
        _word("kind", "kind"),
        _of("team"),
        _of("readings", "reading_count"),
        _word("state", "state"),
    ),
)


def orders_table(currency: str, today: dt.date) -> Table:
    """Return the work orders; costs are in the agency's currency."""

    def overdue(row: WorkOrder) -> bool:
        return row.state in RUNNING and row.planned_on is not None and row.planned_on < today

    return Table(
        "work",
        (
            _of("order", "code"),
            _word("state", "state"),
            TableColumn("overdue", overdue),
            TableColumn(
                "not_proved",
                lambda row: row.unproved_count if row.state == WorkState.FINISHED else None,
            ),
            _word("kind", "kind"),
            _of("title"),
            _of("bridge", "bridge.code"),
            _of("bridge_name", "bridge.name"),
            _of("elements", "element_count"),
            _of("ordered_on"),
            _of("planned_on"),
            _of("finished_on"),
            _of("estimated", "cost_estimate"),
            _of("billed", "cost"),
            TableColumn("currency", lambda _: currency),
        ),
    )


def events_table(system: System) -> Table:
    """Return the events; radii are in a user's units."""
    km_a_unit, unit = way_unit(system)

    def radius(row: Event) -> float | None:
        return None if row.radius_km is None else round(row.radius_km / km_a_unit, 3)

    return Table(
        "events",
        (
            _of("event", "name"),
            _word("kind", "kind"),
            TableColumn("occurred_at_utc", lambda row: utc_of(row.occurred_at)),
            _of("bridges", "bridge_count"),
            _of("visited_since", "seen_count"),
            _of("latitude_deg"),
            _of("longitude_deg"),
            TableColumn(f"radius_{unit}", radius),
        ),
    )


STUDIES = Table(
    "options",
    (
        _of("study", "title"),
        TableColumn("element", lambda row: row.element.code if row.element else ""),
        _of("bridge", "bridge.code"),
        _of("bridge_name", "bridge.name"),
        _of("options", "option_count"),
        _of("dropped", "dropped_count"),
        TableColumn("chosen", lambda row: row.chosen.name if row.chosen else ""),
        _day("opened_at"),
    ),
)
