"""Forms of a study: its opening, its criteria and options, judgements and reasons."""

from __future__ import annotations

import math

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.bridge_choice import UNKNOWN, BridgeChoice
from inspections.desk.work.fields import CostField, name_currency
from inspections.list_filter import ListFilter, holding_words
from inspections.lookups.options import SCORE_WORDS
from inspections.models import Criterion, Option, OptionJudgement, OptionStudy
from inspections.models.desk_choices import CriterionKind
from inspections.services.options import LONGEST_DAYS, NewCriterion, NewJudgement
from inspections.typed_fields import PlainForm
from inventory.models import Bridge, District
from inventory.number_field import NumberField

GIVEN = [each for each in CriterionKind.choices if each[0] != CriterionKind.OWN]
WEIGHT_HELP = gettext_lazy(
    "From 0 to 100; only the proportions count. With 0 it is shown and not counted."
)


class StudyFilter(ListFilter):
    """Studies by words, place and whether one option is chosen."""

    q = django_filters.CharFilter(
        method="search",
        label=gettext_lazy("Title or code"),
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    district = django_filters.ModelChoiceFilter(
        field_name="bridge__district",
        queryset=lambda _request: District.objects.all(),
        to_field_name="code",
        label=gettext_lazy("District"),
        empty_label=gettext_lazy("Any"),
    )
    bridge = django_filters.ModelChoiceFilter(
        queryset=lambda _request: Bridge.objects.filter(
            Exists(OptionStudy.objects.filter(bridge=OuterRef("pk")))
        ),
        to_field_name="code",
        label=gettext_lazy("Bridge"),
        empty_label=gettext_lazy("Any"),
        widget=BridgeChoice,
        error_messages={"invalid_choice": UNKNOWN},
    )
    choice = django_filters.ChoiceFilter(
        method="by_choice",
        label=gettext_lazy("Choice"),
        choices=[("open", gettext_lazy("Not chosen yet")), ("made", gettext_lazy("Chosen"))],
        empty_label=gettext_lazy("Any"),
    )

    class Meta:
        model = OptionStudy
        fields: list[str] = []
        form = PlainForm

    def search(self, rows: QuerySet, _name: str, text: str) -> QuerySet:
        """Find every word in the title, or in a code of the place."""
        return holding_words(rows, text, "title", "bridge__code", "bridge__name", "element__code")

    def by_choice(self, rows: QuerySet, _name: str, which: str) -> QuerySet:
        """Keep those with a choice, or those without."""
        return rows.filter(chosen__isnull=which == "open")


class StudyForm(PlainForm):
    """Opens a study."""

    title = forms.CharField(label=gettext_lazy("Title"), max_length=160)
    question = forms.CharField(
        label=gettext_lazy("What is to be mended"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=gettext_lazy("The defect, and what the work must achieve."),
    )
    criteria = forms.MultipleChoiceField(
        label=gettext_lazy("Criteria"),
        choices=GIVEN,
        widget=forms.CheckboxSelectMultiple,
        required=False,
        initial=[kind for kind, _label in GIVEN],
        help_text=gettext_lazy(
            "Each weighs 1 to begin with. Weights can be changed and your own added."
        ),
    )

    def rows(self) -> list[NewCriterion]:
        """Return the criteria that were ticked."""
        return [NewCriterion(kind) for kind in self.cleaned_data["criteria"]]


class WeightField(NumberField):
    """A weight from 0 to 100."""

    def __init__(self, **kwargs) -> None:
        super().__init__(min_value=0, max_value=100, **kwargs)

    def validate(self, value: float | None) -> None:
        super().validate(value)
        if value is not None and not math.isfinite(value):
            raise ValidationError(_("Not a finite number. Give a number."))


class CriterionForm(PlainForm):
    """Adds a criterion, one of the list or the owner's own."""

    kind = forms.ChoiceField(label=gettext_lazy("Criterion"))
    name = forms.CharField(
        label=gettext_lazy("Name of your own"),
        max_length=80,
        required=False,
        help_text=gettext_lazy("Only for your own."),
    )
    weight = WeightField(label=gettext_lazy("Weight"), initial=1, help_text=WEIGHT_HELP)

    def __init__(self, *args, study: OptionStudy, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        taken = set(study.criteria.values_list("kind", flat=True))
        self.fields["kind"].choices = [
            (each.value, each.label)
            for each in CriterionKind
            if each == CriterionKind.OWN or each not in taken
        ]


class WeightsForm(PlainForm):
    """The weights of all criteria of a study."""

    def __init__(self, *args, criteria: list[Criterion], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self._criteria = criteria
        for each in criteria:
            self.fields[f"w{each.pk}"] = WeightField(label=str(each), initial=each.weight)

    def weights(self) -> list[tuple[Criterion, float]]:
        """Return each criterion with its weight."""
        return [(each, self.cleaned_data[f"w{each.pk}"]) for each in self._criteria]


class OptionForm(PlainForm):
    """One way to mend the defect."""

    name = forms.CharField(label=gettext_lazy("Option"), max_length=120)
    description = forms.CharField(
        label=gettext_lazy("How it would be done"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    cost = CostField(label=gettext_lazy("Cost"))
    duration_days = forms.IntegerField(
        label=gettext_lazy("Duration, days"), min_value=0, max_value=LONGEST_DAYS, required=False
    )

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        name_currency(self)


class JudgementForm(PlainForm):
    """Judgements of one option by every criterion; what is left as it was adds nothing."""

    def __init__(
        self, *args, criteria: list[Criterion], now: dict[int, OptionJudgement], **kwargs
    ) -> None:
        super().__init__(*args, **kwargs)
        self._criteria, self._now = criteria, now
        for each in criteria:
            last = now.get(each.pk)
            self.fields[f"s{each.pk}"] = forms.TypedChoiceField(
                label=str(each),
                choices=[(score, f"{score} {_(word)}") for score, word in SCORE_WORDS.items()],
                coerce=int,
                empty_value=None,
                required=False,
                initial=last and last.score,
                widget=forms.RadioSelect,
            )
            self.fields[f"t{each.pk}"] = forms.CharField(
                label=_("%(each)s, in words") % {"each": each},
                max_length=400,
                required=False,
                initial=last.words if last else "",
            )

    def blocks(self) -> list[tuple[Criterion, OptionJudgement | None, list[forms.BoundField]]]:
        """Return each criterion with what counts now and its two inputs."""
        return [
            (each, self._now.get(each.pk), [self[f"s{each.pk}"], self[f"t{each.pk}"]])
            for each in self._criteria
        ]

    def clean(self) -> dict:
        values = super().clean()
        for each in self._criteria:
            if values.get(f"t{each.pk}") and values.get(f"s{each.pk}") is None:
                self.add_error(f"s{each.pk}", _("Give the judgement that these words explain."))
        return values

    def judgements(self) -> list[NewJudgement]:
        """Return what was judged."""
        return [
            NewJudgement(each, score, self.cleaned_data[f"t{each.pk}"])
            for each in self._criteria
            if (score := self.cleaned_data[f"s{each.pk}"]) is not None
        ]


class WhyForm(PlainForm):
    """A reason that stays on record."""

    why = forms.CharField(
        label=gettext_lazy("Why"), max_length=2000, widget=forms.Textarea(attrs={"rows": 4})
    )


class ChoiceForm(PlainForm):
    """The chosen option and its reasons."""

    option = forms.ModelChoiceField(
        Option.objects.none(),
        label=gettext_lazy("Option"),
        widget=forms.RadioSelect,
        empty_label=None,
    )
    why = forms.CharField(
        label=gettext_lazy("Why this one"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args, study: OptionStudy, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["option"].queryset = study.options.filter(dropped_at__isnull=True)
