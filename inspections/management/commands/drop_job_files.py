"""``manage.py drop_job_files``: remove the results of jobs whose days are over."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from inspections.services.jobs import drop_old_files


class Command(BaseCommand):
    help = (
        "Remove the files of long jobs that are no longer kept (LEDGER_JOB_DAYS days after their"
        " end). The site does so itself whenever a job is asked for."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        count = drop_old_files()
        self.stdout.write(f"Files of {count} job{'s' * (count != 1)} removed.")
