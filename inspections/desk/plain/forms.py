"""The five texts of a page in plain words, each with its greatest length."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from inspections.plain_lengths import TEXTS, TextOf
from inspections.selectors.plain_pages import PlainNow


class PlainText(forms.CharField):
    """A text that is refused, and never cut, where it is too long."""

    def __init__(self, of: TextOf, rows: int, language: str) -> None:
        super().__init__(
            label=of.label,
            help_text=_("At most %(most)s characters.") % {"most": of.most},
            widget=forms.Textarea(
                attrs={
                    "rows": rows,
                    "lang": language,
                    "data-most": of.most,
                    "data-counted": _("{length} of {most}"),
                    "data-over": _("{length} of {most}: {over} too many"),
                }
            ),
            error_messages={"required": _("Say something here, if only that nothing is known.")},
        )
        self.most = of.most

    def to_python(self, value: object) -> str:
        """Return the text with one sign for the end of a line."""
        return super().to_python(value).replace("\r\n", "\n")

    def validate(self, value: str) -> None:
        super().validate(value)
        over = len(value) - self.most
        if over > 0:
            raise ValidationError(
                _("%(length)s characters are too many: at most %(most)s. Leave out %(over)s.")
                % {"length": len(value), "most": self.most, "over": over}
            )


class PlainPageForm(forms.Form):
    """The texts, and which record, version and language the writer had before the eyes."""

    seen_digest = forms.CharField(widget=forms.HiddenInput, required=False)
    seen_version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    seen_language = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: object, language: str, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for each in TEXTS:
            rows = 2 if each.name == "title" else 9
            self.fields[each.name] = PlainText(each, rows, language)

    @property
    def texts(self) -> dict[str, str]:
        """The cleaned texts by name."""
        return {each.name: self.cleaned_data[each.name] for each in TEXTS}


def seen(page: PlainNow) -> dict[str, object]:
    """Return the hidden values that say what the writer has before the eyes."""
    return {"seen_digest": page.digest, "seen_version": page.saved.pk if page.saved else None}


def language_of(sent: Mapping[str, str], name: str = "seen_language") -> str | None:
    """Return a language that was sent, by default that of the texts; None where none is told."""
    language = sent.get(name, "")
    return language if language in dict(settings.LANGUAGES) else None
