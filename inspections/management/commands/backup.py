"""``manage.py backup``: the whole site in one file, while it is in use."""

from __future__ import annotations

import tempfile
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from tqdm import tqdm

from inspections.backup.archive import FORMAT, write_archive


class Command(BaseCommand):
    help = (
        f"Write all data and photos of this site into one file, format {FORMAT}, as they stand at"
        "\none moment; the site may be in use. The file holds accounts and the digests of their"
        "\npasswords: keep it where only those may read it who may read the database. Take one"
        "\nbefore each update, and try «restore --check» on it."
        "\n\nExit code 0: written; 1: failed; 2: wrong arguments."
        "\nExample: manage.py backup ledger-2026-11-26.zip"
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file", metavar="FILE", type=Path, help="file to write; it must not be there yet"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        if path.exists():
            raise CommandError(f"FILE: {path} is there already. Give another name, or move it.")
        if not path.parent.is_dir():
            raise CommandError(f"FILE: the folder {path.parent} does not exist. Make it first.")
        try:
            # Only its owner may read it, from the first byte on.
            with (
                tempfile.NamedTemporaryFile(dir=path.parent, suffix=".part") as part,
                tqdm(unit="part", desc="Writing", disable=None) as bar,
            ):
                found = write_archive(part, timezone.now(), lambda _name: bar.update())
                part.flush()
                # Unlike a move, this never takes the place of a file that came meanwhile.
                path.hardlink_to(part.name)
        except OSError as error:
            raise CommandError(f"FILE: {path} cannot be written ({error.strerror}).") from error
        for name in found.lost_files:
            self.stderr.write(f"Not where it was stored, and so not in the backup: {name}")
        self.stdout.write(f"{found.rows} rows and {len(found.files)} files written to {path}")
