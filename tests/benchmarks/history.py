"""Speed and accuracy of the fits: ``python -m tests.benchmarks.history``."""

import time

import numpy as np
from scipy import stats

from movement.history.lines import straight_lines
from movement.history.robust import robust_lines
from tests.movement.invented_histories import histories, read

SERIES, EACH, LOOP = 100_000, 10, 2_000


def best_of(times, call):
    """Return the shortest time of a call [s], and what it returned."""
    best = np.inf
    for _ in range(times):
        began = time.perf_counter()
        answer = call()
        best = min(best, time.perf_counter() - began)
    return best, answer


def main():
    """Print one figure a line."""
    rng = np.random.default_rng(1)
    counts = np.full(SERIES, EACH)
    x = rng.normal(15, 8, SERIES * EACH)
    y = 50 - 1.2 * x + rng.normal(0, 2, x.size)
    arrays = [x.copy() for _ in range(10)]
    parts = [slice(row * EACH, (row + 1) * EACH) for row in range(LOOP)]
    copying, _ = best_of(5, lambda: [each.copy() for each in arrays])
    ours, lines = best_of(5, lambda: straight_lines(x, y, counts))
    loop, theirs = best_of(1, lambda: [stats.linregress(x[p], y[p]) for p in parts])
    off = max(abs(lines.slope[row] / one.slope - 1) for row, one in enumerate(theirs))
    print(f"lines: {ours:.3f} s for {SERIES:,} series, {ours / copying:.1f} times copying")
    print(f"lines: {loop / LOOP * SERIES / ours:.0f} times faster than a loop, equal to {off:.1e}")
    y += np.where(rng.random(x.size) < 0.1, rng.normal(0, 40, x.size), 0)
    ours, lines = best_of(3, lambda: robust_lines(x, y, counts))
    loop, theirs = best_of(1, lambda: [stats.theilslopes(y[p], x[p])[0] for p in parts])
    errors = [
        np.sqrt(np.mean((each + 1.2) ** 2)) for each in (lines.slope[:LOOP], np.array(theirs))
    ]
    print(f"robust: {loop / LOOP * SERIES / ours:.0f} times faster than a loop")
    print(f"robust: slope error {errors[0]:.4f} against {errors[1]:.4f}")
    columns, _ = histories(20_000, EACH, seed=1)
    ours, _ = best_of(1, lambda: read(columns, 20_000))
    print(f"histories: {20_000 / ours:,.0f} a second")


if __name__ == "__main__":
    main()
