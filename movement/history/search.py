"""Search of each history for a drift, a step or a blunder, the clearest first."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.history.errors_in_temperature import Fit, Table, fit_table
from movement.history.findings import Finding, HistoryThresholds
from movement.history.orthogonal import Columns, dot, without
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
    fits as well was taken instead; ``use`` (n, m) leaves blunders out.
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
    m = table.y.shape[1]
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
        part = replace(table, use=found.use).of(open_rows)
        fit = fit_table(part, columns_of(part, found, open_rows), start[open_rows])
        more = _one_stage(part, fit, found, open_rows, stated[open_rows], limits, stage == 0)
        open_rows = open_rows[more]
        if not open_rows.size:
            break
    return found


def columns_of(
    table: Table, found: Found, series: NDArray[np.int64], always_drift: bool = False
) -> Columns:
    """Return the columns of time and step of some lines: those that any of them has.

    A column is 0 in a series that has none of its own.
    """
    columns = []
    drifts = found.findings[series] & np.uint16(Finding.DRIFT) != 0
    if always_drift:
        columns.append(table.time)
    elif drifts.any():
        columns.append(table.time * drifts)
    fitted = found.step_fitted[series]
    if fitted.any():
        readings = np.arange(table.y.shape[0])[:, np.newaxis]
        columns.append(((readings > found.step_after[series]) & fitted).astype(np.float64))
    return tuple(columns)


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
    prior = np.where(stated, limits.stated_dof, 0.0)
    dof = table.use.sum(axis=0) - fit.parameters - 1.0 + prior
    looks = np.ones((3, rows.size))
    for kind in (1, 2):
        np.maximum((gains[kind] > 0).sum(axis=0), 1.0, out=looks[kind])
    best = np.stack([gain.max(axis=0) for gain in gains])
    left = np.maximum(fit.chi_square - best, 1e-12 * fit.chi_square) + prior
    statistic = np.sqrt(best * np.where(dof > 0, dof, np.nan) / np.where(left > 0, left, np.inf))
    named_below = np.sqrt(limits.chance)
    p = _chances(statistic, dof, looks, named_below)
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
    near &= clear & (ranked < named_below)
    near[pick, columns] = clear
    several = near.sum(axis=0) > 1
    for kind, bit in enumerate(_KINDS):
        flag = np.where(near[kind], np.uint16(bit), np.uint16(0))
        found.findings[rows] |= flag
        found.alternatives[rows] |= np.where(several, flag, np.uint16(0))
    _record(table, fit, found, rows, near, p, gains, sizes, pick)
    return np.asarray(clear & ~several, dtype=np.bool_)


def _chances(statistic: Floats, dof: Floats, looks: Floats, named_below: float) -> Floats:
    """Return the chance of each statistic (3, m); 1 for what no chance could name.

    The tails of Student's t are wider than the normal ones, and those wider than
    2 phi(x) x / (1 + x^2): where that says too likely already, only a drift is computed.
    """
    square = statistic * statistic
    narrow = np.exp(-0.5 * square) * statistic / (1.0 + square) * np.sqrt(2.0 / np.pi)
    asked = ~(narrow * looks >= named_below)
    asked[0] = True
    p = np.ones_like(statistic)
    p[asked] = two_sided_p(statistic[asked], np.broadcast_to(dof, p.shape)[asked])
    return np.minimum(p * looks, 1.0)


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
    found.step_after[rows[step]] = gains[1][:, step].argmax(axis=0)
    found.step_p[rows[step]] = p[1, step]
    found.step_fitted[rows[step]] = pick[step] == 1
    found.step_size[rows[step]] = sizes[0][found.step_after[rows[step]], step]
    blunder = np.flatnonzero(near[2])
    at = gains[2][:, blunder].argmax(axis=0)
    newer = found.blunder_at[rows[blunder]] < 0
    these, where = blunder[newer], at[newer]
    found.blunder_at[rows[these]] = where
    found.blunder_size[rows[these]] = sizes[1][where, these]
    found.blunder_p[rows[these]] = p[2, these]
    last = pick[blunder] == 2  # of explanations that fit alike only the best is fitted
    found.use[at[last], rows[blunder[last]]] = False


def _gains(table: Table, fit: Fit) -> tuple[tuple[Floats, Floats, Floats], tuple[Floats, Floats]]:
    """Fall of chi-square by a drift (1, m), a step after each reading, a blunder at each."""
    score = fit.root * fit.residual
    time = fit.root * table.time
    z = without(fit.basis, time)
    drift = _gain(dot(z, fit.residual), dot(z, z), dot(time, time))[np.newaxis]

    own = fit.basis[0] * fit.basis[0]
    for each in fit.basis[1:]:
        own += each * each
    alone = fit.weight * (1.0 - own)
    blunder = _gain(score, alone, fit.weight)
    blunder *= table.use
    size = score / np.where(alone > 0, alone, np.nan)

    whole = _from_here_on(fit.weight.copy())
    norm = whole.copy()
    for each in fit.basis:
        part = _from_here_on(fit.root * each)
        part *= part
        norm -= part
    _from_here_on(score)
    step, size_of_step = np.zeros_like(score), np.zeros_like(score)
    gap = (table.time[1:] > table.time[:-1]) & table.use[1:]
    step[:-1] = _gain(score[1:], norm[1:], whole[1:])
    step[:-1] *= gap
    size_of_step[:-1] = score[1:] / np.where(norm[1:] > 0, norm[1:], np.nan)
    return (drift, step, blunder), (size_of_step, size)


def _from_here_on(values: Floats) -> Floats:
    """Turn values, in place, into the sum of each and all after it."""
    for row in range(values.shape[0] - 2, -1, -1):
        values[row] += values[row + 1]
    return values


def _gain(score: Floats, norm: Floats, whole: Floats) -> Floats:
    tells = norm > _LEAST_NORM * whole
    gain = score * score
    gain *= tells
    gain /= np.where(tells, norm, 1.0)
    return gain
