"""What was measured.  Rows are appended, never changed; a correction names what it corrects."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy
from django.utils.translation import gettext_noop as mark

from inspections.form_spec import AS_UNITS_PART, FIELDS, point_words
from inspections.models.choices import ReadingQuantity, TemperaturePlace
from inspections.models.field_work import TabletRecord
from inspections.models.visits import ACCURACY, Inspection, Instrument
from inventory.decimal_mark import with_mark
from inventory.models import Element, Installation, Unit
from inventory.models.choices import GapAxis
from inventory.models.of_district import OfDistrict
from inventory.quantities import InRange, Quantity, bounds
from inventory.scoping import of_district
from inventory.units import Dimension


def where_told(table: str, *names: str) -> list[models.Index]:
    """Return an index for each of some columns, which a row that leaves it empty does not bear."""
    return [
        models.Index(fields=[name], condition=Q((f"{name}__isnull", False)), name=f"{table}_{name}")
        for name in names
    ]


TEMPERATURE = Quantity(mark("Temperature"), "degC", -60, 90, required=True)


class Reading(OfDistrict):
    """One measured value, in the SI unit of its quantity, beside what was typed."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="readings")
    element = models.ForeignKey(Element, models.PROTECT, related_name="readings")
    # Nothing is looked up by it: its readings are read by their element, and no device is deleted.
    installation = models.ForeignKey(
        Installation, models.PROTECT, related_name="readings", db_index=False
    )
    quantity = models.CharField(
        pgettext_lazy("what is read", "Quantity"), max_length=14, choices=ReadingQuantity
    )
    point = models.CharField(mark("Point"), max_length=12, blank=True)
    axis = models.CharField(
        mark("Gap taken"),
        max_length=6,
        choices=GapAxis,
        blank=True,
        help_text=mark("For a joint gap."),
    )
    repeat = models.PositiveSmallIntegerField(mark("Repeat"), default=1)
    value = models.FloatField(mark("Value"))
    typed = models.CharField(mark("As typed"), max_length=60)
    taken_at = models.DateTimeField(mark("Taken at"))
    instrument = models.ForeignKey(
        Instrument,
        models.PROTECT,
        related_name="readings",
        null=True,
        blank=True,
        db_index=False,
    )
    accuracy = ACCURACY.field()
    remark = models.CharField(mark("Remark"), max_length=240, blank=True)
    corrects = models.OneToOneField(
        "self", models.PROTECT, related_name="corrected_by", null=True, blank=True
    )
    record = models.OneToOneField(
        TabletRecord, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        db_index=False,
    )
    created_at = models.DateTimeField(mark("Recorded at"), auto_now_add=True)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["element", "taken_at", "quantity", "point", "repeat"]
        indexes = [
            models.Index(fields=["taken_at", "id"]),
            *where_told("reading", "instrument", "created_by"),
        ]
        constraints = [
            *bounds("reading", {"accuracy": ACCURACY}),
            models.CheckConstraint(
                condition=Q(
                    *(
                        Q(quantity=each.quantity, value__gte=each.low, value__lte=each.high)
                        for each in FIELDS.values()
                    ),
                    _connector=Q.OR,
                ),
                name="reading_value_possible",
                violation_error_message=gettext_lazy("The value is impossible for its quantity."),
            ),
            models.CheckConstraint(
                condition=Q(quantity=ReadingQuantity.GAP, axis__in=GapAxis.values)
                | ~Q(quantity=ReadingQuantity.GAP) & Q(axis=""),
                name="reading_axis_for_gaps_only",
            ),
            models.UniqueConstraint(
                fields=["element", "inspection", "quantity", "point", "axis", "taken_at", "repeat"],
                condition=Q(corrects__isnull=True),
                name="reading_once",
                violation_error_message=gettext_lazy(
                    "This point has a reading of this time. Correct that one,"
                    " or count this as a repeat."
                ),
            ),
            models.CheckConstraint(condition=Q(repeat__gte=1), name="reading_repeat_from_1"),
        ]

    def __str__(self) -> str:
        return f"{self.element.code} {self.get_quantity_display()} {self.point} {self.typed}"

    def clean(self) -> None:
        wrong: dict[str, str] = {}
        if self.repeat is not None and self.repeat < 1:
            wrong["repeat"] = _("%(number)s is below 1. Count the first reading as 1.") % {
                "number": self.repeat
            }
        field = FIELDS.get(self.quantity)
        if field is None:
            if wrong:
                raise ValidationError(wrong)
            return
        if self.value is not None:
            try:
                InRange(field.low, field.high, field.dimension.value)(self.value)
            except ValidationError as error:
                wrong["value"] = error.messages[0]
            if field.dimension is Dimension.COUNT and self.value % 1:
                wrong["value"] = _("%(number)s is no whole number. Count whole ones.") % {
                    "number": with_mark(f"{self.value:g}")
                }
        if self.point not in field.points:
            wrong["point"] = _point_refused(self.point, field.points)
        elif (
            self.quantity == ReadingQuantity.SLACK
            and self.point != AS_UNITS_PART
            and self.element.unit_ahead_id is not None
        ):
            wrong["point"] = _(
                "It ties two units, and tightens as they part: give its slack at «%(point)s»."
            ) % {"point": point_words(AS_UNITS_PART)}
        if (self.quantity == ReadingQuantity.GAP) != bool(self.axis):
            wrong["axis"] = (
                _("Say whether it was taken square to the joint or along the road.")
                if self.quantity == ReadingQuantity.GAP
                else _("Only a joint gap has it. Leave it empty.")
            )
        if wrong:
            raise ValidationError(wrong)


