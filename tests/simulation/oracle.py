"""What can be known at all: Bayes' rule by someone who knows how the units were made.

Sizes, places, dates and shapes are weighed with the very distributions they were drawn
from; the temperatures reported and the dates of the visits are taken as given.  Nobody
without that knowledge can do better for as few false alarms, so it is the ceiling.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr, logsumexp

from tests.simulation.causes import SIZES, dated_frozen
from tests.simulation.world import (
    DAYS,
    READING_SD_MM,
    SETTING_SD_MM,
    TEMPERATURE_SD_K,
    season_c,
)

_HALF_YEARS = np.linspace(0.5, 4.0, 9)


def _log_between(low, high):
    """Log of the normal distribution's mass between two limits."""
    flip = low > 0
    low, high = np.where(flip, -high, low), np.where(flip, -low, high)
    top, bottom = log_ndtr(high), log_ndtr(low)
    return top + np.log1p(-np.exp(np.minimum(bottom - top, -1e-15)))


def _uniform(n, d, least, most):
    """Log mean of exp(c n - c^2 d / 2) over c from least to most."""
    root = np.sqrt(np.maximum(d, 1e-12))
    middle = n / root
    mass = _log_between(least * root - middle, most * root - middle)
    scale = 0.5 * middle**2 + 0.5 * np.log(2 * np.pi) - np.log(root * (most - least))
    return mass + scale


def _either_way(n, d, kind):
    least, most = SIZES[kind]
    return np.logaddexp(_uniform(n, d, least, most), _uniform(-n, d, least, most)) - np.log(2)


