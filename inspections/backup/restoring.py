"""A site made anew from an archive: all of it and as it was, or nothing."""

from __future__ import annotations

import hashlib
from pathlib import Path

from django.contrib.auth import get_user_model
from django.core.files.storage import default_storage
from django.db import DatabaseError, connection, transaction

from inspections.backup.archive import Archive, Manifest, Progress
from inspections.backup.tables import Digest, clear, count_on, insert, lines_of, migrations, tables
from inventory.cross_row_rules import set_up, take_down
from inventory.models import Bridge
from movement.errors import InputError


def restore(path: Path, *, replace: bool, progress: Progress) -> Manifest:
    """Put the site of an archive where this one is, on either kind of database.

    Raises
    ------
    InputError
        Where the archive is damaged or of another version of the tables, or where the site
        holds data and ``replace`` was not asked for.
    """
    archive = Archive(path)
    archive.verify(progress)
    _check_version(archive.manifest)
    written: list[Path] = []
    try:
        with transaction.atomic():
            if not replace:
                _check_empty()
            _write_rows(archive, progress)
            _write_files(archive, written)
    except BaseException:
        for path in written:
            path.unlink(missing_ok=True)
        raise
    return archive.manifest


def _check_version(found: Manifest) -> None:
    here = migrations()
    if found.migrations == here:
        return
    missing = sorted(set(found.migrations) - set(here))
    newer = sorted(set(here) - set(found.migrations))
    lacking = f"this site lacks {', '.join(missing)}" if missing else ""
    ahead = f"the backup lacks {', '.join(newer)}" if newer else ""
    raise InputError(
        "FILE",
        f"was written by version {found.product}, whose tables differ: "
        + "; ".join(part for part in (lacking, ahead) if part),
        "Install that version, run «manage.py migrate», restore, then update",
    )


def _check_empty() -> None:
    users, bridges = get_user_model().objects.count(), Bridge.objects.count()
    if users or bridges:
        raise InputError(
            "--replace",
            f"is needed: this site holds {users} accounts and {bridges} bridges, which would go",
            "Take a backup of it first, then restore with --replace",
        )


def _write_rows(archive: Archive, progress: Progress) -> None:
    models = {model._meta.label_lower: model for model in tables()}
    # Rules between rows hold for a whole state, not for each row on its way in.
    take_down()
    clear(models.values())
    for label in archive.manifest.tables:
        try:
            insert(models[label], archive.lines(label))
        except (DatabaseError, ValueError) as error:
            raise InputError(
                "FILE", f"holds a row of {label} that is refused ({error})", "See the manual"
            ) from error
        progress(label)
    # Looks now at what refers to what, before the rules come back.
    connection.check_constraints()
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    set_up()
    count_on(models.values())
    for label, wanted in archive.manifest.tables.items():
        digest = Digest()
        for line in lines_of(models[label]):
            digest.add(line)
        if digest.told != wanted:
            raise InputError("FILE", f"came out otherwise in {label}", "Nothing was changed")


def _write_files(archive: Archive, written: list[Path]) -> None:
    for name, wanted in archive.manifest.files.items():
        path = Path(default_storage.path(name))
        if path.exists():
            if _sha256(path) == wanted["sha256"]:
                continue
            raise InputError(
                "FILE", f"would overwrite {path}, which is another file", "Move that file away"
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        written.append(path)
        with path.open("xb") as file:
            for piece in archive.pieces(name):
                file.write(piece)


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
