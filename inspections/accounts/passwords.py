"""What a password must withstand: length, and being on no list that attackers try first.

After NIST SP 800-63B, 5.1.1.2 (from memory): long ones are taken whole, no kinds of signs are asked
for, none ages; refused are those that are common, known from breaches, made of patterns, or made of
words that belong to the place.
"""

from __future__ import annotations

import hashlib
from os import SEEK_END
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from zxcvbn import zxcvbn

from inventory.words import is_english

OF_THE_PLACE = ("bearing", "joint", "ledger", "bridge", "inspector", "engineer", "manager")
SAFE_SCORE = 3
"""Of the scale of zxcvbn: 10^8 guesses or more, beyond what a throttled page lets through."""
LONGEST_WEIGHED = 72
"""More signs are taken, but their weight is not looked at: it only grows, and slowly."""
SHORTEST_PREFIX = 16
"""Hexadecimal digits of a SHA-1 below which strangers would share a prefix by chance."""


class GuessedEarly(CommonPasswordValidator):
    """Refuses what guessing by lists, names, patterns and the words of the place finds early."""

    def validate(self, password: str, user: AbstractBaseUser | None = None) -> None:
        """Raise ``ValidationError`` with the reason."""
        if password.lower().strip() in self.passwords:
            raise ValidationError(
                _("This is one of the passwords that are used most. Choose another."),
                code="password_too_common",
            )
        weighed = zxcvbn(password[:LONGEST_WEIGHED], [*OF_THE_PLACE, *_words_of(user)])
        if weighed["score"] < SAFE_SCORE:
            feedback = weighed["feedback"]
            why = [feedback["warning"], *feedback["suggestions"][:1]]
            # The library gives its reason in English alone.
            reason = " ".join(each for each in why if each) if is_english() else ""
            told = _("This is easily guessed.")
            raise ValidationError(f"{told} {reason}".strip(), code="password_guessable")

    def get_help_text(self) -> str:
        """Say what is asked for."""
        return _("Several words that do not belong together are easy to keep and hard to guess.")


class KnownFromBreaches:
    """Refuses what stands in the agency's own file of breached passwords, where it has one.

    The file holds SHA-1 digests in hexadecimal, one a line, in ascending order, each whole or its
    first 16 digits and more, with a count after a colon or without: as such files are published.
    """

    def validate(self, password: str, user: AbstractBaseUser | None = None) -> None:
        """Raise ``ValidationError`` where the file holds the password."""
        path = settings.BREACHED_PASSWORDS
        if path and is_listed(Path(path), password):
            raise ValidationError(
                _(
                    "This password is known from a breach of another site. Choose one that you have"
                    " used nowhere else."
                ),
                code="password_breached",
            )

    def get_help_text(self) -> str:
        """Say what is asked for."""
        return _("Use it nowhere else.")


def _words_of(user: AbstractBaseUser | None) -> list[str]:
    if user is None:
        return []
    told = (user.username, user.first_name, user.last_name, *user.email.split("@"))
    return [word for each in told for word in (each, *each.split()) if word]


def is_listed(path: Path, password: str) -> bool:
    """Look a password up in a sorted file of SHA-1 digests, however large; a few dozen reads."""
    # Not to keep a secret: the files are published so.
    digest = hashlib.sha1(password.encode(), usedforsecurity=False).hexdigest().upper().encode()
    with path.open("rb") as file:
        low, high = 0, file.seek(0, SEEK_END)
        while low < high:
            middle = (low + high) // 2
            key = _key_from(file, middle)
            if not key or key >= digest[: len(key)]:
                high = middle
            else:
                low = middle + 1
        key = _key_from(file, low)
    return len(key) >= SHORTEST_PREFIX and digest.startswith(key)


def _key_from(file: BinaryIO, place: int) -> bytes:
    """Return the digest of the first line that begins at ``place`` or later; none at the end."""
    file.seek(max(place - 1, 0))
    if place:
        file.readline()
    return file.readline().partition(b":")[0].strip().upper()