class Oracle:
    """Posterior of one unit over cause and place, as logs of the odds to healthy."""

    def __init__(self, plain):
        self.plain, self.world = plain, plain.world
        self.p_f = plain.f @ plain.small
        self.score = plain.solve(plain.r)
        self.odds = {}
        for part in (self._blunders, self._steps, self._supports, self._shortening,
                     self._temperatures, self._responses):  # fmt: skip
            part()

    def _add(self, kind, place, log_ratio, share):
        key = kind, int(place)
        old = self.odds.get(key, -np.inf)
        self.odds[key] = float(np.logaddexp(old, log_ratio + np.log(share)))

    def _columns(self, x):
        v_x = self.plain.solve(x)
        return x.T @ self.plain.r, (x * v_x).sum(0), v_x.T @ self.plain.r

    def _blunders(self):
        plain = self.plain
        d = (1.0 - (self.p_f * plain.f).sum(1)) / READING_SD_MM**2
        gain = _either_way(self.score, d, "blunder")
        for row, each in zip(plain.row, gain, strict=True):
            self._add("blunder", row, each, 1.0 / len(gain))

    def _steps(self):
        plain, (rows, visits) = self.plain, self.world.shape
        seen = ~self.world.missing
        names = [(row, at) for row in range(rows) for at in range(1, visits)
                 if seen[row, at] and seen[row, at - 1]]  # fmt: skip
        if names:
            x = np.array([(plain.row == row) & (plain.visit >= at) for row, at in names]).T * 1.0
            gain = _either_way(*self._columns(x)[2:0:-1], "step")
            for (row, _), each in zip(names, gain, strict=True):
                self._add("step", row, each, 1.0 / (rows * (visits - 1)))

    def _supports(self):
        plain, visits = self.plain, self.world.shape[1]
        count = len(self.world.supports_m)
        names = [(at, date) for at in range(count) for date in range(1, visits)]
        x = np.array([plain.support_column(at) * (plain.visit >= date) for at, date in names]).T
        gain = _either_way(*self._columns(x)[2:0:-1], "support moved")
        for (at, _), each in zip(names, gain, strict=True):
            self._add("support moved", at, each, 1.0 / len(names))

    def _shortening(self):
        plain = self.plain
        years = (self.world.days - self.world.set_day) / DAYS
        shapes = years / (_HALF_YEARS[:, None] + years)
        shapes /= shapes[:, -1:]
        x = (-plain.lever * shapes[:, plain.visit]).T
        _, d, n = self._columns(x)
        gain = _uniform(n, d, *SIZES["shortening"])
        self._add("shortening", -1, logsumexp(gain) - np.log(len(gain)), 1.0)

    def _temperatures(self):
        plain, visits = self.plain, self.world.shape[1]
        x = plain.thermal[:, None] * (plain.visit[:, None] == np.arange(visits))
        _, d, n = self._columns(x)
        # what was written down, less the season's mean: it would be the weather's alone
        above = plain.reported_c - season_c(self.world, self.world.days)
        n, d = n - above / self.world.weather_k**2, d + self.world.weather_k**-2.0
        for at, each in enumerate(_either_way(n, d, "wrong temperature")):
            self._add("wrong temperature", at, each, 1.0 / visits)

    def _responses(self):
        """Frozen and sluggish: given what the other elements say of the temperatures."""
        world, plain = self.world, self.plain
        rows, visits = world.shape
        residual, weight = np.zeros((rows, visits)), np.zeros((rows, visits))
        residual[plain.row, plain.visit] = plain.r
        weight[plain.row, plain.visit] = READING_SD_MM**-2.0
        setting = (SETTING_SD_MM if world.set_known else 300.0) ** 2
        kappa = setting / (1.0 + setting * weight.sum(1))
        per_k, reported = np.zeros(rows), np.zeros(visits)
        per_k[plain.row], reported[plain.visit] = plain.thermal, plain.rise
        a = np.einsum("ev,vu->evu", weight, np.eye(visits)) - kappa[:, None, None] * (
            weight[:, :, None] * weight[:, None, :]
        )
        own = per_k[:, None, None] ** 2 * a
        pull = per_k[:, None] * (a @ residual[..., None])[..., 0]
        total = own.sum(0) + np.eye(visits) / TEMPERATURE_SD_K**2
        start = world.set_temperature if world.set_known else plain.reported_c.mean()
        free = np.flatnonzero((world.facing == 0) & (world.support != world.held_at))
        for row in free:
            read = weight[row] > 0
            if read.any():
                spread = np.linalg.inv(total - own[row])
                mean = spread @ (pull.sum(0) - pull[row])
                bearing = _Bearing(per_k[row], residual[row], read, reported, setting, mean, spread)
                self._stuck(bearing, row, 1.0 / len(free), start)

    def _stuck(self, bearing, row, share, start):
        world, visits = self.world, self.world.shape[1]
        every = np.ones(visits)
        healthy = bearing.log_density(every)
        self._add("sluggish", row, bearing.log_density(0.5 * every) - healthy, share)
        dates = dated_frozen(visits)
        as_set = share * (0.5 if len(dates) else 1.0)
        self._add("frozen", row, bearing.log_density(0.0 * every) - healthy, as_set)
        for date in dates:
            when = season_c(world, np.linspace(world.days[date - 1], world.days[date], 25))
            after = (np.arange(visits) >= date) * 1.0
            sd = np.hypot(when.std(), world.weather_k)
            log_ratio = bearing.log_density(1.0 - after, when.mean() - start, sd) - healthy
            self._add("frozen", row, log_ratio, share * 0.5 / len(dates))

    def ranked(self):
        """Return (odds, (cause, place)) by falling odds."""
        return sorted(((odds, key) for key, odds in self.odds.items()), reverse=True)


@dataclass
class _Bearing:
    """One bearing, and what the others say of the errors of temperature: mean, spread."""

    per_k: float
    residual: np.ndarray
    read: np.ndarray
    reported: np.ndarray
    setting: float
    mean: np.ndarray
    spread: np.ndarray

    def log_density(self, factor, level_k=0.0, level_sd_k=0.0):
        """Log density of its residuals with the response of each visit.

        Where it is 0, it stands where it would at the temperature ``level_k``.
        """
        k, still = self.per_k, factor == 0.0
        m = (factor - 1.0) * k * self.reported + factor * k * self.mean + k * level_k * still
        v = np.eye(len(factor)) * READING_SD_MM**2 + self.setting
        v = v + k**2 * factor[:, None] * self.spread * factor
        v = v + (k * level_sd_k) ** 2 * still[:, None] * still
        rest, v = (self.residual - m)[self.read], v[np.ix_(self.read, self.read)]
        return -0.5 * (rest @ np.linalg.solve(v, rest) + np.linalg.slogdet(v)[1])
