"""How far what goes into a heat balance may be off, and the cases that say what it costs."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from movement.checks import Floats, at_least_zero, finite
from movement.heat_balance.climate import Exchange, Weather
from movement.heat_balance.march import Surroundings, surroundings
from movement.heat_balance.sections import Cells


@dataclass(frozen=True, slots=True)
class HeatUncertainty:
    """How far what goes into the balance may be off.  Judgement, no source.

    Attributes
    ----------
    absorptivity : float
        Share of the sun on the road and on the other faces [-].
    exchange_share : float
        Of the exchange with the air, as a share of it [-].
    clear_share : float
        Of the loss to the sky [-].
    capacity_share : float
        Of the heat stored, as a share of it [-].
    mean_sun_w_per_m2 : float
        Mean of sun that neither record nor place tells, from season and cloud [W/m2].
    daily_sun_w_per_m2 : float
        Its swing between day and night, of which the mean knows nothing [W/m2].
    air_k : float
        Between the air of the station and that at the bridge [K].
    form_k : float
        Of a balance in one dimension: what is left when all inputs are right [K].
    usual_sun_share : float
        Of the usual sun of a place, where it stands for sun that is not recorded: days differ
        by a third from it, and places by a fifth [-].
    """

    absorptivity: float = 0.10
    exchange_share: float = 0.25
    clear_share: float = 0.30
    capacity_share: float = 0.15
    mean_sun_w_per_m2: float = 100.0
    daily_sun_w_per_m2: float = 350.0
    air_k: float = 1.0
    form_k: float = 1.0
    usual_sun_share: float = 0.40

    def __post_init__(self) -> None:
        for each in fields(self):
            finite(each.name, at_least_zero(each.name, getattr(self, each.name)))


def moved(
    cells: Cells, around: Surroundings, weather: Weather, surface: Exchange, doubt: HeatUncertainty
) -> list[tuple[Cells, Surroundings]]:
    """Return the cases in which one input each is off by its standard uncertainty."""
    sun = doubt.absorptivity * weather.sun_w_per_m2
    clearer = replace(surface, clear_share=min(surface.clear_share + doubt.clear_share, 1.0))
    freer = 1.0 + doubt.exchange_share
    cases = [(cells, _sunnier(around, sun, surface))]
    if not weather.sun_known.all():
        # A wave and the same six hours later: whatever the clock, together they hold the swing.
        phase = np.arange(weather.air_c.shape[-1]) * (np.pi / 12.0)
        usual = weather.usual_sun_w_per_m2
        no_place, ones = np.isnan(usual), np.ones(phase.shape)
        for hidden in (
            np.where(no_place, 0.0, doubt.usual_sun_share * usual),
            *(
                np.where(no_place, wave, 0.0)
                for wave in (
                    doubt.mean_sun_w_per_m2 * ones,
                    doubt.daily_sun_w_per_m2 * np.cos(phase),
                    doubt.daily_sun_w_per_m2 * np.sin(phase),
                )
            ),
        ):
            taken_up = np.where(weather.sun_known, 0.0, surface.absorptivity * hidden)
            if taken_up.any():
                cases.append((cells, _sunnier(around, taken_up, surface)))
    return [
        *cases,
        (
            cells,
            replace(
                around,
                road_w_per_m2k=around.road_w_per_m2k * freer,
                shaded_w_per_m2k=around.shaded_w_per_m2k * freer,
            ),
        ),
        (cells, surroundings(weather, clearer)),
        (cells.with_capacity(1.0 + doubt.capacity_share), around),
    ]


def _sunnier(around: Surroundings, taken_up_w_per_m2: Floats, surface: Exchange) -> Surroundings:
    return replace(
        around,
        road_w_per_m2=around.road_w_per_m2 + taken_up_w_per_m2,
        shaded_w_per_m2=around.shaded_w_per_m2 + surface.reflected_share * taken_up_w_per_m2,
    )
