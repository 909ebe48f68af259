"""An invented bridge with three faults, and its visits and decisions told in any order.

The deck moves freely with 11.7 millionths a degree from station 0, set at 20 degrees.  One
bearing is frozen, one now and then stands off, the support at the far end moves by 25 mm, and
the joint there has little room until it is set anew.  All is read to the nearest millimetre.
"""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from inspections.models import Flag, Inspection, Reading, Sighting
from inspections.models.desk_choices import DecisionKind, FlagState
from inspections.services import decisions, visits
from inspections.services import readings as reading_service
from inventory.models import Bridge, Element
from tests.inspections.over_years import MEASURED, free_mm
from tests.make import (
    UTC,
    judged_once,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
)

MOVED_ON = dt.date(2020, 6, 1)
MOVED_MM = 25.0
OFF_MM = {1: 7.0, 3: 14.0, 5: 14.0}
"""How far the restless bearing stands off, by visit: 7 mm are to watch, 14 are out of range."""
VISITS = (
    (dt.date(2016, 2, 3), -9.0),
    (dt.date(2016, 8, 9), 33.0),
    (dt.date(2018, 1, 24), -12.0),
    (dt.date(2019, 7, 16), 35.0),
    (dt.date(2021, 2, 10), -7.0),
    (dt.date(2022, 8, 2), 31.0),
    (dt.date(2024, 1, 30), -10.0),
)
CODES = ("RESTLESS", "FROZEN", "MOVED", "JOINT")
JOINT_SET_BEFORE = 6
"""The visit before which the joint was set anew, without a word in the register."""
UNTIL = dt.date(2035, 1, 1)
FOLLOWED = (
    "state",
    "severity",
    "first_seen_at",
    "last_seen_at",
    "times_seen",
    "opened_at",
    "times_reopened",
    "back_since",
    "until",
    "consequence",
    "nearness",
    "limit_in_years",
)


@dataclass(frozen=True)
class Decide:
    """A decision on a flag, from the noon after a visit."""

    after: int
    code: str
    cause: str
    kind: str


DECISIONS = (
    Decide(1, "RESTLESS", "position", DecisionKind.ACCEPT),
    Decide(4, "RESTLESS", "position", DecisionKind.CLOSE),
    Decide(5, "RESTLESS", "position", DecisionKind.MENDED),
    Decide(0, "FROZEN", "position", DecisionKind.MEASURE_AGAIN),
    Decide(2, "FROZEN", "position", DecisionKind.WATCH),
    Decide(4, "MOVED", "position", DecisionKind.ACCEPT),
    Decide(4, "JOINT", "position", DecisionKind.WORK_ORDERED),
    Decide(5, "JOINT", "position", DecisionKind.MENDED),
    Decide(5, "FROZEN", "position", DecisionKind.CLOSE),
)


