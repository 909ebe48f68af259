"""Instruments, agency settings and the record of visits in the admin site."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import admin
from django.contrib.admin import ModelAdmin
from django.db.models import Count, Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext, pgettext_lazy

from inspections.agency_fieldsets import AGENCY_FIELDSETS
from inspections.models import (
    AgencySettings,
    AirDay,
    AirTemperature,
    Inspection,
    Instrument,
    Reading,
    TemperatureReading,
    Verdict,
)
from inspections.services.reassessment import judge_or_ask
from inventory.admin.base import ReadOnlyHistoryAdmin
from inventory.decimal_mark import with_mark


class SettingsAdmin(ReadOnlyHistoryAdmin):
    """A row that verdicts rest on: kept for good, and judged by again when it is saved."""

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def readings_resting_on(self, row: Model) -> QuerySet[Reading]:
        """Return the readings whose verdict may change with ``row``."""
        raise NotImplementedError

    def save_related(self, request, form, formsets, change):
        """Judge again, once the row is saved."""
        super().save_related(request, form, formsets, change)
        judge_or_ask(
            by=f"{form.instance} as of {timezone.localtime():%Y-%m-%d %H:%M}",
            bridge_ids=self.readings_resting_on(form.instance)
            .order_by()
            .values_list("inspection__bridge_id", flat=True)
            .distinct(),
            user=request.user,
        )


@admin.register(Instrument)
class InstrumentAdmin(SettingsAdmin):
    """An instrument; its accuracy stands for readings that state none."""

    fields = ("code", "name", "dimension", "accuracy", "calibrated_on")
    list_display = ("code", "name", "dimension", "accuracy", "calibrated_on")
    list_filter = ("dimension",)
    search_fields = ("code", "name")
    date_hierarchy = "calibrated_on"

    def readings_resting_on(self, row: Instrument) -> QuerySet[Reading]:
        """Return what was read with it."""
        return Reading.objects.filter(instrument=row)


@admin.register(AgencySettings)
class AgencySettingsAdmin(ReadOnlyHistoryAdmin):
    """The one row of thresholds and standing uncertainties: to look up here with its history.

    It is changed on a page of its own, which shows first what a change would do.
    """

    fieldsets = AGENCY_FIELDSETS

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def changelist_view(
        self, request: HttpRequest, extra_context: dict | None = None
    ) -> HttpResponse:
        """Go to the page where the figures are changed."""
        return redirect("thresholds")


def yes_or_no(is_so: bool) -> str:
    """Return the reader's word; the admin site's own mark is named in English alone."""
    return pgettext("is it so", "yes") if is_so else pgettext("is it so", "no")


class RecordAdmin(ModelAdmin):
    """Rows that come from visits and files: to look up here, never to write."""

    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False


OF_ELEMENT = ("element__code", "element__bridge__code", "element__bridge__name")


@admin.register(Inspection)
class InspectionAdmin(RecordAdmin, ReadOnlyHistoryAdmin):
    """A visit, with the way to its readings."""

    fieldsets = (
        (None, {"fields": ("bridge", "kind", "date", "team", "weather", "remarks", "taken")}),
        (
            gettext_lazy("Review"),
            {
                "fields": (
                    "state",
                    ("created_by", "submitted_at"),
                    ("reviewed_by", "reviewed_at"),
                    "review_note",
                )
            },
        ),
    )
    readonly_fields = ("taken",)
    list_display = ("date", "bridge", "kind", "state", "team", "weather", "readings_here")
    list_filter = ("state", "kind", "weather", "bridge__district")
    list_select_related = ("bridge",)
    search_fields = ("bridge__code", "bridge__name", "team", "remarks")
    search_help_text = gettext_lazy("Code or name of the bridge, team, remarks")
    date_hierarchy = "date"
    ordering = ("-date", "bridge__code")

    def get_queryset(self, request: HttpRequest) -> QuerySet[Inspection]:
        return super().get_queryset(request).annotate(reading_count=Count("readings"))

    @admin.display(description=gettext_lazy("Readings"), ordering="reading_count")
    def readings_here(self, inspection: Inspection) -> int:
        """Return the number of its readings."""
        return inspection.reading_count

    @admin.display(description=gettext_lazy("Taken"))
    def taken(self, inspection: Inspection) -> str:
        """Return links to its readings and temperatures."""
        chosen = f"?inspection__id__exact={inspection.pk}"
        return format_html(
            '<a href="{}">{}</a>, <a href="{}">{}</a>',
            reverse("admin:inspections_reading_changelist") + chosen,
            _("Readings"),
            reverse("admin:inspections_temperaturereading_changelist") + chosen,
            _("temperatures"),
        )


@admin.register(Reading)
class ReadingAdmin(RecordAdmin):
    """A reading beside what was typed, and what it corrects."""

    fields = (
        ("inspection", "element", "installation"),
        ("quantity", "point", "axis", "repeat"),
        ("value", "typed"),
        ("taken_at", "instrument", "accuracy"),
        "remark",
        "corrects",
        ("created_by", "created_at"),
    )
    list_display = ("taken_at", "element", "quantity", "point", "axis", "repeat",
                    "value", "typed", "is_correction")  # fmt: skip
    list_filter = ("quantity", "axis", "inspection__state",
                   ("corrects", admin.EmptyFieldListFilter),
                   "element__bridge__district")  # fmt: skip
    list_select_related = ("element__bridge",)
    search_fields = (*OF_ELEMENT, "remark")
    search_help_text = gettext_lazy("Code of the element, code or name of the bridge, remark")
    date_hierarchy = "taken_at"
    ordering = ("-taken_at", "element__code", "quantity", "point", "repeat")

    @admin.display(description=gettext_lazy("Correction"))
    def is_correction(self, reading: Reading) -> str:
        """Tell whether it corrects another one, in words that are read out in any language."""
        return yes_or_no(reading.corrects_id is not None)


@admin.register(TemperatureReading)
class TemperatureReadingAdmin(RecordAdmin):
    """A temperature taken during a visit."""

    list_display = (
        "taken_at", "inspection", "unit", "place", "in_the_sun", "temperature_c", "typed",
    )  # fmt: skip
    list_filter = ("place", "sunlit", "inspection__bridge__district")
    list_select_related = ("inspection__bridge", "unit__bridge")
    search_fields = ("inspection__bridge__code", "inspection__bridge__name", "unit__code")
    search_help_text = gettext_lazy("Code or name of the bridge, code of the unit")
    date_hierarchy = "taken_at"
    ordering = ("-taken_at", "place")

    @admin.display(description=gettext_lazy("In the sun"), ordering="sunlit")
    def in_the_sun(self, reading: TemperatureReading) -> str:
        """Tell whether it was taken in the sun."""
        return yes_or_no(reading.sunlit)


@admin.register(AirTemperature)
class AirTemperatureAdmin(RecordAdmin):
    """An hour of a station's shade air record."""

    list_display = ("station", "time_utc", "temperature_c", "sun_w_per_m2", "wind_m_per_s")
    search_fields = ("station",)
    search_help_text = gettext_lazy("Code of the station")
    date_hierarchy = "time_utc"
    ordering = ("station", "-time_utc")


