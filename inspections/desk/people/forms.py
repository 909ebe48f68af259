"""What an administrator says of a person."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from inspections.roles import Role
from inventory.models import District
from inventory.scoping import districts_seen


class RoleForm(forms.Form):
    """A role, and where it is held."""

    role = forms.ChoiceField(label=gettext_lazy("Role"), choices=Role.choices)
    district = forms.ModelChoiceField(
        None,
        label=gettext_lazy("Where"),
        required=False,
        to_field_name="code",
        empty_label=gettext_lazy("All districts"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        district = self.fields["district"]
        district.queryset = District.objects.order_by("code")
        if districts_seen() is not None:
            district.required = True
            district.empty_label = None


class InviteForm(RoleForm):
    """Who is invited, and as what."""

    username = forms.CharField(
        label=gettext_lazy("Name of the account"),
        max_length=150,
        help_text=gettext_lazy(
            "With it they sign in, and it stands under what they sign. It cannot be changed."
        ),
    )
    email = forms.EmailField(label=gettext_lazy("E-mail"), required=False)
    field_order = ("username", "email", "role", "district")
