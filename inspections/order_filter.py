"""What the list of work orders can be narrowed to."""

from __future__ import annotations

import django_filters
from django import forms
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy

from inspections.bridge_choice import UNKNOWN, BridgeChoice
from inspections.list_filter import ListFilter, holding_words
from inspections.models import WorkOrder
from inspections.models.desk_choices import WorkKind, WorkState
from inspections.selectors import work as selectors
from inspections.typed_fields import PlainForm
from inventory.models import Bridge, District

OVERDUE, UNPROVED = "overdue", "unproved"


class OrderFilter(ListFilter):
    """Orders by state, kind, place and year."""

    q = django_filters.CharFilter(
        method="search",
        label=gettext_lazy("Number or title"),
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    state = django_filters.ChoiceFilter(
        method="in_state",
        label=gettext_lazy("State"),
        choices=[
            *WorkState.choices,
            (OVERDUE, gettext_lazy("Overdue")),
            (UNPROVED, gettext_lazy("Finished, not proved")),
        ],
        empty_label=gettext_lazy("Any"),
    )
    kind = django_filters.ChoiceFilter(
        choices=WorkKind, label=gettext_lazy("Kind"), empty_label=gettext_lazy("Any")
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
            Exists(WorkOrder.objects.filter(bridge=OuterRef("pk")))
        ),
        to_field_name="code",
        label=gettext_lazy("Bridge"),
        empty_label=gettext_lazy("Any"),
        widget=BridgeChoice,
        error_messages={"invalid_choice": UNKNOWN},
    )
    year = django_filters.ChoiceFilter(
        field_name="ordered_on__year",
        label=gettext_lazy("Ordered in"),
        choices=lambda: [(str(year), str(year)) for year in selectors.years_of_orders()],
        empty_label=gettext_lazy("Any year"),
    )

    class Meta:
        model = WorkOrder
        fields: list[str] = []
        form = PlainForm

    def search(self, rows: QuerySet, _name: str, text: str) -> QuerySet:
        """Find every word in the number, the title or a code of the bridge."""
        return holding_words(rows, text, "code", "title", "bridge__code")

    def in_state(self, rows: QuerySet, _name: str, state: str) -> QuerySet:
        """Keep a state, what is overdue, or what is finished and not proved."""
        if state == OVERDUE:
            return rows.filter(selectors.overdue(timezone.localdate()))
        if state == UNPROVED:
            return rows.filter(selectors.unproved())
        return rows.filter(state=state)
