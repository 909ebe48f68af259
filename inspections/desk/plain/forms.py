"""The five texts of a page in plain words, each with its greatest length."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError

from inspections.plain_lengths import TEXTS, TextOf
from inspections.selectors.plain_pages import PlainNow


class PlainText(forms.CharField):
    """A text that is refused, and never cut, where it is too long."""

    def __init__(self, of: TextOf, rows: int) -> None:
        super().__init__(
            label=of.label,
            help_text=f"At most {of.most} characters.",
            widget=forms.Textarea(attrs={"rows": rows, "data-most": of.most}),
            error_messages={"required": "Say something here, if only that nothing is known."},
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
                f"{len(value)} characters are too many: at most {self.most}. Leave out {over}."
            )


class PlainPageForm(forms.Form):
    """The texts, and which record and version the writer had before the eyes."""

    seen_digest = forms.CharField(widget=forms.HiddenInput, required=False)
    seen_version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for each in TEXTS:
            self.fields[each.name] = PlainText(each, 2 if each.name == "title" else 9)

    @property
    def texts(self) -> dict[str, str]:
        """The cleaned texts by name."""
        return {each.name: self.cleaned_data[each.name] for each in TEXTS}


def seen(page: PlainNow) -> dict[str, object]:
    """Return the hidden values that say what the writer has before the eyes."""
    return {"seen_digest": page.digest, "seen_version": page.saved.pk if page.saved else None}
