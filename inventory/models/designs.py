"""Design capacities by kind of device, one row for each installation that has them."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark
from simple_history.models import HistoricalRecords

from inventory.decimal_mark import with_mark
from inventory.models.choices import GapAxis, PtfeKind, SlidingSurfaceKind
from inventory.models.installation import Installation
from inventory.models.of_district import OfDistrict
from inventory.quantities import Quantity, bounds, ordered, refuse_unordered
from inventory.scoping import of_district

_AWAY = mark("Movement from the centred position, as a positive figure.")

BEARING_QUANTITIES = {
    "vertical_service_min_kn": Quantity(
        mark("Vertical load, service, least"), "kN", -1e6, 1e6, help=mark("Negative for uplift.")
    ),
    "vertical_service_max_kn": Quantity(mark("Vertical load, service, greatest"), "kN", 0, 1e6),
    "vertical_strength_min_kn": Quantity(mark("Vertical load, strength, least"), "kN", -1e6, 1e6),
    "vertical_strength_max_kn": Quantity(mark("Vertical load, strength, greatest"), "kN", 0, 1e6),
    "permanent_kn": Quantity(mark("Vertical load, service, permanent part"), "kN", -1e6, 1e6),
    "live_kn": Quantity(mark("Vertical load, service, live part"), "kN", 0, 1e6),
    "horizontal_along_kn": Quantity(mark("Horizontal load along"), "kN", 0, 1e6),
    "horizontal_across_kn": Quantity(mark("Horizontal load across"), "kN", 0, 1e6),
    "movement_back_mm": Quantity(
        mark("Movement towards decreasing station"), "mm", 0, 3000, help=_AWAY
    ),
    "movement_ahead_mm": Quantity(
        mark("Movement towards increasing station"), "mm", 0, 3000, help=_AWAY
    ),
    "movement_left_mm": Quantity(mark("Movement to the left"), "mm", 0, 3000, help=_AWAY),
    "movement_right_mm": Quantity(mark("Movement to the right"), "mm", 0, 3000, help=_AWAY),
    "rotation_mrad": Quantity(mark("Rotation, either way"), "mrad", 0, 200),
    "live_rotation_mrad": Quantity(mark("Rotation, part from live load"), "mrad", 0, 200),
    "plan_length_mm": Quantity(mark("Elastomer length along"), "mm", 20, 3000),
    "plan_width_mm": Quantity(mark("Elastomer width across"), "mm", 20, 3000),
    "plan_diameter_mm": Quantity(mark("Elastomer diameter"), "mm", 20, 3000),
    "layer_thickness_mm": Quantity(mark("Interior layer thickness"), "mm", 1, 60),
    "cover_thickness_mm": Quantity(mark("Cover layer thickness"), "mm", 0, 60),
    "rubber_thickness_mm": Quantity(mark("Total elastomer thickness"), "mm", 3, 1000),
    "shear_modulus_mpa": Quantity(mark("Shear modulus"), "MPa", 0.3, 3),
    "shim_thickness_mm": Quantity(mark("Thickness of one steel plate"), "mm", 0.5, 40),
    "shim_yield_mpa": Quantity(mark("Yield strength of the steel plates"), "MPa", 100, 1000),
    "side_cover_mm": Quantity(mark("Elastomer beside the plates"), "mm", 0, 100),
    "ptfe_area_mm2": Quantity(mark("PTFE area"), "mm2", 100, 1e7),
    "ptfe_thickness_mm": Quantity(mark("PTFE thickness"), "mm", 0.5, 20),
    "ptfe_length_mm": Quantity(mark("PTFE length along the movement"), "mm", 10, 5000),
    "sliding_plate_length_mm": Quantity(
        mark("Sliding plate length along the movement"), "mm", 10, 10_000
    ),
    "edge_to_mean_stress": Quantity(mark("PTFE edge stress over mean stress"), "", 1, 5),
    "contact_length_mm": Quantity(mark("Length of the line of contact"), "mm", 10, 10_000),
    "contact_yield_mpa": Quantity(
        mark("Yield strength of the weaker steel in contact"), "MPa", 100, 1500
    ),
    "contact_ultimate_mpa": Quantity(
        mark("Tensile strength of the weaker steel in contact"), "MPa", 150, 2000
    ),
    "rocker_radius_mm": Quantity(
        mark("Radius of the curved face"),
        "mm",
        20,
        5000,
        help=mark("Rocker: tilt = movement / radius. Roller: movement = 2 radius x tilt."),
    ),
    "tilt_limit_deg": Quantity(mark("Tilt, either way"), "deg", 0.1, 45),
}
PLAN_SIZES = ("plan_length_mm", "plan_width_mm", "plan_diameter_mm")
BEARING_COUNTS = {
    "interior_layers": Quantity(mark("Interior layers"), "", 0, 100),
    "elastomer_grade": Quantity(
        mark("Hardness grade"), "", 40, 75, help=mark("Durometer, Shore A, such as 50 or 60.")
    ),
}
JOINT_QUANTITIES = {
    "opening_min_mm": Quantity(mark("Smallest opening"), "mm", 0, 3000),
    "opening_max_mm": Quantity(mark("Largest opening"), "mm", 1, 3000),
    "seal_width_mm": Quantity(mark("Seal width, uncompressed"), "mm", 1, 500),
    "cell_movement_mm": Quantity(mark("Movement of one cell"), "mm", 1, 150),
    "least_cell_gap_mm": Quantity(mark("Smallest gap of one cell"), "mm", 0, 100),
    "beam_width_mm": Quantity(mark("Width of a centre beam"), "mm", 10, 300),
    "finger_width_mm": Quantity(mark("Width of the opening between fingers"), "mm", 5, 300),
    "finger_overlap_mm": Quantity(mark("Finger overlap as set, along the road"), "mm", 0, 1000),
    "installed_width_mm": Quantity(mark("Poured joint width as installed"), "mm", 1, 500),
    "racking_limit_mm": Quantity(mark("Slip along the joint, either way"), "mm", 0, 500),
    "level_limit_mm": Quantity(mark("Level difference across the joint, either way"), "mm", 1, 300),
}
JOINT_COUNTS = {"cells": Quantity(mark("Cells"), "", 1, 40)}
RESTRAINT_QUANTITIES = {
    "gap_back_mm": Quantity(mark("Gap or slack on the decreasing side, as set"), "mm", 0, 3000),
    "gap_ahead_mm": Quantity(mark("Gap or slack on the increasing side, as set"), "mm", 0, 3000),
    "gap_left_mm": Quantity(mark("Gap or slack on the left, as set"), "mm", 0, 3000),
    "gap_right_mm": Quantity(mark("Gap or slack on the right, as set"), "mm", 0, 3000),
    "gap_min_mm": Quantity(
        mark("Smallest gap or slack that must remain"),
        "mm",
        0,
        500,
        help=mark("Empty: none may close."),
    ),
    "projection_mm": Quantity(mark("Rod projection above the nut, as set"), "mm", 0, 1000),
    "slip_limit_mm": Quantity(
        mark("Slip or change of projection allowed, either way"), "mm", 0.1, 200
    ),
    "horizontal_kn": Quantity(mark("Horizontal capacity"), "kN", 0, 1e6),
    "vertical_kn": Quantity(mark("Uplift capacity"), "kN", 0, 1e6),
    "rod_diameter_mm": Quantity(mark("Rod diameter"), "mm", 6, 200),
    "rod_pretension_kn": Quantity(mark("Pretension of one rod"), "kN", 0, 10_000),
    "threads_per_in": Quantity(
        mark("Threads per inch"), "", 1, 40, help=mark("Empty: coarse series.")
    ),
    "uplift_demand_kn": Quantity(mark("Uplift that it must hold, factored"), "kN", 0, 1e6),
    "horizontal_demand_kn": Quantity(mark("Horizontal force that it must hold"), "kN", 0, 1e6),
    "clamp_force_kn": Quantity(mark("Clamping force as tensioned, all rods"), "kN", 0, 1e6),
    "clamp_loss_share": Quantity(mark("Part of the clamping force lost since"), "", 0, 1),
    "slip_coefficient": Quantity(mark("Slip coefficient of the faces"), "", 0.05, 1.5),
    "cable_diameter_mm": Quantity(mark("Diameter of one cable"), "mm", 5, 100),
}
RESTRAINT_COUNTS = {
    "rod_count": Quantity(mark("Rods"), "", 1, 1000),
    "cable_count": Quantity(
        mark("Cables"), "", 1, 200, help=mark("Of the restrainer, all that share.")
    ),
    "faces": Quantity(
        mark("Friction faces"), "", 1, 10, help=mark("Of the clamp, all rods together.")
    ),
}


class BearingDesign(OfDistrict):
    """Capacities of a bearing."""

    installation = models.OneToOneField(Installation, models.PROTECT, related_name="bearing_design")
    for _name, _quantity in BEARING_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    elastomer_grade = BEARING_COUNTS["elastomer_grade"].whole_field()
    ptfe_kind = models.CharField(mark("PTFE"), max_length=20, choices=PtfeKind, blank=True)
    sliding_surface = models.CharField(
        mark("Sliding surface"), max_length=20, choices=SlidingSurfaceKind, blank=True
    )
    interior_layers = BEARING_COUNTS["interior_layers"].whole_field()
    objects = of_district("installation__element__bridge__district")
    history = HistoricalRecords()

    class Meta:
        constraints = [
            *bounds("bearing", BEARING_QUANTITIES | BEARING_COUNTS),
            ordered(
                "bearing",
                "vertical_service_min_kn",
                "vertical_service_max_kn",
                gettext_lazy("The least service load must be below the greatest."),
            ),
            ordered(
                "bearing",
                "vertical_strength_min_kn",
                "vertical_strength_max_kn",
                gettext_lazy("The least strength load must be below the greatest."),
            ),
            models.CheckConstraint(
                condition=Q(plan_diameter_mm__isnull=True)
                | Q(plan_length_mm__isnull=True, plan_width_mm__isnull=True),
                name="bearing_round_or_rectangular",
                violation_error_message=gettext_lazy("Give a diameter, or a length and a width."),
            ),
            models.CheckConstraint(
                condition=Q(ptfe_kind__in=["", *PtfeKind.values]), name="bearing_ptfe_known"
            ),
            models.CheckConstraint(
                condition=Q(sliding_surface__in=["", *SlidingSurfaceKind.values]),
                name="bearing_sliding_surface_known",
            ),
            ordered(
                "bearing",
                "ptfe_length_mm",
                "sliding_plate_length_mm",
                gettext_lazy("The PTFE must be shorter than its sliding plate."),
            ),
            ordered(
                "bearing",
                "contact_yield_mpa",
                "contact_ultimate_mpa",
                gettext_lazy("A steel yields below its tensile strength."),
            ),
            *(
                models.CheckConstraint(
                    condition=Q(side_cover_mm__isnull=True)
                    | Q(**{f"{size}__isnull": True})
                    | Q(**{f"{size}__gt": 2 * F("side_cover_mm")}),
                    name=f"bearing_plates_within_{size}",
                    violation_error_message=gettext_lazy(
                        "The side cover leaves no plate inside the bearing."
                    ),
                )
                for size in PLAN_SIZES
            ),
        ]

    def __str__(self) -> str:
        return _("Capacities of %(device)s") % {"device": self.installation}

    def clean(self) -> None:
        refuse_unordered(
            self,
            ("vertical_service_min_kn", "vertical_service_max_kn"),
            ("vertical_strength_min_kn", "vertical_strength_max_kn"),
            ("ptfe_length_mm", "sliding_plate_length_mm"),
            ("contact_yield_mpa", "contact_ultimate_mpa"),
        )
        sizes = [size for name in PLAN_SIZES if (size := getattr(self, name)) is not None]
        if self.side_cover_mm is not None and sizes and 2 * self.side_cover_mm >= min(sizes):
            raise ValidationError(
                {
                    "side_cover_mm": _(
                        "%(cover)s mm on both sides leaves no plate in a bearing of %(size)s mm."
                        " Give the elastomer beside the plates on one side."
                    )
                    % {
                        "cover": with_mark(f"{self.side_cover_mm:g}"),
                        "size": with_mark(f"{min(sizes):g}"),
                    }
                }
            )
        if self.plan_diameter_mm is not None and (
            self.plan_length_mm is not None or self.plan_width_mm is not None
        ):
            raise ValidationError(
                {"plan_diameter_mm": _("Give a diameter, or a length and a width, not both.")}
            )


class JointDesign(OfDistrict):
    """Capacities of a deck joint.  Its skew belongs to the place."""

    installation = models.OneToOneField(Installation, models.PROTECT, related_name="joint_design")
    for _name, _quantity in JOINT_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    opening_axis = models.CharField(
        mark("Opening range is given"), max_length=6, choices=GapAxis, default=GapAxis.SQUARE
    )
    cells = JOINT_COUNTS["cells"].whole_field()
    objects = of_district("installation__element__bridge__district")
    history = HistoricalRecords()

    class Meta:
        constraints = [
            *bounds("joint", JOINT_QUANTITIES | JOINT_COUNTS),
            ordered(
                "joint",
                "opening_min_mm",
                "opening_max_mm",
                gettext_lazy("The smallest opening must be below the largest."),
            ),
        ]

    def __str__(self) -> str:
        return _("Capacities of %(device)s") % {"device": self.installation}

    def clean(self) -> None:
        refuse_unordered(self, ("opening_min_mm", "opening_max_mm"))


class RestraintDesign(OfDistrict):
    """Gaps and capacities of a shear key, hold-down, rod group, clamp, lock-up device or cable."""

    installation = models.OneToOneField(
        Installation, models.PROTECT, related_name="restraint_design"
    )
    for _name, _quantity in RESTRAINT_QUANTITIES.items():
        locals()[_name] = _quantity.field()
    del _name, _quantity
    rod_grade = models.CharField(
        mark("Rod grade"),
        max_length=60,
        blank=True,
        help_text=mark("Such as ASTM F1554 grade 105."),
    )
    rod_count = RESTRAINT_COUNTS["rod_count"].whole_field()
    cable_count = RESTRAINT_COUNTS["cable_count"].whole_field()
    faces = RESTRAINT_COUNTS["faces"].whole_field()
    rod_coating = models.CharField(mark("Coating"), max_length=80, blank=True)
    objects = of_district("installation__element__bridge__district")
    history = HistoricalRecords()

    class Meta:
        constraints = bounds("restraint", RESTRAINT_QUANTITIES | RESTRAINT_COUNTS)

    def __str__(self) -> str:
        return _("Gaps and capacities of %(device)s") % {"device": self.installation}
