"""The kinds of file that come in through a page: how each is read, told and documented."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from django.contrib.auth.models import AbstractBaseUser
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.exchange import (
    air_csv,
    air_csv_columns,
    element_xml_guide,
    readings_csv_columns,
    readings_csv_export,
)
from inspections.exchange.air_gaps import DayGap, Gap
from inspections.exchange.element_data import import_element_data
from inspections.exchange.forms import (
    AirForm,
    ElementDataForm,
    ImportForm,
    ReadingsForm,
    RegisterForm,
)
from inspections.exchange.readings_csv import import_readings
from inspections.models.choices import InspectionState
from inspections.roles import IMPORT_FOR_ALL
from inventory.exchange import register_guide
from inventory.exchange.file_rows import decoded
from inventory.exchange.nbi_reading import is_national_inventory
from inventory.exchange.nbi_rows import import_nbi
from inventory.exchange.register_csv import import_register
from inventory.words import in_sentence, translated

COUNTED = (
    mark("District"), mark("Bridge"), mark("Unit"), mark("Support"), mark("Element"),
    mark("Installation"), mark("Station_year"), mark("Inspections"), mark("Values"),
    mark("Hours"), mark("Days"), mark("Structures"), mark("Rows"),
)  # fmt: skip
"""What imports count, as they keep it; told in the reader's language where it is shown."""


@dataclass(slots=True)
class Outcome:
    """What an import did, or would do: counts by what is counted, and what to know besides."""

    rows: list[tuple[str, int, int, int]] = field(default_factory=list)
    """What is counted; how many are new, changed, and as they were."""
    notices: list[str] = field(default_factory=list)
    moved_on: int = 0

    @property
    def changes(self) -> int:
        """Return how much an import would change; 0 if there is nothing to do."""
        return self.moved_on + sum(new + changed for _, new, changed, _ in self.rows)

    @property
    def in_short(self) -> str:
        """Return the counts in one line."""
        told = []
        for what, *counts in self.rows:
            words = zip(counts, (_("new"), _("changed"), _("as before")), strict=True)
            some = ", ".join(f"{count} {word}" for count, word in words if count)
            told.append(f"{in_sentence(translated(what))}: {some or _('none')}")
        return "; ".join(told)


class Counting(Protocol):
    """Is told how far an import is, and how much there is of it where that is known."""

    def __call__(self, count: int = 1) -> None:
        """Count some more as done."""

    def expect(self, total: int) -> None:
        """Say how many there will be."""


class Untold:
    """Tells nobody how far it is: whoever asked waits for the page."""

    def __call__(self, count: int = 1) -> None:
        """Keep it."""

    def expect(self, total: int) -> None:
        """Keep it."""


Run = Callable[[bytes, Mapping[str, Any], bool, AbstractBaseUser, Counting], Outcome]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of file; ``counts`` is what its progress counts, in the plural.

    Readings touch the bridges that they name; all else touches what every district shares.
    """

    name: str
    title: str
    lead: str
    form: type[ImportForm]
    run: Run
    counts: str
    headings: tuple[str, ...]
    columns: Callable[[], Sequence[tuple[str, ...]]]
    template: Callable[[], str]
    suffix: str = "csv"
    permission: str = IMPORT_FOR_ALL
    next_page: str = ""
    next_step: str = ""
    """Where what came in is seen, and the words that lead there."""

    @property
    def shown_title(self) -> str:
        """What it holds, in the reader's language."""
        return translated(self.title)

    @property
    def shown_lead(self) -> str:
        """What it is for, in the reader's language."""
        return translated(self.lead)

    @property
    def next_address(self) -> str:
        """The address of the page where what came in is seen; empty where there is none."""
        return reverse(self.next_page) if self.next_page else ""

    @property
    def shown_next_step(self) -> str:
        """What leads there, in the reader's language."""
        return translated(self.next_step)

    def steps(self, options: Mapping[str, Any]) -> list[tuple[str, str]]:
        """Return where to go on after an import: addresses, and the words that lead there."""
        found = [(self.next_address, self.shown_next_step)] if self.next_page else []
        if options.get("state") == InspectionState.OPEN:
            address = f"{reverse('inspections')}?state={InspectionState.OPEN}"
            words = _("Hand in what stands open: until then its readings open no flags")
            found.insert(0, (address, words))
        return found

    @property
    def shown_headings(self) -> list[str]:
        """Headings of the table of its columns, in the reader's language."""
        return [translated(each) for each in self.headings]


def _register(
    content: bytes,
    options: Mapping[str, Any],
    dry_run: bool,
    user: AbstractBaseUser,
    progress: Counting,
) -> Outcome:
    if is_national_inventory(decoded(content)):
        result = import_nbi(
            text_or_file=content,
            dry_run=dry_run,
            skip_bad_rows=options["skip_bad_rows"],
            user=user,
            progress=progress,
            expected=progress.expect,
        )
    else:
        result = import_register(
            text_or_file=content,
            dry_run=dry_run,
            user=user,
            progress=progress,
            expected=progress.expect,
        )
    names = dict.fromkeys([*result.created, *result.updated, *result.unchanged])
    return Outcome(
        [
            (name.capitalize(), result.created[name], result.updated[name], result.unchanged[name])
            for name in names
        ],
        [f"Left out: {problem}" for problem in result.problems]
        + [str(notice) for notice in result.notices],
    )


