"""What the lists can be narrowed to."""

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark

from inspections import paging
from inspections.bridge_choice import UNKNOWN, BridgeChoice
from inspections.list_filter import ListFilter, elements_holding, holding_words
from inspections.lookups.field import bridges_to_inspect
from inspections.models import ElementStatus
from inspections.models.choices import VerdictWord
from inspections.selectors import desk
from inspections.selectors.finding_filter import FindingWord, with_finding
from inspections.selectors.statuses import FLAGGED, counts_up_to
from inspections.wording import SHORT
from inventory.models import Bridge, DeviceType, District, ElementKind
from inventory.models.choices import DEVICES_OF_KIND
from inventory.scoping import districts_seen
from inventory.words import TextWords
from movement.results import Reason


class Tab(TextWords):
    """Verdicts that the list of elements can be narrowed to, as in its address."""

    FLAGGED = "flagged", mark("Flagged")
    OUT_OF_RANGE = "out-of-range", mark("Out of range")
    WATCH = "watch", mark("Watch")
    CANNOT_JUDGE = "cannot-judge", mark("Cannot judge")
    IN_RANGE = "in-range", mark("In range")
    ALL = "all", mark("All")


HEADINGS = {
    Tab.FLAGGED: mark("Flagged elements"),
    Tab.OUT_OF_RANGE: mark("Elements out of range"),
    Tab.WATCH: mark("Elements to watch"),
    Tab.CANNOT_JUDGE: mark("Elements that cannot be judged"),
    Tab.IN_RANGE: mark("Elements in range"),
    Tab.ALL: mark("All elements"),
}
VERDICTS_OF_TAB = {
    Tab.FLAGGED: FLAGGED,
    Tab.OUT_OF_RANGE: (VerdictWord.OUT_OF_RANGE,),
    Tab.WATCH: (VerdictWord.WATCH,),
    Tab.CANNOT_JUDGE: (VerdictWord.CANNOT_JUDGE,),
    Tab.IN_RANGE: (VerdictWord.IN_RANGE,),
    Tab.ALL: tuple(VerdictWord),
}


GATHERED = ("q", "district", "bridge", "finding")
"""Fields by which what is found is gathered first; the others are asked of row after row."""


