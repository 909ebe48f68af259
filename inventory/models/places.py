"""Where things stand: district, bridge, unit and support."""

from functools import cache
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inventory.decimal_mark import with_mark
from inventory.models.choices import DeckType, SupportKind
from inventory.models.cross_row import (
    refuse_leaving_elements_outside,
    refuse_other_bridge_than_elements,
    refuse_other_deck_than_details,
)
from inventory.models.of_district import OfDistrict
from inventory.quantities import Quantity, bounds, ordered, refuse_unordered
from inventory.scoping import of_district

CODE = RegexValidator(
    r"\A[A-Za-z0-9](?:[A-Za-z0-9 ._-]*[A-Za-z0-9])?\Z",
    gettext_lazy(
        "Use letters, digits, spaces, points, dashes and underscores; begin and end with a"
        " letter or digit."
    ),
)


@cache
def _time_zones() -> frozenset[str]:
    """Return the known zones; asking walks the folders of the zone files each time."""
    return frozenset(available_timezones())


BRIDGE_QUANTITIES = {
    "latitude_deg": Quantity(mark("Latitude, north positive"), "deg", -90, 90),
    "longitude_deg": Quantity(mark("Longitude, east positive"), "deg", -180, 180),
    "altitude_m": Quantity(mark("Altitude above sea level"), "m", -430, 6000),
    "length_m": Quantity(mark("Structure length"), "m", 0.1, 200_000),
    "largest_span_m": Quantity(mark("Largest span"), "m", 0.1, 5000),
    "skew_deg": Quantity(mark("Skew, empty where it varies"), "deg", -80, 80),
    "year_built": Quantity(mark("Year built"), "", 1700, 2200),
}
STATION = Quantity(mark("Station"), "m", -100_000, 1_000_000, required=True)
UNIT_QUANTITIES = {
    "start_station_m": Quantity(mark("Start station"), "m", -100_000, 1_000_000, required=True),
    "end_station_m": Quantity(mark("End station"), "m", -100_000, 1_000_000, required=True),
    "fixed_station_m": Quantity(
        mark("Station of the thermal fixed point"),
        "m",
        -100_000,
        1_000_000,
        help=mark(
            "The point that does not move with temperature: the fixed bearing, or the"
            " stiffness-weighted centre of several."
        ),
    ),
    "u_fixed_station_m": Quantity(
        mark("Standard uncertainty of that station"),
        "m",
        0,
        500,
        help=mark("Empty: the agency's setting."),
    ),
    "expansion_per_c": Quantity(
        mark("Coefficient of thermal expansion"),
        "1/degC",
        4e-6,
        25e-6,
        required=True,
        help=mark("AASHTO LRFD: 11.7e-6 steel, 10.8e-6 concrete. EN 1991-1-5: 12e-6 and 10e-6."),
    ),
    "u_expansion_per_c": Quantity(
        mark("Standard uncertainty of the coefficient"),
        "1/degC",
        0,
        5e-6,
        help=mark("Empty: the agency's setting for the deck type."),
    ),
    "plan_radius_m": Quantity(
        mark("Plan radius, positive curving left"),
        "m",
        -1e6,
        1e6,
        help=mark("Empty for a straight unit."),
    ),
    "deck_share": Quantity(
        mark("Share of the deck in alpha E A"),
        "",
        0,
        1,
        help=mark(
            "Weight of the deck when deck and girder temperatures are combined. Empty: one half."
        ),
    ),
}