class TemperatureReading(OfDistrict):
    """A temperature taken during a visit."""

    inspection = models.ForeignKey(Inspection, models.PROTECT, related_name="temperatures")
    unit = models.ForeignKey(
        Unit,
        models.PROTECT,
        related_name="temperatures",
        null=True,
        blank=True,
        help_text=mark("Empty: it stands for every unit of the bridge."),
    )
    place = models.CharField(mark("Place"), max_length=14, choices=TemperaturePlace)
    sunlit = models.BooleanField(mark("In the sun"), default=False)
    temperature_c = TEMPERATURE.field()
    typed = models.CharField(mark("As typed"), max_length=60)
    taken_at = models.DateTimeField(mark("Taken at"))
    instrument = models.ForeignKey(
        Instrument,
        models.PROTECT,
        related_name="temperatures",
        null=True,
        blank=True,
        db_index=False,
    )
    remark = models.CharField(mark("Remark"), max_length=240, blank=True)
    corrects = models.OneToOneField(
        "self", models.PROTECT, related_name="corrected_by", null=True, blank=True
    )
    record = models.OneToOneField(
        TabletRecord, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        db_index=False,
    )
    created_at = models.DateTimeField(mark("Recorded at"), auto_now_add=True)
    objects = of_district("inspection__bridge__district")

    class Meta:
        ordering = ["inspection", "taken_at", "place"]
        indexes = [
            models.Index(fields=["taken_at", "id"]),
            *where_told("temperature", "instrument", "created_by"),
        ]
        constraints = [
            *bounds("temperature", {"temperature_c": TEMPERATURE}),
            models.CheckConstraint(
                condition=Q(place__in=TemperaturePlace.values), name="temperature_place_known"
            ),
            models.UniqueConstraint(
                fields=["inspection", "unit", "place", "taken_at"],
                condition=Q(corrects__isnull=True),
                name="temperature_once_a_unit",
                violation_error_message=gettext_lazy("This place has a temperature of this time."),
            ),
            models.UniqueConstraint(
                fields=["inspection", "place", "taken_at"],
                condition=Q(unit__isnull=True, corrects__isnull=True),
                name="temperature_once_for_all_units",
                violation_error_message=gettext_lazy("This place has a temperature of this time."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_place_display()} {self.typed}"


SUN = Quantity(mark("Sun on a level face"), "W/m2", 0, 1600)
WIND = Quantity(mark("Wind"), "m/s", 0, 120)


class AirTemperature(models.Model):
    """One hour of a station's shade air record, with sun and wind where they are recorded."""

    station = models.CharField(mark("Station"), max_length=40)
    time_utc = models.DateTimeField(mark("Time"))
    temperature_c = TEMPERATURE.field()
    sun_w_per_m2 = SUN.field()
    wind_m_per_s = WIND.field()

    class Meta:
        ordering = ["station", "time_utc"]
        constraints = [
            *bounds(
                "air",
                {"temperature_c": TEMPERATURE, "sun_w_per_m2": SUN, "wind_m_per_s": WIND},
            ),
            models.UniqueConstraint(fields=["station", "time_utc"], name="air_hour_once"),
        ]

    def __str__(self) -> str:
        told = with_mark(f"{self.temperature_c:g}")
        return f"{self.station} {self.time_utc:%Y-%m-%d %H:%M} {told} degC"


class AirDay(models.Model):
    """One day of a station's shade air record, of which only the extremes are known."""

    station = models.CharField(mark("Station"), max_length=40)
    day = models.DateField(mark("Day"), help_text=mark("In the station's own time."))
    min_c = TEMPERATURE.field()
    max_c = TEMPERATURE.field()

    class Meta:
        ordering = ["station", "day"]
        constraints = [
            *bounds("air_day", {"min_c": TEMPERATURE, "max_c": TEMPERATURE}),
            models.CheckConstraint(
                condition=models.Q(min_c__lte=models.F("max_c")),
                name="air_day_min_below_max",
                violation_error_message=gettext_lazy("The lowest of the day is above its highest."),
            ),
            models.UniqueConstraint(fields=["station", "day"], name="air_day_once"),
        ]

    def __str__(self) -> str:
        return _("%(station)s %(day)s %(low)s to %(high)s degC") % {
            "station": self.station,
            "day": self.day,
            "low": with_mark(f"{self.min_c:g}"),
            "high": with_mark(f"{self.max_c:g}"),
        }


def _point_refused(point: str, points: tuple[str, ...]) -> str:
    told = {"point": point, "points": ", ".join(points)}
    if points == ("",):
        return _("«%(point)s» is no point of it: it is read at one alone. Leave it empty.") % told
    return _("«%(point)s» is no point of it. Use %(points)s.") % told
