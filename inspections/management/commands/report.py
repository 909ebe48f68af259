"""``manage.py report``: print the condition report of a bridge into a PDF file."""

from __future__ import annotations

import os
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from tqdm import tqdm

from inspections.paper.condition_report import write_condition_report
from inspections.paper.frame import SIZES, page_size_of
from inspections.selectors.assessment import near
from inspections.selectors.report import bridges_to_report
from inventory.management.output import whole_file
from inventory.models import Bridge, Element
from inventory.units import System

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
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("code", metavar="CODE", help="code of the bridge")
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
            "--by",
            metavar="NAME",
            default="command line",
            help="who prints it, told at the foot of each page",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        bridge = _bridge(options["code"])
        path: Path = options["output"]
        _refuse_unusable(path)
        system = System(options["units"])
        page_size = PAGES[options["page"]] if options["page"] else page_size_of(system)
        count = Element.objects.filter(bridge=bridge).count()
        # disable=None: a bar on a terminal, silence where the output is kept.
        with (
            whole_file(path) as file,
            tqdm(total=count, unit="element", desc="Printing", disable=None) as bar,
        ):
            write_condition_report(
                bridge,
                file,
                system=system,
                printed_at=timezone.now(),
                printed_by=options["by"],
                page_size=page_size,
                progress=bar.update,
            )
        self.stdout.write(f"Condition report of {bridge} written to {path}")


def _bridge(code: str) -> Bridge:
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