class ElementsFilter(ListFilter):
    """A list of what has an element, by its place and its device."""

    q = django_filters.CharFilter(
        method="search",
        label=gettext_lazy("Code or name"),
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    district = django_filters.ModelChoiceFilter(
        field_name="element__bridge__district",
        queryset=lambda _request: District.objects.all(),
        to_field_name="code",
        label=gettext_lazy("District"),
        empty_label=gettext_lazy("Any"),
    )
    bridge = django_filters.ModelChoiceFilter(
        field_name="element__bridge",
        queryset=lambda _request: bridges_to_inspect(),
        to_field_name="code",
        label=gettext_lazy("Bridge"),
        empty_label=gettext_lazy("Any"),
        widget=BridgeChoice,
        error_messages={"invalid_choice": UNKNOWN},
    )
    kind = django_filters.ChoiceFilter(
        field_name="element__kind",
        choices=ElementKind,
        label=gettext_lazy("Kind"),
        empty_label=gettext_lazy("Any"),
    )
    device = django_filters.ChoiceFilter(
        field_name="element__current_installation__device_type",
        choices=DeviceType,
        label=gettext_lazy("Device type"),
        empty_label=gettext_lazy("Any"),
    )

    def search(self, queryset: QuerySet, _name: str, text: str) -> QuerySet:
        """Find every word in a code or name of the element or its bridge."""
        for word in text.split():
            queryset = queryset.filter(element__in=elements_holding(word))
        return queryset


def _reasons() -> list[tuple[str, str]]:
    told = [(reason.name, _(words)) for reason, words in SHORT.items()]
    return [(name, f"{words[:1].upper()}{words[1:]}") for name, words in told]


class StatusFilter(ElementsFilter):
    """Elements by place, device, verdict and reason.

    ``of_any_verdict`` are the rows that all filters but the verdict leave, which the
    counts by verdict are taken from.
    """

    reason = django_filters.ChoiceFilter(
        method="because",
        choices=_reasons,
        label=gettext_lazy("Reason"),
        empty_label=gettext_lazy("Any"),
    )
    finding = django_filters.ChoiceFilter(
        method="found",
        choices=FindingWord,
        label=gettext_lazy("Finding"),
        empty_label=gettext_lazy("Any"),
    )
    verdict = django_filters.ChoiceFilter(
        choices=Tab, empty_label=Tab.FLAGGED.label, widget=forms.HiddenInput
    )

    class Meta:
        model = ElementStatus
        fields: list[str] = []

    of_any_verdict: QuerySet[ElementStatus]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A status names its bridge and its device itself, which are found without its element.
        self.filters["district"].field_name = "bridge__district"
        self.filters["bridge"].field_name = "bridge"
        self.filters["device"].field_name = "device_type"
        self.filters["kind"].method = "of_kind"

    @property
    def counts(self) -> dict[VerdictWord, int]:
        """How many elements have each verdict; of many, one more than is told at most."""
        if any(self.form.cleaned_data.get(name) for name in GATHERED):
            return desk.counts_by_verdict(self.of_any_verdict)
        return counts_up_to(paging.MOST_COUNTED + 1, self.of_any_verdict)

    @property
    def at_one_place(self) -> bool:
        """Whether all that is found lies in one district or on one bridge, named or in scope."""
        named = any(self.form.cleaned_data.get(name) for name in ("district", "bridge"))
        return named or len(districts_seen() or ()) == 1

    @property
    def tab(self) -> Tab:
        """The verdicts asked for; flagged ones where nothing was, or nonsense."""
        return Tab(self.form.cleaned_data.get("verdict") or Tab.FLAGGED)

    def filter_queryset(self, queryset: QuerySet[ElementStatus]) -> QuerySet[ElementStatus]:
        for name, value in self.form.cleaned_data.items():
            if name != "verdict":
                queryset = self.filters[name].filter(queryset, value)
        self.of_any_verdict = queryset
        return queryset.filter(verdict__in=VERDICTS_OF_TAB[self.tab])

    def of_kind(self, queryset: QuerySet, _name: str, kind: str) -> QuerySet:
        """Keep the elements whose device is of that kind, as it is theirs in every store."""
        return queryset.filter(device_type__in=DEVICES_OF_KIND[ElementKind(kind)])

    def because(self, queryset: QuerySet, _name: str, reason: str) -> QuerySet:
        """Keep the elements whose deciding verdict has that reason."""
        return desk.with_reason(queryset, Reason[reason])

    def found(self, queryset: QuerySet, _name: str, word: str) -> QuerySet:
        """Keep the elements whose history, unit or capacity shows that."""
        return with_finding(queryset, FindingWord(word))


class BridgeFilter(ListFilter):
    """Bridges by name and district, and by what they hold."""

    q = django_filters.CharFilter(
        method="search",
        label=gettext_lazy("Code, name or crossing"),
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    district = django_filters.ModelChoiceFilter(
        queryset=lambda _request: District.objects.all(),
        to_field_name="code",
        label=gettext_lazy("District"),
        empty_label=gettext_lazy("Any"),
    )
    holds = django_filters.ChoiceFilter(
        method="holding",
        label=gettext_lazy("Show"),
        choices=[
            ("elements", gettext_lazy("With elements")),
            ("flagged", gettext_lazy("With flagged elements")),
            ("none", gettext_lazy("Without elements yet")),
        ],
        empty_label=gettext_lazy("All bridges"),
    )

    class Meta:
        model = Bridge
        fields: list[str] = []

    def search(self, queryset: QuerySet, _name: str, text: str) -> QuerySet:
        """Find every word in the head data."""
        return holding_words(queryset, text, "code", "name", "carries", "crosses")

    def holding(self, queryset: QuerySet, _name: str, what: str) -> QuerySet:
        """Keep the bridges that have elements, flagged ones, or none."""
        if what == "flagged":
            return desk.bridges_holding(queryset, FLAGGED)
        if what == "elements":
            return desk.bridges_holding(queryset)
        return desk.bridges_without_elements(queryset)
