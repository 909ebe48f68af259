"""What is said where PostgreSQL is missing."""

import pytest

from tests.postgresql import cluster


def test_a_machine_without_postgresql_is_told_which_package_to_install(monkeypatch, tmp_path):
    monkeypatch.setattr(cluster, "INSTALLED", tmp_path)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(cluster.NotInstalled, match="Install the Debian package `postgresql`"):
        cluster.tools()
