"""Forms of the plan: its filter, a visit, opening it, an interval, a day's route."""

from __future__ import annotations

import datetime as dt
from typing import Any

import django_filters
from django import forms
from django.contrib.auth.models import AbstractBaseUser
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django_scopes.forms import SafeModelChoiceField

from inspections.bridge_choice import UNKNOWN, BridgeChoice
from inspections.models import Due, Event, Interval, PlannedVisit
from inspections.models.choices import Weather
from inspections.models.desk_choices import DueReason
from inspections.selectors import plan
from inspections.selectors.people import who_inspects
from inspections.typed_fields import PlainForm
from inventory.keys import RowsField
from inventory.models import Bridge, District, Element

ME, NOBODY = "me", "nobody"
DAY = {"format": "%Y-%m-%d", "attrs": {"type": "date"}}


class DueFilter(django_filters.FilterSet):
    """What is due, by place, reason, day and who is to go."""

    q = django_filters.CharFilter(
        method="of_bridge",
        label=gettext_lazy("Code or name"),
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    district = django_filters.ModelChoiceFilter(
        field_name="bridge__district",
        queryset=lambda _request: District.objects.all(),
        to_field_name="code",
        label=gettext_lazy("District"),
        empty_label=gettext_lazy("Any"),
    )
    reason = django_filters.ChoiceFilter(
        choices=DueReason, label=gettext_lazy("Reason"), empty_label=gettext_lazy("Any")
    )
    until = django_filters.DateFilter(
        field_name="due_on",
        lookup_expr="lte",
        label=gettext_lazy("Due until"),
        widget=forms.DateInput(**DAY),
    )
    who = django_filters.ChoiceFilter(
        method="assigned",
        label=gettext_lazy("Planned for"),
        empty_label=gettext_lazy("Anybody"),
        choices=(),
    )

    class Meta:
        model = Due
        fields = ["q", "district", "reason", "until", "who"]
        form = PlainForm

    def __init__(self, *args, user: AbstractBaseUser, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.user = user
        self._people = {each.get_username(): each for each in who_inspects()}
        self.filters["who"].extra["choices"] = [
            (ME, _("Me")),
            (NOBODY, _("Nobody yet")),
            *((name, name) for name in self._people),
        ]

    def of_bridge(self, rows: QuerySet[Due], _name: str, text: str) -> QuerySet[Due]:
        """Keep what is due at bridges whose code or name holds the text."""
        return rows.filter(Q(bridge__code__icontains=text) | Q(bridge__name__icontains=text))

    def assigned(self, rows: QuerySet[Due], _name: str, who: str) -> QuerySet[Due]:
        """Keep what is due where somebody has a visit planned, or nobody has."""
        user = None if who == NOBODY else self.user if who == ME else self._people[who]
        return plan.due_assigned_to(rows, user)

    @property
    def narrowed(self) -> bool:
        """True where something is left out on request."""
        return any(self.form.cleaned_data.values()) if self.form.is_valid() else False


class BridgeChoiceForm(PlainForm):
    """Which bridge a visit is planned to."""

    bridge = forms.ModelChoiceField(
        Bridge.objects.none(),
        to_field_name="code",
        empty_label=gettext_lazy("Choose a bridge"),
        widget=BridgeChoice,
        error_messages={"invalid_choice": UNKNOWN},
    )

    def __init__(self, *args, bridges: QuerySet[Bridge], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bridge"].queryset = bridges


class VisitForm(forms.ModelForm):
    """A planned visit to one bridge.

    What stands against it is told once; it is planned all the same when that is ticked.
    """

    all_the_same = forms.BooleanField(label=gettext_lazy("Plan it all the same"), required=False)

    class Meta:
        model = PlannedVisit
        fields = ["planned_on", "kind", "event", "lead", "crew", "note"]
        field_classes = {"event": SafeModelChoiceField, "crew": RowsField}
        widgets = {
            "crew": forms.CheckboxSelectMultiple,
            "planned_on": forms.DateInput(**DAY),
            "note": forms.Textarea(attrs={"rows": 3, "maxlength": plan.LONGEST_NOTE}),
        }
        labels = {"crew": gettext_lazy("Crew"), "event": gettext_lazy("After which event")}

    def __init__(self, *args, bridge: Bridge, **kwargs) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.bridge = bridge
        self.notices: list[str] = []
        for name in ("lead", "crew"):
            self.fields[name].queryset = who_inspects()
        self.fields["lead"].empty_label = _("Nobody yet")
        self.fields["crew"].help_text = _("Accounts that take the visit along on their tablets.")
        self.fields["note"].help_text = _("What to read or bring; goes with the inspection.")
        events = Event.objects.filter(bridges__bridge=bridge)
        if events.exists():
            self.fields["event"].queryset = events
            self.fields["event"].empty_label = _("None")
        else:
            del self.fields["event"]
        if "all_the_same" not in self.data:
            self.fields["all_the_same"].widget = forms.HiddenInput()

    def _post_clean(self) -> None:
        """Leave the model's checks to the service, which every way in passes."""

    def clean(self) -> dict:
        cleaned = super().clean()
        if cleaned.get("planned_on") and not cleaned.get("all_the_same"):
            people = {*cleaned.get("crew", ()), *filter(None, [cleaned.get("lead")])}
            self.notices = plan.conflicts(
                bridge=self.bridge,
                planned_on=cleaned["planned_on"],
                people=people,
                but=self.instance if self.instance.pk else None,
            )
        if self.notices and not self.errors:
            self.fields["all_the_same"].widget = forms.CheckboxInput()
            self.add_error("all_the_same", _("Choose another day or lead, or tick this."))
        return cleaned

    def values(self) -> dict:
        """Return what the service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "all_the_same"}

    def refuse(self, refusal: forms.ValidationError) -> None:
        """Put what the service refused at the inputs that it came from."""
        for name, messages in getattr(refusal, "message_dict", {None: refusal.messages}).items():
            for message in messages:
                self.add_error(name if name in self.fields else None, message)


class OpenForm(PlainForm):
    """Opens the inspection of a planned visit."""

    date = forms.DateField(label=gettext_lazy("Date of the visit"), widget=forms.DateInput(**DAY))
    team = forms.CharField(
        label=gettext_lazy("Team"),
        max_length=160,
        help_text=gettext_lazy("By role, not by name."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    weather = forms.ChoiceField(
        label=gettext_lazy("Weather"), choices=Weather, initial=Weather.UNKNOWN
    )


class IntervalForm(forms.ModelForm):
    """An interval of a bridge or one of its elements."""

    class Meta:
        model = Interval
        fields = ["element", "kind", "months", "reason"]
        field_classes = {"element": SafeModelChoiceField}
        labels = {"element": gettext_lazy("For")}
        widgets = {"months": forms.NumberInput(attrs={"min": 1, "max": 240})}

    def __init__(self, *args, bridge: Bridge, **kwargs) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["element"].queryset = Element.objects.filter(bridge=bridge).select_related(
            "bridge"
        )
        self.fields["element"].empty_label = _("The whole bridge")
        self.fields["reason"].required = True
        self.fields["reason"].help_text = _("Stays in the history.")

    def _post_clean(self) -> None:
        """Leave the model's checks to the service, which every way in passes."""


class EndIntervalForm(PlainForm):
    """Why an interval ends."""

    reason = forms.CharField(
        label=gettext_lazy("Why the agency's interval stands again"),
        max_length=100,
        error_messages={"required": gettext_lazy("Say why: the reason stays in the history.")},
    )


class KeyForm(PlainForm):
    """A new address for a calendar program."""

    only_own = forms.BooleanField(
        label=gettext_lazy("Only visits that I lead or go along with"), required=False, initial=True
    )


class RouteForm(PlainForm):
    """Which bridges a day holds, and where it starts."""

    day = forms.DateField(label=gettext_lazy("Day"), required=False, widget=forms.DateInput(**DAY))
    who = forms.ModelChoiceField(
        None,
        label=gettext_lazy("Visits of"),
        required=False,
        to_field_name="username",
        empty_label=gettext_lazy("Anybody"),
    )
    codes = forms.CharField(
        label=gettext_lazy("Bridges, by code"),
        required=False,
        max_length=2000,
        help_text=gettext_lazy("Separated by commas."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    start = forms.CharField(
        label=gettext_lazy("Start"),
        required=False,
        max_length=60,
        help_text=gettext_lazy("Such as 47.05, 8.31, or a bridge's code."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["who"].queryset = who_inspects()

    def clean_day(self) -> dt.date | None:
        """Take an empty day for none."""
        return self.cleaned_data["day"] or None
