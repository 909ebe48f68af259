"""``manage.py judge_outdated``: judge again what an older model left behind."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from tqdm import tqdm

from inspections.services import jobs
from inspections.services.judge import judge_outdated, outdated
from inspections.services.reassessment import ask
from movement import MODEL_VERSION


class Command(BaseCommand):
    help = (
        "Judge again the bridges that hold verdicts, histories, explanations or checks of"
        " another version of the movement model. Run it after the product was brought up to"
        " date; a second run finds nothing to do."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--background",
            action="store_true",
            help="leave it to a worker; until it is done, pages tell what is still to be judged",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["background"]:
            self.stdout.write(self._asked())
            return
        # disable=None: a bar on a terminal, silence where the output is kept.
        with tqdm(unit="bridge", desc="Judging", disable=None, leave=False) as bar:
            judged = judge_outdated(bar.update)
        bridges = f"{len(judged)} bridge{'s' * (len(judged) != 1)}"
        self.stdout.write(f"Movement model {MODEL_VERSION}: {bridges} judged again.")

    def _asked(self) -> str:
        by = f"movement model {MODEL_VERSION}"
        job = ask(by=by, bridge_ids=outdated(), user=None)
        if job is None:
            return f"M{by[1:]}: nothing to judge again."
        jobs.start(job)
        return f"Job {job.pk}, {job.title}: {job.get_state_display().lower()}."
