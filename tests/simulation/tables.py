"""Invented units written down as the tables that the product reads."""

from __future__ import annotations

import numpy as np

from movement.whole_bridge.readings import Elements, Readings, Supports, Units, Visits
from tests.simulation.causes import ONE_CAUSE, WRONG_REGISTER, plant
from tests.simulation.world import (
    READING_SD_MM,
    SETTING_SD_MM,
    TEMPERATURE_SD_K,
    USUAL,
    make_world,
    predicted_share,
    read,
)

PLANS = {
    "one": [(kind,) for kind in ONE_CAUSE],
    "two": [
        (first, second)
        for at, first in enumerate(ONE_CAUSE[1:], 1)
        for second in ONE_CAUSE[at + 1 :]
    ],
    "register": [(kind,) for kind in WRONG_REGISTER],
    "late": [("late shortening",)],
    "healthy": [("healthy",)],
}


def make_units(rng, plan, count, population=USUAL):
    """Return worlds with causes in turn, and what was read on each."""
    worlds = []
    for at in range(count):
        kinds = PLANS[plan][at % len(PLANS[plan])]
        world = make_world(rng, population)
        # shortening sets the dates of the visits, so it goes in first
        for kind in sorted(kinds, key=lambda each: each != "shortening"):
            plant(rng, world, kind)
        worlds.append((world, *read(rng, world)))
    return worlds


def tables(worlds):
    """Return the five tables of the units, as the register and the crews state them."""
    fixed, fixed_m, s_unit, s_m = [], [], [], []
    parts = {name: [] for name in ("unit", "support", "lever", "effect", "alpha", "set", "set_c",
                                   "set_day", "sticks", "u_set_k", "u_alpha")}  # fmt: skip
    visits = {name: [] for name in ("unit", "days", "c")}
    readings = {name: [] for name in ("element", "visit", "value", "u_strain")}
    u_held_m = []
    s0 = e0 = v0 = 0
    for unit, (world, values, temperature) in enumerate(worlds):
        n_s, (n_e, n_v) = len(world.supports_m), world.shape
        fixed.append(s0 + world.held_at)
        fixed_m.append(world.supports_m[world.held_at])
        s_unit.append(np.full(n_s, unit))
        s_m.append(world.supports_m)
        effect = np.where(world.facing == 0, 1.0, -world.facing)
        arm_m = world.supports_m[world.support] - world.supports_m[world.held_at]
        parts["unit"].append(np.full(n_e, unit))
        parts["support"].append(s0 + world.support)
        parts["lever"].append(effect * arm_m * 1000.0)
        parts["effect"].append(effect)
        parts["alpha"].append(np.full(n_e, world.expansion))
        parts["sticks"].append(world.facing == 0)
        known = world.set_known
        parts["set"].append(world.set_value if known else np.full(n_e, np.nan))
        parts["set_c"].append(np.full(n_e, world.set_temperature if known else np.nan))
        parts["set_day"].append(np.full(n_e, world.set_day))
        told = float(world.population.told)
        parts["u_set_k"].append(np.full(n_e, told * world.population.u_set_k))
        parts["u_alpha"].append(np.full(n_e, told * world.population.u_expansion))
        u_held_m.append(told * world.population.u_held_m)
        visits["unit"].append(np.full(n_v, unit))
        visits["days"].append(world.days)
        visits["c"].append(temperature)
        row, column = np.nonzero(~np.isnan(values))
        readings["element"].append(e0 + row)
        readings["visit"].append(v0 + column)
        readings["value"].append(values[row, column])
        share = predicted_share(world, world.days[column])
        readings["u_strain"].append(told * world.population.u_strain * share)
        s0, e0, v0 = s0 + n_s, e0 + n_e, v0 + n_v
    p, v, r = (
        {name: np.concatenate(columns) for name, columns in each.items()}
        for each in (parts, visits, readings)
    )
    return (
        Units.of(fixed, fixed_m, u_held_m),
        Supports.of(np.concatenate(s_unit), np.concatenate(s_m)),
        Elements.of(p["unit"], p["support"], p["lever"], p["effect"], p["alpha"], p["set"],
                    p["set_c"], SETTING_SD_MM, p["set_day"], p["sticks"],
                    p["u_set_k"], p["u_alpha"]),
        Visits.of(v["unit"], v["days"], v["c"], TEMPERATURE_SD_K),
        Readings.of(r["element"], r["visit"], r["value"], READING_SD_MM,
                    u_known_strain=r["u_strain"]),
    )  # fmt: skip
