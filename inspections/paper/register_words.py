"""What the register knows of an element, in one paragraph."""

from __future__ import annotations

from django.utils.translation import gettext as _

from inspections.paper.summary import place_of
from inspections.selectors.desk import design_of
from inspections.selectors.report import ReportElement
from inspections.wording_figures import joined
from inventory.facts import Fact, capacities_of, facts_of
from inventory.models import Installation
from inventory.units import System
from inventory.words import in_sentence, word_of

SETTING = (
    "setting_temperature_c", "setting_gap_mm", "setting_gap_axis", "setting_offset_along_mm",
    "setting_offset_across_mm", "setting_tilt_deg", "setting_rotation_mrad",
)  # fmt: skip
ACCESS = ("access", "replaceable", "replaceable_why")
NOT_KNOWN = "unknown"


def register_words(each: ReportElement, system: System) -> str:
    """Return where an element stands, its device, its setting, its capacities and its access."""
    element, device = each.element, each.element.current_installation
    units = joined([unit.code for unit in (element.unit, element.unit_ahead) if unit])
    place = {"place": place_of(each, system), "units": units}
    parts = [_("At %(place)s; unit %(units)s") % place]
    parts.append(_("installed %(day)s") % {"day": f"{device.installed_on:%Y-%m-%d}"})
    if device.maker:
        parts.append(_("maker %(maker)s") % {"maker": device.maker})
    if device.lot:
        parts.append(_("lot %(lot)s") % {"lot": device.lot})
    parts.append(_setting(device, system))
    capacities = [_told(fact) for fact in capacities_of(design_of(device), system)]
    parts.append(
        _("capacities: %(capacities)s") % {"capacities": "; ".join(capacities)}
        if capacities
        else _("no capacities recorded")
    )
    known = [name for name in ACCESS if getattr(element, name) != NOT_KNOWN]
    parts += [_told(fact) for fact in facts_of(element, known, system)]
    return f"{'. '.join(part[:1].upper() + part[1:] for part in parts)}."


def _setting(device: Installation, system: System) -> str:
    told = _("setting %(source)s") % {"source": in_sentence(word_of(device, "setting_source"))}
    known = [_told(fact) for fact in facts_of(device, SETTING, system)]
    return f"{told} ({'; '.join(known)})" if known else told


def _told(fact: Fact) -> str:
    """Return a figure behind its name, words behind a colon."""
    is_figure = fact.text[:1].isdigit() or fact.text[:1] in ("+", "\N{MINUS SIGN}")
    text = _small(fact.text) if fact.is_choice else fact.text
    return f"{_small(fact.label)}{' ' if is_figure else ': '}{text}"


def _small(words: str) -> str:
    # A word in capitals, such as PTFE, stays as it is, and so does a German noun.
    return words if words[:2].isupper() else in_sentence(words[:1]) + words[1:]
