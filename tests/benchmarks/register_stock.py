"""A register as large as a nation's: two bridges told by the services, multiplied in PostgreSQL.

Every fourth bridge is a copy of one with faults, decisions, a study and an order, the others of a
sound one.  A copy's keys follow from its number, so that rows need no looking up: each table is
filled by one ``INSERT ... SELECT``.  Dates, districts, places, states, figures and ranks are
spread.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.core.management.color import no_style
from django.db import connection, models
from django.db.models import DateField, DateTimeField, UUIDField

from inspections.models import (
    AirDay,
    ComponentRating,
    Condition,
    CriticalFinding,
    Due,
    ElementDataRow,
    ElementStatus,
    Event,
    FieldNote,
    Flag,
    Inspection,
    LeftOut,
    Photo,
    PlainPage,
    PlannedVisit,
    Reading,
    SetAside,
    SignOff,
)
from inspections.models.desk_choices import FlagState
from inventory.models import Bridge, District, Drawing, Element
from tests.benchmarks.desk_stock import ELEMENTS, TABLES, Stock, first_bridge, read_bridge
from tests.make import make_inspection

STEP = 10_000
"""Between the keys of two copies; more than a table of the two bridges has rows."""
DISTRICTS, FAULTY_EACH, EVENT_EACH, SPREAD_D, DATED_D = 50, 4, 100, 240, 400
FURTHER = (Condition, FieldNote, CriticalFinding, LeftOut, Photo, SignOff, SetAside,
           ComponentRating, Drawing, PlainPage, ElementDataRow)  # fmt: skip
"""What the field brings home besides, and what an engineer adds."""
LAPSING = (FlagState.ACCEPTED, FlagState.WATCHED, FlagState.TO_MEASURE)
STATES = [*(each for each in FlagState if each != FlagState.WITHDRAWN), FlagState.OPEN]
_NAMES = ",".join(f"'{each}'" for each in STATES)
_LAPSING = ",".join(f"'{each}'" for each in LAPSING)
_STATE = f"(ARRAY[{_NAMES}])[1 + (k * 31 + t.id * 17) % {len(STATES)}]"
_PART = "((k * 7919 + t.id * 104729) % 100003) / 100003.0"
SPREAD = {
    (Bridge, "district_id"): f"(SELECT min(id) FROM inventory_district) + k % {DISTRICTS}",  # noqa: S608
    (Bridge, "name"): "t.name || ' ' || k",
    (Bridge, "latitude_deg"): "45 + (k % 1000) * 0.01",
    (Bridge, "longitude_deg"): "5 + (k / 1000) * 0.2",
    (Flag, "state"): _STATE,
    (Flag, "severity"): "CASE WHEN (k + t.id) % 3 = 0 THEN 3 ELSE 2 END",
    (Flag, "nearness"): _PART,
    (ElementStatus, "greatest_use"): f"t.greatest_use * (0.9 + 0.2 * {_PART})",
    (ElementStatus, "greatest_residual_in_u"): f"t.greatest_residual_in_u * (0.9 + 0.2 * {_PART})",
    (Flag, "until"): f"CASE WHEN {_STATE} IN ({_LAPSING})"
    " THEN make_date((2024 + k % 17)::int, 1, 1) ELSE t.until END",
    (CriticalFinding, "seen_at"): "CASE WHEN k % 2000 = 0 THEN NULL ELSE t.seen_at END",
    (ElementDataRow, "structure_number"): "'N' || k",
    (Due, "due_on"): f"t.due_on + (k % {DATED_D})::int - {DATED_D // 2}",
    (PlannedVisit, "planned_on"): f"t.planned_on + (k % {DATED_D})::int - {DATED_D // 2}",
}  # fmt: skip
"""How a column of a copy follows from its number ``k`` and its template's row ``t``."""


def visits(count: int, today: dt.date) -> list[tuple[dt.date, float]]:
    """Return so many visits in winter and summer, the oldest first: date, temperature [degC]."""
    days = [today - dt.timedelta(days=SPREAD_D + 270 * back) for back in range(count)]
    return [(day, (-10.0, 33.0, -6.0, 30.0)[at % 4]) for at, day in enumerate(reversed(days))]


