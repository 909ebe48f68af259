"""Agency settings and a user's own: one row each."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inventory.decimal_mark import with_mark
from inventory.models.choices import DeckType
from inventory.quantities import Quantity, bounds
from inventory.units import Dimension, System
from movement.concrete import Scatter
from movement.history.findings import HistoryThresholds
from movement.inputs import Thresholds
from movement.temperature import WayUncertainty
from movement.whole_bridge.causes import Priors

_JUDGEMENT = mark("Judgement, no published source.")


def _figure(label: str, unit: str, low: float, high: float, default: float) -> Quantity:
    return Quantity(label, unit, low, high, required=True, default=default, help=_JUDGEMENT)


CURRENCY = RegexValidator(
    r"\A[A-Z]{3}\Z", gettext_lazy("Give the three capital letters of ISO 4217: EUR.")
)
ACCURACY_OF_COUNT = 0.1
"""A count is right or wrong; this keeps its band narrow and one more always outside it."""
_WAYS = WayUncertainty()
_HISTORY = HistoryThresholds()
_PRIORS = Priors()
_SCATTER = Scatter()
_VERDICT = Thresholds()
AGENCY_QUANTITIES = {
    "watch_k": _figure(mark("Watch above, standard uncertainties"), "", 0.5, 10, _VERDICT.watch_k),
    "out_k": _figure(
        mark("Out of range above, standard uncertainties"), "", 0.5, 20, _VERDICT.out_k
    ),
    "watch_use": _figure(mark("Watch above, share of a limit"), "", 0.1, 1, _VERDICT.watch_use),
    "frozen_below": _figure(
        mark("Frozen: response ratio below"), "", 0.05, 0.95, _HISTORY.frozen_below
    ),
    "free_above": _figure(mark("Free: response ratio above"), "", 0.05, 0.95, _HISTORY.free_above),
    "sluggish_below": _figure(
        mark("Sluggish: response ratio below"), "", 0.05, 0.99, _HISTORY.sluggish_below
    ),
    "more_than_free_above": _figure(
        mark("More than free: response ratio above"), "", 1.01, 5, _HISTORY.more_than_free_above
    ),
    "chance": _figure(
        mark("Chance of naming a drift, step or blunder where there is none"),
        "",
        1e-6,
        0.2,
        _HISTORY.chance,
    ),
    "horizon_years": _figure(
        mark("Planning horizon of a trend"), "years", 0, 100, _HISTORY.horizon_years
    ),
    "explanation_needed": _figure(
        mark("Evidence before a unit is explained, natural log of the odds"),
        "",
        -5,
        20,
        _PRIORS.needed,
    ),
    "explanations_apart": _figure(
        mark("Explanations fit equally well below, natural log of the odds"),
        "",
        0.01,
        20,
        _PRIORS.apart,
    ),
    "weight_severity": _figure(mark("Weight in the queue: severity"), "", 0, 100, 40.0),
    "weight_consequence": _figure(mark("Weight in the queue: what rests on it"), "", 0, 100, 25.0),
    "weight_nearness": _figure(mark("Weight in the queue: how near a limit"), "", 0, 100, 25.0),
    "weight_age": _figure(mark("Weight in the queue: age"), "", 0, 100, 10.0),
    "routine_interval_months": Quantity(
        mark("Routine inspection every"),
        "months",
        1,
        240,
        required=True,
        default=24.0,
        help=mark(
            "23 CFR 650.311 (2022): at most 24 months as a rule; from memory. Local rules govern."
        ),
    ),
    "in_depth_interval_months": _figure(mark("In-depth inspection every"), "months", 1, 240, 72.0),
    "watch_interval_months": _figure(
        mark("A watched element is seen every"), "months", 1, 120, 6.0
    ),
    "measure_again_days": _figure(mark("Measure again within"), "days", 1, 730, 90.0),
    "proving_days": _figure(mark("Proving measurement within"), "days", 1, 730, 60.0),
    "after_event_days": _figure(mark("Inspection after an event within"), "days", 0, 365, 7.0),
    "creep_scatter": _figure(mark("Creep against its rule, relative"), "", 0, 1, _SCATTER.creep),
    "shrinkage_scatter": _figure(
        mark("Shrinkage against its rule, relative"), "", 0, 1, _SCATTER.shrinkage
    ),
    "u_embedded_k": _figure(mark("Embedded sensors"), "K", 0.1, 20, _WAYS.embedded_k),
    "u_surfaces_k": _figure(mark("Deck and girder surfaces"), "K", 0.1, 20, _WAYS.surfaces_k),
    "u_shaded_surface_k": _figure(
        mark("One shaded girder surface"), "K", 0.1, 20, _WAYS.shaded_surface_k
    ),
    "u_air_history_k": _figure(
        mark("Shade air of the preceding hours"), "K", 0.1, 20, _WAYS.air_history_k
    ),
    "u_shade_air_k": _figure(mark("One shade air temperature"), "K", 0.1, 20, _WAYS.shade_air_k),
    "temperature_window_h": _figure(
        mark("A temperature belongs to readings within"), "h", 0.25, 12, 2.0
    ),
    "u_setting_measured_mm": _figure(mark("Setting position, measured"), "mm", 0, 50, 1.5),
    "u_setting_measured_k": _figure(mark("Setting temperature, measured"), "K", 0, 20, 2.0),
    "u_setting_drawings_mm": _figure(mark("Setting position, from drawings"), "mm", 0, 50, 4.0),
    "u_setting_drawings_k": _figure(mark("Setting temperature, from drawings"), "K", 0, 20, 4.0),
    "u_fixed_station_m": _figure(mark("Station of the thermal fixed point"), "m", 0, 100, 1.0),
    "u_expansion_steel_per_c": _figure(
        mark("Coefficient of expansion, steel"), "1/degC", 0, 5e-6, 0.3e-6
    ),
    "u_expansion_composite_per_c": _figure(
        mark("Coefficient of expansion, composite"), "1/degC", 0, 5e-6, 0.5e-6
    ),
    "u_expansion_concrete_per_c": _figure(
        mark("Coefficient of expansion, concrete"), "1/degC", 0, 5e-6, 1.0e-6
    ),
    "accuracy_mm": _figure(mark("Instrument for lengths, plus or minus"), "mm", 0.01, 50, 1.5),
    "accuracy_mrad": _figure(
        mark("Instrument for rotations, plus or minus"), "mrad", 0.01, 50, 1.0
    ),
    "accuracy_deg": _figure(mark("Instrument for tilts, plus or minus"), "deg", 0.01, 10, 0.2),
    "accuracy_kn": _figure(
        mark("Instrument for rod tensions, plus or minus"), "kN", 0.01, 1000, 10.0
    ),
}


class AgencySettings(models.Model):
    """Thresholds and standing uncertainties; the one row has key 1."""

    SINGLE = 1
    id = models.PositiveSmallIntegerField(primary_key=True, default=SINGLE, editable=False)
    for _name, _quantity in AGENCY_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    currency = models.CharField(
        gettext_lazy("Currency of costs"), max_length=3, default="USD", validators=[CURRENCY]
    )
    history = HistoricalRecords()

    class Meta:
        verbose_name = mark("agency settings")
        verbose_name_plural = mark("agency settings")
        constraints = [
            *bounds("agency", AGENCY_QUANTITIES),
            models.CheckConstraint(condition=Q(id=1), name="agency_one_row"),
            models.CheckConstraint(
                condition=Q(frozen_below__lte=F("free_above"), free_above__lte=F("sluggish_below")),
                name="agency_response_bounds_rise",
                violation_error_message=gettext_lazy(
                    "The response ratios must rise: frozen, free, sluggish."
                ),
            ),
            models.CheckConstraint(
                condition=Q(watch_k__lt=F("out_k")),
                name="agency_watch_below_out",
                violation_error_message=gettext_lazy(
                    "The watch threshold must be below the other."
                ),
            ),
        ]

    def __str__(self) -> str:
        return _("Agency settings")

    def clean(self) -> None:
        ratios = (self.frozen_below, self.free_above, self.sluggish_below)
        if None not in ratios and not ratios[0] <= ratios[1] <= ratios[2]:
            raise ValidationError(
                {
                    "free_above": _(
                        "%(free_above)s is not between %(frozen_below)s for frozen and"
                        " %(sluggish_below)s for sluggish. Let the three rise."
                    )
                    % {
                        "free_above": with_mark(f"{self.free_above:g}"),
                        "frozen_below": with_mark(f"{self.frozen_below:g}"),
                        "sluggish_below": with_mark(f"{self.sluggish_below:g}"),
                    }
                }
            )
        if None not in (self.watch_k, self.out_k) and self.watch_k >= self.out_k:
            raise ValidationError(
                {
                    "watch_k": _("%(watch_k)s is not below %(out_k)s. Lower it.")
                    % {
                        "watch_k": with_mark(f"{self.watch_k:g}"),
                        "out_k": with_mark(f"{self.out_k:g}"),
                    }
                }
            )

    @classmethod
    def current(cls) -> "AgencySettings":
        """Return the agency's settings, the defaults where none were saved."""
        return cls.objects.filter(pk=cls.SINGLE).first() or cls()

    def thresholds(self) -> Thresholds:
        """Return the thresholds of the verdict."""
        return Thresholds(self.watch_k, self.out_k, self.watch_use)

    def history_thresholds(self) -> HistoryThresholds:
        """Return the thresholds of an element's history."""
        return HistoryThresholds(
            frozen_below=self.frozen_below,
            free_above=self.free_above,
            sluggish_below=self.sluggish_below,
            more_than_free_above=self.more_than_free_above,
            chance=self.chance,
            horizon_years=self.horizon_years,
        )

    def priors(self) -> Priors:
        """Return what the explanations of a whole unit are weighed with."""
        return Priors(needed=self.explanation_needed, apart=self.explanations_apart)

    def scatter(self) -> Scatter:
        """Return how far creep and shrinkage may lie off their rules."""
        return Scatter(self.creep_scatter, self.shrinkage_scatter)

    def way_uncertainty(self) -> WayUncertainty:
        """Return the standard uncertainty of each way to an effective temperature."""
        return WayUncertainty(
            self.u_embedded_k,
            self.u_surfaces_k,
            self.u_shaded_surface_k,
            self.u_air_history_k,
            self.u_shade_air_k,
        )

    def accuracy_of(self, dimension: Dimension) -> float:
        """Return the accuracy of an instrument that states none, plus or minus."""
        return {
            Dimension.LENGTH: self.accuracy_mm,
            Dimension.ROTATION: self.accuracy_mrad,
            Dimension.TILT: self.accuracy_deg,
            Dimension.FORCE: self.accuracy_kn,
            Dimension.COUNT: ACCURACY_OF_COUNT,
        }[dimension]

    def u_expansion_per_c(self, deck_type: str) -> float:
        """Return the standard uncertainty of alpha for a deck type [1/degC]."""
        return {
            DeckType.STEEL: self.u_expansion_steel_per_c,
            DeckType.COMPOSITE: self.u_expansion_composite_per_c,
            DeckType.CONCRETE: self.u_expansion_concrete_per_c,
        }[DeckType(deck_type)]


class Preference(models.Model):
    """A user's choice of units and language."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="preference")
    units = models.CharField(
        gettext_lazy("Units"),
        max_length=2,
        choices=[
            (System.SI.value, "Metric: mm, m, °C, kN"),
            (System.US.value, "US customary: in, ft, °F, kip"),
        ],
        default=System.SI.value,
    )
    language = models.CharField(
        gettext_lazy("Language"), max_length=10, choices=settings.LANGUAGES, blank=True, default=""
    )
    """Empty: the one that the browser asks for."""

    def __str__(self) -> str:
        return f"{self.user}: {self.get_units_display()}"
