"""``manage.py import_element_data``: national bridge element data from an XML file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, TextIO

from tqdm import tqdm

from inspections.exchange.element_data import import_element_data
from inspections.exchange.element_xml_guide import SAMPLE, TAGS
from inventory.management.import_command import ImportCommand


class Command(ImportCommand):
    help = (
        "Import US national bridge element data (XML). A structure's rows replace those it had;"
        " condition states that crews handed in stay as they are. All of the file is taken or"
        " nothing. Exit code 0: done; 1: the file was refused; 2: wrong arguments."
    )
    file_help = "XML file"

    def columns(self) -> Iterator[str]:
        for tag, needed, meaning in TAGS:
            yield f"{tag:<9} needed: {needed:<25} {meaning}"

    def write_sample(self, stream: TextIO) -> None:
        stream.write(SAMPLE)

    def take(self, content: bytes, bar: tqdm, options: dict[str, Any]) -> Iterator[str]:
        result = import_element_data(content, dry_run=options["dry_run"])
        yield "Dry run, nothing written. It would be:" if result.dry_run else "Imported:"
        for name in ("structure", "row"):
            counts = [each[name] for each in (result.created, result.updated, result.unchanged)]
            yield "  {:<12} {:>6} new {:>6} replaced {:>6} unchanged".format(f"{name}s", *counts)
        yield from (f"Worth a look: {notice}" for notice in result.notices)
