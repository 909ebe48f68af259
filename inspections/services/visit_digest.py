"""Whether what a visit showed must be computed anew: a digest of all that it follows from."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
from django.db.models import Model

from inspections.models import AgencySettings, Condition
from inspections.services.judged import Judged
from inspections.services.standing_register import StandingRegister
from movement import MODEL_VERSION

NOT_JUDGED_BY = ("weight_", "routine_", "in_depth_", "watch_interval", "measure_again_",
                 "proving_", "after_event_", "currency")  # fmt: skip
"""Agency settings that enter no verdict, by how their names begin."""


class VisitDigest:
    """What has gone in up to a visit: register and settings, then visit after visit."""

    def __init__(self, register: StandingRegister, agency: AgencySettings) -> None:
        told: list[Any] = [MODEL_VERSION]
        told += [
            (field.name, getattr(agency, field.attname))
            for field in AgencySettings._meta.concrete_fields
            if not field.name.startswith(NOT_JUDGED_BY)
        ]
        told += map(_columns, register.rows())
        self._digest = hashlib.sha256(repr(told).encode())

    def after(self, found: Judged, index: np.ndarray, conditions: Iterable[Condition]) -> str:
        """Add what the model was told of a visit's points and what it said; return the digest.

        ``index`` (n,) are the rows of its points.
        """
        for row in index:
            point = found.points[row]
            told = (point.key, point.visited_on, found.setting_from[row])
            self._digest.update(repr(told).encode())
        for part in _arrays(found, index):
            self._digest.update(np.ascontiguousarray(part).tobytes())
        self._digest.update(repr([_columns(each) for each in conditions]).encode())
        return self._digest.hexdigest()


def _columns(row: Model) -> list[Any]:
    return [getattr(row, field.attname) for field in row._meta.concrete_fields]


def _arrays(found: Judged, index: np.ndarray) -> Iterator[np.ndarray]:
    for name in ("value", "u_value", "now_c", "u_now_k", "set_day"):
        yield getattr(found, name)[index]
    for name in ("sides", "shortening", "temperature", "setting", "limits", "extremes"):
        table = getattr(found, name)
        if is_dataclass(table):
            yield from (getattr(table, each.name)[index] for each in fields(table))
    yield found.judgement.reasons[index]
    yield found.judgement.residual_in_u[index]