@dataclass
class Story:
    """A bridge and what is told of it; each step is done once."""

    bridge: Bridge
    elements: dict[str, Element]
    engineer: Any
    visits: dict[int, Inspection] = field(default_factory=dict)

    def truth(self, number: int) -> dict[str, float]:
        """Return what the gauges show at a visit, to the millimetre."""
        day, temperature_c = VISITS[number]
        moved = MOVED_MM if day > MOVED_ON else 0.0
        free = free_mm(100.0, temperature_c)
        shown = {
            "RESTLESS": free_mm(60.0, temperature_c) + OFF_MM.get(number, 0.0),
            "FROZEN": 0.0,
            "MOVED": free + moved,
            "JOINT": 60.0 - free - (moved if number < JOINT_SET_BEFORE else 0.0),
        }
        return {code: round(value) * 1.0 for code, value in shown.items()}

    def hand_in(self, number: int, misread: str = "", accept: bool = True) -> None:
        """Write and hand in a visit, one of its readings misread by 40 mm if asked."""
        day, temperature_c = VISITS[number]
        inspection = make_inspection(self.bridge, day)
        at = dt.datetime.combine(day, dt.time(8), UTC)
        rows = []
        for code, value in self.truth(number).items():
            read = value + 40.0 * (code == misread)
            gap = {"point": "centre", "axis": "square"} if code == "JOINT" else {}
            rows.append(
                reading_service.NewReading(
                    self.elements[code],
                    "gap" if gap else "offset_along",
                    read,
                    f"{read}",
                    at,
                    **gap,
                )
            )
        reading_service.record(
            inspection=inspection,
            readings=rows,
            temperatures=[
                reading_service.NewTemperature("girder_web", temperature_c, f"{temperature_c}", at)
            ],
            judge=False,
        )
        self.visits[number] = visits.submit(inspection=inspection)
        if accept:
            self.accept(number)

    def accept(self, number: int) -> None:
        self.visits[number] = visits.accept(inspection=self.visits[number], user=self.engineer)

    def correct(self, number: int, code: str) -> None:
        """Correct a reading to what the gauge showed."""
        reading = Reading.objects.get(
            inspection=self.visits[number], element=self.elements[code], corrected_by=None
        )
        value = self.truth(number)[code]
        reading_service.correct_reading(
            reading=reading, value=value, typed=f"{value}", reason="misread", user=self.engineer
        )

    def send_back(self, number: int) -> None:
        """Return a visit to its team."""
        self.visits[number] = visits.return_to_team(
            inspection=self.visits[number], user=self.engineer, note="Check the units"
        )

    def hand_in_again(self, number: int) -> None:
        self.visits[number] = visits.submit(inspection=self.visits[number])
        self.accept(number)

    def decide(self, what: Decide) -> bool:
        """Sign a decision; False where there is nothing to decide on yet."""
        flag = Flag.objects.filter(element=self.elements[what.code], cause=what.cause).first()
        if flag is None or flag.state == FlagState.WITHDRAWN:
            return False
        noon = dt.datetime.combine(VISITS[what.after][0], dt.time(12), UTC)
        holds = what.kind in (DecisionKind.ACCEPT, DecisionKind.WATCH, DecisionKind.MEASURE_AGAIN)
        decisions.decide(
            flag=flag,
            kind=what.kind,
            reason="Looked at",
            user=self.engineer,
            until=UNTIL if holds else None,
            as_of=noon,
        )
        return True

    def tell(self, steps: list[Callable[[], bool | None]]) -> None:
        """Do the steps in their order; a decision on what is not known yet waits."""
        waiting = list(steps)
        while waiting:
            later = [step for step in waiting if step() is False]
            assert len(later) < len(waiting)
            waiting = later

    def in_time(self) -> list[Callable[[], bool | None]]:
        """Return all visits and decisions in the order of their happening."""
        steps: list[Callable[[], bool | None]] = []
        for number in range(len(VISITS)):
            steps.append(lambda number=number: self.hand_in(number))
            steps += [
                lambda what=what: self.decide(what) for what in DECISIONS if what.after == number
            ]
        return steps


@judged_once()
def new_story() -> Story:
    """Return the bridge with nothing told of it yet."""
    bridge = make_bridge()
    unit = make_unit(bridge)
    offset = MEASURED | {"setting_offset_along_mm": 0.0}
    wide = {"movement_back_mm": 90.0, "movement_ahead_mm": 90.0}
    elements = {
        code: make_element(unit, code=code, station_m=station_m, installation=offset, design=wide)
        for code, station_m in (("RESTLESS", 60.0), ("FROZEN", 60.0), ("MOVED", 100.0))
    }
    elements["JOINT"] = make_element(
        unit,
        "strip_seal",
        code="JOINT",
        installation=MEASURED | {"setting_gap_mm": 60.0},
        design={"opening_min_mm": 18.0, "opening_max_mm": 110.0},
    )
    return Story(bridge, elements, make_user("engineer"))


@contextlib.contextmanager
def undone() -> Iterator[None]:
    """Take back all that is written inside."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def flags_told(bridge: Bridge) -> dict[tuple[str, str], dict[str, Any]]:
    """Return the columns of each flag of a bridge, figures to six digits."""
    return {
        (flag.element.code, flag.cause): {name: _rounded(getattr(flag, name)) for name in FOLLOWED}
        for flag in Flag.objects.filter(element__bridge=bridge).select_related("element")
    }


def sightings_told(bridge: Bridge) -> dict[tuple[str, str, dt.date], dict[str, Any]]:
    """Return what each visit showed, figures to six digits."""
    rows = Sighting.objects.filter(element__bridge=bridge).select_related("element", "inspection")
    return {
        (row.element.code, row.cause, row.inspection.date): {
            "shown": row.shown,
            "severity": row.severity,
            "seen_at": row.seen_at,
            "evidence": _rounded(row.evidence),
        }
        for row in rows
    }


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.6g}")
    if isinstance(value, list):
        return [_rounded(each) for each in value]
    if isinstance(value, dict):
        return {name: _rounded(each) for name, each in value.items()}
    return value
