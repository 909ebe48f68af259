"""Print the confusion matrices, rates, coverage and speed over many invented units."""

from __future__ import annotations

import argparse
from dataclasses import replace

import numpy as np

from tests.simulation.measure import measure
from tests.simulation.world import UNSURE, USUAL

_PLANS = {"one": "One cause", "two": "Two causes", "register": "A wrong register",
          "late": "Shortening that began late",
          "healthy": "Healthy units alone"}  # fmt: skip
_HEALTHY_TIMES = 5
"""False alarms are rare: it takes more units to count them."""


def print_matrix(title, confusion):
    """Print planted causes down, named ones across."""
    planted = list(dict.fromkeys(row for row, _ in confusion))
    named = sorted({column for _, column in confusion})
    width = max(map(len, planted))
    print(f"\n{title}: planted down, named across")
    print(" " * width, *(f"{name[:11]:>11}" for name in named))
    for row in planted:
        cells = (f"{confusion[row, name] or '.':>11}" for name in named)
        print(f"{row:<{width}}", *cells)


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.simulation", description=__doc__)
    parser.add_argument("--units", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=20262)
    parser.add_argument("--plan", choices=_PLANS, help="only this one")
    parser.add_argument("--no-reference", action="store_true", help="leave out the plain method")
    parser.add_argument("--misses", action="store_true", help="print what was missed")
    parser.add_argument("--unsure", action="store_true", help="registers off for whole units")
    parser.add_argument("--untold", action="store_true", help="the same, the product not told so")
    given = parser.parse_args()
    population = replace(UNSURE, told=not given.untold) if given.unsure or given.untold else USUAL
    for plan, title in _PLANS.items():
        if given.plan in (None, plan):
            compare = plan == "one" and not given.no_reference
            count = given.units * (_HEALTHY_TIMES if plan == "healthy" else 1)
            found = measure(plan, count, given.seed, compare, population=population)
            print_matrix(title, found.confusion)
            if compare:
                print_matrix("Plain reference", found.reference)
            for name, value in found.rates.items():
                if not np.isnan(value) and (compare or not name.startswith("reference")):
                    print(f"  {name:<62} {value:8.1f}")
            for miss in found.misses if given.misses else []:
                print(*miss)


if __name__ == "__main__":
    main()
