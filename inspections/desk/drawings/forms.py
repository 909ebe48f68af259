"""Forms of drawings: a new one, what one is, why it is withdrawn."""

from __future__ import annotations

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django_scopes.forms import SafeModelChoiceField

from inspections.field.typed_fields import PlainForm
from inventory.models import Bridge, Drawing, Element
from inventory.services.drawing_files import LARGEST_BYTES, LARGEST_MB
from inventory.services.drawings import SAID

KINDS = ".pdf,.png,.jpg,.jpeg,.tif,.tiff,.webp"


class DrawingForm(forms.ModelForm):
    """What a drawing is."""

    class Meta:
        model = Drawing
        fields = ["number", "revision", "title", "dated", "element"]
        field_classes = {"element": SafeModelChoiceField}
        labels = {"element": "Of"}
        widgets = {"dated": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})}
        error_messages = {
            "dated": {"invalid": "This is no day. Give year, month and day, such as 1998-05-31."}
        }

    def __init__(self, *args, bridge: Bridge, **kwargs) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        elements = Element.objects.filter(bridge=bridge).select_related("bridge")
        self.fields["element"].queryset = elements
        self.fields["element"].empty_label = "The whole bridge"
        self.fields["element"].help_text = ""

    def _post_clean(self) -> None:
        """Leave the model's checks to the service, which every way in passes."""

    @property
    def said(self) -> dict[str, object]:
        """Return what was said; the form is valid."""
        return {name: self.cleaned_data[name] for name in SAID}


class NewDrawingForm(DrawingForm):
    """A drawing with its file."""

    file = forms.FileField(
        label="File",
        help_text=f"PDF, PNG, JPEG, TIFF or WebP, at most {LARGEST_MB} MB. It is encoded anew: what"
        " is drawn stays; links, scripts and attachments are left behind.",
        widget=forms.FileInput(attrs={"accept": KINDS}),
        error_messages={"empty": "The file is empty. Choose another one."},
    )
    field_order = ("file",)

    def clean_file(self) -> UploadedFile:
        """Refuse a file that is too large before it is read."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_BYTES:
            raise forms.ValidationError(
                f"The file has {file.size / 2**20:.1f} MB, more than {LARGEST_MB}. Split it, or"
                " scan it smaller."
            )
        return file


class WithdrawForm(PlainForm):
    """Why a drawing holds no longer."""

    reason = forms.CharField(
        label="Why it holds no longer",
        max_length=240,
        error_messages={"required": "Say why: the reason stands beside the drawing."},
    )