@admin.register(AirDay)
class AirDayAdmin(RecordAdmin):
    """The extremes of a day of a station's shade air."""

    list_display = ("station", "day", "min_c", "max_c")
    search_fields = ("station",)
    search_help_text = gettext_lazy("Code of the station")
    date_hierarchy = "day"
    ordering = ("station", "-day")


def _figure(name: str, label: str, form: str = ".1f") -> Callable[[ModelAdmin, Verdict], str]:
    """Return a column of one of a verdict's numbers, rounded."""

    @admin.display(description=label, ordering=name)
    def column(_admin: ModelAdmin, verdict: Verdict) -> str:
        value = getattr(verdict, name)
        return "–" if value is None else with_mark(format(value, form))

    return column


@admin.register(Verdict)
class VerdictAdmin(RecordAdmin):
    """What the model said of a reading, with its numbers in the unit of its quantity."""

    # A column named as a field would show the field.
    read = _figure("value", gettext_lazy("Value"))
    predicted = _figure("expected", gettext_lazy("Expected"))
    off = _figure("residual", pgettext_lazy("difference", "Off"), "+.1f")
    in_u = _figure("residual_in_u", gettext_lazy("Off, in its uncertainties"), "+.1f")
    use = _figure("use_now", gettext_lazy("Use of limit"), ".0%")
    list_display = ("taken_at", "element", "quantity", "point", "verdict",
                    "read", "predicted", "off", "in_u", "use")  # fmt: skip
    list_filter = ("verdict", "quantity", "temperature_way", "setting_from",
                   "element__bridge__district")  # fmt: skip
    list_select_related = ("element__bridge",)
    search_fields = OF_ELEMENT
    search_help_text = gettext_lazy("Code of the element, code or name of the bridge")
    date_hierarchy = "taken_at"
    ordering = ("-taken_at", "element__code")
