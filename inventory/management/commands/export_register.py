"""``manage.py export_register``: the register as a CSV file."""

from __future__ import annotations

from argparse import ArgumentParser, RawDescriptionHelpFormatter
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from tqdm import tqdm

from inventory.exchange.cells import suggestion
from inventory.exchange.columns import FORMAT
from inventory.exchange.register_csv import write_register
from inventory.management.output import add_output, write_table
from inventory.management.reports import WRONG_ARGUMENT
from inventory.models import Bridge


class Command(BaseCommand):
    help = (
        f"Write the register in the format {FORMAT}, as import_register takes it; that command's"
        "\n--columns documents it. Ended installations are written with the present ones."
        "\n\nExit code 0: written; 1: failed; 2: wrong arguments."
        "\nExample: manage.py export_register --bridge B-101 B-102 --output register.csv"
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--bridge",
            metavar="CODE",
            nargs="+",
            action="extend",
            default=[],
            help="write these bridges and their districts only (default: the whole register)",
        )
        add_output(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        bridges = self._chosen(options["bridge"])
        total = (Bridge.objects.all() if bridges is None else bridges).count()
        with tqdm(
            total=total, unit="bridge", desc="Writing", leave=False,
            # A bar beside the rows themselves would garble a terminal.
            disable=None if options["output"] else True,
        ) as bar:  # fmt: skip
            write_table(
                "register",
                options,
                self.stdout,
                lambda stream: write_register(stream, bridges, progress=bar.update),
            )

    def _chosen(self, codes: list[str]) -> Any:
        if not codes:
            return None
        bridges = Bridge.objects.filter(code__in=codes)
        known = set(bridges.values_list("code", flat=True))
        for code in codes:
            if code not in known:
                near = suggestion(code, Bridge.objects.values_list("code", flat=True))
                raise CommandError(
                    f"--bridge: there is no bridge «{code}». {near}Give the code of a bridge of"
                    " the register.",
                    returncode=WRONG_ARGUMENT,
                )
        return bridges
