"""The key of a checkout: made once, whole, whoever starts first."""

from concurrent.futures import ThreadPoolExecutor

from inspections.project.env import local_secret


def test_processes_that_start_together_get_one_key(tmp_path):
    folder = tmp_path / "new"
    with ThreadPoolExecutor(16) as starting:
        keys = set(starting.map(lambda _: local_secret(folder), range(64)))

    assert len(keys) == 1
    assert len(keys.pop()) > 50
    assert [each.name for each in folder.iterdir()] == ["secret-key"]
    assert (folder / "secret-key").stat().st_mode & 0o077 == 0
