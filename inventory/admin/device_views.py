"""Pages on which an engineer replaces a device or resets its position."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper

from django import forms
from django.contrib import messages
from django.contrib.admin import helpers
from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import path

from inventory.admin.base import tell_notices
from inventory.admin.device_forms import replace_form, reset_form, tell
from inventory.models import Element
from inventory.words import in_english

NEEDED = ("inventory.change_element", "inventory.add_installation")


class DeviceViews:
    """Adds the two pages to the admin of an element."""

    def get_urls(self) -> list:
        pages = (("replace", self.replace_view), ("reset", self.reset_view))
        return [
            *(
                path(
                    f"<path:object_id>/{name}/",
                    self._for_engineers(view),
                    name=f"inventory_element_{name}",
                )
                for name, view in pages
            ),
            *super().get_urls(),
        ]

    def _for_engineers(self, view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        """Refuse who may not write; the site would send them to sign in once more."""

        def checked(request: HttpRequest, **kwargs: str) -> HttpResponse:
            if request.user.is_authenticated and not may_write(request):
                raise PermissionDenied
            return self.admin_site.admin_view(view)(request, **kwargs)

        return update_wrapper(checked, view)

    def replace_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        """End the present device and put another one there."""
        return self._device_page(request, object_id, replace_form)

    def reset_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        """Start a new setting of the same device."""
        return self._device_page(request, object_id, reset_form)

    def _device_page(
        self,
        request: HttpRequest,
        object_id: str,
        form_of_kind: Callable[[str], type[forms.ModelForm]],
    ) -> HttpResponse:
        element = get_object_or_404(
            Element.objects.select_related("bridge", "current_installation"),
            pk=unquote(object_id),
        )
        form_class = form_of_kind(element.kind)
        if request.method == "POST":
            form = form_class(request.POST)
            if form.is_valid():
                try:
                    done = form.write(element)
                except ValidationError as error:
                    tell(form, error)
                else:
                    self.log_change(request, element, in_english(done)())
                    self.message_user(request, f"{element}: {done()}", messages.SUCCESS)
                    if getattr(form, "capacities", None) is not None:
                        tell_notices(request, form.capacities)
                    return redirect("admin:inventory_element_change", element.pk)
        else:
            form = form_class(initial=form_class.initial_of(element))
        admin_form = helpers.AdminForm(
            form, form_class.fieldsets(element.kind), {}, model_admin=self
        )
        context = {
            **self.admin_site.each_context(request),
            "title": f"{form_class.title}: {element}",
            "opts": self.opts,
            "element": element,
            "current": element.current_installation,
            "form": form,
            "adminform": admin_form,
            "button": form_class.button,
            "media": self.media + admin_form.media,
        }
        return TemplateResponse(request, "admin/inventory/element/device_form.html", context)


def may_write(request: HttpRequest) -> bool:
    """Return whether the user may put devices at places."""
    return request.user.has_perms(NEEDED)
