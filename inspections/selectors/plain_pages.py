"""Reads of pages in plain words: the version that counts, and what the record says now."""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone
from django.utils.translation import get_language, override

from inspections.lookups.plain_pages import last_page
from inspections.models import Flag, PlainPage
from inspections.plain.facts import Facts, digest_of
from inspections.plain.texts import generated
from inspections.selectors.plain_facts import facts_of
from inventory.models import Bridge
from inventory.units import System


@dataclass(frozen=True, slots=True)
class PlainNow:
    """A page as it stands: the last version, if there is one, beside what the record gives now.

    ``system`` are the units of its numbers: those of the saved texts, else the reader's.
    ``language`` is that of its texts and of the drawing: the one they were saved in, else the
    reader's; what is offered is written in it as well.
    ``offers`` are the newly generated texts that differ from those which the saved ones were
    written from, in the reader's units; ``other_units`` where those are not the texts'.
    """

    bridge: Bridge
    flag: Flag | None
    facts: Facts
    digest: str
    saved: PlainPage | None
    system: System
    language: str
    texts: dict[str, str]
    offers: dict[str, str]
    other_units: bool = False

    @property
    def changed(self) -> bool:
        """Whether the record has changed since the texts were saved."""
        return self.saved is not None and self.saved.digest != self.digest


def plain_now(
    bridge: Bridge, flag: Flag | None, system: System, language: str | None = None
) -> PlainNow:
    """Return a page as it stands, for a reader who prefers some units.

    Parameters
    ----------
    language
        That of a page which nobody has saved yet; None for the reader's.
    """
    zone = ZoneInfo(bridge.time_zone)
    with timezone.override(zone):
        facts = facts_of(bridge, flag, timezone.localdate())
    saved = last_page(bridge, flag)
    written_in = saved.language if saved else language or get_language() or settings.LANGUAGE_CODE
    with override(written_in):
        fresh = generated(facts, system)
    offers = {}
    if saved is not None:
        offers = {name: text for name, text in fresh.items() if saved.generated.get(name) != text}
    return PlainNow(
        bridge=bridge,
        flag=flag,
        facts=facts,
        digest=digest_of(facts.as_kept()),
        saved=saved,
        system=System(saved.units) if saved else system,
        language=written_in,
        texts=saved.texts if saved else fresh,
        offers=offers,
        other_units=saved is not None and saved.units != system,
    )
