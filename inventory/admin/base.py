"""What every page of the register in the admin site has in common."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import admin, messages
from django.contrib.admin.utils import flatten_fieldsets, unquote
from django.contrib.admin.widgets import AdminIntegerFieldWidget
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import models
from django.forms.models import BaseInlineFormSet
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import gettext_noop as mark
from simple_history.admin import SimpleHistoryAdmin

from inventory.admin.widgets import Autocomplete
from inventory.notices import notices
from inventory.number_field import NumberField, WholeField, typed_with_unit
from inventory.services.changes import register_changed
from inventory.words import in_english

TITLES = (mark("View history: %s"),)
"""What the pages of a history show that is not in their package's own catalogue."""


class WrittenValues(admin.AllValuesFieldListFilter):
    """Narrows a list by a text as it was written; rows without one give no nameless choice."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lookup_choices = [value for value in self.lookup_choices if value]


def number_or_404(model: type[models.Model], written: str) -> None:
    """Answer that there is nothing where an address was mistyped.

    Raises
    ------
    Http404
        Where ``written`` cannot be the number of a row.
    """
    try:
        model._meta.pk.to_python(unquote(written))
    except ValidationError as error:
        raise Http404 from error


def tell_notices(request: HttpRequest, row: models.Model) -> None:
    """Tell beside the success what is worth a look in a saved row."""
    for text in notices(row).values():
        messages.warning(request, f"{row}: {text}")


class ReadersNumbers:
    """Numbers of its form are shown and taken with the decimal mark of the reader."""

    formfield_overrides = {
        models.FloatField: {"form_class": NumberField},
        models.PositiveSmallIntegerField: {
            "form_class": WholeField,
            "widget": AdminIntegerFieldWidget,
        },
    }

    def formfield_for_dbfield(
        self, db_field: models.Field, request: HttpRequest, **kwargs: Any
    ) -> forms.Field | None:
        """Let each quantity be typed in another unit than that of its label."""
        return super().formfield_for_dbfield(
            db_field, request, **(typed_with_unit(db_field) | kwargs)
        )


class LoggedInEnglish:
    """What was done, and to what, is kept in the words of the code, whoever did it."""

    @in_english
    def log_addition(self, request: HttpRequest, obj: models.Model, message: Any) -> Any:
        return super().log_addition(request, obj, message)

    @in_english
    def log_change(self, request: HttpRequest, obj: models.Model, message: Any) -> Any:
        return super().log_change(request, obj, message)


class ReadOnlyHistoryAdmin(ReadersNumbers, LoggedInEnglish, SimpleHistoryAdmin):
    """Shows every earlier state of a row; none can be brought back from here.

    Each subclass names its ``fields`` or ``fieldsets``, which an earlier state is shown in.
    """

    object_history_list_template = "admin/inventory/history_list.html"
    object_history_form_template = "admin/inventory/history_form.html"
    list_per_page = 50

    def revert_disabled(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        """Offer no way back on the pages of the history."""
        return True

    def history_view(
        self, request: HttpRequest, object_id: str, extra_context: dict | None = None
    ) -> HttpResponse:
        """List the earlier states of a row."""
        number_or_404(self.model, object_id)
        return super().history_view(request, object_id, extra_context)

    def history_form_view(
        self,
        request: HttpRequest,
        object_id: str,
        version_id: str,
        extra_context: dict | None = None,
    ) -> HttpResponse:
        """Show an earlier state; whatever is sent to it is refused."""
        if request.method not in ("GET", "HEAD"):
            raise PermissionDenied
        number_or_404(self.model, object_id)
        number_or_404(self.model.history.model, version_id)
        request.shows_history = True
        return super().history_form_view(request, object_id, version_id, extra_context)

    def get_readonly_fields(
        self, request: HttpRequest, obj: models.Model | None = None
    ) -> Iterable[str]:
        if getattr(request, "shows_history", False):
            return flatten_fieldsets(self.get_fieldsets(request, obj))
        return super().get_readonly_fields(request, obj)


class RegisterAdmin(ReadOnlyHistoryAdmin):
    """A table of the register: nothing is deleted, and each change is judged again."""

    def has_delete_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False

    def formfield_for_foreignkey(
        self, db_field: models.ForeignKey, request: HttpRequest, **kwargs: Any
    ) -> forms.ModelChoiceField | None:
        """Let a choice that is typed bear what is no key."""
        if db_field.name in self.get_autocomplete_fields(request):
            kwargs.setdefault("widget", Autocomplete(db_field, self.admin_site))
        return super().formfield_for_foreignkey(db_field, request, **kwargs)

    def bridge_ids(self, row: models.Model) -> Iterable[int]:
        """Return the bridges whose readings a change of ``row`` touches."""
        raise NotImplementedError

    def save_related(
        self,
        request: HttpRequest,
        form: forms.ModelForm,
        formsets: list[BaseInlineFormSet],
        change: bool,
    ) -> None:
        """Save what belongs to the row, then report its bridges, once, and what to look at."""
        super().save_related(request, form, formsets, change)
        register_changed(self.bridge_ids(form.instance))
        saved = [form.instance]
        for formset in formsets:
            saved += [*formset.new_objects, *(row for row, _ in formset.changed_objects)]
        for row in saved:
            tell_notices(request, row)


class OnBridgeAdmin(RegisterAdmin):
    """A row that stays on the bridge it was entered for."""

    autocomplete_fields = ("bridge",)
    list_select_related = ("bridge",)

    def get_readonly_fields(self, request, obj=None):
        return (*super().get_readonly_fields(request, obj), *(("bridge",) if obj else ()))

    def bridge_ids(self, row: models.Model) -> Iterable[int]:
        """Return its bridge."""
        return (row.bridge_id,)


class KeptInline(ReadersNumbers):
    """Rows of an inline that can be added and changed but not deleted."""

    can_delete = False

    def formfield_for_dbfield(
        self, db_field: models.Field, request: HttpRequest, **kwargs: Any
    ) -> forms.Field | None:
        """Give each field its name: that at the head of a column is not heard with it."""
        field = super().formfield_for_dbfield(db_field, request, **kwargs)
        if field is not None and field.label:
            field.widget.attrs.setdefault("aria-label", field.label)
        return field

    def has_delete_permission(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return False


@dataclass(frozen=True, slots=True)
class LinkedRow:
    """A row of a list within another page; its first cell leads to ``address``."""

    address: str
    cells: list[object]


@dataclass(frozen=True, slots=True)
class LinkedList:
    """A list within another page, each row with a link to its own."""

    title: str
    headings: list[str]
    rows: list[LinkedRow]
