"""Form fields of costs."""

from __future__ import annotations

import re
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models import AgencySettings
from inventory.decimal_mark import with_mark, with_point
from movement.errors import InputError

HOW_TYPED = gettext_lazy("Digits alone, such as 12500 or 12500.50.")
_PLAIN = re.compile(r"\d{1,12}(\.\d{1,2})?", re.ASCII)


class CostField(forms.CharField):
    """An amount in the agency's currency: digits and a decimal point, nothing that groups them.

    A comma is a decimal sign to one reader and groups thousands to another: it is taken where
    the language of the page has it as decimal mark, and refused elsewhere.
    """

    def __init__(self, **kwargs) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        kwargs = {"required": False, "max_length": 40, "help_text": HOW_TYPED} | kwargs
        super().__init__(widget=forms.TextInput(attrs=attrs), **kwargs)

    def prepare_value(self, value: object) -> object:
        return with_mark(str(value)) if isinstance(value, Decimal) else value

    def clean(self, value: object) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            text = with_point(str(self.label), text)
        except InputError as error:
            raise ValidationError(f"{error.message}. {error.remedy}") from error
        if text.startswith("-") and _PLAIN.fullmatch(text[1:]):
            raise ValidationError(
                _("«%(text)s» is below 0. Give a cost of 0 or more.") % {"text": text}
            )
        if not _PLAIN.fullmatch(text):
            raise ValidationError(
                _(
                    "«%(text)s» is no amount. Give digits with a decimal point and nothing between"
                    " thousands, such as 12500 or 12500.50; leave the currency out."
                )
                % {"text": text}
            )
        return Decimal(text)


def name_currency(form: forms.BaseForm) -> None:
    """Say at each cost in which currency it is."""
    currency = AgencySettings.current().currency
    for field in form.fields.values():
        if isinstance(field, CostField):
            field.label = f"{field.label} [{currency}]"
