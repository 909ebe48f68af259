"""The form under which an engineer signs a decision."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark

from inspections.models import AgencySettings
from inspections.models.desk_choices import DecisionKind
from inspections.plan_days import months_after
from inventory.decimal_mark import with_mark

WHAT_IT_DOES = {
    DecisionKind.ACCEPT: mark(
        "It may stay as it is. The flag rests until the day you give, and comes"
        " back then, or as soon as a visit shows it worse."
    ),
    DecisionKind.WATCH: mark(
        "It is seen at a shorter interval, which enters the plan. Comes back on"
        " its day, or when it is worse."
    ),
    DecisionKind.MEASURE_AGAIN: mark(
        "A reading is doubted or too old. Enters the plan; a reading that"
        " still shows it brings the flag back."
    ),
    DecisionKind.WORK_ORDERED: mark(
        "Work on it is ordered elsewhere. To keep the order with its costs"
        " here, use «Order work» instead."
    ),
    DecisionKind.MENDED: mark(
        "It has been repaired, reset or replaced. The next reading proves it: in"
        " range closes the flag, out of range brings it back."
    ),
    DecisionKind.CLOSE: mark(
        "It is over: back in range and believed, or no fault of the element. A"
        " later visit that shows it again brings it back."
    ),
}


WATCHES = 2
"""A watch is proposed for so many of its own intervals: one reading may be a blunder, and after
two of them it is time to say anew whether it stands still.  Judgement, no source."""


class DecisionForm(forms.Form):
    """A decision with its reason; days that are left empty are those that its kind proposes."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Decision"),
        choices=DecisionKind,
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose a decision.")},
    )
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        max_length=2000,
        help_text=gettext_lazy("Stays on record under your name."),
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": gettext_lazy("Say why: the reason stays on record.")},
    )
    until = forms.DateField(
        label=gettext_lazy("Until"),
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )
    interval_months = forms.IntegerField(
        label=gettext_lazy("Seen every, months"),
        required=False,
        min_value=1,
        max_value=120,
    )
    as_of = forms.DateTimeField(
        label=gettext_lazy("Holds from"),
        required=False,
        help_text=gettext_lazy("When it was mended, if not now; in the time of the bridge."),
        widget=forms.DateTimeInput(format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"}),
    )

    def __init__(self, *args: Any, agency: AgencySettings, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        today = timezone.localdate()
        self.days = {
            DecisionKind.WATCH: months_after(today, round(WATCHES * agency.watch_interval_months)),
            DecisionKind.MEASURE_AGAIN: today + dt.timedelta(days=round(agency.measure_again_days)),
        }
        self.fields["until"].help_text = _(
            "For accepting it must be given. Empty: watched until %(watched)s, measured again"
            " by %(measured)s."
        ) % {
            "watched": self.days[DecisionKind.WATCH],
            "measured": self.days[DecisionKind.MEASURE_AGAIN],
        }
        months = with_mark(f"{agency.watch_interval_months:g}")
        self.fields["interval_months"].help_text = _("For watching. Empty: every %(months)s.") % {
            "months": months
        }

    @property
    def kinds(self) -> list[tuple[Any, str, dt.date | None]]:
        """Each radio button with what choosing it does, and the day that it proposes."""
        return [
            (radio, _(WHAT_IT_DOES[kind]), self.days.get(kind))
            for radio in self["kind"]
            for kind in (DecisionKind(radio.data["value"]),)
        ]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        kind = found.get("kind")
        if found.get("until") is None and kind in self.days:
            found["until"] = self.days[DecisionKind(kind)]
        return found