class District(OfDistrict):
    """Part of an agency that looks after some of its bridges."""

    code = models.CharField(mark("Code"), max_length=20, unique=True, validators=[CODE])
    name = models.CharField(mark("Name"), max_length=120)
    objects = of_district("pk")
    history = HistoricalRecords()

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Bridge(OfDistrict):
    """A bridge, with its units and supports, or one of the stock without them yet."""

    district = models.ForeignKey(District, models.PROTECT, related_name="bridges")
    code = models.CharField(mark("Code"), max_length=40, unique=True, validators=[CODE])
    name = models.CharField(mark("Name"), max_length=160)
    carries = models.CharField(mark("Carries"), max_length=120, blank=True)
    crosses = models.CharField(mark("Crosses"), max_length=120, blank=True)
    main_material = models.CharField(mark("Main material"), max_length=80, blank=True)
    year_built = models.PositiveSmallIntegerField(mark("Year built"), null=True, blank=True)
    latitude_deg = BRIDGE_QUANTITIES["latitude_deg"].field()
    longitude_deg = BRIDGE_QUANTITIES["longitude_deg"].field()
    altitude_m = BRIDGE_QUANTITIES["altitude_m"].field()
    length_m = BRIDGE_QUANTITIES["length_m"].field()
    largest_span_m = BRIDGE_QUANTITIES["largest_span_m"].field()
    skew_deg = BRIDGE_QUANTITIES["skew_deg"].field()
    time_zone = models.CharField(
        mark("Time zone"),
        max_length=50,
        default="UTC",
        help_text=mark("Hours of readings are told in it, such as Europe/Lisbon."),
    )
    air_station = models.CharField(
        mark("Air temperature station"),
        max_length=40,
        blank=True,
        help_text=mark("Code of the station whose hourly record stands for the site."),
    )
    inventory_state_code = models.CharField(mark("NBI item 1, state"), max_length=2, blank=True)
    inventory_number = models.CharField(
        mark("NBI item 8, structure number"), max_length=15, blank=True
    )
    remarks = models.TextField(mark("Remarks"), blank=True)
    objects = of_district("district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["code"]
        constraints = [
            *bounds("bridge", BRIDGE_QUANTITIES),
            models.UniqueConstraint(
                fields=["inventory_state_code", "inventory_number"],
                condition=~Q(inventory_number=""),
                name="bridge_inventory_key",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"

    def clean(self) -> None:
        self.clean_row()
        same_key = Bridge.objects.exclude(pk=self.pk).filter(
            inventory_state_code=self.inventory_state_code, inventory_number=self.inventory_number
        )
        if self.inventory_number and (other := same_key.first()):
            raise ValidationError(
                {
                    "inventory_number": _(
                        "%(code)s has this state and structure number. Correct one of the two."
                    )
                    % {"code": other.code}
                }
            )

    def clean_row(self) -> None:
        """Check what this row alone can tell."""
        wrong: dict[str, str] = {}
        year = BRIDGE_QUANTITIES["year_built"]
        if self.year_built is not None and not year.low <= self.year_built <= year.high:
            wrong["year_built"] = _("%(year)s is not a year between 1700 and 2200.") % {
                "year": self.year_built
            }
        if self.time_zone not in _time_zones():
            wrong["time_zone"] = _(
                "«%(zone)s» is no time zone. Use a name such as Europe/Lisbon or UTC."
            ) % {"zone": self.time_zone}
        if wrong:
            raise ValidationError(wrong)


class Unit(OfDistrict):
    """A continuous length of superstructure with one thermal fixed point."""

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="units")
    code = models.CharField(mark("Code"), max_length=20, validators=[CODE])
    name = models.CharField(mark("Name"), max_length=120, blank=True)
    deck_type = models.CharField(mark("Deck type"), max_length=12, choices=DeckType)
    start_station_m = UNIT_QUANTITIES["start_station_m"].field()
    end_station_m = UNIT_QUANTITIES["end_station_m"].field()
    fixed_station_m = UNIT_QUANTITIES["fixed_station_m"].field()
    u_fixed_station_m = UNIT_QUANTITIES["u_fixed_station_m"].field()
    expansion_per_c = UNIT_QUANTITIES["expansion_per_c"].field()
    u_expansion_per_c = UNIT_QUANTITIES["u_expansion_per_c"].field()
    plan_radius_m = UNIT_QUANTITIES["plan_radius_m"].field()
    deck_share = UNIT_QUANTITIES["deck_share"].field()
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["bridge", "start_station_m"]
        constraints = [
            *bounds("unit", UNIT_QUANTITIES),
            models.UniqueConstraint(fields=["bridge", "code"], name="unit_code_once_a_bridge"),
            ordered(
                "unit",
                "start_station_m",
                "end_station_m",
                gettext_lazy("The unit must end after its start."),
            ),
            models.CheckConstraint(
                condition=Q(fixed_station_m__isnull=True)
                | Q(
                    fixed_station_m__gte=F("start_station_m"),
                    fixed_station_m__lte=F("end_station_m"),
                ),
                name="unit_fixed_point_inside",
                violation_error_message=gettext_lazy(
                    "The thermal fixed point must lie inside the unit."
                ),
            ),
            models.CheckConstraint(
                condition=Q(deck_type__in=DeckType.values), name="unit_deck_type_known"
            ),
            models.CheckConstraint(condition=~Q(plan_radius_m=0), name="unit_plan_radius_not_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.bridge.code} {self.code}"

    def clean(self) -> None:
        self.clean_row()
        refuse_leaving_elements_outside(self)
        refuse_other_bridge_than_elements(self, "unit", "unit_ahead")
        refuse_other_deck_than_details(self)

    def clean_row(self) -> None:
        """Check what this row alone can tell."""
        refuse_unordered(self, ("start_station_m", "end_station_m"))
        if self.fixed_station_m is not None and not self.covers(self.fixed_station_m):
            raise ValidationError(
                {
                    "fixed_station_m": _(
                        "%(station)s m is outside the unit. Give a station between its start and"
                        " its end."
                    )
                    % {"station": with_mark(f"{self.fixed_station_m:g}")}
                }
            )
        if self.plan_radius_m == 0:
            raise ValidationError(
                {"plan_radius_m": _("0 is no radius. Leave it empty for a straight unit.")}
            )

    def covers(self, station_m: float) -> bool:
        """Return whether a station lies on this unit; True while its ends are not known."""
        if self.start_station_m is None or self.end_station_m is None:
            return True
        return self.start_station_m <= station_m <= self.end_station_m


class Support(OfDistrict):
    """Abutment, pier or hinge at which elements stand."""

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="supports")
    code = models.CharField(mark("Code"), max_length=20, validators=[CODE])
    name = models.CharField(mark("Name"), max_length=120, blank=True)
    kind = models.CharField(mark("Kind"), max_length=10, choices=SupportKind)
    station_m = STATION.field()
    objects = of_district("bridge__district")
    history = HistoricalRecords()

    class Meta:
        ordering = ["bridge", "station_m"]
        constraints = [
            *bounds("support", {"station_m": STATION}),
            models.UniqueConstraint(fields=["bridge", "code"], name="support_code_once_a_bridge"),
            models.CheckConstraint(
                condition=Q(kind__in=SupportKind.values), name="support_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.bridge.code} {self.code}"

    def clean(self) -> None:
        self.clean_row()
        refuse_other_bridge_than_elements(self, "support")

    def clean_row(self) -> None:
        """Check what this row alone can tell: nothing beyond its fields."""
