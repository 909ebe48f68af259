"""``manage.py report``: print a report of a bridge or a district into a PDF file."""

from __future__ import annotations

import os
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import override
from tqdm import tqdm

from inspections.jobs.reports import REPORTS, orders_narrowed
from inspections.models import AgencySettings, Event, Flag
from inspections.models.jobs import JobKind
from inspections.paper.cover import Printing
from inspections.paper.element_card import write_element_card
from inspections.paper.frame import SIZES, page_size_of
from inspections.paper.plain_page import TooLongError, write_plain_page
from inspections.selectors.assessment import near
from inspections.selectors.desk import elements
from inspections.selectors.flags import flags
from inspections.selectors.plain_facts import weightiest_flag
from inspections.selectors.plain_pages import plain_now
from inspections.selectors.report import bridges_to_report
from inventory.management.output import whole_file
from inventory.models import Bridge, District
from inventory.units import System
from inventory.words import in_english

WRONG_ARGUMENT = 2
PAGES = {name.lower(): name for name in SIZES}


class Command(BaseCommand):
    help = (
        "Print the condition report of a bridge into a PDF file: a summary, the flagged elements"
        " first,\nthen every other element with its readings, expected values and charts, and the"
        " method with its limits of use.\n\nThe report tells the verdicts as they stand; judge"
        " again first with «assess» if the model or the settings changed."
        "\n\nExit code 0: written; 1: failed; 2: wrong arguments."
        "\nExample: manage.py report B-101 --output b-101.pdf --units us"
        "\nExample: manage.py report --kind plain --flag 12 --output council.pdf"
        "\nExample: manage.py report --kind district NORTH --output north.pdf"
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "code",
            metavar="CODE",
            nargs="?",
            default="",
            help="code of the bridge; of the district for «district», where none means all;"
            " BRIDGE/ELEMENT for «element»; the number in its address for «event»",
        )
        parser.add_argument(
            "--kind",
            choices=list(KINDS),
            default="condition",
            help="condition report of a bridge, summary of a district, or history card of an"
            " element, report of an event, list of work, or one page in plain words of a flag"
            " (default: condition)",
        )
        parser.add_argument(
            "--flag",
            metavar="N",
            type=int,
            help="for «plain»: number of the flag in its address; without it, the flag of the"
            " bridge that matters most",
        )
        parser.add_argument(
            "--output",
            metavar="FILE.pdf",
            type=Path,
            required=True,
            help="file to write; one of that name is replaced once the new one is whole",
        )
        parser.add_argument(
            "--units",
            choices=[each.value for each in System],
            default=System.SI.value,
            help="units of every figure (default: si)",
        )
        parser.add_argument(
            "--page",
            choices=list(PAGES),
            help="size of the paper (default: a4 for si, letter for us)",
        )
        parser.add_argument(
            "--language",
            choices=list(dict(settings.LANGUAGES)),
            default=settings.LANGUAGE_CODE,
            help="language of the report; what was entered stays as it was typed, and a saved page"
            " in plain words as it was written (default: en)",
        )
        parser.add_argument(
            "--by",
            metavar="NAME",
            default="command line",
            help="who prints it, told at the foot of each page",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["output"]
        if options["flag"] is not None and options["kind"] != "plain":
            raise CommandError("--flag: only «--kind plain» takes it.", returncode=WRONG_ARGUMENT)
        _refuse_unusable(path)
        system = System(options["units"])
        page_size = PAGES[options["page"]] if options["page"] else page_size_of(system)
        printing = Printing(system, timezone.now(), options["by"], page_size)
        with override(options["language"]):
            if options["flag"] is not None:
                told = _plain_of(options["code"], options["flag"], path, printing)
            else:
                told = KINDS[options["kind"]](options["code"], path, printing)
        self.stdout.write(f"{told} written to {path}")


def _printed(kind: JobKind, subject: Any, path: Path, printing: Printing) -> str:
    """Print a report of the kinds that pages have made by jobs as well."""
    report = REPORTS[kind]
    # disable=None: a bar on a terminal, silence where the output is kept.
    with (
        whole_file(path) as file,
        tqdm(
            total=report.units(subject),
            unit=f" {report.unit}",
            desc="Printing",
            disable=None,
        ) as bar,
    ):
        report.write(subject, file, printing, bar.update)
    return in_english(report.title)(subject)


def _condition(code: str, path: Path, printing: Printing) -> str:
    return _printed(JobKind.CONDITION_REPORT, _bridge(code), path, printing)


def _district(code: str, path: Path, printing: Printing) -> str:
    district = District.objects.filter(code=code).first() if code else None
    if code and district is None:
        remedy = near(code, list(District.objects.values_list("code", flat=True)))
        raise CommandError(
            f"CODE: no district has the code «{code}». {remedy}", returncode=WRONG_ARGUMENT
        )
    return _printed(JobKind.DISTRICT_SUMMARY, district, path, printing)


def _element(code: str, path: Path, printing: Printing) -> str:
    bridge_code, _, element_code = code.partition("/")
    bridge = _bridge(bridge_code)
    element = elements().filter(bridge=bridge, code=element_code).first()
    if element is None:
        remedy = near(element_code, list(bridge.elements.values_list("code", flat=True)))
        raise CommandError(
            f"CODE: {bridge.code} has no element «{element_code}»; give BRIDGE/ELEMENT. {remedy}",
            returncode=WRONG_ARGUMENT,
        )
    agency = AgencySettings.current()
    with whole_file(path) as file:
        write_element_card(
            element, file, printing, watch_use=agency.watch_use, currency=agency.currency
        )
    return f"History card of {element}"


def _event(code: str, path: Path, printing: Printing) -> str:
    event = Event.objects.filter(pk=code).first() if code.isdecimal() else None
    if event is None:
        raise CommandError(
            f"CODE: no event has the number «{code}»; it stands in the address of its page.",
            returncode=WRONG_ARGUMENT,
        )
    return _printed(JobKind.EVENT_REPORT, event, path, printing)


def _work(code: str, path: Path, printing: Printing) -> str:
    if code:
        raise CommandError("CODE: the list of work takes none.", returncode=WRONG_ARGUMENT)
    return _printed(JobKind.WORK_LIST, orders_narrowed(None), path, printing)


def _plain(code: str, path: Path, printing: Printing) -> str:
    bridge = _bridge(code)
    return _write_plain(bridge, weightiest_flag(bridge), path, printing)


def _plain_of(code: str, number: int, path: Path, printing: Printing) -> str:
    if code:
        raise CommandError("CODE: leave it out beside --flag.", returncode=WRONG_ARGUMENT)
    flag = flags().filter(pk=number).first()
    if flag is None:
        raise CommandError(
            f"--flag: no flag has the number {number}; it stands in the address of its page.",
            returncode=WRONG_ARGUMENT,
        )
    return _write_plain(flag.element.bridge, flag, path, printing)


def _write_plain(bridge: Bridge, flag: Flag | None, path: Path, printing: Printing) -> str:
    page = plain_now(bridge, flag, printing.system)
    try:
        with whole_file(path) as file:
            write_plain_page(page, file, printing)
    except TooLongError as refusal:
        told = in_english(str)(refusal)
        raise CommandError(f"{told} Shorten any of them on its page.") from refusal
    return f"Page in plain words on {in_english(str)(flag or bridge)}"


KINDS = {
    "condition": _condition,
    "district": _district,
    "element": _element,
    "event": _event,
    "work": _work,
    "plain": _plain,
}


def _bridge(code: str) -> Bridge:
    if not code:
        raise CommandError("CODE: give the code of the bridge.", returncode=WRONG_ARGUMENT)
    found = bridges_to_report().filter(code=code).first()
    if found is None:
        remedy = near(code, list(Bridge.objects.values_list("code", flat=True)))
        raise CommandError(
            f"CODE: no bridge has the code «{code}». {remedy}", returncode=WRONG_ARGUMENT
        )
    return found


def _refuse_unusable(path: Path) -> None:
    """Say before the work begins what would be in the way at its end."""
    # os.path and not pathlib: a name that no system takes is no folder, and not an error here.
    if os.path.isdir(path):
        raise CommandError(
            f"--output: {path} is a folder. Give the name of a file in it, such as"
            f" {path / 'report.pdf'}."
        )
    if not os.path.isdir(path.parent):
        raise CommandError(
            f"--output: the folder {path.parent} does not exist. Make it first, or give another."
        )
