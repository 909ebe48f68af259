"""Where an element stands now and at both design extremes, in figures beside its strip."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections import wording
from inspections.drawing.travel import carried_places
from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from inspections.wording_readings import NONE
from inventory.units import Dimension, System, shown


@dataclass(frozen=True, slots=True)
class PlaceTold:
    """A position: when, at which temperature, where, and what it leaves of the limits."""

    when: str
    temperature: str
    position: str
    use: float | None
    clear: str
    word: VerdictWord


_CARRIED = {
    "coldest": mark("carried to the coldest"),
    "hottest": mark("carried to the hottest"),
}


def places_told(verdict: Verdict, system: System) -> list[PlaceTold]:
    """Return the position as measured, and carried to the coldest and the hottest day."""
    uses = {"coldest": verdict.use_at_min, "hottest": verdict.use_at_max}
    found = [
        (_("as measured"), verdict.value, VerdictWord(verdict.verdict), verdict.temperature_c,
         verdict.use_now),
        *((_(_CARRIED[word]), value, there, at_c, uses[word])
          for word, value, there, at_c in carried_places(verdict)),
    ]  # fmt: skip
    return [
        PlaceTold(
            when,
            NONE if at_c is None else shown(at_c, Dimension.TEMPERATURE, system),
            shown(value, wording.dimension_of(verdict), system),
            use,
            _clear(verdict, value, system),
            word,
        )
        for when, value, word, at_c, use in found
    ]


def met_at(verdict: Verdict, system: System) -> list[str]:
    """Return at which temperatures the limits are met, the device moving as expected."""
    return [
        _(sentence) % {"temperature": shown(at_c, Dimension.TEMPERATURE, system)}
        for sentence, at_c in (
            (mark("The lower limit is met at %(temperature)s."), verdict.lower_at_c),
            (mark("The upper limit is met at %(temperature)s."), verdict.upper_at_c),
        )
        if at_c is not None
    ]


def _clear(verdict: Verdict, value: float, system: System) -> str:
    """Return the distance to the nearer limit; past it, by how much."""
    rooms = [
        room
        for room in (
            None if verdict.limit_lower is None else value - verdict.limit_lower,
            None if verdict.limit_upper is None else verdict.limit_upper - value,
        )
        if room is not None
    ]
    if not rooms:
        return _("no limit on record")
    told = shown(abs(min(rooms)), wording.dimension_of(verdict), system)
    words = _("%(distance)s clear") if min(rooms) >= 0 else _("%(distance)s past")
    return words % {"distance": told}
