"""Agency settings and a user's own: one row each."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inventory.models.choices import DeckType
from inventory.quantities import Quantity, bounds
from inventory.units import Dimension, System
from movement.inputs import Thresholds
from movement.temperature import WayUncertainty

_JUDGEMENT = "Judgement, no published source."


def _figure(label: str, unit: str, low: float, high: float, default: float) -> Quantity:
    return Quantity(label, unit, low, high, required=True, default=default, help=_JUDGEMENT)


_WAYS = WayUncertainty()
_VERDICT = Thresholds()
AGENCY_QUANTITIES = {
    "watch_k": _figure("Watch above, standard uncertainties", "", 0.5, 10, _VERDICT.watch_k),
    "out_k": _figure("Out of range above, standard uncertainties", "", 0.5, 20, _VERDICT.out_k),
    "watch_use": _figure("Watch above, share of a limit", "", 0.1, 1, _VERDICT.watch_use),
    "u_embedded_k": _figure("Embedded sensors", "K", 0.1, 20, _WAYS.embedded_k),
    "u_surfaces_k": _figure("Deck and girder surfaces", "K", 0.1, 20, _WAYS.surfaces_k),
    "u_shaded_surface_k": _figure(
        "One shaded girder surface", "K", 0.1, 20, _WAYS.shaded_surface_k
    ),
    "u_air_history_k": _figure(
        "Shade air of the preceding hours", "K", 0.1, 20, _WAYS.air_history_k
    ),
    "u_shade_air_k": _figure("One shade air temperature", "K", 0.1, 20, _WAYS.shade_air_k),
    "temperature_window_h": _figure("A temperature belongs to readings within", "h", 0.25, 12, 2.0),
    "u_setting_measured_mm": _figure("Setting position, measured", "mm", 0, 50, 1.5),
    "u_setting_measured_k": _figure("Setting temperature, measured", "K", 0, 20, 2.0),
    "u_setting_drawings_mm": _figure("Setting position, from drawings", "mm", 0, 50, 4.0),
    "u_setting_drawings_k": _figure("Setting temperature, from drawings", "K", 0, 20, 4.0),
    "u_fixed_station_m": _figure("Station of the thermal fixed point", "m", 0, 100, 1.0),
    "u_expansion_steel_per_c": _figure(
        "Coefficient of expansion, steel", "1/degC", 0, 5e-6, 0.3e-6
    ),
    "u_expansion_composite_per_c": _figure(
        "Coefficient of expansion, composite", "1/degC", 0, 5e-6, 0.5e-6
    ),
    "u_expansion_concrete_per_c": _figure(
        "Coefficient of expansion, concrete", "1/degC", 0, 5e-6, 1.0e-6
    ),
    "accuracy_mm": _figure("Instrument for lengths, plus or minus", "mm", 0.01, 50, 1.5),
    "accuracy_mrad": _figure("Instrument for rotations, plus or minus", "mrad", 0.01, 50, 1.0),
    "accuracy_deg": _figure("Instrument for tilts, plus or minus", "deg", 0.01, 10, 0.2),
}


class AgencySettings(models.Model):
    """Thresholds and standing uncertainties; the one row has key 1."""

    SINGLE = 1
    id = models.PositiveSmallIntegerField(primary_key=True, default=SINGLE, editable=False)
    for _name, _quantity in AGENCY_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    history = HistoricalRecords()

    class Meta:
        verbose_name = "agency settings"
        verbose_name_plural = "agency settings"
        constraints = [
            *bounds("agency", AGENCY_QUANTITIES),
            models.CheckConstraint(condition=Q(id=1), name="agency_one_row"),
            models.CheckConstraint(
                condition=Q(watch_k__lt=F("out_k")),
                name="agency_watch_below_out",
                violation_error_message="The watch threshold must be below the other.",
            ),
        ]

    def __str__(self) -> str:
        return "Agency settings"

    def clean(self) -> None:
        if None not in (self.watch_k, self.out_k) and self.watch_k >= self.out_k:
            raise ValidationError(
                {"watch_k": f"{self.watch_k:g} is not below {self.out_k:g}. Lower it."}
            )

    @classmethod
    def current(cls) -> "AgencySettings":
        """Return the agency's settings, the defaults where none were saved."""
        return cls.objects.filter(pk=cls.SINGLE).first() or cls()

    def thresholds(self) -> Thresholds:
        """Return the thresholds of the verdict."""
        return Thresholds(self.watch_k, self.out_k, self.watch_use)

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
        }[dimension]

    def u_expansion_per_c(self, deck_type: str) -> float:
        """Return the standard uncertainty of alpha for a deck type [1/degC]."""
        return {
            DeckType.STEEL: self.u_expansion_steel_per_c,
            DeckType.COMPOSITE: self.u_expansion_composite_per_c,
            DeckType.CONCRETE: self.u_expansion_concrete_per_c,
        }[DeckType(deck_type)]


class Preference(models.Model):
    """A user's choice of units."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="preference")
    units = models.CharField(
        "Units",
        max_length=2,
        choices=[
            (System.SI.value, "Metric: mm, m, °C, kN"),
            (System.US.value, "US customary: in, ft, °F, kip"),
        ],
        default=System.SI.value,
    )

    def __str__(self) -> str:
        return f"{self.user}: {self.get_units_display()}"
