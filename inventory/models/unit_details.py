"""What creep, shrinkage and heat in a unit depend on: one row each, where it is known."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
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
        mark("Strength at 28 days, f'c or fck, cylinder"), "MPa", 12, 150, required=True
    ),
    "strength_at_loading_mpa": Quantity(
        mark("Strength when loaded, f'ci"),
        "MPa",
        8,
        150,
        help=mark("AASHTO alone. Empty: 0.80 of that at 28 days."),
    ),
    "concrete_modulus_mpa": Quantity(
        mark("Modulus of elasticity"), "MPa", 10_000, 70_000, help=mark("Empty: by the rule.")
    ),
    "humidity_percent": Quantity(
        mark("Mean relative humidity of the place"), "%", 10, 100, required=True
    ),
    "notional_size_mm": Quantity(
        mark("Notional size, 2 A / u"),
        "mm",
        20,
        5000,
        required=True,
        help=mark("Twice the volume-to-surface ratio: area over half the drying perimeter."),
    ),
    "curing_end_d": Quantity(
        mark("Age at the end of curing"), "d", 0, 365, required=True, default=7
    ),
    "axial_stress_mpa": Quantity(
        mark("Mean axial compression under lasting load, after losses"),
        "MPa",
        0,
        60,
        required=True,
        default=0,
        help=mark("Prestress over the area of the section. 0 where there is none."),
    ),
    "loading_d": Quantity(
        mark("Age at loading"), "d", 0.5, 3650, help=mark("When that compression was put on.")
    ),
}
SECTION_QUANTITIES = {
    "depth_mm": Quantity(
        mark("Structural depth"), "mm", 100, 15_000, required=True, help=mark("Without surfacing.")
    ),
    "surfacing_mm": Quantity(
        mark("Surfacing"), "mm", 0, 400, required=True, default=100, help=mark("0 for a bare deck.")
    ),
    "slab_mm": Quantity(
        mark("Deck slab"), "mm", 80, 1000, help=mark("Girders and box. Empty: usual.")
    ),
    "girder_spacing_mm": Quantity(
        mark("Girder spacing"), "mm", 300, 15_000, help=mark("Empty: usual.")
    ),
    "web_mm": Quantity(
        mark("Width of a concrete girder's web"), "mm", 80, 3000, help=mark("Empty: usual.")
    ),
    "girder_steel_mm2": Quantity(
        mark("Steel area of one girder"),
        "mm2",
        1000,
        2e6,
        help=mark("Composite girders. Empty: usual."),
    ),
}


class UnitConcrete(OfDistrict):
    """Concrete of a unit, from which its creep and shrinkage are computed."""

    unit = models.OneToOneField(Unit, models.PROTECT, related_name="concrete")
    shortening_rule = models.CharField(mark("Rule"), max_length=12, choices=ShorteningRule)
    cast_on = models.DateField(mark("Cast on"), help_text=mark("Mean day of casting of the unit."))
    for _name, _quantity in CONCRETE_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    cement_class = models.CharField(
        mark("Cement class"), max_length=1, choices=CementClass, default=CementClass.NORMAL
    )
    objects = of_district("unit__bridge__district")
    history = HistoricalRecords()

    class Meta:
        verbose_name = mark("concrete of a unit")
        verbose_name_plural = mark("concrete of units")
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
                violation_error_message=gettext_lazy(
                    "Compression needs the age at which it was put on."
                ),
            ),
        ]

    def __str__(self) -> str:
        return _("Concrete of %(unit)s") % {"unit": self.unit}

    def clean(self) -> None:
        wrong: dict[str, str] = {}
        # Where the site is, tomorrow may have begun.
        if self.cast_on and self.cast_on > timezone.localdate() + dt.timedelta(days=1):
            wrong["cast_on"] = _("%(day)s lies in the future. Enter it when it is cast.") % {
                "day": self.cast_on
            }
        if self.axial_stress_mpa and self.loading_d is None:
            wrong["loading_d"] = _(
                "Compression creeps from the age at loading on. Fill it in, or give 0 MPa."
            )
        unit = getattr(self, "unit", None)
        if unit is not None and not self.fits(unit.deck_type):
            wrong["shortening_rule"] = _(
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
    section_form = models.CharField(mark("Form"), max_length=18, choices=SectionForm)
    for _name, _quantity in SECTION_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    objects = of_district("unit__bridge__district")
    history = HistoricalRecords()

    class Meta:
        verbose_name = mark("section of a unit")
        verbose_name_plural = mark("sections of units")
        constraints = [
            *bounds("section", SECTION_QUANTITIES),
            models.CheckConstraint(
                condition=Q(section_form__in=SectionForm.values), name="section_form_known"
            ),
            ordered(
                "section",
                "slab_mm",
                "depth_mm",
                gettext_lazy("The slab must be less than the depth."),
            ),
            ordered(
                "section",
                "web_mm",
                "girder_spacing_mm",
                gettext_lazy("A web must be less than the spacing."),
            ),
        ]

    def __str__(self) -> str:
        return _("Section of %(unit)s") % {"unit": self.unit}

    def clean(self) -> None:
        refuse_unordered(self, ("slab_mm", "depth_mm"), ("web_mm", "girder_spacing_mm"))
        unit = getattr(self, "unit", None)
        if unit is not None and not self.fits(unit.deck_type):
            raise ValidationError(
                {
                    "section_form": _(
                        "%(section)s is not for a deck of type «%(deck)s». Correct one of the two."
                    )
                    % {
                        "section": self.get_section_form_display(),
                        "deck": unit.get_deck_type_display(),
                    }
                }
            )

    def fits(self, deck_type: str) -> bool:
        """Return whether it is a section of such a deck; True while either is not known."""
        deck = DECK_OF_SECTION.get(self.section_form)
        return not deck or not deck_type or deck == deck_type
