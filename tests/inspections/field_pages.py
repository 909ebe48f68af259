"""Fills the forms of a visit as a browser does, and reads the pages that come back."""

import html

from django.urls import reverse

WHEN = "2024-06-01T09:30"


def form_of(visit, element) -> str:
    """Return the address of an element's form."""
    return reverse("reading-form", args=[visit.pk, element.pk])


def page_of(answer) -> str:
    """Return a page as its reader sees it."""
    return html.unescape(answer.content.decode()).replace("\u202f", " ")


def enter(client, visit, element, **values):
    """Send an element's form and follow where it leads."""
    return client.post(
        form_of(visit, element), {"taken_at": WHEN, "axis": "square"} | values, follow=True
    )


def temperatures(client, visit, *rows):
    """Send the temperature form and follow where it leads."""
    data = {"t-TOTAL_FORMS": str(len(rows)), "t-INITIAL_FORMS": "0"}
    for number, row in enumerate(rows):
        values = {"place": "girder_web", "exposure": "shade", "taken_at": WHEN} | row
        data |= {f"t-{number}-{name}": value for name, value in values.items()}
    return client.post(reverse("temperature-form", args=[visit.pk]), data, follow=True)
