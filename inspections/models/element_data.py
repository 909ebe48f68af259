"""Rows of national bridge element data as they were given: those that the ledger does not own."""

from __future__ import annotations

from django.db import models
from django.db.models import Exists, F, OuterRef, Q

from inventory.models import Bridge
from inventory.scoping import of_districts


def _of_structures(
    rows: models.QuerySet[ElementDataRow], districts: list[int]
) -> models.QuerySet[ElementDataRow]:
    """Return the rows of structures that are bridges of these districts."""
    theirs = Bridge._base_manager.filter(
        district__in=districts,
        inventory_state_code=OuterRef("state_code"),
        inventory_number=OuterRef("structure_number"),
    )
    return rows.filter(Exists(theirs))


class ElementDataRow(models.Model):
    """One row of an element data file, kept as it came, for structures on record here or not.

    Quantities are in the units of the file: bearings each, joints in feet, others as their
    element asks.  ``parent_number`` is empty where the element lies on no other.
    """

    state_code = models.CharField("State", max_length=2)
    structure_number = models.CharField("Structure number", max_length=15)
    element_number = models.PositiveSmallIntegerField("Element number")
    parent_number = models.PositiveSmallIntegerField("Element parent number", null=True, blank=True)
    total = models.PositiveIntegerField("Total quantity")
    cs1 = models.PositiveIntegerField("CS1")
    cs2 = models.PositiveIntegerField("CS2")
    cs3 = models.PositiveIntegerField("CS3")
    cs4 = models.PositiveIntegerField("CS4")
    objects = of_districts(_of_structures)

    class Meta:
        ordering = ["state_code", "structure_number", "element_number", "parent_number"]
        constraints = [
            models.UniqueConstraint(
                fields=["state_code", "structure_number", "element_number"],
                condition=Q(parent_number__isnull=True),
                name="element_data_once",
                violation_error_message="This structure has a row of this element. Change it.",
            ),
            models.UniqueConstraint(
                fields=["state_code", "structure_number", "element_number", "parent_number"],
                name="element_data_once_a_parent",
                violation_error_message="This structure has a row of this element. Change it.",
            ),
            models.CheckConstraint(
                condition=Q(total=F("cs1") + F("cs2") + F("cs3") + F("cs4")),
                name="element_data_states_sum",
                violation_error_message="CS1 to CS4 must sum to the total quantity.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.state_code} {self.structure_number} element {self.element_number}"
