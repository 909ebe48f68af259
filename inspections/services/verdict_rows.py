"""The verdict rows of judged points."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import repeat
from operator import itemgetter

import numpy as np
from django.db.models import QuerySet

from inspections.lookups.parts import in_parts
from inspections.models import Verdict
from inspections.models.choices import SettingFrom
from inspections.services.judged import THIS_READING, Judged, known, rows_of
from inspections.services.many_rows import insert, made
from movement import MODEL_VERSION
from movement.expected import expected_line
from movement.results import Judgement
from movement.temperature import weakest

COLUMNS = tuple(field.attname for field in Verdict._meta.concrete_fields)
SAYS = tuple(name for name in COLUMNS if name not in ("id", "judged_at"))
"""Columns that a verdict must still have to be left as it is."""


def verdicts_of(found: Judged, now: dt.datetime) -> list[Verdict]:
    """Return the verdict of each point, in their order."""
    setting, channels = found.setting, found.channels
    racking = expected_line(
        found.shortening.into(rows_of(channels.racking, found.of_point)),
        replace(setting, value=np.zeros_like(found.value)),
    ).value(found.now_c)
    shortening, u_shortening, notes = found.shortening.part_of(found.sides)
    numbers = {
        "u_reading": found.u_value,
        "temperature_c": found.now_c,
        "u_temperature_k": found.u_now_k,
        "setting_value": setting.value,
        "setting_temperature_c": setting.temperature_c,
        "limit_lower": found.limits.lower,
        "limit_upper": found.limits.upper,
        "design_min_c": found.extremes.min_c,
        "design_max_c": found.extremes.max_c,
        "racking_mm": racking,
        "shortening": shortening,
        "u_shortening": u_shortening,
        **_numbers_of(found.judgement),
    }
    words = np.where(
        found.setting_from == THIS_READING, SettingFrom.BASELINE.value, found.setting_from
    )
    points = found.points
    keys = [point.key for point in points]
    count = len(points)
    columns: dict[str, Iterable[object]] = {
        "id": repeat(None, count),
        "reading_id": [point.reading_id for point in points],
        "element_id": [point.element_id for point in points],
        "installation_id": [key.channel.installation_id for key in keys],
        "inspection_id": [key.inspection_id for key in keys],
        "quantity": [key.channel.quantity for key in keys],
        "point": [key.channel.point for key in keys],
        "axis": [key.channel.axis for key in keys],
        "taken_at": [key.taken_at for key in keys],
        "repeats": [len(point.values) for point in points],
        "value": found.value.tolist(),
        "temperature_way": weakest(found.temperature.way).tolist(),
        "setting_from": words.tolist(),
        "verdict": found.judgement.verdict.tolist(),
        "reasons": found.judgement.reasons.tolist(),
        "stands": repeat(False, count),
        "problem": [channels.problems[channel][:240] for channel in found.of_point],
        "shortening_notes": notes.tolist(),
        "model_version": repeat(MODEL_VERSION, count),
        "judged_at": repeat(now, count),
        **{name: known(column) for name, column in numbers.items()},
    }
    return made(Verdict, columns)


def write_verdicts(stored: QuerySet[Verdict], verdicts: Sequence[Verdict]) -> None:
    """Put verdicts in place of those that are stored; those that still say the same stay.

    Most do: a new visit changes nothing of what was read before it.
    """
    present = {tuple(says): pk for pk, *says in stored.order_by().values_list("pk", *SAYS)}
    of_row = itemgetter(*SAYS)
    new = []
    for verdict in verdicts:
        verdict.pk = present.pop(of_row(verdict.__dict__), None)
        if verdict.pk is None:
            new.append(verdict)
    for some in in_parts(present.values()):
        stale = Verdict.objects.filter(pk__in=some)
        stale._raw_delete(stale.db)
    insert(new, keyed=True)


def _numbers_of(judgement: Judgement) -> dict[str, np.ndarray]:
    line = judgement.prediction.line
    return {
        "expected": judgement.prediction.expected,
        "u_residual": judgement.prediction.standard_uncertainty,
        **{name: getattr(line, name) for name in ("a", "b", "c0", "c1", "c2")},
        **{
            name: getattr(judgement, name)
            for name in (
                "residual",
                "residual_in_u",
                "use_now",
                "use_at_min",
                "use_at_max",
                "carried_to_min",
                "carried_to_max",
                "lower_at_c",
                "upper_at_c",
            )
        },
    }
