"""The plainest method that could do: one cause at a time by generalised least squares.

One unit at a time, every cause a column, the best penalised gain wins.  It is what the
product is measured against, and it tells how well the data could show a planted cause.
"""

from __future__ import annotations

import numpy as np

from tests.simulation.world import (
    READING_SD_MM,
    SETTING_SD_MM,
    TEMPERATURE_SD_K,
    predicted_share,
)

NEEDED = 11.0
"""Gain above its penalty that a cause needs: set for about as few false alarms as asked."""


class Plain:
    """One unit with its covariance as reading^2 I + F F'."""

    def __init__(self, world, values, temperature):
        self.world = world
        self.row, self.visit = np.nonzero(~np.isnan(values))
        row, visit, n = self.row, self.visit, len(self.row)
        effect = np.where(world.facing == 0, 1.0, -world.facing)
        arm = 1000.0 * (world.supports_m[world.support] - world.supports_m[world.held_at])
        self.effect, self.lever = effect[row], (effect * arm)[row]
        setting = world.set_value if world.set_known else np.zeros(len(effect))
        start = world.set_temperature if world.set_known else temperature.mean()
        self.reported_c = temperature
        self.rise = temperature[visit] - start
        self.thermal = world.expansion * self.lever
        self.r = values[row, visit] - setting[row] - self.thermal * self.rise
        sd = SETTING_SD_MM if world.set_known else 300.0
        shape = world.shape
        f = np.zeros((n, shape[0] + shape[1]))
        f[np.arange(n), row] = sd
        f[np.arange(n), shape[0] + visit] = self.thermal * TEMPERATURE_SD_K
        if world.population.errs:
            f = np.concatenate([f, self._shared_errors()], axis=1)
        self.f = f / READING_SD_MM
        self.small = np.linalg.inv(np.eye(f.shape[1]) + self.f.T @ self.f)

    def _shared_errors(self):
        """Return the columns (n, 4) of what the register may be off for the whole unit."""
        world, unsure = self.world, self.world.population
        since_set = unsure.u_set_k * world.set_known
        strain = unsure.u_strain * predicted_share(world, world.days)[self.visit]
        held = self.effect * world.expansion * 1000.0
        return np.stack(
            [
                -self.thermal * since_set,
                self.lever * self.rise * unsure.u_expansion,
                -self.lever * strain,
                -held * self.rise * unsure.u_held_m,
            ],
            axis=1,
        )

    def solve(self, x):
        """Return V^-1 x."""
        return (x - self.f @ (self.small @ (self.f.T @ x))) / READING_SD_MM**2

    def support_column(self, at):
        held = at == self.world.held_at
        stands = self.world.support[self.row] == at
        return self.effect * (np.where(stands, 0.0, 1.0) if held else np.where(stands, -1.0, 0.0))

    def standard_error(self, cause):
        """Return the standard error of a planted cause's size, all else being healthy."""
        kind = cause["kind"]
        own = self.row == cause.get("element", -1)
        since = self.visit >= cause.get("visit", 0)
        level = None
        if kind in ("frozen", "sluggish", "sign"):
            x = self.thermal * self.rise * own * since
            level = (own & since) * 1.0 if cause.get("visit", 0) else None
        elif kind in ("step", "setting off"):
            x = (own & since) * 1.0
        elif kind == "blunder":
            x = (own & (self.visit == cause["visit"])) * 1.0
        elif kind == "support moved":
            x = self.support_column(cause["support"]) * since
        elif kind == "wrong temperature":
            x = self.thermal * (self.visit == cause["visit"])
        elif kind == "shortening":
            x = -self.lever
        elif kind == "fixed point":
            x = self.effect * self.world.expansion * 1000.0 * self.rise
        else:
            x = self.thermal * self.rise
        v_x = self.solve(x)
        d = x @ v_x
        if level is not None:
            d -= (level @ v_x) ** 2 / max(level @ self.solve(level), 1e-12)
        return 1.0 / np.sqrt(max(d, 1e-12))

    def explain(self):
        """Return cause and place of the best one-cause explanation."""
        n_v = self.world.shape[1]
        names, columns = [], []
        for row in np.unique(self.row):
            own = self.row == row
            if np.abs(self.thermal[own][0]) > 0:
                names.append(("response", row, 0))
                columns.append(self.thermal * self.rise * own)
            for visit in self.visit[own]:
                names.append(("blunder", row, visit))
                columns.append((own & (self.visit == visit)) * 1.0)
            for visit in self.visit[own][1:]:
                names.append(("step", row, visit))
                columns.append((own & (self.visit >= visit)) * 1.0)
            for visit in self.visit[own][1:-2] if np.abs(self.thermal[own][0]) > 0 else []:
                names.append(("response", row, visit))
                columns.append(self.thermal * self.rise * (own & (self.visit >= visit)))
        for visit in range(n_v):
            names.append(("wrong temperature", visit, visit))
            columns.append(self.thermal * (self.visit == visit))
            for at in range(len(self.world.supports_m)) if visit else []:
                names.append(("support moved", at, visit))
                columns.append(self.support_column(at) * (self.visit >= visit))
        days = self.world.days[self.visit]
        for shape in (np.ones(len(days)), 1 - np.exp(-(days - self.world.set_day) / 700.0)):
            names.append(("shortening", -1, 0))
            columns.append(-self.lever * shape)
        x = np.array(columns).T
        v_x = self.solve(x)
        d = np.maximum((x * v_x).sum(0), 1e-12)
        size = (v_x.T @ self.r) / d
        kinds = np.array([name[0] for name in names])
        gain = size**2 * d
        for kind in np.unique(kinds):
            gain[kinds == kind] -= 2.0 * np.log((kinds == kind).sum())
        gain[(kinds == "shortening") & (size < 0)] = -np.inf
        best = int(gain.argmax())
        if gain[best] < NEEDED:
            return "healthy", -1
        kind, place, _ = names[best]
        if kind == "response":
            kind = "frozen" if size[best] < -0.75 else "sluggish"
        return kind, int(place)
