"""The demo: an invented scenario loaded through the same services as real files."""

from __future__ import annotations

import datetime as dt
import secrets
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth import get_user_model
from django.db.models import Q
from django.utils import timezone

from inspections.exchange.air_csv import import_air_temperatures
from inspections.exchange.readings_csv import import_readings
from inspections.models import HeldRole, Inspection, Instrument
from inspections.models.choices import InspectionKind, InspectionState, Weather
from inspections.models.desk_choices import EventKind
from inspections.paper.condition_report import write_condition_report
from inspections.roles import Role
from inspections.services.events import open_inspections, record_event
from inspections.services.visits import open_inspection
from inventory.exchange.register_csv import import_register
from inventory.models import Bridge
from inventory.services.drawings import add_drawing
from inventory.units import Dimension, System

FILES = Path(settings.BASE_DIR) / "fixtures" / "demo"
BRIDGES = ("OS-3", "QB-1", "TD-2")
ACCOUNTS = tuple(Role)
INSTRUMENTS = (
    ("TAPE-1", "Steel tape", Dimension.LENGTH, 1.0),
    ("INCL-1", "Inclinometer for rockers", Dimension.TILT, 0.1),
    ("INCL-2", "Inclinometer for plates", Dimension.ROTATION, 0.5),
)
TO_TAKE_ALONG = SHEET_OF = "QB-1"
SHAKEN, SHAKEN_AT = "OS-3", dt.datetime(2026, 9, 1, 4, 12, tzinfo=dt.UTC)
UNITS_OF_REPORT = {"QB-1": System.US}
"""Bridges whose report is printed in US customary units; the others in metric ones."""


def load(say: Callable[[str], None]) -> list[Bridge]:
    """Load register, air record and readings; what is there already stays as it is."""
    for code, name, dimension, accuracy in INSTRUMENTS:
        Instrument.objects.get_or_create(
            code=code, defaults={"name": name, "dimension": dimension, "accuracy": accuracy}
        )
    say("Register ...")
    import_register(text_or_file=(FILES / "register.csv").read_bytes())
    say("Air temperatures ...")
    import_air_temperatures((FILES / "air.csv").read_bytes())
    say("Readings, each judged ...")
    import_readings((FILES / "readings.csv").read_bytes(), state="accepted")
    _record_the_tremor()
    import_readings((FILES / "readings_handed_in.csv").read_bytes(), state="submitted")
    _open_one_to_take_along()
    _add_the_sheet()
    return list(Bridge.objects.filter(code__in=BRIDGES).order_by("code"))


def _record_the_tremor() -> None:
    """Record a small earthquake and open the visit for it, whose readings come next."""
    bridge = Bridge.objects.get(code=SHAKEN)
    day = SHAKEN_AT.date() + dt.timedelta(days=1)
    if Inspection.objects.filter(bridge=bridge, kind=InspectionKind.EVENT, date=day).exists():
        return
    event = record_event(
        kind=EventKind.EARTHQUAKE,
        name="Orrin sound tremor",
        occurred_at=SHAKEN_AT,
        bridges=[bridge],
        description="Felt on the bridge; the coast highway was closed for an hour.",
        within_days=3,
    )
    open_inspections(event=event, bridges=[bridge], date=day, team="lead and two inspectors")


def _open_one_to_take_along() -> None:
    """Open an inspection for a tablet, unless one is open already."""
    bridge = Bridge.objects.get(code=TO_TAKE_ALONG)
    today = timezone.now().astimezone(ZoneInfo(bridge.time_zone)).date()
    there = Inspection.objects.filter(bridge=bridge)
    if not there.filter(Q(state=InspectionState.OPEN) | Q(date=today)).exists():
        open_inspection(
            bridge=bridge,
            date=today,
            kind=InspectionKind.ROUTINE,
            team="lead and one inspector",
            weather=Weather.UNKNOWN,
        )


def _add_the_sheet() -> None:
    """Add the one drawing that the scenario has, unless it is there."""
    bridge = Bridge.objects.get(code=SHEET_OF)
    if not bridge.drawings.exists():
        add_drawing(
            bridge=bridge,
            sent=(FILES / f"{SHEET_OF}-GA-01.pdf").read_bytes(),
            number="GA-01",
            revision="B",
            title="General arrangement and articulation",
            dated=dt.date(2004, 3, 12),
        )


def ensure_accounts() -> tuple[str, list[str]]:
    """Create an account for each role; return their common password and the names.

    The password is made on this machine at first use and kept beside the database.
    """
    path = Path(settings.LOCAL_DIR) / "demo-password"
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(9), encoding="utf-8")
    password = path.read_text(encoding="utf-8")
    for role in ACCOUNTS:
        user, created = get_user_model().objects.get_or_create(username=role.value)
        if created:
            user.set_password(password)
            user.save(update_fields=["password"])
            HeldRole.objects.create(user=user, role=role)
    return password, [role.value for role in ACCOUNTS]


def print_reports(bridges: list[Bridge]) -> list[Path]:
    """Write the condition report of each bridge that has none yet; return all of them."""
    folder = Path(settings.REPORT_DIR)
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"{bridge.code}.pdf" for bridge in bridges]
    for bridge, path in zip(bridges, paths, strict=True):
        if not path.exists():
            with path.open("wb") as file:
                write_condition_report(
                    bridge,
                    file,
                    system=UNITS_OF_REPORT.get(bridge.code, System.SI),
                    printed_at=timezone.now(),
                    printed_by="demo",
                )
    return paths
