"""What can be known at all, for other units than the usual ones, and by size of the cause.

Beside the product stands one who knows all distributions the units were drawn from
(:mod:`tests.simulation.oracle`), held to as few false alarms.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from itertools import pairwise

import numpy as np

from tests.simulation.measure import Answers, truth_of
from tests.simulation.oracle import Oracle
from tests.simulation.reference import Plain
from tests.simulation.tables import make_units
from tests.simulation.world import USUAL

_APART = 1.1
_MILD = ((10.0e-6, 10.8e-6), 12.0, 4.0, 0.5), ((11.7e-6, 12.0e-6), 12.0, 4.0, 0.5)
_POPULATIONS = {
    "as proven": USUAL,
    "wrong temperatures of 8 to 20 K": replace(USUAL, wrong_k=(8.0, 20.0)),
    "true temperature scatters about what is written down": replace(USUAL, true_scatters=True),
    "spans of 15 to 60 m": replace(USUAL, spans_m=(15.0, 60.0)),
    "the same, seasons of 12 K, weather of 4 K": replace(USUAL, spans_m=(15.0, 60.0), decks=_MILD),
}
_HEALTHY_TIMES = 3


def _oracle(world):
    """Return the best odds and all that fits as well."""
    ranked = Oracle(*world).ranked()
    return ranked[0][0], [key for odds, key in ranked if odds > ranked[0][0] - _APART]


class Judged:
    """Units of one population with what the product and the oracle say of them."""

    def __init__(self, population, count, seed):
        rng = np.random.default_rng(seed)
        self.worlds = make_units(rng, "one", count, population)
        healthy = make_units(rng, "healthy", count * _HEALTHY_TIMES, population)
        product, quiet = Answers(self.worlds), Answers(healthy)
        self.alarms = float((quiet.found.equal > 0).mean())
        odds = np.sort([_oracle(world)[0] for world in healthy])[::-1]
        needed = odds[int(self.alarms * len(odds))]
        self.planted = [
            truth_of(world.causes[0]) if world.causes else None for world, *_ in self.worlds
        ]
        self.by_product, self.by_oracle = (np.empty(count, dtype=bool) for _ in range(2))
        for unit, (world, planted) in enumerate(zip(self.worlds, self.planted, strict=True)):
            said = product.said(unit)
            self.by_product[unit] = planted in said if planted else not said
            best, named = _oracle(world)
            loud = best > needed
            self.by_oracle[unit] = loud and planted in named if planted else not loud

    def by(self, kind, value_of, edges):
        """Yield band, units, shares of the product and of the oracle [%]."""
        at = [unit for unit, each in enumerate(self.planted) if each and each[0] == kind]
        values = np.array([value_of(self.worlds[unit]) for unit in at])
        for low, high in pairwise(edges):
            chosen = np.array(at)[(values >= low) & (values < high)]
            if chosen.size:
                shares = self.by_product[chosen].mean(), self.by_oracle[chosen].mean()
                yield f"{low:g} to {high:g}", chosen.size, *(100.0 * share for share in shares)


def _error(world):
    return Plain(*world).standard_error(world[0].causes[0])


def _size(world):
    return abs(world[0].causes[0]["size"])


def _length_m(world):
    stations, held = world[0].supports_m, world[0].held_at
    return abs(stations[world[0].support[world[0].causes[0]["element"]]] - stations[held])


_BANDS = (
    ("wrong temperature", "size [K]", _size, (6, 8, 9, 10, 11, 12, 14, 16, 20, 25)),
    ("frozen", "standard error of the response", _error, (0, 0.1, 0.15, 0.2, 0.3, 9)),
    ("sluggish", "standard error of the response", _error, (0, 0.1, 0.15, 0.2, 0.3, 9)),
    ("frozen", "expansion length [m]", _length_m, (15, 30, 60, 120, 251)),
    ("sluggish", "expansion length [m]", _length_m, (15, 30, 60, 120, 251)),
)


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.limits", description=__doc__)
    parser.add_argument("--units", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=20261)
    given = parser.parse_args()
    print(f"{'right cause first, or among equals [%]':<52}{'product':>9}{'ceiling':>9}"
          f"{'false alarms':>14}")  # fmt: skip
    for name, population in _POPULATIONS.items():
        judged = Judged(population, given.units, given.seed)
        shares = 100.0 * judged.by_product.mean(), 100.0 * judged.by_oracle.mean()
        print(f"{name:<52}{shares[0]:>9.1f}{shares[1]:>9.1f}{100 * judged.alarms:>14.2f}")
    wide = Judged(replace(USUAL, wrong_k=(6.0, 25.0)), given.units, given.seed)
    for kind, title, value_of, edges in _BANDS:
        print(f"\n{kind}, by {title}")
        for band, units, product, oracle in wide.by(kind, value_of, edges):
            print(f"  {band:<14}{units:>5} units{product:>9.1f}{oracle:>9.1f}")


if __name__ == "__main__":
    main()
