"""Saving a page in plain words: a new version each time, the earlier ones kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy, ngettext, override

from inspections.lookups.plain_pages import last_page
from inspections.models import Flag, PlainPage
from inspections.plain.facts import Facts, digest_of
from inspections.plain.texts import generated
from inspections.plain_lengths import TEXTS
from inventory.models import Bridge
from inventory.units import System
from movement import MODEL_VERSION

MEANWHILE = gettext_lazy(
    "Somebody saved this page while you wrote. Nothing was saved now, and your texts stand below:"
    " compare them with the version saved last, then save again to put yours in its place."
)
CHANGED = gettext_lazy(
    "The record changed while you wrote. Nothing was saved now, and your texts stand below: look at"
    " the new paragraphs beside them, then save again."
)


@transaction.atomic
def save_plain_page(
    *,
    bridge: Bridge,
    flag: Flag | None,
    texts: Mapping[str, str],
    facts: Facts,
    system: System,
    language: str,
    user: AbstractBaseUser,
    seen_digest: str,
    seen_version: int | None,
    words_too_many: Callable[[Mapping[str, str]], int],
) -> PlainPage:
    """Save a version of a page.

    Parameters
    ----------
    texts
        By the names of ``TEXTS``.
    facts
        The record as it is now.
    language
        The one that the texts are written in; each has versions of its own.
    seen_digest, seen_version
        Which record and which version the writer had before the eyes.
    words_too_many
        How far texts run over the one page that they are printed on, about, in words.

    Raises
    ------
    ValidationError
        By field: a text that is empty or too long; above the form: texts that do not fit on one
        page, another version or a record that has changed meanwhile.
    """
    # Whoever saves a page of this bridge meanwhile waits, or is waited for.
    Bridge.objects.select_for_update(no_key=True).filter(pk=bridge.pk).first()
    last = last_page(bridge, flag, language)
    if (last.pk if last else None) != seen_version:
        raise ValidationError(MEANWHILE)
    kept = facts.as_kept()
    if digest_of(kept) != seen_digest:
        raise ValidationError(CHANGED)
    plain = {each.name: texts[each.name].replace("\r\n", "\n").strip() for each in TEXTS}
    with override(language):
        fresh = generated(facts, system)
        words = words_too_many(plain)
    row = PlainPage(
        bridge=bridge,
        flag=flag,
        **plain,
        units=system.value,
        language=language,
        generated=fresh,
        relied_on=kept,
        digest=digest_of(kept),
        model_version=MODEL_VERSION,
        saved_by=user,
        saved_at=timezone.now(),
    )
    row.full_clean()
    if words > 0:
        raise ValidationError(
            ngettext(
                "The texts are too long for one page, by about %(words)s word. Shorten any of"
                " them.",
                "The texts are too long for one page, by about %(words)s words. Shorten any of"
                " them.",
                words,
            )
            % {"words": words}
        )
    row.save(force_insert=True)
    return row
