"""Forms that take a file, with what has to be said about it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import AbstractBaseUser
from django.core.files.uploadedfile import UploadedFile

from inspections.exchange.air_csv_columns import LONGEST_STATION
from inspections.models.choices import InspectionState

LARGEST_MB = 20
_BYTES_A_MB = 1024 * 1024


class ImportForm(forms.Form):
    """A CSV file or a workbook of at most 20 MB."""

    file = forms.FileField(
        label="CSV or XLSX file",
        help_text=f"CSV in UTF-8, or the first sheet of an XLSX workbook; at most {LARGEST_MB} MB.",
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
                f"{file.name} has {file.size / _BYTES_A_MB:.1f} MB, more than {LARGEST_MB}. Split"
                " it, or have it imported by the command line, which takes any size."
            )
        return file

    @property
    def options(self) -> dict[str, Any]:
        """Return what was said about the file."""
        return {name: value for name, value in self.cleaned_data.items() if name != "file"}


class RegisterForm(ImportForm):
    """A register file, or rows of the national inventory."""

    skip_bad_rows = forms.BooleanField(
        label="Leave out national inventory rows that cannot be taken",
        required=False,
        help_text="They are listed. A register file is always taken whole or not at all.",
    )


class ReadingsForm(ImportForm):
    """Readings of visits."""

    state = forms.ChoiceField(
        label="Leave the inspections",
        choices=InspectionState.choices,
        initial=InspectionState.OPEN,
        help_text="An inspection that is further on stays as it is.",
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
        label="Station",
        required=False,
        max_length=LONGEST_STATION,
        help_text="Code of the station, where the file has no column for it.",
    )
    keep_suspects = forms.BooleanField(
        label="Keep values that look wrong",
        required=False,
        help_text="Lost signs, units mixed up, spikes and stuck sensors are refused otherwise. Tick"
        " it where you have looked and the record is right.",
    )


class ElementDataForm(ImportForm):
    """National bridge element data."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["file"].label = "XML file"
        self.fields["file"].widget.attrs["accept"] = ".xml,text/xml,application/xml"
