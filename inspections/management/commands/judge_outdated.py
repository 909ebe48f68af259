"""``manage.py judge_outdated``: judge again what an older model left behind."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from inspections.services.judge import judge_outdated
from movement import MODEL_VERSION


class Command(BaseCommand):
    help = (
        "Judge again the bridges that hold verdicts, histories, explanations or checks of"
        " another version of the movement model. Run it after the product was brought up to"
        " date; a second run finds nothing to do."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        judged = judge_outdated()
        bridges = f"{len(judged)} bridge{'s' * (len(judged) != 1)}"
        self.stdout.write(f"Movement model {MODEL_VERSION}: {bridges} judged again.")
