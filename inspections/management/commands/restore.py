"""``manage.py restore``: a site from its backup, on the same kind of database or another."""

from __future__ import annotations

from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from tqdm import tqdm

from inspections.backup.archive import FORMAT, Archive
from inspections.backup.restoring import restore
from movement.errors import InputError


class Command(BaseCommand):
    help = (
        f"Put all data and photos of a backup, format {FORMAT}, into this site: run «migrate» on an"
        "\nempty database first, SQLite or PostgreSQL whichever the backup came from. The file"
        "\nis verified before anything is written and every table after it; all of it is taken"
        "\nor nothing. Everybody signs in anew. Nobody should use the site meanwhile."
        "\n\nExit code 0: done; 1: refused, nothing was changed; 2: wrong arguments."
        "\nExample: manage.py restore ledger-2026-11-26.zip --check"
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path, help="the backup")
        how = parser.add_mutually_exclusive_group()
        how.add_argument(
            "--check", action="store_true", help="read and verify the file, and write nothing"
        )
        how.add_argument(
            "--replace",
            action="store_true",
            help="remove what this site holds; without it a site that is in use is left alone",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            with tqdm(unit="part", desc="Reading", disable=None) as bar:

                def progress(_name: str) -> None:
                    bar.update()

                if options["check"]:
                    archive = Archive(path)
                    archive.verify(progress)
                    found = archive.manifest
                else:
                    found = restore(path, replace=options["replace"], progress=progress)
        except InputError as error:
            raise CommandError(str(error)) from error
        done = "sound" if options["check"] else "restored"
        self.stdout.write(
            f"{path} of {found.made_at}: {found.rows} rows and {len(found.files)} files {done}"
        )
        for name in found.lost_files:
            self.stderr.write(f"Was lost before the backup: {name}")
