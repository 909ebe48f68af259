"""A backup of a site that people write to, put back on another database."""

import json
import zipfile
from concurrent.futures import ThreadPoolExecutor

from tests.served.running import running

PAIRS = 400


def test_a_backup_holds_one_moment_of_a_site_in_use_and_moves_to_another_database(tmp_path):
    """From SQLite to SQLite, and to PostgreSQL where the tests run on that."""
    here, there, back = (tmp_path / name for name in ("here", "there", "back"))
    for folder in (here, there, back):
        folder.mkdir()
    first, second, moved = (tmp_path / f"{n}.zip" for n in ("first", "second", "moved"))
    with running(here, workers=1, database_url="") as site, ThreadPoolExecutor(1) as pool:
        site.ledger.call("tests.served.rows:visit", "T-1")
        writing = pool.submit(site.ledger.call, "tests.served.rows:write_pairs", PAIRS)
        site.server.manage("backup", str(first))
        site.server.manage("backup", str(second))
        assert writing.result() == PAIRS
    found = [half_pairs(each) for each in (first, second)]
    assert len(found[1]) > 0  # so the writing went on meanwhile
    for codes in found:
        assert sorted(code[:-1] + "a" for code in codes if code.endswith("b")) == sorted(
            code for code in codes if code.endswith("a")
        )
    with running(there, workers=1) as site:
        site.server.manage("restore", str(second))
        assert sorted(site.ledger.call("tests.served.rows:pairs")) == sorted(found[1])
        stored = site.ledger.call("tests.served.rows:stored")
        site.ledger.call("tests.served.rows:visit", "T-2")
        site.server.manage("backup", str(moved))
        after = site.ledger.call("tests.served.rows:stored")
    assert stored == tables_of(second)
    with running(back, workers=1, database_url="") as site:
        site.server.manage("restore", str(moved))
        assert site.ledger.call("tests.served.rows:stored") == after


def tables_of(path) -> dict:
    """Return what an archive says of each table."""
    with zipfile.ZipFile(path) as archive:
        return json.loads(archive.read("manifest.json"))["tables"]


def half_pairs(path) -> list[str]:
    """Return the codes of the districts of pairs in an archive."""
    with zipfile.ZipFile(path) as archive:
        lines = archive.read("data/inventory.district.jsonl").decode().splitlines()
    return [value for line in lines for value in json.loads(line) if str(value).startswith("P")
            and " " not in value]  # fmt: skip
