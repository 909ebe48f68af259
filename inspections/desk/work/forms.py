"""Forms of work: filter, order, change, begin, cancel, finish."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.desk.work.fields import CostField, name_currency
from inspections.models import Flag, OptionStudy, WorkOrder
from inspections.models.desk_choices import WorkKind
from inspections.selectors import work as selectors
from inspections.services.work import today_at
from inspections.typed_fields import LocalTimeField, PlainForm
from inventory.keys import RowsField
from inventory.models import Bridge, Element
from inventory.words import in_sentence
from inventory.zones import zone_words


def day_field(label: str, **kwargs) -> forms.DateField:
    """Return a field of a day, in the browser's own calendar."""
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    invalid = {
        "invalid": gettext_lazy("This is no day. Give year, month and day, such as 2026-05-31.")
    }
    return forms.DateField(label=label, widget=widget, error_messages=invalid, **kwargs)


class FlagsField(RowsField):
    """Flags to tick, each with its element, cause and state."""

    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, flag: Flag) -> str:
        element = flag.element
        device = in_sentence(element.current_installation.get_device_type_display())
        cause, severity, state = (
            in_sentence(words)
            for words in (
                flag.get_cause_display(),
                flag.get_severity_display(),
                flag.get_state_display(),
            )
        )
        return f"{element.code}, {device}: {cause} ({severity}, {state})"


class ElementsField(RowsField):
    """Elements without a flag to tick."""

    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, element: Element) -> str:
        device = in_sentence(element.current_installation.get_device_type_display())
        return f"{element.code}, {device}"


class StudyField(forms.ModelChoiceField):
    """Option studies of a bridge, each with its choice."""

    def label_from_instance(self, study: OptionStudy) -> str:
        if study.chosen:
            return f"{study.title}: {study.chosen}"
        return _("%(title)s, not chosen yet") % {"title": study.title}


class OrderForm(PlainForm):
    """A new order at one bridge."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Kind"), choices=WorkKind.choices, widget=forms.RadioSelect
    )
    title = forms.CharField(label=gettext_lazy("Title"), max_length=160)
    flags = FlagsField(
        Flag.objects.none(), label=gettext_lazy("Flags to be mended"), required=False,
        help_text=gettext_lazy("Each gets the decision that work is ordered."),
    )  # fmt: skip
    elements = ElementsField(
        Element.objects.none(), label=gettext_lazy("Elements without a flag"), required=False
    )
    reason = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("The reason of the decision; it stays on record with each flag."),
    )
    description = forms.CharField(
        label=gettext_lazy("What is to be done"), max_length=4000, required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )  # fmt: skip
    by_whom = forms.CharField(
        label=gettext_lazy("Done by, by role"), max_length=160, required=False,
        help_text=gettext_lazy("Such as own crew, or contractor for bearings."),
    )  # fmt: skip
    ordered_on = day_field(gettext_lazy("Ordered on"))
    planned_on = day_field(gettext_lazy("Planned for"), required=False)
    cost_estimate = CostField(label=gettext_lazy("Cost, estimated"))
    study = StudyField(
        OptionStudy.objects.none(),
        label=gettext_lazy("Option study"),
        required=False,
        empty_label=gettext_lazy("None"),
    )

    def __init__(self, *args, bridge: Bridge, elements: list[Element], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["flags"].queryset = selectors.flags_to_mend(bridge)
        self.fields["study"].queryset = selectors.studies_of(bridge)
        if elements:
            self.fields["elements"].queryset = Element.objects.filter(
                pk__in=[each.pk for each in elements]
            ).select_related("current_installation")
        else:
            del self.fields["elements"]
        name_currency(self)


class ChangeForm(PlainForm):
    """What is planned, and what was billed."""

    title = forms.CharField(label=gettext_lazy("Title"), max_length=160)
    description = forms.CharField(
        label=gettext_lazy("What is to be done"), max_length=4000, required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )  # fmt: skip
    by_whom = forms.CharField(
        label=gettext_lazy("Done by, by role"), max_length=160, required=False
    )
    planned_on = day_field(gettext_lazy("Planned for"), required=False)
    cost_estimate = CostField(label=gettext_lazy("Cost, estimated"))
    cost = CostField(label=gettext_lazy("Cost, as billed"))

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        name_currency(self)


class BeginForm(PlainForm):
    """The day on which work began."""

    begun_on = day_field(gettext_lazy("Begun on"))


class CancelForm(PlainForm):
    """The reason of a cancelled order."""

    why = forms.CharField(
        label=gettext_lazy("Why it is cancelled"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )


class FinishForm(PlainForm):
    """When work was finished, what was done and what it cost."""

    finished_at = LocalTimeField(ZoneInfo("UTC"), label=gettext_lazy("Finished at"))
    outcome = forms.CharField(
        label=gettext_lazy("What was done"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    cost = CostField(
        label=gettext_lazy("Cost, as billed"),
        help_text=gettext_lazy("Leave it empty until the bill has come."),
    )

    def __init__(self, *args, order: WorkOrder, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        zone = order.bridge.time_zone
        self.fields["finished_at"] = LocalTimeField(
            ZoneInfo(zone),
            label=_("Finished at"),
            help_text=_(
                "In the time of the bridge (%(zone)s). Readings from this hour on can prove the"
                " work; a new device or setting counts from this day on."
            )
            % {"zone": zone_words(zone)},
            error_messages={
                "invalid": _("This is no date and time. Give both, such as 2026-05-31 and 16:30."),
                "required": _("Give the date and time at which the work was finished."),
            },
        )
        name_currency(self)


def finished_initial(order: WorkOrder) -> dict[str, object]:
    """Return what the form of finishing begins with."""
    return {"finished_at": timezone.now(), "cost": order.cost}


def ordered_initial(bridge: Bridge) -> dt.date:
    """Return the day that most orders are given on: this one."""
    return today_at(bridge)


def chosen_initial(study: OptionStudy) -> dict[str, object]:
    """Return what an order takes over from the option that was chosen: it was written once."""
    chosen = study.chosen
    if chosen is None:
        return {}
    told = f"{chosen.name}\n{chosen.description}".strip()
    # A study may say more than an order has room for; it keeps the whole of it.
    return {
        "description": told[:4000],
        "reason": study.chosen_why[:2000],
        "cost_estimate": chosen.cost,
    }
