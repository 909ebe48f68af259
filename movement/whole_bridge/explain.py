"""From ranked explanations to an answer: what is said, and what is missing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.causes import OF_ELEMENT, OF_SUPPORT, Cause, Priors
from movement.whole_bridge.grids import Grid, Local
from movement.whole_bridge.ranking import Ranked, ranks_from, rows_of
from movement.whole_bridge.readings import Elements, Readings, Rows, Visits
from movement.whole_bridge.results import RANKS, Diagnosis, Explanations, Missing, Outcome

_K95 = 1.959964
"""Two-sided 95 % point of the normal distribution."""
_SHOWS = 0.3
"""Uncertainty of a response ratio above which a frozen bearing does not show: between 0
and 1 lie then about three of them.  Judgement, no source."""
_AIM = 0.15
"""The same that a further visit should reach."""


class AnswerSheet:
    """Collects the answers of the batches, by row of the tables."""

    def __init__(
        self,
        elements: Elements,
        visits: Visits,
        readings: Readings,
        local: Local,
        units: int,
        priors: Priors,
    ) -> None:
        self._priors = priors
        self._missing = _what_is_missing(elements, visits, readings, local, units)
        self._ranked = _blank(units, RANKS)
        self._beside, self._rival = _blank(units, 1), _blank(units, 1)
        self._u_response = np.full(elements.unit.size, np.nan)
        self._range_k = np.zeros(elements.unit.size)
        self._shows = np.zeros(units, dtype=bool)

    def write(
        self, grid: Grid, found: Ranked, beside: tuple[Rows, Ranked] | None, u_response: Floats
    ) -> None:
        """Write down a batch."""
        read = grid.weight > 0
        there = grid.elements >= 0
        self._u_response[grid.elements[there]] = u_response[there]
        high = np.where(read, grid.temperature_c[:, None], -np.inf).max(-1)
        low = np.where(read, grid.temperature_c[:, None], np.inf).min(-1)
        spread = np.where(read.any(-1), high - low, 0.0)
        self._range_k[grid.elements[there]] = spread[there]
        self._shows[grid.unit] = (np.where(there, u_response, np.inf) <= _SHOWS).any(-1)
        _write(self._ranked, grid, np.arange(grid.unit.size), found)
        if beside is not None:
            at, second = beside
            _write(self._beside, grid, at, second)
            rival = ranks_from(second, 1)
            near = rival.score[:, 0] >= second.score[:, 0] - self._priors.apart
            near &= rival.score[:, 0] > self._priors.second_needed
            _write(self._rival, grid, at[near], rows_of(rival, near))

    def answer(self) -> Diagnosis:
        """Say what can be said of each unit."""
        score, cause = self._ranked.score, self._ranked.cause
        fits = score > self._priors.needed
        near = score >= score[:, :1] - self._priors.apart
        equal = (fits[:, :1] & near & (cause > 0)).sum(-1)
        cannot = self._missing & np.uint32(Missing.READINGS | Missing.VISITS) != 0
        dull = ~self._shows & ~cannot
        self._missing[dull] |= np.uint32(Missing.TEMPERATURE_RANGE)
        outcome = np.select(
            [cannot, equal > 1, equal == 1, dull],
            [Outcome.NOT_ENOUGH, Outcome.CANNOT_TELL, Outcome.EXPLAINED, Outcome.NOT_ENOUGH],
            Outcome.HEALTHY,
        ).astype(np.int8)
        needed = self._range_k * self._u_response / _AIM
        dim = self._u_response > _SHOWS
        return Diagnosis(
            outcome,
            np.where(cannot, 0, equal),
            self._missing,
            self._ranked,
            self._beside,
            self._rival,
            self._u_response,
            np.where(dim & (needed > 0), needed, np.nan),
        )


def _what_is_missing(
    elements: Elements, visits: Visits, readings: Readings, local: Local, units: int
) -> NDArray[np.uint32]:
    missing = np.zeros(units, dtype=np.uint32)
    e, v = readings.element, readings.visit
    usable = local.usable
    of = elements.unit[e]
    any_read = np.bincount(of[usable], minlength=units) > 0
    missing[~any_read] |= np.uint32(Missing.READINGS)
    no_c = np.isnan(visits.temperature_c + visits.u_temperature_k)
    missing[visits.unit[no_c]] |= np.uint32(Missing.TEMPERATURES)
    no_lever = np.isnan(elements.lever_mm * elements.expansion_per_c + elements.deck_effect)
    missing[elements.unit[no_lever]] |= np.uint32(Missing.LEVERS)
    # One visit says something only where a setting is known to compare it with.
    known = ~np.isnan(elements.setting_mm + elements.setting_temperature_c + elements.u_setting_mm)
    with_setting = np.bincount(of[usable & known[e]], minlength=units) > 0
    first = np.full(units, np.iinfo(np.int64).max)
    last = np.full(units, -1)
    np.minimum.at(first, of[usable], local.visit[v[usable]])
    np.maximum.at(last, of[usable], local.visit[v[usable]])
    missing[any_read & ~with_setting & (first == last)] |= np.uint32(Missing.VISITS)
    return missing


def _blank(units: int, ranks: int) -> Explanations:
    shape = (units, ranks)

    def none() -> Rows:
        return np.full(shape, -1, dtype=np.int64)

    def unknown() -> Floats:
        return np.full(shape, np.nan)

    return Explanations(
        cause=np.zeros(shape, dtype=np.int8),
        element=none(),
        support=none(),
        visit=none(),
        last_before=none(),
        score=np.full(shape, -np.inf),
        log_ratio=unknown(),
        size=unknown(),
        low=unknown(),
        high=unknown(),
    )


def _write(sheet: Explanations, grid: Grid, at: Rows, found: Ranked) -> None:
    ranks = min(sheet.cause.shape[1], found.cause.shape[1])
    cause, place, date = found.cause[:, :ranks], found.place[:, :ranks], found.date[:, :ranks]
    score, size, u = found.score[:, :ranks], found.size[:, :ranks], found.u_size[:, :ranks]
    known = score > -1e5
    row = at[:, None]
    of_element, of_support = np.isin(cause, OF_ELEMENT), np.isin(cause, OF_SUPPORT)
    element = grid.elements[row, np.where(of_element, place, 0)]
    support = grid.supports[row, np.where(of_support, place, 0)]
    dated = np.isin(cause, (Cause.STEP, Cause.BLUNDER, Cause.SUPPORT_MOVED))
    frozen = (cause == Cause.FROZEN) & (date > 0)
    wrong_c = cause == Cause.WRONG_TEMPERATURE
    index = np.select([dated, frozen, wrong_c], [date, date - 1, place], -1)
    visit = np.where(index >= 0, grid.visits[row, np.maximum(index, 0)], -1)
    before = np.where(index >= 1, grid.visits[row, np.maximum(index - 1, 0)], -1)
    began = dated & (cause != Cause.BLUNDER) | frozen
    size = np.where(cause == Cause.COEFFICIENT, 1.0 + size, size)
    unit = grid.unit[row]
    columns = np.arange(ranks)[None]
    for name, values, empty in (
        ("cause", cause, 0),
        ("element", np.where(of_element, element, -1), -1),
        ("support", np.where(of_support, support, -1), -1),
        ("visit", visit, -1),
        ("last_before", np.where(began, before, -1), -1),
        ("score", score, -np.inf),
        ("log_ratio", found.log_ratio[:, :ranks], np.nan),
        ("size", size, np.nan),
        ("low", size - _K95 * u, np.nan),
        ("high", size + _K95 * u, np.nan),
    ):
        getattr(sheet, name)[unit, columns] = np.where(known, values, empty)
