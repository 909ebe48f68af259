"""What creep, shrinkage and heat in a unit depend on: one row each, where it is known."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from inventory.models.choices import (
    DECK_OF_SECTION,
    CementClass,
    DeckType,
    SectionForm,
    ShorteningRule,
)
from inventory.models.of_district import OfDistrict
from inventory.models.places import Unit
from inventory.quantities import Quantity, bounds, ordered, refuse_unordered
from inventory.scoping import of_district

CONCRETE_QUANTITIES = {
    "concrete_strength_mpa": Quantity(
        "Strength at 28 days, f'c or fck, cylinder", "MPa", 12, 150, required=True
    ),
    "strength_at_loading_mpa": Quantity(
        "Strength when loaded, f'ci",
        "MPa",
        8,
        150,
        help="AASHTO alone. Empty: 0.80 of that at 28 days.",
    ),
    "concrete_modulus_mpa": Quantity(
        "Modulus of elasticity", "MPa", 10_000, 70_000, help="Empty: by the rule."
    ),
    "humidity_percent": Quantity(
        "Mean relative humidity of the place", "%", 10, 100, required=True
    ),
    "notional_size_mm": Quantity(
        "Notional size, 2 A / u",
        "mm",
        20,
        5000,
        required=True,
        help="Twice the volume-to-surface ratio: area over half the drying perimeter.",
    ),
    "curing_end_d": Quantity("Age at the end of curing", "d", 0, 365, required=True, default=7),
    "axial_stress_mpa": Quantity(
        "Mean axial compression under lasting load, after losses",
        "MPa",
        0,
        60,
        required=True,
        default=0,
        help="Prestress over the area of the section. 0 where there is none.",
    ),
    "loading_d": Quantity(
        "Age at loading", "d", 0.5, 3650, help="When that compression was put on."
    ),
}
SECTION_QUANTITIES = {
    "depth_mm": Quantity(
        "Structural depth", "mm", 100, 15_000, required=True, help="Without surfacing."
    ),
    "surfacing_mm": Quantity(
        "Surfacing", "mm", 0, 400, required=True, default=100, help="0 for a bare deck."
    ),
    "slab_mm": Quantity("Deck slab", "mm", 80, 1000, help="Girders and box. Empty: usual."),
    "girder_spacing_mm": Quantity("Girder spacing", "mm", 300, 15_000, help="Empty: usual."),
    "web_mm": Quantity("Width of a concrete girder's web", "mm", 80, 3000, help="Empty: usual."),
    "girder_steel_mm2": Quantity(
        "Steel area of one girder", "mm2", 1000, 2e6, help="Composite girders. Empty: usual."
    ),
}


class UnitConcrete(OfDistrict):
    """Concrete of a unit, from which its creep and shrinkage are computed."""

    unit = models.OneToOneField(Unit, models.PROTECT, related_name="concrete")
    shortening_rule = models.CharField("Rule", max_length=12, choices=ShorteningRule)
    cast_on = models.DateField("Cast on", help_text="Mean day of casting of the unit.")
    for _name, _quantity in CONCRETE_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    cement_class = models.CharField(
        "Cement class", max_length=1, choices=CementClass, default=CementClass.NORMAL
    )
    objects = of_district("unit__bridge__district")
    history = HistoricalRecords()

    class Meta:
        verbose_name = "concrete of a unit"
        verbose_name_plural = "concrete of units"
        constraints = [
            *bounds("concrete", CONCRETE_QUANTITIES),
            models.CheckConstraint(
                condition=Q(shortening_rule__in=ShorteningRule.values),
                name="concrete_rule_known",
            ),
            models.CheckConstraint(
                condition=Q(cement_class__in=CementClass.values), name="concrete_cement_known"
            ),
            models.CheckConstraint(
                condition=Q(axial_stress_mpa=0) | Q(loading_d__isnull=False),
                name="concrete_stress_has_loading_age",
                violation_error_message="Compression needs the age at which it was put on.",
            ),
        ]

    def __str__(self) -> str:
        return f"Concrete of {self.unit}"

    def clean(self) -> None:
        wrong: dict[str, str] = {}
        # Where the site is, tomorrow may have begun.
        if self.cast_on and self.cast_on > timezone.localdate() + dt.timedelta(days=1):
            wrong["cast_on"] = f"{self.cast_on} lies in the future. Enter it when it is cast."
        if self.axial_stress_mpa and self.loading_d is None:
            wrong["loading_d"] = (
                "Compression creeps from the age at loading on. Fill it in, or give 0 MPa."
            )
        unit = getattr(self, "unit", None)
        if unit is not None and not self.fits(unit.deck_type):
            wrong["shortening_rule"] = (
                "A steel unit neither creeps nor shrinks. Correct its deck type, or leave its"
                " concrete out."
            )
        if wrong:
            raise ValidationError(wrong)

    @staticmethod
    def fits(deck_type: str) -> bool:
        """Return whether a deck of this type has concrete to creep and shrink."""
        return deck_type != DeckType.STEEL


class UnitSection(OfDistrict):
    """Cross-section of a unit, from which its heat balance is computed."""

    unit = models.OneToOneField(Unit, models.PROTECT, related_name="section")
    section_form = models.CharField("Form", max_length=18, choices=SectionForm)
    for _name, _quantity in SECTION_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    objects = of_district("unit__bridge__district")
    history = HistoricalRecords()

    class Meta:
        verbose_name = "section of a unit"
        verbose_name_plural = "sections of units"
        constraints = [
            *bounds("section", SECTION_QUANTITIES),
            models.CheckConstraint(
                condition=Q(section_form__in=SectionForm.values), name="section_form_known"
            ),
            ordered("section", "slab_mm", "depth_mm", "The slab must be less than the depth."),
            ordered(
                "section", "web_mm", "girder_spacing_mm", "A web must be less than the spacing."
            ),
        ]

    def __str__(self) -> str:
        return f"Section of {self.unit}"

    def clean(self) -> None:
        refuse_unordered(self, ("slab_mm", "depth_mm"), ("web_mm", "girder_spacing_mm"))
        unit = getattr(self, "unit", None)
        if unit is not None and not self.fits(unit.deck_type):
            raise ValidationError(
                {
                    "section_form": f"{self.get_section_form_display()} is not for a deck of type"
                    f" «{unit.get_deck_type_display()}». Correct one of the two."
                }
            )

    def fits(self, deck_type: str) -> bool:
        """Return whether it is a section of such a deck; True while either is not known."""
        deck = DECK_OF_SECTION.get(self.section_form)
        return not deck or not deck_type or deck == deck_type
