"""An invented unit and what a crew reads on it, from the positions of its parts.

Written from the geometry alone and without the product's own physics: the deck is a
row of points that spread from where it is held, supports are points on the ground, a
bearing shows the distance between the two, a gap the distance to the backwall.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

READING_SD_MM = 1.5
TEMPERATURE_SD_K = 2.5
SETTING_SD_MM = 2.0
LEAST_M, MOST_M = 15.0, 250.0
"""Expansion lengths: from where the deck is held to each other support."""
MEAN_C = 12.0
DAYS = 365.25


@dataclass(frozen=True)
class Population:
    """What the units are like.

    Attributes
    ----------
    spans_m : tuple of float, optional
        Drawn evenly between these; left out, the expansion lengths are drawn evenly.
    decks : tuple
        Coefficients, swing of the season, spread of the day about it [K], and the share of
        such decks.  The usual ones are of concrete, composite, and steel box: their heat
        balance over the typical year of the test data, 8 to 16 h.
    wrong_k : tuple of float
        Least and greatest wrong temperature, either way [K].
    true_scatters : bool
        Whether the true temperature scatters about the one written down, as it does where
        that was computed, instead of what is written down about the true one.
    u_set_k, u_expansion, u_strain, u_held_m : float
        Standard uncertainties of the register that a whole unit shares: temperature at the
        setting [K], coefficient [1/degC], predicted shortening at the end [-], and where
        the deck is held [m].
    told : bool
        Whether the product is told of them.
    """

    spans_m: tuple[float, float] | None = None
    decks: tuple = (
        ((10.0e-6, 10.8e-6), 13.0, 4.3, 0.45),
        ((11.7e-6, 12.0e-6), 13.5, 5.2, 0.45),
        ((11.7e-6, 12.0e-6), 15.2, 8.3, 0.1),
    )
    wrong_k: tuple[float, float] = (10.0, 20.0)
    true_scatters: bool = False
    u_set_k: float = 0.0
    u_expansion: float = 0.0
    u_strain: float = 0.0
    u_held_m: float = 0.0
    told: bool = True

    @property
    def errs(self):
        return max(self.u_set_k, self.u_expansion, self.u_strain, self.u_held_m) > 0


USUAL = Population()
UNSURE = Population(u_set_k=4.0, u_expansion=0.5e-6, u_strain=6e-5, u_held_m=1.0)
"""Settings from drawings, a composite deck, concrete against its rule: the usual errors."""
PREDICTED_HALF_YEARS = 1.5


@dataclass
class World:
    """One unit: what is true of it, and what the register and the crew say of it."""

    supports_m: np.ndarray
    held_at: int
    support: np.ndarray
    """Of each element."""
    facing: np.ndarray
    """0 for a bearing, +1 for the gap at the end of the deck, -1 at its start."""
    expansion: float
    set_day: float
    set_temperature: float
    set_value: np.ndarray
    set_known: bool
    days: np.ndarray
    temperature: np.ndarray
    missing: np.ndarray
    population: Population
    season_k: float
    weather_k: float
    causes: list[dict] = field(default_factory=list)
    # What is true where the register is wrong
    true_expansion: float = np.nan
    true_held_at: int = -1
    set_error_k: float = 0.0
    expansion_error: float = 0.0
    strain_error: float = 0.0
    held_error_m: float = 0.0

    @property
    def shape(self):
        return len(self.support), len(self.days)


def season_c(world, days):
    """Mean effective temperature of the season."""
    return MEAN_C - world.season_k * np.cos(2 * np.pi * days / DAYS)


def climate(rng, world, days):
    """Effective temperature of a deck: the season, and the weather of the day."""
    return season_c(world, days) + rng.normal(0.0, world.weather_k, np.shape(days))


def _stations(rng, count, held, spans_m):
    """Supports at distances from the fixed one drawn evenly, none nearer than the least."""
    if spans_m is not None:
        stations = np.concatenate([[0.0], np.cumsum(rng.uniform(*spans_m, count - 1))])
        reach = np.abs(stations - stations[held]).max()
        return stations * min(1.0, MOST_M / reach)
    ahead, behind = (_distances(rng, many) for many in (count - 1 - held, held))
    return np.concatenate([-behind[::-1], [0.0], ahead]) + behind.max(initial=0.0)


def _distances(rng, count):
    room = MOST_M - count * LEAST_M
    return LEAST_M * np.arange(1, count + 1) + np.sort(rng.uniform(0.0, room, count))


def make_world(rng, population=USUAL):
    """Return a healthy unit with its visits; nothing is read yet."""
    count, girders = rng.integers(3, 10), rng.integers(2, 7)
    held = int(rng.integers(count))
    stations = _stations(rng, count, held, population.spans_m)
    support = np.repeat(np.arange(count), girders)
    facing = np.zeros(len(support))
    for at, way in ((0, -1.0), (count - 1, 1.0)):
        points = rng.integers(1, 4)
        support = np.concatenate([support, np.full(points, at)])
        facing = np.concatenate([facing, np.full(points, way)])
    visits = int(rng.integers(4, 21))
    spread = rng.uniform(0.6, 1.4) * visits * DAYS * 0.75
    set_day = rng.uniform(0.0, DAYS)
    first = set_day + rng.uniform(0.1, 8.0) * DAYS
    days = np.sort(first + rng.uniform(0.0, spread, visits))
    shares = [each[-1] for each in population.decks]
    deck = population.decks[rng.choice(len(shares), p=shares)]
    coefficients, season_k, weather_k, _ = deck
    expansion = float(rng.choice(coefficients))
    shape = (len(support), visits)
    world = World(
        supports_m=stations,
        held_at=held,
        support=support,
        facing=facing,
        expansion=expansion,
        set_day=set_day,
        set_temperature=float(rng.normal(MEAN_C, 5.0)),
        set_value=np.where(
            facing == 0, rng.normal(0.0, 6.0, len(support)), rng.uniform(60, 120, len(support))
        ),
        set_known=bool(rng.random() < 0.7),
        days=days,
        temperature=np.empty(visits),
        missing=rng.random(shape) < rng.uniform(0.0, 0.2),
        population=population,
        season_k=season_k,
        weather_k=weather_k,
        true_expansion=expansion,
        true_held_at=held,
    )
    world.temperature = climate(rng, world, days)
    if population.errs:
        world.set_error_k = rng.normal(0.0, population.u_set_k)
        world.expansion_error = rng.normal(0.0, population.u_expansion)
        world.strain_error = rng.normal(0.0, population.u_strain)
        world.held_error_m = rng.normal(0.0, population.u_held_m)
    return world


def true_positions(world):
    """Return what each element would show at each visit, without any error of reading."""
    ground = np.tile(world.supports_m[:, None] * 1000.0, (1, len(world.days)))
    built = ground.copy()
    for cause in world.causes:
        if cause["kind"] == "support moved":
            ground[cause["support"], cause["visit"] :] += cause["size"]
    stretch = _stretch(world, world.temperature, world.days)
    deck = _deck(world, ground, built, stretch)
    shown = _seen(world, deck, ground, built)
    for cause in world.causes:
        if cause["kind"] in ("frozen", "sluggish"):
            row, at = cause["element"], cause["visit"]
            when = slice(at, None)
            if cause["kind"] == "sluggish":
                shown[row] = world.set_value[row] + cause["size"] * (
                    shown[row] - world.set_value[row]
                )
            elif at == 0:
                shown[row] = world.set_value[row]
            else:
                stretch_then = _stretch(world, cause["temperature"], cause["day"])
                then = np.full_like(world.temperature, stretch_then)
                shown[row, when] = _seen(world, _deck(world, built, built, then), built, built)[
                    row, 0
                ]
        elif cause["kind"] == "step":
            shown[cause["element"], cause["visit"] :] += cause["size"]
        elif cause["kind"] == "setting off":
            shown[cause["element"]] += cause["size"]
        elif cause["kind"] == "sign":
            row = cause["element"]
            shown[row] = 2 * world.set_value[row] - shown[row]
    return shown


def _stretch(world, temperature, days):
    """Strain of the deck since it was set: by temperature, less what it has shortened."""
    coefficient = world.true_expansion + world.expansion_error
    stretch = coefficient * (temperature - world.set_temperature - world.set_error_k)
    stretch = stretch - world.strain_error * predicted_share(world, days)
    for cause in world.causes:
        if cause["kind"] == "shortening":
            last = grown(world, cause, world.days)[-1]
            stretch = stretch - cause["size"] * grown(world, cause, days) / last
    return stretch


def predicted_share(world, days):
    """Share that a prediction of shortening has reached by a day, of that at the last visit."""

    def share(at):
        years = (np.asarray(at) - world.set_day) / DAYS
        return years / (PREDICTED_HALF_YEARS + years)

    return share(days) / share(world.days[-1])


def grown(world, cause, days):
    """Share of the final shortening reached by a day, by a hyperbola in time or evenly."""
    if "begin" in cause:
        return np.maximum((days - cause["begin"]) / DAYS, 0.0)
    years = (days - world.set_day) / DAYS
    return years / (cause["half_years"] + years)


def _deck(world, ground, built, stretch):
    """Return the deck's points over the supports: they spread from where it is held."""
    held = world.true_held_at
    arm = built - built[held] - 1000.0 * world.held_error_m
    return ground[held] + (built - built[held]) + arm * stretch


def _seen(world, deck, ground, built):
    out = np.empty((len(world.support), deck.shape[1]))
    for row, (at, way) in enumerate(zip(world.support, world.facing, strict=True)):
        apart = (deck[at] - ground[at]) - (built[at] - built[at])
        # an offset grows with the deck; a gap at the end of the deck closes with it
        out[row] = world.set_value[row] + (apart if way == 0 else -way * apart)
    return out


def read(rng, world):
    """Return readings, temperatures and setting as a crew would write them down."""
    shape = world.shape
    temperature = world.temperature.copy()
    error = rng.normal(0.0, TEMPERATURE_SD_K, shape[1])
    if world.population.true_scatters:
        world.temperature = temperature + error
    else:
        temperature = temperature + error
    shown = true_positions(world)
    values = shown + rng.normal(0.0, READING_SD_MM, shape)
    values += rng.normal(0.0, SETTING_SD_MM, shape[0])[:, None]
    for cause in world.causes:
        if cause["kind"] == "blunder":
            values[cause["element"], cause["visit"]] += cause["size"]
        elif cause["kind"] == "wrong temperature":
            temperature[cause["visit"]] -= cause["size"]
    return np.where(world.missing, np.nan, values), temperature
