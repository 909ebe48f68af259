"""``manage.py verify_history``: prove that what was signed was not changed since."""

from __future__ import annotations

from argparse import ArgumentParser, RawDescriptionHelpFormatter
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inspections.services.seal_checks import verify


class Command(BaseCommand):
    help = (
        "Walk along the chain of seals, one for each signed decision and inspection, and compare"
        "\neach with the rows that it covers: what was changed, removed or slipped in behind the"
        "\nproduct's back is named. Note the head that it prints outside this machine, and give it"
        "\nnext time: it shows whether the end of the chain was cut off or all of it made anew."
        "\n\nExit code 0: everything holds; 1: something was changed; 2: wrong arguments."
        "\nExample: manage.py verify_history --head 4f0c…"
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--head", default="", help="the head that was noted before")

    def handle(self, *args: Any, **options: Any) -> None:
        head: str = options["head"].strip().lower()
        if head and (len(head) != 64 or set(head) - set("0123456789abcdef")):
            raise CommandError("--head: give the 64 signs that this command printed.", returncode=2)
        proof = verify(head)
        for fault in proof.faults:
            at = f"Seal {fault.number}: " if fault.number else ""
            self.stdout.write(f"{at}{fault.told}")
        if proof.faults:
            count = len(proof.faults)
            faults = "1 fault" if count == 1 else f"{count} faults"
            raise CommandError(f"{faults} in {proof.links} seals. Keep this output and a backup.")
        self.stdout.write(f"{proof.links} seals hold.")
        if proof.head:
            self.stdout.write(f"Head: {proof.head}")
