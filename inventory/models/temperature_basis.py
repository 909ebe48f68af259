"""Where a bridge's design extremes of effective temperature come from."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inventory.models.choices import BasisMethod, Climate, SurfacingRule
from inventory.models.of_district import OfDistrict
from inventory.models.places import Bridge
from inventory.quantities import Quantity, bounds, ordered, refuse_unordered
from inventory.scoping import of_district

BASIS_QUANTITIES = {
    "shade_air_min_c": Quantity(
        mark("Shade air minimum at sea level, 50 years"),
        "degC",
        -60,
        30,
        help=mark("From the national map of EN 1991-1-5."),
    ),
    "shade_air_max_c": Quantity(mark("Shade air maximum at sea level, 50 years"), "degC", 0, 60),
    "map_min_c": Quantity(
        mark("Lowest, read off the map of procedure B"),
        "degC",
        -60,
        30,
        help=mark("The map of the unit's kind of girder, interpolated between contours."),
    ),
    "map_max_c": Quantity(mark("Highest, read off the map of procedure B"), "degC", 0, 70),
    "return_period_years": Quantity(
        mark("Return period"), mark("years"), 2, 10_000, required=True, default=50
    ),
    "entered_min_c": Quantity(mark("Lowest effective temperature"), "degC", -70, 40),
    "entered_max_c": Quantity(mark("Highest effective temperature"), "degC", -10, 90),
    "reference_temperature_c": Quantity(
        mark("Reference temperature"),
        "degC",
        -20,
        45,
        help=mark(
            "Temperature for which the drawings give positions: T0 of EN 1991-1-5, or the"
            " owner's base temperature."
        ),
    ),
}
NEEDED = {
    BasisMethod.AASHTO_A: ("climate",),
    BasisMethod.AASHTO_B: ("map_min_c", "map_max_c", "source"),
    BasisMethod.EN_1991_1_5: ("shade_air_min_c", "shade_air_max_c"),
    BasisMethod.ENTERED: ("entered_min_c", "entered_max_c", "source"),
}


class TemperatureBasis(OfDistrict):
    """Design temperature basis of a bridge: a standard's procedure, or entered figures."""

    bridge = models.OneToOneField(Bridge, models.PROTECT, related_name="temperature_basis")
    method = models.CharField(mark("Method"), max_length=12, choices=BasisMethod)
    climate = models.CharField(mark("Climate"), max_length=8, choices=Climate, blank=True)
    shade_air_min_c = BASIS_QUANTITIES["shade_air_min_c"].field()
    shade_air_max_c = BASIS_QUANTITIES["shade_air_max_c"].field()
    map_min_c = BASIS_QUANTITIES["map_min_c"].field()
    map_max_c = BASIS_QUANTITIES["map_max_c"].field()
    surfacing_rule = models.CharField(
        mark("Depth of surfacing"),
        max_length=8,
        choices=SurfacingRule,
        blank=True,
        help_text=mark(
            "EN methods: adjusts for the surfacing in the section of each unit. Empty: none."
        ),
    )
    return_period_years = BASIS_QUANTITIES["return_period_years"].field()
    entered_min_c = BASIS_QUANTITIES["entered_min_c"].field()
    entered_max_c = BASIS_QUANTITIES["entered_max_c"].field()
    reference_temperature_c = BASIS_QUANTITIES["reference_temperature_c"].field()
    source = models.CharField(
        mark("Source"),
        max_length=240,
        blank=True,
        help_text=mark("Drawing, report or map read from."),
    )
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        verbose_name = mark("design temperature basis")
        verbose_name_plural = mark("design temperature bases")
        constraints = [
            models.CheckConstraint(
                condition=Q(surfacing_rule__in=["", *SurfacingRule.values]),
                name="basis_surfacing_rule_known",
            ),
            *bounds("basis", BASIS_QUANTITIES),
            ordered(
                "basis",
                "shade_air_min_c",
                "shade_air_max_c",
                gettext_lazy("Minimum below maximum."),
            ),
            ordered("basis", "map_min_c", "map_max_c", gettext_lazy("Lowest below highest.")),
            ordered(
                "basis", "entered_min_c", "entered_max_c", gettext_lazy("Lowest below highest.")
            ),
            models.CheckConstraint(
                condition=Q(method=BasisMethod.AASHTO_A, climate__in=Climate.values)
                | Q(
                    method=BasisMethod.AASHTO_B,
                    map_min_c__isnull=False,
                    map_max_c__isnull=False,
                )
                & ~Q(source="")
                | Q(method=BasisMethod.STATION)
                | Q(
                    method=BasisMethod.EN_1991_1_5,
                    shade_air_min_c__isnull=False,
                    shade_air_max_c__isnull=False,
                )
                | Q(
                    method=BasisMethod.ENTERED,
                    entered_min_c__isnull=False,
                    entered_max_c__isnull=False,
                )
                & ~Q(source=""),
                name="basis_has_what_its_method_needs",
                violation_error_message=gettext_lazy(
                    "Procedure A needs the climate; EN 1991-1-5 both shade"
                    " air extremes; values read off a map and entered figures need both and their"
                    " source."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.bridge.code}: {self.get_method_display()}"

    def clean(self) -> None:
        missing = {
            name: _("Needed by the chosen method. Fill it in, or choose another method.")
            for name in NEEDED.get(self.method, ())
            if getattr(self, name) in (None, "")
        }
        bridge = getattr(self, "bridge", None)
        if self.method == BasisMethod.STATION and bridge is not None and not bridge.air_station:
            missing["method"] = _(
                "Bridge %(code)s names no air temperature station. Fill in its station first, or"
                " choose another method."
            ) % {"code": bridge.code}
        if missing:
            raise ValidationError(missing)
        refuse_unordered(
            self,
            ("shade_air_min_c", "shade_air_max_c"),
            ("map_min_c", "map_max_c"),
            ("entered_min_c", "entered_max_c"),
        )
