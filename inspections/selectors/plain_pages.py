"""Reads of pages in plain words: the version that counts, and what the record says now."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone
from django.utils.translation import get_language, override

from inspections.lookups.plain_pages import last_page, saved_in
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
    ``language`` is that of its texts and of the drawing; what is offered is written in it as well.
    ``elsewhere`` tells of each other language in which it was saved when it was last.
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
    elsewhere: dict[str, dt.datetime] = field(default_factory=dict)

    @property
    def changed(self) -> bool:
        """Whether the record has changed since the texts were saved."""
        return self.saved is not None and self.saved.digest != self.digest

    @property
    def newer_elsewhere(self) -> dict[str, dt.datetime]:
        """The other languages in which somebody saved after these texts, or never saved these."""
        since = self.saved.saved_at if self.saved else None
        return {of: at for of, at in self.elsewhere.items() if since is None or at > since}


def plain_now(
    bridge: Bridge, flag: Flag | None, system: System, language: str | None = None
) -> PlainNow:
    """Return a page as it stands, for a reader who prefers some units.

    Parameters
    ----------
    language
        The one to show the page in, saved in it or not; None for the reader's if it was saved in
        that or never, else for the one that it was saved in last.
    """
    zone = ZoneInfo(bridge.time_zone)
    with timezone.override(zone):
        facts = facts_of(bridge, flag, timezone.localdate())
    elsewhere = saved_in(bridge, flag)
    readers = get_language() or settings.LANGUAGE_CODE
    written_in = language or (readers if readers in elsewhere else next(iter(elsewhere), readers))
    saved = last_page(bridge, flag, written_in) if elsewhere.pop(written_in, None) else None
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
        elsewhere=elsewhere,
    )
