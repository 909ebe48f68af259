"""Forms that take a file, with what has to be said about it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import AbstractBaseUser
from django.core.files.uploadedfile import UploadedFile
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.exchange.air_csv_columns import LONGEST_STATION
from inspections.models.choices import InspectionState
from inventory.decimal_mark import with_mark

LARGEST_MB = 20
_BYTES_A_MB = 1024 * 1024


class ImportForm(forms.Form):
    """A CSV file or a workbook of at most 20 MB."""

    file = forms.FileField(
        label=gettext_lazy("CSV or XLSX file"),
        help_text=format_lazy(
            gettext_lazy(
                "CSV in UTF-8, or the first sheet of an XLSX workbook; at most {size} MB."
            ),
            size=LARGEST_MB,
        ),
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.xlsx,text/csv"}),
        allow_empty_file=True,  # the importer says what an empty file lacks
    )

    def __init__(self, *args: Any, user: AbstractBaseUser, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_file(self) -> UploadedFile:
        """Refuse a file that is too large to check while someone waits."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_MB * _BYTES_A_MB:
            raise forms.ValidationError(
                _(
                    "%(name)s has %(size)s MB, more than %(largest_mb)s. Split it, or have it"
                    " imported by the command line, which takes any size."
                )
                % {
                    "name": file.name,
                    "size": with_mark(f"{file.size / _BYTES_A_MB:.1f}"),
                    "largest_mb": LARGEST_MB,
                }
            )
        return file

    @property
    def options(self) -> dict[str, Any]:
        """Return what was said about the file."""
        return {name: value for name, value in self.cleaned_data.items() if name != "file"}


class RegisterForm(ImportForm):
    """A register file, or rows of the national inventory."""

    skip_bad_rows = forms.BooleanField(
        label=gettext_lazy("Leave out national inventory rows that cannot be taken"),
        required=False,
        help_text=gettext_lazy(
            "They are listed. A register file is always taken whole or not at all."
        ),
    )


class ReadingsForm(ImportForm):
    """Readings of visits."""

    state = forms.ChoiceField(
        label=gettext_lazy("State of the inspections afterwards"),
        choices=InspectionState.choices,
        initial=InspectionState.OPEN,
        help_text=gettext_lazy("An inspection that is further on stays as it is."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.user.has_perm("inspections.review_inspection"):
            self.fields["state"].choices = [
                (word, label)
                for word, label in InspectionState.choices
                if word != InspectionState.ACCEPTED
            ]


class AirForm(ImportForm):
    """A station's record, hourly or daily."""

    station = forms.CharField(
        label=gettext_lazy("Station"),
        required=False,
        max_length=LONGEST_STATION,
        help_text=gettext_lazy("Code of the station, where the file has no column for it."),
    )
    keep_suspects = forms.BooleanField(
        label=gettext_lazy("Keep values that look wrong"),
        required=False,
        help_text=gettext_lazy(
            "Lost signs, units mixed up, spikes and stuck sensors are refused otherwise."
            " Tick it where you have looked and the record is right."
        ),
    )


class ElementDataForm(ImportForm):
    """National bridge element data."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["file"].label = _("XML file")
        self.fields["file"].widget.attrs["accept"] = ".xml,text/xml,application/xml"
