"""Every form of every page, as a browser would send it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlsplit

import lxml.html
from django.contrib import admin
from django.urls import reverse

from inspections.who_may import ACTIONS
from tests.rights.world import World, addresses

ENDS_A_SESSION = ("logout", "admin:logout")


@dataclass(frozen=True)
class Form:
    """One form: where it goes, how, and what it sends as it stands."""

    path: str
    method: str
    values: dict[str, str]

    @property
    def key(self) -> tuple:
        """The same for the same form of several pages."""
        return self.path, self.method, frozenset(self.values)


def forms_of(client, world: World) -> list[Form]:
    """Return every form that a page of the site or of its admin site shows, once each."""
    found: dict[tuple, Form] = {}
    ends = {reverse(name) for name in ENDS_A_SESSION}
    for path in [*_pages(world), *_admin_pages(world)]:
        response = client.get(path)
        if response.status_code == 200 and response["Content-Type"].startswith("text/html"):
            for form in lxml.html.fromstring(response.content).forms:
                made = _form(form, path)
                if made.path not in ends and made.values:
                    found.setdefault(made.key, made)
    return list(found.values())


def _form(form: lxml.html.FormElement, page: str) -> Form:
    apart = (
        form.getroottree().xpath("//*[@form=$id]", id=form.get("id", ""))
        if "id" in form.attrib
        else []
    )
    values = {name: value or "" for name, value in form.fields.items()}
    values |= {each.get("name"): each.get("value", "") for each in apart if each.get("name")}
    # Which button was pressed.
    for button in form.xpath(".//button[@name]"):
        values.setdefault(button.get("name"), button.get("value", ""))
    values.pop("csrfmiddlewaretoken", None)
    return Form(urlsplit(form.action or "").path or page, form.method, values)


def _pages(world: World) -> Iterator[str]:
    known = addresses()
    for action in ACTIONS:
        for method, name in action.addresses:
            if method == "GET" and "api/v1" not in known[name].route:
                yield known[name].path(world)


def _admin_pages(world: World) -> Iterator[str]:
    for model in admin.site._registry:
        name = f"admin:{model._meta.app_label}_{model._meta.model_name}"
        yield reverse(f"{name}_changelist")
        yield reverse(f"{name}_add")
        if model in world.rows:
            yield reverse(f"{name}_change", args=[world.rows[model].pk])
