"""The page that explains verdicts, bands and causes."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.views.decorators.http import require_safe

from inspections.desk.judging.example import worked_example
from inspections.drawing.svg import to_svg
from inspections.field.access import VIEW
from inspections.models import AgencySettings
from inspections.models.choices import CauseWord
from inspections.models.desk_choices import FlagCause
from inspections.paper.method import method_words, verdict_words
from inspections.preferences import system_of
from inspections.rights import require

FLAGS = {
    FlagCause.POSITION: mark(
        "A reading lies outside its band, and no later one far enough from the"
        " setting temperature shows that this has gone."
    ),
    FlagCause.LIMIT: mark(
        "A limit of the device is nearly or wholly used: now, carried to a design"
        " extreme, or within the coming years."
    ),
    FlagCause.RESPONSE: mark(
        "Its readings over the years follow the temperature too little or too much,"
        " or the whole unit explains it so."
    ),
    FlagCause.CONDITION: mark("A crew has rated part of it in condition state 4."),
    FlagCause.CRITICAL: mark("A crew has reported what cannot wait."),
}
CAUSES = {
    CauseWord.FROZEN: mark(
        "It moves with the temperature hardly or not at all: corrosion, debris, paint"
        " over moving faces."
    ),
    CauseWord.SLUGGISH: mark("It moves less than it should, and may soon not move."),
    CauseWord.SUPPORT_MOVED: mark(
        "All elements of a support stand off by the same length, from a day"
        " on: a pier or abutment has shifted or leans."
    ),
    CauseWord.SHORTENING: mark(
        "The deck is shorter than creep and shrinkage make it, the more so the"
        " farther from the fixed point."
    ),
    CauseWord.WRONG_TEMPERATURE: mark(
        "All readings of one visit stand off in proportion to their distance from the fixed point."
    ),
    CauseWord.BLUNDER: mark(
        "One reading stands alone: a misread tape, a wrong sign, another point."
    ),
    CauseWord.STEP: mark(
        "One element stands off from a day on: an impact, a repair, a loose part."
    ),
    CauseWord.FIXED_POINT: mark("The deck does not move from where the register says."),
    CauseWord.SIGN: mark(
        "Readings of an element run against the temperature: taken the other way."
    ),
    CauseWord.COEFFICIENT: mark("Everything moves more or less than the material on record would."),
    CauseWord.SETTING_OFF: mark(
        "An element stood elsewhere at its setting than the register says."
    ),
}


@require_safe
def how(request: HttpRequest) -> HttpResponse:
    """Explain how a reading becomes a verdict, a flag and an explanation."""
    require(request.user, VIEW)
    system, agency = system_of(request), AgencySettings.current()
    example = worked_example(agency, system)
    return render(
        request,
        "judging/how.html",
        {
            "verdicts": verdict_words(agency),
            "method": method_words(),
            "flags": [(each.label, _(text)) for each, text in FLAGS.items()],
            "causes": [(each.label, _(text)) for each, text in CAUSES.items()],
            "example": example,
            "strip": to_svg(example.strip),
        },
    )
