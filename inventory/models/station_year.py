"""Yearly extremes of a station's shade air, for a design basis of its own."""

from django.db import models
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inventory.quantities import Quantity, bounds, ordered, refuse_unordered

STATION_YEAR_QUANTITIES = {
    "year": Quantity(mark("Year"), "", 1700, 2200, required=True),
    "year_min_c": Quantity(mark("Lowest shade air of the year"), "degC", -70, 30, required=True),
    "year_max_c": Quantity(mark("Highest shade air of the year"), "degC", -20, 60, required=True),
}


class StationYear(models.Model):
    """Lowest and highest shade air temperature of one complete year at a station."""

    station = models.CharField(mark("Station"), max_length=40)
    year = STATION_YEAR_QUANTITIES["year"].whole_field()
    year_min_c = STATION_YEAR_QUANTITIES["year_min_c"].field()
    year_max_c = STATION_YEAR_QUANTITIES["year_max_c"].field()
    history = HistoricalRecords()

    class Meta:
        ordering = ["station", "year"]
        verbose_name = mark("yearly extremes of a station")
        verbose_name_plural = mark("yearly extremes of stations")
        constraints = [
            *bounds("station_year", STATION_YEAR_QUANTITIES),
            ordered(
                "station_year", "year_min_c", "year_max_c", gettext_lazy("Lowest below highest.")
            ),
            models.UniqueConstraint(fields=["station", "year"], name="station_year_once"),
        ]

    def __str__(self) -> str:
        return f"{self.station} {self.year}"

    def clean(self) -> None:
        refuse_unordered(self, ("year_min_c", "year_max_c"))
