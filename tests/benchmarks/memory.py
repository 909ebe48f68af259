"""Speed of the model in memory: ``python -m tests.benchmarks.memory``.

Each figure is told as a multiple of the time of copying ten arrays of a million numbers,
measured in the same run: that says how near the work is to the machine's own speed.
"""

import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import fields, replace

import numpy as np
from scipy import stats

from movement.history.lines import straight_lines
from movement.history.robust import robust_lines
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.verdict import judge
from movement.whole_bridge import diagnose
from tests.benchmarks.plain_judge import judge_one
from tests.movement.invented_histories import histories, read
from tests.simulation.tables import make_units, tables

ELEMENTS, EACH, LOOP, UNITS, CORES = 100_000, 10, 2_000, 2_000, 2
READINGS = ELEMENTS * EACH


def best_of(times, call):
    """Return the shortest time of a call [s], and what it returned."""
    best = np.inf
    for _ in range(times):
        began = time.perf_counter()
        answer = call()
        best = min(best, time.perf_counter() - began)
    return best, answer


def invented(rng):
    """Return the inputs of the model, a row a reading; half the elements are gaps of two units."""
    of_element = np.repeat(np.arange(ELEMENTS), EACH)
    lever = rng.uniform(-1e5, 1e5, (ELEMENTS, 2))
    lever[::2, 1] = 0.0
    alpha = rng.choice([1.0e-5, 1.17e-5, 1.2e-5], (ELEMENTS, 2))
    at_c = rng.uniform(-15.0, 35.0, (READINGS, 2))
    sides = Sides.of(
        lever[of_element], alpha[of_element], 0.0,
        np.abs(lever[of_element]) * 0.01, 0.1 * alpha[of_element],
    )  # fmt: skip
    set_at, set_c = rng.uniform(40.0, 80.0, ELEMENTS), rng.uniform(5.0, 25.0, ELEMENTS)
    setting = Setting.of(set_at[of_element], set_c[of_element], 1.0, np.full(READINGS, 2.0))
    rise = at_c - setting.temperature_c[:, np.newaxis]
    value = setting.value + (sides.lever * sides.expansion_per_c * rise).sum(axis=1)
    value += rng.normal(0.0, 3.0, READINGS)
    return (
        sides,
        setting,
        Measured.of(value, at_c, np.full(READINGS, 1.0), np.full((READINGS, 2), 2.0)),
        Limits.of(np.full(READINGS, 0.0), np.full(READINGS, 150.0), np.full(READINGS, 75.0)),
        DesignExtremes.of(np.full(READINGS, -30.0), np.full(READINGS, 45.0)),
    )


def row_of(table, row):
    """Return one row of a table of arrays."""
    columns = {each.name: getattr(table, each.name) for each in fields(table)}
    return replace(table, **{name: column[row : row + 1] if column.ndim else column
                             for name, column in columns.items()})  # fmt: skip


def judge_rows(inputs, rows):
    """Judge some rows in a loop of plain Python."""
    sides, setting, measured, limits, extremes = inputs
    columns = (sides.lever, sides.expansion_per_c, sides.u_lever, sides.u_expansion_per_c,
               measured.temperature_c, measured.u_temperature_k)  # fmt: skip
    by_side = [list(zip(*(each[row].tolist() for each in columns), strict=True)) for row in rows]
    u_set = np.broadcast_to(setting.u_value, (READINGS,))
    alone = [
        (
            (setting.value[row], setting.temperature_c[row], u_set[row],
             setting.u_temperature_k[row]),
            (measured.value[row], measured.u_value[row]),
            (limits.lower[row], limits.upper[row], limits.neutral[row]),
            (extremes.min_c[row], extremes.max_c[row]),
        )
        for row in rows
    ]  # fmt: skip
    alone = [tuple(tuple(map(float, part)) for part in each) for each in alone]
    return best_of(1, lambda: [judge_one(s, *a) for s, a in zip(by_side, alone, strict=True)])


