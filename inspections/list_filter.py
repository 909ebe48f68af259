"""What every list that can be narrowed has in common."""

import django_filters
from django.db.models import Q, QuerySet

from inventory.models import Bridge, Element
from inventory.words import in_sentence


def holding_words(rows: QuerySet, text: str, *fields: str) -> QuerySet:
    """Keep the rows that hold every word of a text in one of some fields."""
    for word in text.split():
        anywhere = Q()
        for field in fields:
            anywhere |= Q(**{f"{field}__icontains": word})
        rows = rows.filter(anywhere)
    return rows


def elements_holding(word: str) -> QuerySet[Element]:
    """Return the keys of elements that hold a word in a code or name, their own or their bridge's.

    Two questions of a table each, which its index answers; one of both would read all elements.
    """
    bridges = holding_words(Bridge.objects.all(), word, "code", "name").order_by()
    its_own = holding_words(Element.objects.all(), word, "code", "name").order_by()
    at_bridges = Element.objects.filter(bridge__in=bridges).order_by()
    return its_own.values("pk").union(at_bridges.values("pk"))


class ListFilter(django_filters.FilterSet):
    """A list's filter, which knows whether it leaves anything out on request.

    ``tab_field`` names what the tabs above the list choose, which narrows nothing.
    """

    tab_field = "verdict"

    @property
    def narrowed(self) -> bool:
        """True where a field other than the tab's is filled."""
        return bool(self.narrowed_to)

    @property
    def narrowed_to(self) -> list[str]:
        """What it leaves, a phrase for each field that is filled but the tab's."""
        told = []
        for name, value in self.form.cleaned_data.items():
            if value and name != self.tab_field:
                field = self.form.fields[name]
                words = dict(getattr(field, "choices", ()) if isinstance(value, str) else ())
                told.append(f"{in_sentence(str(field.label))} {words.get(value, value)}")
        return told
