"""A site comes out of its backup as it went in, or not at all."""

import json
import random
import stat
import zipfile
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction

from inspections.backup.archive import Archive
from inspections.backup.tables import Digest, lines_of, tables
from inspections.models import Photo
from inventory.models import Bridge, Installation
from movement.errors import InputError
from tests.make import make_bridge, make_element, make_unit, make_user
from tests.rows import kept_models, valid_row

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _files_in_a_folder_of_their_own(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "files"


def state() -> dict[str, dict]:
    """Return number and digest of the rows of each table."""
    found = {}
    for model in tables():
        digest = Digest()
        for line in lines_of(model):
            digest.add(line)
        found[model._meta.label_lower] = digest.told
    return found


@pytest.fixture
def backup(tmp_path) -> Path:
    """The backup of a small site."""
    make_element(make_unit(make_bridge("B-1")))
    make_user("engineer", username="engineer")
    path = tmp_path / "site.zip"
    call_command("backup", str(path))
    return path


def changed(path: Path, name: str, content: bytes) -> Path:
    """Return a copy of an archive in which one part was changed."""
    copy = path.with_name("changed.zip")
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(copy, "w") as new:
        for each in old.namelist():
            new.writestr(each, content if each == name else old.read(each))
    return copy


def refused(path: Path, *arguments: str) -> str:
    """Hold a restore to being refused with nothing changed, and return what was said."""
    before = state()
    with pytest.raises(CommandError) as caught:
        call_command("restore", str(path), *arguments)
    assert state() == before
    return str(caught.value)


def test_a_row_of_every_table_comes_back_as_it_was(tmp_path, capsys):
    for model in kept_models():
        valid_row(model)
    before = state()
    assert sum(each["rows"] > 0 for each in before.values()) > 60
    path = tmp_path / "site.zip"
    call_command("backup", str(path))
    Bridge.objects.update(name="Changed meanwhile")
    get_user_model().objects.update(password="")
    call_command("restore", str(path), "--replace")
    assert state() == before
    assert "rows and" in capsys.readouterr().out


def test_a_restored_site_keeps_its_rules_and_counts_on(backup):
    def triggers() -> int:
        listed = {
            "sqlite": "SELECT COUNT(*) FROM sqlite_master WHERE type = 'trigger'",
            "postgresql": "SELECT COUNT(*) FROM pg_trigger WHERE NOT tgisinternal",
        }[connection.vendor]
        with connection.cursor() as cursor:
            cursor.execute(listed)
            return cursor.fetchone()[0]

    before = triggers()
    call_command("restore", str(backup), "--replace")
    assert triggers() == before > 0
    with pytest.raises(IntegrityError), transaction.atomic():
        # A joint's device on a bearing's place: a rule that only the triggers know.
        Installation.objects.update(device_type="strip_seal")
    assert make_bridge("B-2").pk > Bridge.objects.get(code="B-1").pk
    assert make_element(make_unit(make_bridge("B-3"))).pk


def test_a_site_in_use_is_left_alone_unless_it_is_to_be_replaced(backup):
    assert "1 accounts and 1 bridges" in refused(backup)


def test_photos_come_back(tmp_path):
    photo = valid_row(Photo)
    photo.image.save("a.jpg", ContentFile(b"as it was taken"))
    path = tmp_path / "site.zip"
    call_command("backup", str(path))
    file = Path(photo.image.path)
    file.unlink()
    call_command("restore", str(path), "--replace")
    assert file.read_bytes() == b"as it was taken"
    file.write_bytes(b"another photo")
    assert "Move that file away" in refused(path, "--replace")
    assert file.read_bytes() == b"another photo"


def test_a_photo_that_was_lost_is_named_and_the_rest_is_kept(tmp_path, capsys):
    photo = valid_row(Photo)
    path = tmp_path / "site.zip"
    call_command("backup", str(path))
    assert photo.image.name in capsys.readouterr().err
    call_command("restore", str(path), "--replace")
    assert Photo.objects.get().pk == photo.pk


def test_a_damaged_backup_is_refused_before_anything_is_written(backup):
    whole = backup.read_bytes()
    cut = backup.with_name("cut.zip")
    cut.write_bytes(whole[: len(whole) // 2])
    assert "no whole backup" in refused(cut, "--replace")
    with zipfile.ZipFile(backup) as archive:
        info = archive.getinfo("data/inventory.bridge.jsonl")
    flipped = bytearray(whole)
    flipped[info.header_offset + len(info.filename) + 60] ^= 0xFF
    bad = backup.with_name("bad.zip")
    bad.write_bytes(flipped)
    assert "inventory.bridge" in refused(bad, "--replace")


def test_no_flipped_byte_passes_unless_it_changes_nothing(backup):
    whole, dice = backup.read_bytes(), random.Random(20261126)
    wanted = content_of(backup)
    bad, told = backup.with_name("bad.zip"), 0
    for _ in range(150):
        flipped = bytearray(whole)
        flipped[dice.randrange(len(whole))] ^= 1 << dice.randrange(8)
        bad.write_bytes(flipped)
        try:
            found = content_of(bad)
        except InputError:
            told += 1
        else:
            assert found == wanted  # a byte of no account, such as the hour of a part
    assert told > 75


def content_of(path: Path) -> tuple:
    """Return what a restore would take from an archive, once it is verified."""
    archive = Archive(path)
    archive.verify(lambda _name: None)
    manifest = archive.manifest
    rows = {label: list(archive.lines(label)) for label in manifest.tables}
    return rows, manifest.migrations


def test_a_row_that_somebody_changed_is_noticed(backup):
    name = "data/inventory.bridge.jsonl"
    with zipfile.ZipFile(backup) as archive:
        content = archive.read(name)
    forged = changed(backup, name, content.replace(b"Test bridge", b"Best bridge"))
    assert "inventory.bridge" in refused(forged, "--replace")


def test_a_name_that_leads_out_of_the_folder_is_refused(backup):
    manifest = manifest_of(backup)
    manifest["files"] = {"../outside.txt": {"bytes": 0, "sha256": "0" * 64}}
    forged = changed(backup, "manifest.json", json.dumps(manifest).encode())
    assert "outside its folder" in refused(forged, "--replace")


def test_a_backup_of_other_tables_says_which_version_wrote_it(backup):
    manifest = manifest_of(backup)
    manifest["migrations"].append("inspections.9999_later")
    later = changed(backup, "manifest.json", json.dumps(manifest).encode())
    told = refused(later, "--replace")
    assert "inspections.9999_later" in told
    assert "Install that version" in told


def test_a_file_that_is_no_backup_is_told_so(tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("Not a backup")
    assert "no whole backup" in refused(path)
    assert "no whole backup" in refused(tmp_path / "missing.zip")


def test_a_check_reads_all_and_writes_nothing(backup, capsys):
    before = state()
    call_command("restore", str(backup), "--check")
    assert "sound" in capsys.readouterr().out
    assert state() == before


def test_a_backup_overwrites_nothing_and_is_its_owners_alone(backup, tmp_path):
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    with pytest.raises(CommandError, match="there already"):
        call_command("backup", str(backup))
    with pytest.raises(CommandError, match="does not exist"):
        call_command("backup", str(tmp_path / "no" / "site.zip"))
    assert [each.name for each in tmp_path.glob("*.part")] == []


def manifest_of(path: Path) -> dict:
    """Return what an archive says that it holds."""
    with zipfile.ZipFile(path) as archive:
        return json.loads(archive.read("manifest.json"))
