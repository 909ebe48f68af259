"""The archive of a site, format ``ledger-backup/1``: a ZIP file whose list is written last.

``data/<table>.jsonl`` holds the rows of a table, ``files/<name>`` a file that a row names, and
``manifest.json`` what there must be: versions, migrations, and number and SHA-256 of everything.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path, PurePosixPath
from typing import Any, BinaryIO

from django.core.files.storage import default_storage
from django.db import models

from inspections.backup.tables import Digest, lines_of, migrations, tables
from inspections.lookups.snapshot import snapshot
from movement import MODEL_VERSION
from movement.errors import InputError

FORMAT = "ledger-backup/1"
MANIFEST = "manifest.json"
PIECE = 1024 * 1024
DAMAGED = "It was damaged or changed: take another backup"
UNREADABLE = (
    OSError, EOFError, KeyError, ValueError, RuntimeError, NotImplementedError,
    zipfile.BadZipFile, zlib.error,
)  # fmt: skip
"""What a ZIP file that is damaged anywhere may raise."""
Progress = Callable[[str], None]


@dataclass(slots=True)
class Manifest:
    """What an archive holds."""

    made_at: str
    product: str
    model: str
    migrations: list[str]
    tables: dict[str, dict[str, Any]] = field(default_factory=dict)
    files: dict[str, dict[str, Any]] = field(default_factory=dict)
    lost_files: list[str] = field(default_factory=list)
    """Named by a row, and not where they should be."""

    @property
    def rows(self) -> int:
        """How many rows there are in all."""
        return sum(each["rows"] for each in self.tables.values())


def write_archive(target: BinaryIO, now: dt.datetime, progress: Progress) -> Manifest:
    """Write one state of the site while it is in use.

    ``progress`` is told the name of each part that has been written.
    """
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        with snapshot():
            found = Manifest(
                now.isoformat(), version("bearing-joint-ledger"), MODEL_VERSION, migrations()
            )
            named: set[str] = set()
            for model in tables():
                label = model._meta.label_lower
                found.tables[label] = _write_table(archive, model)
                named |= set(_files_of(model))
                progress(label)
        # A file never changes once it has its name, so it may be read after the rows.
        for name in sorted(named):
            if default_storage.exists(name):
                found.files[name] = _write_file(archive, name)
            else:
                found.lost_files.append(name)
            progress(name)
        told = {"format": FORMAT} | {each: getattr(found, each) for each in Manifest.__slots__}
        archive.writestr(MANIFEST, json.dumps(told, indent=1, sort_keys=True))
    return found


def _write_table(archive: zipfile.ZipFile, model: type[models.Model]) -> dict[str, Any]:
    digest = Digest()
    with archive.open(f"data/{model._meta.label_lower}.jsonl", "w", force_zip64=True) as part:
        for line in lines_of(model):
            digest.add(line)
            part.write(line.encode() + b"\n")
    return digest.told


def _files_of(model: type[models.Model]) -> Iterator[str]:
    for each in model._meta.concrete_fields:
        if isinstance(each, models.FileField):
            for name in model._base_manager.values_list(each.attname, flat=True).iterator():
                if name:
                    yield name


def _write_file(archive: zipfile.ZipFile, name: str) -> dict[str, Any]:
    # Photos are packed already.
    info = zipfile.ZipInfo(f"files/{name}")
    digest, count = hashlib.sha256(), 0
    with default_storage.open(name) as file, archive.open(info, "w", force_zip64=True) as part:
        while piece := file.read(PIECE):
            digest.update(piece)
            count += len(piece)
            part.write(piece)
    return {"bytes": count, "sha256": digest.hexdigest()}


class Archive:
    """An archive to read; refuses what is none, or not whole, by an ``InputError``."""

    def __init__(self, path: Path) -> None:
        try:
            self._zip = zipfile.ZipFile(path)
            told = json.loads(self._zip.read(MANIFEST))
            manifest = Manifest(**told) if told.pop("format", "") == FORMAT else None
        except (*UNREADABLE, TypeError, AttributeError) as error:
            raise InputError(
                "FILE", f"{path} is no whole backup of a ledger ({error})", "Give another file"
            ) from error
        if manifest is None:
            raise InputError("FILE", f"{path} is not of the format {FORMAT}", "Give another file")
        self.manifest = manifest

    def lines(self, label: str) -> Iterator[str]:
        """Return the rows of a table."""
        with self._zip.open(f"data/{label}.jsonl") as part:
            for line in io.TextIOWrapper(part, encoding="utf-8", newline="\n"):
                yield line.rstrip("\n")

    def pieces(self, name: str) -> Iterator[bytes]:
        """Return a file in pieces."""
        with self._zip.open(f"files/{name}") as part:
            while piece := part.read(PIECE):
                yield piece

    def verify(self, progress: Progress) -> None:
        """Read everything and hold it to the manifest."""
        for label, wanted in self.manifest.tables.items():
            with reading(label):
                digest = Digest()
                for line in self.lines(label):
                    digest.add(line)
            _hold(label, wanted, digest.told)
            progress(label)
        for name, wanted in self.manifest.files.items():
            place = PurePosixPath(name)
            if place.is_absolute() or ".." in place.parts or "\\" in name:
                raise InputError("FILE", f"names a file outside its folder: {name}", DAMAGED)
            with reading(name):
                whole, count = hashlib.sha256(), 0
                for piece in self.pieces(name):
                    whole.update(piece)
                    count += len(piece)
            _hold(name, wanted, {"bytes": count, "sha256": whole.hexdigest()})
            progress(name)


@contextmanager
def reading(name: str) -> Iterator[None]:
    """Say where an archive cannot be read."""
    try:
        yield
    except UNREADABLE as error:
        raise InputError("FILE", f"cannot be read at {name} ({error})", DAMAGED) from error


def _hold(name: str, wanted: dict[str, Any], found: dict[str, Any]) -> None:
    if wanted != found:
        raise InputError("FILE", f"does not hold {name} as its list says", DAMAGED)
