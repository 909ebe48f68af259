"""Forms of a visit: filter, opening, review, rating."""

from __future__ import annotations

import django_filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django_scopes.forms import SafeModelChoiceField

from inspections.lookups.field import bridges_to_inspect
from inspections.models import ComponentRating, Inspection
from inspections.models.choices import InspectionKind, InspectionState, LeftOutReason
from inspections.selectors.people import who_inspects
from inspections.typed_fields import PlainForm
from inventory.keys import RowsField
from inventory.models import Bridge


class InspectionFilter(django_filters.FilterSet):
    """Filter of the list of inspections."""

    bridge = django_filters.CharFilter(
        method="of_bridge",
        label=gettext_lazy("Bridge, code or name"),
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    state = django_filters.ChoiceFilter(
        choices=InspectionState, label=gettext_lazy("State"), empty_label=gettext_lazy("Any state")
    )
    kind = django_filters.ChoiceFilter(
        choices=InspectionKind, label=gettext_lazy("Kind"), empty_label=gettext_lazy("Any kind")
    )

    class Meta:
        model = Inspection
        fields = ["bridge", "state", "kind"]
        form = PlainForm

    def of_bridge(self, rows: QuerySet[Inspection], _name: str, text: str) -> QuerySet[Inspection]:
        """Keep the inspections of bridges whose code or name holds the text."""
        return rows.filter(Q(bridge__code__icontains=text) | Q(bridge__name__icontains=text))


class NewInspectionForm(forms.ModelForm):
    """Opens a visit."""

    class Meta:
        model = Inspection
        fields = ["bridge", "date", "kind", "team", "lead", "crew", "weather", "remarks"]
        field_classes = {"bridge": SafeModelChoiceField, "crew": RowsField}
        widgets = {
            "crew": forms.CheckboxSelectMultiple,
            "date": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
            "team": forms.TextInput(attrs={"autocomplete": "off"}),
            "remarks": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "bridge": gettext_lazy("Bridge"),
            "date": gettext_lazy("Date"),
            "kind": gettext_lazy("Kind"),
            "team": gettext_lazy("Team"),
            "lead": gettext_lazy("Lead, who signs"),
            "crew": gettext_lazy("Crew"),
            "weather": gettext_lazy("Weather"),
            "remarks": gettext_lazy("Remarks"),
        }
        help_texts = {
            "team": gettext_lazy(
                "By role, not by name, such as lead inspector and two assistants."
            ),
        }

    def __init__(self, *args, many: bool = False, **kwargs) -> None:
        """``many``: there are more bridges than a list may hold, and one is named before."""
        super().__init__(*args, label_suffix="", **kwargs)
        for name in ("lead", "crew"):
            self.fields[name].queryset = who_inspects()
        self.fields["lead"].empty_label = _("Nobody named: whoever enters readings may sign")
        self.fields["crew"].help_text = _(
            "Accounts that take it along on a tablet. With none and no lead, all inspectors may."
        )
        self.fields["bridge"].queryset = bridges_to_inspect()
        self.fields["bridge"].empty_label = _("Choose a bridge")
        if many and self.bridge_named is not None:
            self.fields["bridge"].empty_label = None
            self.fields["bridge"].widget.choices = [(self.bridge_named.pk, str(self.bridge_named))]

    @cached_property
    def bridge_named(self) -> Bridge | None:
        """The bridge that was sent, or that the form begins with."""
        if not self.is_bound:
            return self.initial.get("bridge")
        try:
            return self.fields["bridge"].clean(self["bridge"].data)
        except forms.ValidationError:
            return None

    def _post_clean(self) -> None:
        """Leave the model's checks to the service, which every way in passes."""

    def refuse(self, refusal: forms.ValidationError) -> None:
        """Put what the service refused at the inputs that it came from."""
        self.taken = {name: self.cleaned_data[name] for name in ("bridge", "date", "kind")}
        self.add_error(None, refusal)


class ReviewForm(PlainForm):
    """The reviewer's note."""

    note = forms.CharField(
        label=gettext_lazy("Note to the team"),
        required=False,
        help_text=gettext_lazy("Needed to return the inspection; kept with it when accepted."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class LeftOutForm(PlainForm):
    """One reason for all that a visit did not read; it goes with handing in."""

    reason = forms.ChoiceField(
        label=gettext_lazy("Why the rest was not read"),
        choices=[("", gettext_lazy("No reason given")), *LeftOutReason.choices],
        required=False,
        help_text=gettext_lazy("Kept at each of them when the inspection is handed in."),
    )
    remark = forms.CharField(
        label=gettext_lazy("Remark"),
        max_length=240,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args, **kwargs) -> None:
        # The rating on the same page has a reason as well.
        super().__init__(*args, auto_id="left-out-%s", **kwargs)
        for field in self.fields.values():
            # It stands below the row of the button that sends it.
            field.widget.attrs["form"] = "hand-in"

    def clean(self) -> dict:
        values = super().clean()
        asked = values.get("remark") or "with_reason" in self.data
        if asked and not values.get("reason") and "reason" not in self.errors:
            self.add_error(
                "reason", _("Choose a reason, or hand in without one and without a remark.")
            )
        return values


class RatingForm(forms.ModelForm):
    """A national condition rating; what was rated before is shown beside."""

    class Meta:
        model = ComponentRating
        fields = ["item", "code", "reason"]
        labels = {
            "item": gettext_lazy("Item"),
            "code": gettext_lazy("Rating"),
            "reason": gettext_lazy("Why"),
        }
        help_texts = {"reason": gettext_lazy("Needed for 4 and less.")}
        widgets = {"reason": forms.TextInput(attrs={"autocomplete": "off"})}
