"""What the national inventory said of a bridge when its rows last came."""

from django.db import models

from inventory.models.of_district import OfDistrict
from inventory.models.places import Bridge
from inventory.scoping import of_district


class InventoryTold(OfDistrict):
    """The figures of a bridge's inventory row, as the last file gave them.

    A field of the bridge that still holds them is the inventory's to change; one that holds
    something else was entered here.  ``figures`` are by field name, in stored units.
    """

    bridge = models.OneToOneField(Bridge, models.CASCADE, related_name="inventory_told")
    figures = models.JSONField("Figures")
    objects = of_district("bridge__district")

    class Meta:
        ordering = ["bridge"]
        verbose_name = "last inventory row"

    def __str__(self) -> str:
        return f"{self.bridge}: as the inventory said"
