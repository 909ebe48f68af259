"""``manage.py demo``: the whole job once, on an invented scenario."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from inspections import demo, demo_desk
from inspections.assessment_table import table_lines
from inspections.selectors.assessment import assessment_of, telling_units, worst_first
from inventory.models import Bridge

ADDRESS = "127.0.0.1:8000"


class Command(BaseCommand):
    help = (
        "Load three invented bridges with their readings, judge each reading, print what is"
        " flagged and where the reports lie, and serve the pages. A second run changes nothing."
    )
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument(
            "--address", default=ADDRESS, metavar="HOST:PORT", help=f"default: {ADDRESS}"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError(
                "The demo makes accounts with a common password: it does not run with"
                " LEDGER_PRODUCTION=1."
            )
        Path(settings.LOCAL_DIR).mkdir(parents=True, exist_ok=True)
        self.stdout.write("Database ...")
        call_command("migrate", verbosity=0, interactive=False)
        bridges = demo.load(self.stdout.write)
        password, names = demo.ensure_accounts()
        self.stdout.write("Decisions, work and plan ...")
        demo_desk.tell()
        self.stdout.write("Reports ...")
        reports = demo.print_reports(bridges)

        chosen = Bridge.objects.filter(pk__in=[bridge.pk for bridge in bridges])
        found = assessment_of(chosen)
        self.stdout.write("")
        flagged = worst_first(chosen, flagged_only=True)
        for line in table_lines(flagged, telling_units(chosen), found.counts):
            self.stdout.write(line)
        self.stdout.write("\nCondition reports:")
        for path in reports:
            self.stdout.write(f"  {path}")
        self.stdout.write(
            f"\nAccounts: {', '.join(names)}; password of each, made on this machine: {password}"
        )
        if options["no_serve"]:
            return
        self.stdout.write(f"\nOpen http://{options['address']}/ (stop with Control-C)\n")
        call_command("runserver", options["address"], use_reloader=False, verbosity=0)
