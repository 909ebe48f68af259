"""A worker of long jobs that does what waits and ends."""

from unittest.mock import patch

from django.core.management import call_command
from django_tasks_db.management.commands import db_worker


def work() -> None:
    """Do every job that waits, in the connection of the test: its rows are seen by no other."""
    with patch.object(db_worker, "close_old_connections"):
        call_command("db_worker", "--batch", "--no-startup-delay", verbosity=0)
