"""How many rows belong to a row of a list."""

from django.db.models import Count, IntegerField, Model, OuterRef, Subquery
from django.db.models.functions import Coalesce


def how_many(model: type[Model], of: str, different: str = "pk", **where: object) -> Coalesce:
    """Return how many rows of a model, or of what they name, refer to a row by ``of``.

    As through a relation, rows of every district count. They are counted for the rows that are
    shown: a join would count those of all rows before these are put in order.
    """
    counted = (
        model._base_manager.filter(**{of: OuterRef("pk")}, **where)
        .order_by()
        .values(of)
        .annotate(how_many=Count(different, distinct=different != "pk"))
        .values("how_many")
    )
    return Coalesce(Subquery(counted, output_field=IntegerField()), 0)
