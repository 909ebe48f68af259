"""Rows made and read where a server's database is: called by name through a ``Ledger``."""

from __future__ import annotations

from typing import Any

PASSWORD = "four invented words here"
SETTING = {
    "setting_source": "measured",
    "setting_temperature_c": 20.0,
    "setting_offset_along_mm": 0.0,
    "setting_gap_mm": 50.0,
}


def inspector(username: str) -> int:
    """Make an inspector with a password, and return his id."""
    from tests.make import make_user

    return make_user("inspector", username=username, password=PASSWORD).pk


def api_key() -> str:
    """Make an inspector with a key that may write, and return the key."""
    from tests.api.calls import Caller
    from tests.make import make_user

    return Caller(make_user("inspector")).secret


def visit(code: str, bearings: int = 1) -> dict[str, Any]:
    """Open an inspection of today on a bridge with a joint and some bearings."""
    from django.utils import timezone

    from tests.make import make_bridge, make_element, make_inspection, make_unit

    unit = make_unit(make_bridge(code))
    make_element(unit, "strip_seal", "J-1", installation=SETTING)
    elements = [
        make_element(unit, "pot", f"B-{number}", installation=SETTING).pk
        for number in range(1, bearings + 1)
    ]
    return {"id": make_inspection(unit.bridge, timezone.now().date()).pk, "bearings": elements,
            "elements": [each.pk for each in unit.bridge.elements.all()]}  # fmt: skip


def counts(inspection: int) -> dict[str, int]:
    """Return how much an inspection holds."""
    from inspections.models import Inspection, Verdict

    found = Inspection.objects.get(pk=inspection)
    tables = ("tablet_records", "readings", "notes", "photos", "temperatures", "sign_offs")
    return {name: getattr(found, name).count() for name in tables} | {
        "judged": Verdict.objects.filter(inspection=found).count()
    }


def readings(inspection: int) -> list[tuple]:
    """Return the readings of an inspection: their record, value, and number at their point."""
    from inspections.models import Reading

    rows = Reading.objects.filter(inspection=inspection).order_by("pk")
    return [(str(uid), *rest) for uid, *rest in rows.values_list("record_id", "value", "repeat")]


def came(inspection: int) -> list[str]:
    """Return the ids of the records that an inspection holds, sorted."""
    from inspections.models import TabletRecord

    rows = TabletRecord.objects.filter(inspection=inspection)
    return sorted(str(uid) for uid in rows.values_list("uid", flat=True))


def signature_covers_all(inspection: int) -> bool:
    """Tell whether what was signed is what is there."""
    from inspections.models import SignOff
    from inspections.services.sign_off import digest_of

    signed = SignOff.objects.get(inspection=inspection)
    return signed.digest == digest_of(signed.inspection)


def picture_files() -> int:
    """Return how many picture files there are."""
    from tests.soak.world import files

    return files()


def write_pairs(count: int) -> int:
    """Write pairs of districts, both in one transaction or neither; return how many."""
    from django.db import transaction

    from inventory.models import District

    for number in range(count):
        with transaction.atomic():
            for half in "ab":
                District.objects.create(code=f"P{number}{half}", name=f"Pair {number}")
    return count


def pairs() -> list[str]:
    """Return the codes of the districts of all pairs."""
    from inventory.models import District

    rows = District.objects.filter(code__startswith="P").order_by("code")
    return list(rows.values_list("code", flat=True))


def stored() -> dict[str, dict[str, Any]]:
    """Return number and digest of the rows of each table."""
    from inspections.backup.tables import Digest, lines_of, tables

    found = {}
    for model in tables():
        digest = Digest()
        for line in lines_of(model):
            digest.add(line)
        found[model._meta.label_lower] = digest.told
    return found


def decide_on_joints(code: str, count: int) -> int:
    """Sign a decision on each of some joints that stand where they should not."""
    import datetime as dt

    from inspections.services.decisions import decide
    from tests.inspections.work_rows import a_unit, off_joints, position
    from tests.make import make_user

    engineer = make_user("engineer", username=f"engineer-{code}")
    for joint in off_joints(a_unit(code), *(f"J-{n}" for n in range(count))):
        until = dt.date(2090, 1, 1)
        decide(flag=position(joint), kind="accept", reason="Known", user=engineer, until=until)
    return count


def history() -> tuple[int, list[str]]:
    """Return how many seals there are, and what does not hold of them."""
    from inspections.services.seal_checks import verify

    proof = verify()
    return proof.links, [each.told for each in proof.faults]