@dataclass
class Register:
    """The two bridges, and how many copies there are."""

    faulty: Stock
    templates: tuple[dict[type[models.Model], list], dict[type[models.Model], list]]
    copies: int = 0
    models: list[type[models.Model]] = field(default_factory=list)

    def grow(self, elements: int) -> None:
        """Have so many elements in all."""
        first, last = self.copies + 1, elements // ELEMENTS - 2
        with connection.cursor() as cursor:
            # Rows follow from rows that passed every check; triggers would only ask again.
            cursor.execute("SET session_replication_role = replica")
            for model in self.models:
                for template, rows in enumerate(self.templates):
                    if pks := rows[model]:
                        cursor.execute(self._copying(model, template), [first, last, pks])
            cursor.execute("SET session_replication_role = DEFAULT")
            for statement in connection.ops.sequence_reset_sql(no_style(), self.models):
                cursor.execute(statement)
        self.copies = last
        with connection.cursor() as cursor:
            cursor.execute("VACUUM ANALYZE")

    def _copying(self, model: type[models.Model], template: int) -> str:
        columns = [each for each in model._meta.concrete_fields if not each.generated]
        values = ", ".join(self._value(model, each) for each in columns)
        names = ", ".join(f'"{each.column}"' for each in columns)
        table, key = model._meta.db_table, model._meta.pk.column
        which = f"k %% {FAULTY_EACH} {'<>' if template else '='} 0"
        which = f"k %% {EVENT_EACH} = 0" if model is Event else which
        return (
            f'INSERT INTO "{table}" ({names}) SELECT {values} FROM'  # noqa: S608 - names of ours
            f' generate_series(%s::bigint, %s::bigint) AS k CROSS JOIN "{table}" AS t'
            f' WHERE {which} AND t."{key}" = ANY(%s)'
        )

    def _value(self, model: type[models.Model], column: models.Field) -> str:
        own = f't."{column.column}"'
        if (model, column.attname) in SPREAD:
            return SPREAD[model, column.attname].replace("%", "%%")
        of = getattr(model, "instance_type", None) if _is_history(model) else None
        if of and column.attname == of._meta.pk.attname:
            return self._moved(of, of._meta.pk, own)
        if column.is_relation:
            to = column.related_model
            return self._moved(to, to._meta.pk, own) if to in self.models else own
        if column.primary_key:
            return self._moved(model, column, own)
        if column.unique or (of is Bridge and column.name == "code"):
            return f"{own} || '-' || k"
        if model is Event:
            return own
        if isinstance(column, DateTimeField):
            return f"{own} - ((k * 37) %% {SPREAD_D}) * interval '1 day'"
        if isinstance(column, DateField):
            return f"{own} - ((k * 37) %% {SPREAD_D})::int"
        return own

    def _moved(self, model: type[models.Model], key: models.Field, own: str) -> str:
        if isinstance(key, UUIDField):
            return f"md5({own}::text || ':' || k)::uuid"
        number = f"(k / {EVENT_EACH})" if model is Event else "k"
        return f"{own} + {number} * {STEP}"


def _is_history(model: type[models.Model]) -> bool:
    return model.__name__.startswith("Historical")


def make_register(readings_per_element: int, today: dt.date) -> Register:
    """Return the register of two bridges, the first with faults."""
    known = [model for model, _way in TABLES] + [Event, *FURTHER]
    histories = [getattr(each, "history", None) for each in known]
    known += [each.model for each in histories if hasattr(each, "model")]
    before = {model: set() for model in known}
    templates = []
    seen = visits(readings_per_element, today)
    faulty: Stock | None = None
    for bridge_of in (lambda: first_bridge(today, seen[1:]), lambda: read_bridge("S-001", seen)):
        made = bridge_of()
        if isinstance(made, Stock):
            faulty = made
            make_inspection(made.bridge, today)
        _further(made.bridge if isinstance(made, Stock) else made, faulty)
        now = {model: set(model._base_manager.values_list("pk", flat=True)) for model in known}
        templates.append({model: list(now[model] - before[model]) for model in known})
        before = now
    _beside(today)
    assert faulty is not None
    assert max(len(rows) for rows in before.values()) < STEP
    return Register(faulty, tuple(templates), 0, known)


