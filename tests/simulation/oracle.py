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
from tests.simulation.reference import Plain
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


def _either_way(n, d, least, most):
    return np.logaddexp(_uniform(n, d, least, most), _uniform(-n, d, least, most)) - np.log(2)


class Oracle:
    """Posterior of one unit over cause and place, as logs of the odds to healthy."""

    def __init__(self, world, values, temperature):
        self.world, self.plain = world, Plain(world, values, temperature)
        plain, weather = self.plain, world.weather_k**2
        self.above = temperature - season_c(world, world.days)
        self.season = weather if world.population.true_scatters else weather + TEMPERATURE_SD_K**2
        # of what is written down above its season, part is error where that scatters
        self.error = 0.0 if world.population.true_scatters else TEMPERATURE_SD_K**2 / self.season
        self.error_k = -self.error * self.above
        self.raw = plain.r
        plain.r = plain.r - plain.thermal * self.error_k[plain.visit]
        plain.f[:, world.shape[0] :] *= np.sqrt(1.0 - self.error)
        plain.small = np.linalg.inv(np.eye(plain.f.shape[1]) + plain.f.T @ plain.f)
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
        """Return x'V^-1 r and x'V^-1 x of each column."""
        v_x = self.plain.solve(x)
        return v_x.T @ self.plain.r, (x * v_x).sum(0)

    def _blunders(self):
        plain = self.plain
        d = (1.0 - (plain.f @ plain.small * plain.f).sum(1)) / READING_SD_MM**2
        gain = _either_way(self.score, d, *SIZES["blunder"])
        for row, each in zip(plain.row, gain, strict=True):
            self._add("blunder", row, each, 1.0 / len(gain))

    def _steps(self):
        plain, (rows, visits) = self.plain, self.world.shape
        seen = ~self.world.missing
        names = [(row, at) for row in range(rows) for at in range(1, visits)
                 if seen[row, at] and seen[row, at - 1]]  # fmt: skip
        if names:
            x = np.array([(plain.row == row) & (plain.visit >= at) for row, at in names]).T * 1.0
            gain = _either_way(*self._columns(x), *SIZES["step"])
            for (row, _), each in zip(names, gain, strict=True):
                self._add("step", row, each, 1.0 / (rows * (visits - 1)))

    def _supports(self):
        plain, visits = self.plain, self.world.shape[1]
        count = len(self.world.supports_m)
        names = [(at, date) for at in range(count) for date in range(1, visits)]
        x = np.array([plain.support_column(at) * (plain.visit >= date) for at, date in names]).T
        gain = _either_way(*self._columns(x), *SIZES["support moved"])
        for (at, _), each in zip(names, gain, strict=True):
            self._add("support moved", at, each, 1.0 / len(names))

    def _shortening(self):
        plain = self.plain
        years = (self.world.days - self.world.set_day) / DAYS
        shapes = years / (_HALF_YEARS[:, None] + years)
        shapes /= shapes[:, -1:]
        x = (-plain.lever * shapes[:, plain.visit]).T
        n, d = self._columns(x)
        gain = _uniform(n, d, *SIZES["shortening"])
        self._add("shortening", -1, logsumexp(gain) - np.log(len(gain)), 1.0)

    def _temperatures(self):
        plain, visits = self.plain, self.world.shape[1]
        x = plain.thermal[:, None] * (plain.visit[:, None] == np.arange(visits))
        x = x * (1.0 - self.error)
        n, d = self._columns(x)
        n, d = n - self.above / self.season, d + 1.0 / self.season
        for at, each in enumerate(_either_way(n, d, *self.world.population.wrong_k)):
            self._add("wrong temperature", at, each, 1.0 / visits)

    def _responses(self):
        """Frozen and sluggish: given what the other elements say of the temperatures."""
        world, plain = self.world, self.plain
        rows, visits = world.shape
        residual, weight = np.zeros((rows, visits)), np.zeros((rows, visits))
        residual[plain.row, plain.visit] = self.raw
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
        prior = 1.0 / (TEMPERATURE_SD_K**2 * (1.0 - self.error))
        total = own.sum(0) + np.eye(visits) * prior
        start = world.set_temperature if world.set_known else plain.reported_c.mean()
        free = np.flatnonzero((world.facing == 0) & (world.support != world.held_at))
        for row in free:
            read = weight[row] > 0
            if read.any():
                spread = np.linalg.inv(total - own[row])
                mean = spread @ (pull.sum(0) - pull[row] + prior * self.error_k)
                bearing = _Bearing(per_k[row], residual[row], read, reported, setting, mean, spread)
                self._stuck(bearing, row, 1.0 / len(free), start)

    def _stuck(self, bearing, row, share, start):
        world, visits = self.world, self.world.shape[1]
        dates = dated_frozen(visits)
        # free, sluggish, frozen as set, and frozen later at a temperature of its season
        factor = (
            np.ones((3 + len(dates), visits)) * np.r_[1.0, 0.5, 0.0, np.ones(len(dates))][:, None]
        )
        level_k, sd_k = np.zeros(len(factor)), np.zeros(len(factor))
        for at, date in enumerate(dates, 3):
            when = season_c(world, np.linspace(world.days[date - 1], world.days[date], 25))
            factor[at, date:] = 0.0
            level_k[at], sd_k[at] = when.mean() - start, np.hypot(when.std(), world.weather_k)
        healthy, sluggish, *frozen = bearing.log_densities(factor, level_k, sd_k)
        self._add("sluggish", row, sluggish - healthy, share)
        shares = [0.5, *(0.5 / len(dates) for _ in dates)] if len(dates) else [1.0]
        for each, of in zip(frozen, shares, strict=True):
            self._add("frozen", row, each - healthy, share * of)

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

    def log_densities(self, factor, level_k, sd_k):
        """Log densities of its residuals, one for each row of responses by visit.

        Where it is 0, it stands where it would at a temperature of about ``level_k``.
        """
        k, read = self.per_k, self.read
        factor, still = factor[:, read], factor[:, read] == 0.0
        m = (factor - 1.0) * k * self.reported[read] + factor * k * self.mean[read]
        rest = self.residual[read] - m - k * level_k[:, None] * still
        v = np.eye(read.sum()) * READING_SD_MM**2 + self.setting
        v = v + k**2 * factor[:, :, None] * self.spread[np.ix_(read, read)] * factor[:, None, :]
        v = v + (k * sd_k[:, None, None]) ** 2 * still[:, :, None] * still[:, None, :]
        fit = (rest * np.linalg.solve(v, rest[..., None])[..., 0]).sum(-1)
        return -0.5 * (fit + np.linalg.slogdet(v)[1])