def tell_judging(rng, copying):
    inputs = invented(rng)
    ours, found = best_of(5, lambda: judge(*inputs, Thresholds()))
    loop, plain = judge_rows(inputs, range(10 * LOOP))
    verdict, *numbers = map(np.array, zip(*plain, strict=True))
    part = slice(len(plain))
    same = (found.verdict[part] == verdict).all()
    told = found.prediction
    ours_told = (told.expected, 2.0 * told.standard_uncertainty, found.use_at_min, found.use_at_max)
    off = max(
        np.abs(one[part] - other).max() for one, other in zip(ours_told, numbers, strict=True)
    )
    print(f"judging: {ours:.3f} s for {READINGS:,} readings, {ours / copying:.1f} times copying")
    faster = loop / len(plain) * READINGS / ours
    print(f"judging: {faster:.0f} times a tight loop, verdicts {'the same' if same else 'DIFFER'},")
    print(f"judging: numbers equal to {off:.1e} mm")
    one_each = [[row_of(table, row) for table in inputs] for row in range(LOOP)]
    loop, _ = best_of(1, lambda: [judge(*each, Thresholds()) for each in one_each])
    faster = loop / LOOP * READINGS / ours
    print(f"judging: {faster:,.0f} times a loop of the model itself, a reading at a time")


def tell_lines(rng, copying):
    counts = np.full(ELEMENTS, EACH)
    x = rng.normal(15, 8, READINGS)
    y = 50 - 1.2 * x + rng.normal(0, 2, x.size)
    parts = [slice(row * EACH, (row + 1) * EACH) for row in range(LOOP)]
    ours, lines = best_of(5, lambda: straight_lines(x, y, counts))
    loop, theirs = best_of(1, lambda: [stats.linregress(x[p], y[p]) for p in parts])
    off = max(abs(lines.slope[row] / one.slope - 1) for row, one in enumerate(theirs))
    print(f"lines: {ours:.3f} s for {ELEMENTS:,} series, {ours / copying:.1f} times copying")
    print(f"lines: {loop / LOOP * ELEMENTS / ours:.0f} times a loop, equal to {off:.1e}")
    y += np.where(rng.random(x.size) < 0.1, rng.normal(0, 40, x.size), 0)
    ours, lines = best_of(3, lambda: robust_lines(x, y, counts))
    loop, theirs = best_of(1, lambda: [stats.theilslopes(y[p], x[p])[0] for p in parts])
    errors = [
        np.sqrt(np.mean((each + 1.2) ** 2)) for each in (lines.slope[:LOOP], np.array(theirs))
    ]
    print(f"robust: {loop / LOOP * ELEMENTS / ours:.0f} times a loop")
    print(f"robust: slope error {errors[0]:.4f} against {errors[1]:.4f}")
    columns, _ = histories(20_000, EACH, seed=1)
    ours, _ = best_of(1, lambda: read(columns, 20_000))
    of_loop = loop / LOOP * 20_000
    print(f"histories: {20_000 / ours:,.0f} a second, {of_loop / ours:.1f} times theilslopes alone")


def diagnosed(seed):
    """Return the seconds that some units took, one cause planted in each."""
    made = tables(make_units(np.random.default_rng(seed), "one", UNITS))
    began = time.perf_counter()
    diagnose(*made)
    return began, time.perf_counter()


def tell_units():
    with ProcessPoolExecutor(CORES) as pool:
        spans = list(pool.map(diagnosed, range(CORES)))
    alone = UNITS / np.mean([end - began for began, end in spans])
    both = CORES * UNITS / (max(end for _, end in spans) - min(began for began, _ in spans))
    print(f"units: {both:,.0f} a second by {CORES} processes, {alone:,.0f} by each")


def main():
    """Print one figure a line."""
    rng = np.random.default_rng(1)
    arrays = [rng.random(READINGS) for _ in range(10)]
    copying, _ = best_of(7, lambda: [each.copy() for each in arrays])
    print(f"copying ten arrays of {READINGS:,}: {1e3 * copying:.1f} ms")
    tell_judging(rng, copying)
    tell_lines(rng, copying)
    tell_units()


if __name__ == "__main__":
    main()