def _further(bridge: Bridge, faulty: Stock | None) -> None:
    """Write what the field brings home besides readings, and what an engineer adds."""
    with_faults = faulty is not None and faulty.bridge == bridge
    elements = list(Element.objects.filter(bridge=bridge).order_by("pk"))
    last = list(Inspection.objects.filter(bridge=bridge, state="accepted").order_by("-date"))[:2]
    at = dt.datetime.combine(last[0].date, dt.time(9), dt.UTC)
    for visit in last:
        Condition.objects.bulk_create(
            Condition(inspection=visit, element=each, defect=1000, cs1=3, cs2=1, total=4)
            for each in elements
        )
        FieldNote.objects.create(inspection=visit, element=elements[0], text="Nest on the pier cap")
        SignOff.objects.create(
            inspection=visit, role="lead", statement="Seen", signed_at=at, digest="0" * 64
        )
        for item in ("B.C.07", "B.C.08"):
            ComponentRating.objects.create(inspection=visit, item=item, code="6")
        for element in elements[:2]:
            Photo.objects.create(
                inspection=visit, element=element, taken_at=at, image="photos/a.jpg",
                thumbnail="thumbnails/a.jpg", width_px=800, height_px=600, sent_sha256="0" * 64,
            )  # fmt: skip
    LeftOut.objects.create(inspection=last[0], element=elements[1], reason="covered")
    Drawing.objects.create(
        bridge=bridge, element=elements[0], number="S-1", title="Bearing schedule",
        file="drawings/a.pdf", format="pdf", sheets=2, size_bytes=4096, sent_sha256="0" * 64,
    )  # fmt: skip
    for number in (510, 511, 512):
        ElementDataRow.objects.create(
            state_code="99", structure_number=bridge.code, element_number=number,
            parent_number=12, total=10, cs1=7, cs2=3, cs3=0, cs4=0,
        )  # fmt: skip
    if with_faults:
        CriticalFinding.objects.create(
            inspection=last[0], element=elements[0], what="A rod is gone", found_at=at,
            seen_at=at, seen_by=faulty.engineer,
        )  # fmt: skip
        SetAside.objects.create(
            reading=Reading.objects.filter(inspection=last[1]).earliest("pk"), reason="read twice"
        )
        PlainPage.objects.create(
            bridge=bridge, flag=faulty.flag, title="The bearing", found="It moved too little.",
            meaning="An engineer decides.", plan="No date has been set.", unknown="Why it is so.",
            units="si", generated={"found": "It moved too little."}, relied_on={"state": "open"},
            digest="0" * 64, model_version="test", saved_by=faulty.engineer, saved_at=at,
        )  # fmt: skip


def _beside(today: dt.date) -> None:
    """Write districts and days of air; the same however many elements there are."""
    home = District.objects.get()
    District.objects.bulk_create(
        District(pk=home.pk + number, code=f"D{number:02}", name=f"District {number}")
        for number in range(1, DISTRICTS)
    )
    AirDay.objects.bulk_create(
        AirDay(station=f"S{station}", day=today - dt.timedelta(days=back), min_c=3.0, max_c=14.0)
        for station in range(20)
        for back in range(1000)
    )


def sizes() -> Iterator[str]:
    """Yield how many rows there are, and what they take."""
    with connection.cursor() as cursor:
        for model in (Element, Reading, Flag, Bridge):
            cursor.execute(f'SELECT count(*) FROM "{model._meta.db_table}"')  # noqa: S608
            yield f"{cursor.fetchone()[0]:,} {model._meta.verbose_name_plural}"
        cursor.execute("SELECT pg_database_size(current_database())")
        yield f"{cursor.fetchone()[0] / 1e9:.1f} GB"
