"""Forms of drawings: a new one, what one is, why it is withdrawn."""

from __future__ import annotations

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy
from django_scopes.forms import SafeModelChoiceField

from inspections.typed_fields import PlainForm
from inventory.decimal_mark import with_mark
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
        labels = {"element": pgettext_lazy("drawing", "Of")}
        widgets = {"dated": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})}
        error_messages = {
            "dated": {
                "invalid": gettext_lazy(
                    "This is no day. Give year, month and day, such as 1998-05-31."
                )
            }
        }

    def __init__(self, *args, bridge: Bridge, **kwargs) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        elements = Element.objects.filter(bridge=bridge).select_related("bridge")
        self.fields["element"].queryset = elements
        self.fields["element"].empty_label = _("The whole bridge")
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
        label=gettext_lazy("File"),
        help_text=format_lazy(
            gettext_lazy(
                "PDF, PNG, JPEG, TIFF or WebP, at most {size} MB. It is encoded anew:"
                " what is drawn stays; links, scripts and attachments are left behind."
            ),
            size=LARGEST_MB,
        ),
        widget=forms.FileInput(attrs={"accept": KINDS}),
        error_messages={"empty": gettext_lazy("The file is empty. Choose another one.")},
    )
    field_order = ("file",)

    def clean_file(self) -> UploadedFile:
        """Refuse a file that is too large before it is read."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_BYTES:
            raise forms.ValidationError(
                _(
                    "The file has %(size)s MB, more than %(largest_mb)s. Split it, or scan it"
                    " smaller."
                )
                % {"size": with_mark(f"{file.size / 2**20:.1f}"), "largest_mb": LARGEST_MB}
            )
        return file


class WithdrawForm(PlainForm):
    """Why a drawing holds no longer."""

    reason = forms.CharField(
        label=gettext_lazy("Why it holds no longer"),
        max_length=240,
        error_messages={"required": gettext_lazy("Say why: the reason stands beside the drawing.")},
    )