def _readings(
    content: bytes,
    options: Mapping[str, Any],
    dry_run: bool,
    user: AbstractBaseUser,
    progress: Counting,
) -> Outcome:
    report = import_readings(
        content,
        state=options["state"],
        dry_run=dry_run,
        user=user,
        progress=progress,
        expected=progress.expect,
    )
    notices = []
    if report.inspections_moved_on:
        notices.append(f"Inspections handed in or accepted: {report.inspections_moved_on}.")
    if report.without_value:
        lines = ", ".join(map(str, report.without_value))
        notices.append(f"Rows without a value, passed over: line {lines}.")
    return Outcome(
        [
            ("Inspections", report.inspections_opened, 0, report.inspections_known),
            ("Values", report.added, 0, report.already_there),
        ],
        notices,
        report.inspections_moved_on,
    )


def _air(
    content: bytes,
    options: Mapping[str, Any],
    dry_run: bool,
    user: AbstractBaseUser,
    progress: Counting,
) -> Outcome:
    report = air_csv.import_air_temperatures(
        content,
        station=options["station"],
        keep_suspects=options["keep_suspects"],
        dry_run=dry_run,
        progress=progress,
    )
    notices = [
        f"Station {name}: {count} {report.counted}." for name, count in report.stations.items()
    ]
    if report.blanks:
        lines = ", ".join(map(str, report.blanks))
        notices.append(f"Blank, left out: line {lines}.")
    notices += _gaps_told(report)
    notices += [f"Look at {notice}" for notice in report.notices]
    if report.columns_passed_over:
        notices.append(f"Columns passed over: {', '.join(report.columns_passed_over)}.")
    notices += [
        f"No bridge names {name} as its air temperature station."
        for name in report.stations_without_bridge
    ]
    rows = [(report.counted.capitalize(), report.added, report.completed, report.already_there)]
    return Outcome(rows, notices)


def _element_data(
    content: bytes,
    options: Mapping[str, Any],
    dry_run: bool,
    user: AbstractBaseUser,
    progress: Counting,
) -> Outcome:
    result = import_element_data(content, dry_run=dry_run)
    return Outcome(
        [
            (
                f"{name.capitalize()}s",
                result.created[name],
                result.updated[name],
                result.unchanged[name],
            )
            for name in ("structure", "row")
        ],
        [str(notice) for notice in result.notices],
    )


def _gaps_told(report: air_csv.AirReport) -> list[str]:
    """Return one notice a station, with every hour or day that it lacks."""
    by_station: dict[str, list[Gap | DayGap]] = {}
    for gap in report.gaps:
        by_station.setdefault(gap.station, []).append(gap)
    zone = " (UTC)" if report.counted == "hours" else ""
    return [
        f"Station {station} lacks {sum(gap.count for gap in its)} {report.counted}{zone}:"
        f" {'; '.join(gap.span for gap in its)}."
        for station, its in by_station.items()
    ]


def _register_columns() -> list[tuple[str, ...]]:
    return [
        (each.name, each.unit, each.records, each.needed or "no", each.meaning)
        for each in register_guide.described()
    ]


def _written(write: Callable[[io.StringIO], object]) -> str:
    stream = io.StringIO()
    write(stream)
    return stream.getvalue()


_HEADINGS = (mark("Column"), mark("Unit"), mark("Meaning"))
KINDS = {
    kind.name: kind
    for kind in (
        Kind(
            "register",
            mark("Register"),
            mark(
                "Bridges with their units, supports, elements and devices, or rows of the US"
                " National Bridge Inventory as a stock of bridges."
            ),
            RegisterForm,
            _register,
            "rows",
            (mark("Column"), mark("Unit"), mark("In rows"), mark("Needed"), mark("Meaning")),
            _register_columns,
            lambda: _written(register_guide.write_template),
            next_page="bridges",
            next_step=mark("See the bridges, and open their inspections there"),
        ),
        Kind(
            "readings",
            mark("Readings"),
            mark(
                "Readings and temperatures of visits; inspections that are not there yet are"
                " opened."
            ),
            ReadingsForm,
            _readings,
            "bridges judged",
            _HEADINGS,
            readings_csv_columns.described,
            lambda: _written(readings_csv_export.write_template),
            permission="inspections.import_files",
            next_page="home",
            next_step=mark("See which flags the readings open"),
        ),
        Kind(
            "air",
            mark("Air temperatures"),
            mark(
                "A station's shade air record, hourly or the extremes of each day, from which"
                " effective temperatures are found where a crew took none."
            ),
            AirForm,
            _air,
            "bridges judged",
            _HEADINGS,
            lambda: air_csv_columns.COLUMNS,
            lambda: air_csv_columns.SAMPLE,
        ),
        Kind(
            "element-data",
            mark("Element data"),
            mark(
                "US national bridge element data in XML. Rows of elements that this ledger does not"
                " hold are kept as they came and go out again with its own joints and bearings."
            ),
            ElementDataForm,
            _element_data,
            "",
            (mark("Tag"), mark("Needed"), mark("Meaning")),
            lambda: element_xml_guide.TAGS,
            lambda: element_xml_guide.SAMPLE,
            suffix="xml",
        ),
    )
}
