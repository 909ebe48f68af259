"""Search of each history for a drift, a step or a blunder, the clearest first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.history.errors_in_temperature import Fit, Table, fit_table
from movement.history.findings import Finding, HistoryThresholds
from movement.history.ragged import Flags
from movement.history.student import two_sided_p

_STAGES = 3
_KINDS = (Finding.DRIFT, Finding.STEP, Finding.BLUNDER)
_LEAST_NORM = 1e-6


@dataclass(slots=True, eq=False)
class Found:
    """What the search has found so far; arrays (m,) unless said.

    ``step_after`` is the column of the last reading before the step, ``blunder_at`` that
    of the clearest blunder, -1 for none; ``step_fitted`` is False where another cause that
    fits as well was taken instead; ``use`` (m, n) leaves blunders out.
    """

    use: Flags
    findings: NDArray[np.uint16]
    alternatives: NDArray[np.uint16]
    step_after: NDArray[np.int64]
    step_fitted: Flags
    step_size: Floats
    step_p: Floats
    blunder_at: NDArray[np.int64]
    blunder_size: Floats
    blunder_p: Floats
    drift_p: Floats


def search(table: Table, start: Floats, stated: Flags, limits: HistoryThresholds) -> Found:
    """Add the clearest cause to each line until none is clear.

    Parameters
    ----------
    table : Table
        Readings in order of time.
    start : array (m,)
        Slope to start from.
    stated : array (m,) of bool
        Whether the uncertainties are known, so that chi-square has a scale of its own.
    limits : HistoryThresholds
        Chance allowed, and what counts as equally good.

    Notes
    -----
    Each cause is one more parameter; its evidence is the fall of chi-square over the
    variance left, an F with 1 degree of freedom.  A step has as many places as there are
    gaps between visits, a blunder as many as readings: the chance is multiplied by that
    number (Bonferroni).
    """
    m = table.y.shape[0]
    none = np.full(m, -1, dtype=np.int64)
    nothing = np.full(m, np.nan)
    found = Found(
        table.use.copy(),
        np.zeros(m, dtype=np.uint16),
        np.zeros(m, dtype=np.uint16),
        none.copy(),
        np.zeros(m, dtype=bool),
        nothing.copy(),
        nothing.copy(),
        none.copy(),
        nothing.copy(),
        nothing.copy(),
        nothing.copy(),
    )
    open_rows = np.arange(m)
    for stage in range(_STAGES):
        part = _rows(table, open_rows, found.use)
        fit = fit_table(
            part, columns_of(part, found, open_rows, always_drift=False), start[open_rows]
        )
        more = _one_stage(part, fit, found, open_rows, stated[open_rows], limits, stage == 0)
        open_rows = open_rows[more]
        if not open_rows.size:
            break
    return found


def columns_of(table: Table, found: Found, rows: NDArray[np.int64], always_drift: bool) -> Floats:
    """Return the columns 1, time and step of each line; 0 where it has none."""
    m, n = table.y.shape
    columns = np.zeros((m, n, 3))
    columns[:, :, 0] = 1.0
    drifts = (found.findings[rows] & np.uint16(Finding.DRIFT) != 0) | always_drift
    columns[:, :, 1] = table.time * drifts[:, np.newaxis]
    after = found.step_after[rows, np.newaxis]
    columns[:, :, 2] = (np.arange(n) > after) & found.step_fitted[rows, np.newaxis]
    return columns


def _rows(table: Table, rows: NDArray[np.int64], use: Flags) -> Table:
    return Table(
        table.y[rows],
        table.temperature[rows],
        table.time[rows],
        table.variance_y[rows],
        table.variance_t[rows],
        use[rows],
    )


def _one_stage(
    table: Table,
    fit: Fit,
    found: Found,
    rows: NDArray[np.int64],
    stated: Flags,
    limits: HistoryThresholds,
    first: bool,
) -> Flags:
    """Test every cause against the lines so far; record the clearest of each row."""
    gains, sizes = _gains(table, fit)
    used = table.use.sum(axis=1)
    dof = used - fit.parameters - 1.0 + np.where(stated, limits.stated_dof, 0.0)
    prior = np.where(stated, limits.stated_dof, 0.0)
    looks = np.stack([np.ones(rows.size), (gains[1] > 0).sum(1), (gains[2] > 0).sum(1)])
    best = np.stack([g.max(axis=1) for g in gains])
    left = np.maximum(fit.chi_square - best, 1e-12 * fit.chi_square) + prior
    statistic = np.sqrt(best * np.where(dof > 0, dof, np.nan) / np.where(left > 0, left, np.inf))
    p = np.minimum(two_sided_p(statistic, dof) * np.maximum(looks, 1.0), 1.0)
    if first:
        found.drift_p[rows] = p[0]
    # What has been taken already is not taken again; a second blunder may be.
    taken = found.findings[rows]
    for kind in (0, 1):
        p[kind] = np.where(taken & np.uint16(_KINDS[kind]) != 0, np.nan, p[kind])
    ranked = np.where(np.isnan(p), 2.0, p)
    pick = ranked.argmin(axis=0)
    columns = np.arange(rows.size)
    clear = ranked[pick, columns] < limits.chance
    scale = left[pick, columns] / np.where(dof > 0, dof, np.nan)
    near = best[pick, columns] - best <= limits.equally_well * np.maximum(scale, 1.0)
    near &= clear & (ranked < np.sqrt(limits.chance))
    near[pick, columns] = clear
    several = near.sum(axis=0) > 1
    for kind, bit in enumerate(_KINDS):
        flag = np.where(near[kind], np.uint16(bit), np.uint16(0))
        found.findings[rows] |= flag
        found.alternatives[rows] |= np.where(several, flag, np.uint16(0))
    _record(table, fit, found, rows, near, p, gains, sizes, pick)
    return np.asarray(clear & ~several, dtype=np.bool_)


def _record(
    table: Table,
    fit: Fit,
    found: Found,
    rows: NDArray[np.int64],
    near: Flags,
    p: Floats,
    gains: tuple[Floats, Floats, Floats],
    sizes: tuple[Floats, Floats],
    pick: NDArray[np.int64],
) -> None:
    step = np.flatnonzero(near[1])
    found.step_after[rows[step]] = gains[1][step].argmax(axis=1)
    found.step_p[rows[step]] = p[1, step]
    found.step_fitted[rows[step]] = pick[step] == 1
    found.step_size[rows[step]] = sizes[0][step, found.step_after[rows[step]]]
    blunder = np.flatnonzero(near[2])
    at = gains[2][blunder].argmax(axis=1)
    newer = found.blunder_at[rows[blunder]] < 0
    these, where = blunder[newer], at[newer]
    found.blunder_at[rows[these]] = where
    found.blunder_size[rows[these]] = sizes[1][these, where]
    found.blunder_p[rows[these]] = p[2, these]
    last = pick[blunder] == 2  # of explanations that fit alike only the best is fitted
    found.use[rows[blunder[last]], at[last]] = False


def _gains(table: Table, fit: Fit) -> tuple[tuple[Floats, Floats, Floats], tuple[Floats, Floats]]:
    """Fall of chi-square by a drift (m, 1), a step after each reading, a blunder at each."""
    root = np.sqrt(fit.weight)
    r = root * fit.residual
    z = root * table.time
    for _ in range(2):
        z = z - np.einsum("mnp,mp->mn", fit.basis, np.einsum("mnp,mn->mp", fit.basis, z))
    drift = _gain((z * r).sum(1), (z * z).sum(1), (fit.weight * table.time**2).sum(1))
    drift = drift[:, np.newaxis]

    def after(values: Floats) -> Floats:
        return np.asarray(np.cumsum(values[:, ::-1], axis=1)[:, ::-1])

    score = after(root * r)
    whole = after(fit.weight)
    norm = whole - (after(root[:, :, np.newaxis] * fit.basis) ** 2).sum(axis=2)
    step = np.zeros_like(r)
    gap = (np.diff(table.time, axis=1) > 0) & table.use[:, 1:]
    step[:, :-1] = np.where(gap, _gain(score, norm, whole)[:, 1:], 0.0)

    alone = fit.weight * (1.0 - (fit.basis**2).sum(axis=2))
    blunder = np.where(table.use, _gain(root * r, alone, fit.weight), 0.0)
    size = root * r / np.where(alone > 0, alone, np.nan)
    size_of_step = np.zeros_like(r)
    size_of_step[:, :-1] = (score / np.where(norm > 0, norm, np.nan))[:, 1:]
    return (drift, step, blunder), (size_of_step, size)


def _gain(score: Floats, norm: Floats, whole: Floats) -> Floats:
    tells = norm > _LEAST_NORM * whole
    return np.where(tells, score**2 / np.where(tells, norm, 1.0), 0.0)
