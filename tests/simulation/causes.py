"""The causes that are planted in an invented unit, each of a size that matters."""

from __future__ import annotations

import numpy as np

from tests.simulation.world import climate

ONE_CAUSE = (
    "healthy",
    "frozen",
    "sluggish",
    "support moved",
    "shortening",
    "wrong temperature",
    "blunder",
    "step",
)
WRONG_REGISTER = ("fixed point", "sign", "coefficient", "setting off")
SIZES = {
    "support moved": (15.0, 60.0),
    "shortening": (2.0e-4, 7.0e-4),
    "blunder": (20.0, 80.0),
    "step": (12.0, 50.0),
}
"""Least and greatest, either way but for the strain: [mm], [-], [mm], [mm]."""


def _sign(rng):
    return float(rng.choice([-1.0, 1.0]))


def _size(rng, kind):
    return _sign(rng) * rng.uniform(*SIZES[kind])


def _a_moving_bearing(rng, world):
    """One that moves: not where the deck is held, and not one that is frozen already."""
    free = (world.facing == 0) & (world.support != world.held_at)
    free[[cause["element"] for cause in world.causes if cause["kind"] == "frozen"]] = False
    return int(rng.choice(np.flatnonzero(free)))


def _a_date(rng, world, least_after=1):
    """A visit from which on something holds, never the first: there is a before."""
    return int(rng.integers(1, len(world.days) - least_after + 1))


def dated_frozen(visits):
    """Visits from which on a bearing may be frozen that moved before."""
    return range(2, visits - 3) if visits >= 7 else range(0)


def _plant_frozen(rng, world):
    element = _a_moving_bearing(rng, world)
    visits = len(world.days)
    dates = dated_frozen(visits)
    if not len(dates) or rng.random() < 0.5:
        return {"element": element, "visit": 0, "size": 0.0}
    at = int(rng.choice(dates))
    day = rng.uniform(world.days[at - 1], world.days[at])
    return {
        "element": element,
        "visit": at,
        "size": 0.0,
        "day": float(day),
        "temperature": float(climate(rng, world, day)),
    }


def _plant_sluggish(rng, world):
    return {"element": _a_moving_bearing(rng, world), "visit": 0, "size": 0.5}


def _plant_support_moved(rng, world):
    return {
        "support": int(rng.integers(len(world.supports_m))),
        "visit": _a_date(rng, world),
        "size": _size(rng, "support moved"),
    }


def _plant_shortening(rng, world):
    # read from young age on, while it goes on
    world.days = world.days - world.days[0] + world.set_day + rng.uniform(20.0, 300.0)
    world.temperature = climate(rng, world, world.days)
    return {"size": rng.uniform(*SIZES["shortening"]), "half_years": rng.uniform(0.5, 4.0)}


def _plant_late_shortening(rng, world):
    # even from between two visits on, and seen by three at least
    at = int(rng.integers(0, max(len(world.days) - 3, 1)))
    before = world.days[at - 1] if at else world.set_day
    begin = float(rng.uniform(before, world.days[at]))
    return {"kind": "shortening", "size": rng.uniform(*SIZES["shortening"]), "begin": begin}


def _plant_wrong_temperature(rng, world):
    return {
        "visit": int(rng.integers(len(world.days))),
        "size": _sign(rng) * rng.uniform(*world.population.wrong_k),
    }


def _plant_blunder(rng, world):
    rows, columns = np.nonzero(~world.missing)
    pick = int(rng.integers(len(rows)))
    return {
        "element": int(rows[pick]),
        "visit": int(columns[pick]),
        "size": _size(rng, "blunder"),
    }


def _plant_step(rng, world):
    element, visit = int(rng.integers(len(world.support))), _a_date(rng, world)
    world.missing[element, visit - 1 : visit + 1] = False
    return {"element": element, "visit": visit, "size": _size(rng, "step")}


def _plant_fixed_point(rng, world):
    others = [at for at in range(len(world.supports_m)) if at != world.held_at]
    world.true_held_at = int(rng.choice(others))
    moved = world.supports_m[world.true_held_at] - world.supports_m[world.held_at]
    return {"support": world.true_held_at, "size": float(moved)}


def _plant_sign(rng, world):
    return {"element": _a_moving_bearing(rng, world), "size": -1.0}


def _plant_coefficient(rng, world):
    """Steel taken for concrete or aluminium, and the other way; per degF for per degC."""
    ratio = float(rng.choice([12.0 / 10.0, 10.0 / 12.0, 23.0 / 12.0, 12.0 / 23.0, 1.8, 1 / 1.8]))
    world.true_expansion = world.expansion * ratio
    return {"size": ratio}


def _plant_setting_off(rng, world):
    world.set_known = True
    element = int(rng.integers(len(world.support)))
    return {"element": element, "size": _sign(rng) * 20.0}


_PLANT = {
    "frozen": _plant_frozen,
    "sluggish": _plant_sluggish,
    "support moved": _plant_support_moved,
    "shortening": _plant_shortening,
    "late shortening": _plant_late_shortening,
    "wrong temperature": _plant_wrong_temperature,
    "blunder": _plant_blunder,
    "step": _plant_step,
    "fixed point": _plant_fixed_point,
    "sign": _plant_sign,
    "coefficient": _plant_coefficient,
    "setting off": _plant_setting_off,
}


def plant(rng, world, kind):
    """Plant one cause in the unit and write it down as the truth."""
    if kind != "healthy":
        world.causes.append({"kind": kind, **_PLANT[kind](rng, world)})
