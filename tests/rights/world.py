"""A district with one row of every table, and every address of the site at those rows."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db.models import Max, Model, Q
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from inspections.models import (
    AgencySettings,
    AirDay,
    AirTemperature,
    ApiKey,
    CalendarKey,
    CriticalFinding,
    ElementHistory,
    Event,
    EventBridge,
    Flag,
    HeldRole,
    Inspection,
    Interval,
    Job,
    Option,
    OptionStudy,
    Photo,
    PlannedVisit,
    Reading,
    SavedFilter,
    TemperatureReading,
    WorkOrder,
)
from inspections.models.choices import ResponseWord
from inspections.services.job_files import result_path
from inventory.models import Bridge, District, Drawing, Element
from tests import rows_desk
from tests.rows import kept_models, valid_row

_number = itertools.count(1)
SHARED = (AirTemperature, AirDay)
"""Rows that every district reads: the weather is nobody's."""
NAMES_NOTHING = {
    "import-columns": ["readings"], "import-template": ["readings"],
    "tablet-photo": ["00000000-0000-4000-8000-000000000000"],
    "password-set": ["Mg", "no-token"], "session-end": ["none"], "calendar-feed": ["no-key"],
}  # fmt: skip
"""Addresses whose arguments are no row: a kind of file, an id that a tablet gives, a secret."""
OWNED = {Job: "asked_by", SavedFilter: "user", CalendarKey: "user", ApiKey: "owner"}
"""Rows that belong to one person."""


@dataclass
class World:
    """One district and what is in it."""

    district: District
    rows: dict[type[Model], Model]

    def given_to(self, user: User) -> None:
        """Make a user the owner of what belongs to one person."""
        for model, owner in OWNED.items():
            model.objects.filter(pk=self.rows[model].pk).update(**{owner: user})


def make_world(code: str) -> World:
    """Return a district with a row of every table and what hangs on it."""
    district = District.objects.create(code=code, name=f"District {code}")
    newest = User.objects.aggregate(Max("pk"))["pk__max"]
    single = AgencySettings.objects.first()
    rows = {
        model: (single if model is AgencySettings and single else valid_row(model))
        for model in kept_models()
    }
    of = rows[OptionStudy]
    rows[Option] = Option.objects.create(study=of, name=f"Option {next(_number)}")
    ElementHistory.objects.filter(pk=rows[ElementHistory].pk).update(
        response=ResponseWord.NOT_ENOUGH_INFORMATION, expected_slope_per_c=0.5
    )
    rows[Event] = rows[EventBridge].event
    Event.objects.filter(bridges__isnull=True).delete()
    rows[Interval] = Interval.objects.create(
        bridge=rows[Bridge], kind="routine", months=12, reason="Worn"
    )
    rows[Job] = rows_desk.job(
        parameters={"key": rows[Bridge].pk, "units": "si"},
        state="done", attempt=1, started_at=rows_desk.AT, finished_at=timezone.now(),
        done_count=59, result_name="report.pdf",
    )  # fmt: skip
    result_path(rows[Job].pk).parent.mkdir(parents=True, exist_ok=True)
    result_path(rows[Job].pk).write_bytes(b"%PDF-1.7")
    Bridge.objects.filter(district__code="T").update(district=district)
    HeldRole.objects.filter(Q(district__code="T") | Q(district=None), user__gt=newest or 0).update(
        district=district
    )
    return World(district, rows)


def keep_files(world: World, content: bytes) -> None:
    """Give the photo and the drawing of a district their files."""
    photo, drawing = world.rows[Photo], world.rows[Drawing]
    for each in (photo.image, photo.thumbnail, drawing.file):
        default_storage.save(each.name, ContentFile(content))


OBJECT_OF: dict[str, tuple[type[Model], str]] = {
    "flags": (Flag, "pk"), "elements": (Element, "pk"), "bridges": (Bridge, "code"),
    "inspections": (Inspection, "pk"), "plan/visits": (PlannedVisit, "pk"),
    "options": (OptionStudy, "pk"), "work": (WorkOrder, "pk"), "readings": (Reading, "pk"),
    "temperatures": (TemperatureReading, "pk"), "critical-findings": (CriticalFinding, "pk"),
    "jobs": (Job, "pk"), "lists": (SavedFilter, "pk"), "plan/subscriptions": (CalendarKey, "pk"),
    "api-keys": (ApiKey, "pk"), "field/inspections": (Inspection, "pk"),
    "field/photos": (Photo, "uid"), "drawings": (Drawing, "pk"),
    "thresholds/preview": (Bridge, "pk"),
}  # fmt: skip
"""Path before the first argument -> what that argument names, and by which column."""


@dataclass(frozen=True)
class Address:
    """One address of the site: its name, its path, and the view behind it."""

    name: str
    route: str
    view: Any

    @property
    def about(self) -> type[Model] | None:
        """What its first argument names; None where it has none."""
        if "api/v1" in self.route:
            if "(?P<" not in self.route:
                return None
            model = self._model
            return None if model in SHARED else model
        if "<" not in self.route or self.name in NAMES_NOTHING:
            return None
        first = self.route.split("/")[0]
        return {"events": EventBridge, "people": HeldRole}.get(first) or self._object[0]

    @property
    def _model(self) -> type[Model]:
        """What a call of the API is about."""
        # The preview of thresholds is asked for at a bridge, and has no rows of its own.
        return self.view.cls.rows().model if hasattr(self.view.cls, "rows") else Bridge

    @property
    def _object(self) -> tuple[type[Model], str]:
        return OBJECT_OF[self.route.split("/<")[0]]

    def path(self, world: World) -> str:
        """Return the address at the rows of a district."""
        rows = world.rows
        if "option_pk" in self.route:
            return reverse(self.name, args=[rows[Option].study_id, rows[Option].pk])
        if "api/v1" in self.route:
            if "(?P<" not in self.route:
                return reverse(self.name)
            model = self._model
            if not hasattr(self.view.cls, "rows"):
                return reverse(self.name, args=[rows[Reading].inspection.bridge.code])
            row = world.district if model is District else rows[model]
            return reverse(self.name, args=[row.code if "<code>" in self.route else row.pk])
        if self.name in NAMES_NOTHING:
            return reverse(self.name, args=NAMES_NOTHING[self.name])
        if "<" not in self.route:
            return reverse(self.name)
        if self.route.startswith("events/"):
            row = rows[EventBridge]
            return reverse(self.name, args=[row.event_id, row.pk][: self.route.count("<")])
        if self.name == "thresholds-preview":
            return reverse(self.name, args=[rows[Reading].inspection.bridge_id])
        if self.name == "bridge-interval-end":
            return reverse(self.name, args=[rows[Interval].bridge.code, rows[Interval].pk])
        if self.route.startswith("people/"):
            row = rows[HeldRole]
            return reverse(self.name, args=[row.user_id, row.pk][: self.route.count("<")])
        if self.name == "reading-form":
            row = rows[Reading]
            return reverse(self.name, args=[row.inspection_id, row.element_id])
        model, column = self._object
        return reverse(self.name, args=[getattr(rows[model], column)])


def addresses() -> dict[str, Address]:
    """Return every address outside the admin site, by its name."""

    def walk(patterns: list, before: str = "") -> Iterator[Address]:
        for each in patterns:
            route = before + str(each.pattern)
            if isinstance(each, URLResolver):
                if each.namespace is None:
                    yield from walk(each.url_patterns, route)
            elif isinstance(each, URLPattern) and each.name:
                yield Address(each.name, route, each.callback)

    return {each.name: each for each in walk(get_resolver().url_patterns)}
