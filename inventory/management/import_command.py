"""What every import command shares: its options, its exits, and how it tells what it did."""

from __future__ import annotations

from abc import ABC, abstractmethod
from argparse import ArgumentParser
from collections.abc import Iterable
from pathlib import Path
from typing import Any, TextIO

from django.core.management.base import BaseCommand
from tqdm import tqdm

from inventory.exchange.problems import ImportRefused
from inventory.management.output import opened
from inventory.management.reports import content_of, refused


class ImportCommand(BaseCommand, ABC):
    """Takes one file whole or not at all, or documents its columns."""

    progress_of = "bridge"
    progress_word = "Judging"
    file_help = "CSV file in UTF-8"

    def add_arguments(self, parser: ArgumentParser) -> None:
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("file", type=Path, nargs="?", help=self.file_help)
        what.add_argument(
            "--columns", action="store_true", help="print the documented columns and stop"
        )
        what.add_argument("--template", metavar="FILE", type=Path, help="write a sample and stop")
        parser.add_argument(
            "--dry-run", action="store_true", help="check and tell, but write nothing"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["columns"]:
            self._say(self.columns())
        elif options["template"]:
            with opened(options["template"], self.stdout) as stream:
                self.write_sample(stream)
        else:
            self._say(self._taken(options))

    @abstractmethod
    def columns(self) -> Iterable[str]:
        """Return the documented columns, in lines."""

    @abstractmethod
    def write_sample(self, stream: TextIO) -> None:
        """Write a file to start from."""

    @abstractmethod
    def take(self, content: bytes, bar: tqdm, options: dict[str, Any]) -> Iterable[str]:
        """Import a file's content, moving ``bar`` on, and return what was done, in lines."""

    def _taken(self, options: dict[str, Any]) -> Iterable[str]:
        content = content_of(options["file"])
        try:
            # disable=None: a bar on a terminal, silence where the output is kept.
            with tqdm(
                unit=self.progress_of, desc=self.progress_word, disable=None, leave=False
            ) as bar:
                return list(self.take(content, bar, options))
        except ImportRefused as error:
            raise refused(options["file"], error) from error

    def _say(self, lines: Iterable[str]) -> None:
        for line in lines:
            self.stdout.write(line)
