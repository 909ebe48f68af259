"""Pages in plain words for a board or a council, as somebody saved them."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models.flags import Flag
from inspections.plain_lengths import TEXTS
from inventory.models import Bridge
from inventory.models.of_district import OfDistrict
from inventory.scoping import of_district
from inventory.units import System

_UNITS = [(each.value, each.name) for each in System]
_MOST = {each.name: each.most for each in TEXTS}


class PlainPage(OfDistrict):
    """One saved version of a page; rows are appended, never changed.

    ``language`` is the one that its texts are written in, whoever reads them; of each language the
    newest counts.

    ``generated`` holds the texts as the record gave them when it was saved, ``relied_on`` the
    numbers that they rest on and ``digest`` their SHA-256, so that a change of the record shows.
    A bridge without an open flag has a page without one.
    """

    bridge = models.ForeignKey(Bridge, models.PROTECT, related_name="plain_pages")
    flag = models.ForeignKey(
        Flag, models.PROTECT, related_name="plain_pages", null=True, blank=True
    )
    title = models.CharField("Title", max_length=_MOST["title"])
    found = models.TextField("What was found", max_length=_MOST["found"])
    meaning = models.TextField("What it means", max_length=_MOST["meaning"])
    plan = models.TextField("What will be done and when", max_length=_MOST["plan"])
    unknown = models.TextField("What is not known", max_length=_MOST["unknown"])
    units = models.CharField("Units", max_length=2, choices=_UNITS)
    language = models.CharField(
        "Language", max_length=2, choices=settings.LANGUAGES, default=settings.LANGUAGE_CODE
    )
    generated = models.JSONField(default=dict)
    relied_on = models.JSONField(default=dict)
    digest = models.CharField("Digest of what it relies on", max_length=64)
    model_version = models.CharField(max_length=12)
    saved_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    saved_at = models.DateTimeField("Saved at")
    objects = of_district("bridge__district")

    class Meta:
        ordering = ["-saved_at", "-pk"]
        indexes = [models.Index(fields=["bridge", "flag", "-saved_at"])]
        constraints = [
            models.CheckConstraint(
                condition=~Q(
                    *((name, "") for name in _MOST),
                    _connector=Q.OR,
                ),
                name="plain_page_says_all",
                violation_error_message=gettext_lazy("Every text of the page must say something."),
            ),
            models.CheckConstraint(
                condition=Q(units__in=[value for value, _ in _UNITS]),
                name="plain_page_units_known",
            ),
            models.CheckConstraint(
                condition=Q(language__in=[code for code, _name in settings.LANGUAGES]),
                name="plain_page_language_known",
            ),
        ]
        permissions = [("write_plain_page", "Can write pages in plain words")]

    def __str__(self) -> str:
        return f"{self.flag or self.bridge.code}: in plain words, {self.saved_at:%Y-%m-%d}"

    @property
    def texts(self) -> dict[str, str]:
        """The five texts by name."""
        return {name: getattr(self, name) for name in _MOST}

    def clean(self) -> None:
        if self.flag_id and self.flag.element.bridge_id != self.bridge_id:
            raise ValidationError(
                {"flag": _("%(flag)s is on another bridge.") % {"flag": self.flag}}
            )
