"""What the queue can be narrowed to."""

from __future__ import annotations

import datetime as dt

import django_filters
from django import forms
from django.db.models import Count, Q, QuerySet
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark

from inspections.desk.filters import ElementsFilter
from inspections.models import Flag
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import FlagCause, FlagState
from inspections.selectors.flags import ENDED, WAITING, needs_decision
from inventory.words import TextWords


class Show(TextWords):
    """Groups of states, as in the address of the list."""

    TO_DECIDE = "to-decide", mark("To decide")
    WAITING = "waiting", mark("Waiting")
    CLOSED = "closed", mark("Closed")
    ALL = "all", mark("All")


HEADINGS = {
    Show.TO_DECIDE: mark("Flags to decide"),
    Show.WAITING: mark("Flags that wait"),
    Show.CLOSED: mark("Closed flags"),
    Show.ALL: mark("All flags"),
}


def shown_in(show: Show, today: dt.date) -> Q:
    """Return what a flag of a tab fulfils."""
    return {
        Show.TO_DECIDE: needs_decision(today),
        Show.WAITING: Q(state__in=WAITING) & ~needs_decision(today),
        Show.CLOSED: Q(state__in=ENDED) & ~needs_decision(today),
        Show.ALL: Q(),
    }[show]


class QueueFilter(ElementsFilter):
    """Flags by place, device, cause, state and severity.

    ``in_any_tab`` are the rows that all filters but the tab leave.
    """

    tab_field = "show"
    cause = django_filters.ChoiceFilter(
        choices=FlagCause, label=gettext_lazy("Cause"), empty_label=gettext_lazy("Any")
    )
    state = django_filters.ChoiceFilter(
        choices=FlagState, label=gettext_lazy("State"), empty_label=gettext_lazy("Any")
    )
    severity = django_filters.ChoiceFilter(
        choices=lambda: [
            (word.value, word.label) for word in (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)
        ],
        label=gettext_lazy("Severity"),
        empty_label=gettext_lazy("Any"),
    )
    show = django_filters.ChoiceFilter(
        choices=Show, empty_label=Show.TO_DECIDE.label, widget=forms.HiddenInput
    )

    class Meta:
        model = Flag
        fields: list[str] = []

    in_any_tab: QuerySet[Flag]
    today: dt.date

    @property
    def tab(self) -> Show:
        """The tab asked for; what is to be decided where nothing was, or nonsense."""
        return Show(self.form.cleaned_data.get("show") or Show.TO_DECIDE)

    @cached_property
    def counts(self) -> dict[Show, int]:
        """How many flags each tab has."""
        counts = self.in_any_tab.order_by().aggregate(
            **{
                f"in_{show.name.lower()}": Count("pk", filter=shown_in(show, self.today))
                for show in (Show.TO_DECIDE, Show.WAITING, Show.CLOSED)
            },
            in_all=Count("pk"),
        )
        return {show: counts[f"in_{show.name.lower()}"] for show in Show}

    @property
    def tabs(self) -> list[tuple[Show, int, bool]]:
        """Every tab with its count, and whether it is the one."""
        return [(show, count, show == self.tab) for show, count in self.counts.items()]

    def filter_queryset(self, queryset: QuerySet[Flag]) -> QuerySet[Flag]:
        for name, value in self.form.cleaned_data.items():
            if name != "show":
                queryset = self.filters[name].filter(queryset, value)
        self.in_any_tab = queryset
        return queryset.filter(shown_in(self.tab, self.today))
