"""Fields in the groups that an engineer thinks in: of devices by kind, and of units."""

from collections.abc import Iterable

from django.utils.translation import gettext_lazy, pgettext_lazy
from django.utils.translation import gettext_noop as mark

from inventory.models.choices import DEVICES_OF_KIND, DeviceType, ElementKind
from inventory.words import translated_when_shown

Fieldsets = tuple[tuple[str | None, dict], ...]

SETTING_OF_KIND = {
    ElementKind.BEARING: (
        "setting_source",
        "setting_temperature_c",
        ("setting_offset_along_mm", "setting_offset_across_mm"),
        ("setting_tilt_deg", "setting_rotation_mrad"),
    ),
    ElementKind.JOINT: (
        "setting_source",
        "setting_temperature_c",
        ("setting_gap_mm", "setting_gap_axis"),
    ),
    ElementKind.RESTRAINT: ("setting_source", "setting_temperature_c"),
}
AS_SET_OF_KIND = {
    ElementKind.BEARING: (),
    ElementKind.JOINT: (),
    ElementKind.RESTRAINT: (
        "gap_back_mm",
        "gap_ahead_mm",
        "gap_left_mm",
        "gap_right_mm",
        "projection_mm",
    ),
}
"""What a restraint's capacities row tells of its position."""
SIDES_OF_KIND = {
    ElementKind.JOINT: mark(
        "The unit is the one behind the joint, towards the start of the bridge. At"
        " an abutment, leave the side of the backwall empty."
    ),
    ElementKind.RESTRAINT: mark(
        "Where it ties two units, across a hinge or a joint, the unit is the one behind, towards"
        " the start of the bridge, and its readings are held against how the two move apart and"
        " together. Else leave the unit ahead empty."
    ),
}
"""What is said of the units on either side; a bearing has but one."""

_RODDED = (DeviceType.HOLD_DOWN, DeviceType.ANCHOR_RODS, DeviceType.CLAMP)
DEVICES_OF_GROUP: dict[str, tuple[DeviceType, ...]] = {
    "Elastomer": (
        DeviceType.PLAIN_ELASTOMERIC,
        DeviceType.REINFORCED_ELASTOMERIC,
        DeviceType.POT,
        DeviceType.DISC,
        DeviceType.OTHER_BEARING,
    ),
    "Steel plates in the elastomer": (
        DeviceType.REINFORCED_ELASTOMERIC,
        DeviceType.OTHER_BEARING,
    ),
    "Sliding surface": (
        DeviceType.FLAT_SLIDING,
        DeviceType.POT,
        DeviceType.DISC,
        DeviceType.SPHERICAL,
        DeviceType.OTHER_BEARING,
    ),
    "Rocker or roller": (DeviceType.ROCKER, DeviceType.ROLLER, DeviceType.OTHER_BEARING),
    "Seal": (
        DeviceType.STRIP_SEAL,
        DeviceType.COMPRESSION_SEAL,
        DeviceType.POURED,
        DeviceType.OTHER_JOINT,
    ),
    "Modular joint": (DeviceType.MODULAR, DeviceType.OTHER_JOINT),
    "Fingers": (DeviceType.FINGER, DeviceType.OTHER_JOINT),
    "Gaps": (
        DeviceType.SHEAR_KEY,
        DeviceType.HOLD_DOWN,
        DeviceType.LOCK_UP,
        DeviceType.RESTRAINER_CABLE,
    ),
    "Slip and projection": _RODDED,
    "Rods": _RODDED,
    "Cables": (DeviceType.RESTRAINER_CABLE,),
    "Clamping": (DeviceType.CLAMP,),
}
"""Which devices have the figures of a group; a group that is not here, all of its kind."""

DESIGN_OF_KIND: dict[str, Fieldsets] = {
    ElementKind.BEARING: (
        (
            mark("Vertical load"),
            {
                "fields": (
                    ("vertical_service_min_kn", "vertical_service_max_kn"),
                    ("permanent_kn", "live_kn"),
                    ("vertical_strength_min_kn", "vertical_strength_max_kn"),
                )
            },
        ),
        (mark("Horizontal load"), {"fields": (("horizontal_along_kn", "horizontal_across_kn"),)}),
        (
            mark("Movement"),
            {
                "fields": (
                    ("movement_back_mm", "movement_ahead_mm"),
                    ("movement_left_mm", "movement_right_mm"),
                ),
                "description": mark(
                    "0 both ways where it is fixed or guided; empty where the drawings do not say."
                ),
            },
        ),
        (mark("Rotation"), {"fields": (("rotation_mrad", "live_rotation_mrad"),)}),
        (
            mark("Elastomer"),
            {
                "fields": (
                    ("plan_length_mm", "plan_width_mm", "plan_diameter_mm"),
                    ("layer_thickness_mm", "interior_layers"),
                    ("cover_thickness_mm", "rubber_thickness_mm"),
                    ("shear_modulus_mpa", "elastomer_grade"),
                ),
                "description": mark("Rectangular: length and width. Round: diameter."),
            },
        ),
        (
            mark("Steel plates in the elastomer"),
            {"fields": (("shim_thickness_mm", "shim_yield_mpa", "side_cover_mm"),)},
        ),
        (
            mark("Sliding surface"),
            {
                "fields": (
                    ("ptfe_kind", "sliding_surface"),
                    ("ptfe_area_mm2", "ptfe_thickness_mm", "edge_to_mean_stress"),
                    ("ptfe_length_mm", "sliding_plate_length_mm"),
                )
            },
        ),
        (
            mark("Rocker or roller"),
            {
                "fields": (
                    ("rocker_radius_mm", "tilt_limit_deg"),
                    ("contact_length_mm", "contact_yield_mpa", "contact_ultimate_mpa"),
                )
            },
        ),
    ),
    ElementKind.JOINT: (
        (mark("Opening"), {"fields": (("opening_min_mm", "opening_max_mm"), "opening_axis")}),
        (mark("Seal"), {"fields": (("seal_width_mm", "installed_width_mm"),)}),
        (
            mark("Modular joint"),
            {
                "fields": (
                    ("cells", "cell_movement_mm"),
                    ("least_cell_gap_mm", "beam_width_mm"),
                )
            },
        ),
        (mark("Fingers"), {"fields": (("finger_width_mm", "finger_overlap_mm"),)}),
        (mark("Slip along the joint"), {"fields": ("racking_limit_mm",)}),
        (mark("Level across the joint"), {"fields": ("level_limit_mm",)}),
    ),
    ElementKind.RESTRAINT: (
        (
            mark("Gaps"),
            {
                "fields": (
                    ("gap_back_mm", "gap_ahead_mm"),
                    ("gap_left_mm", "gap_right_mm"),
                    "gap_min_mm",
                ),
                "description": mark(
                    "Of a cable its slack, on the side towards which the deck moves as it tightens;"
                    " where it ties two units, on the decreasing side alone."
                ),
            },
        ),
        (mark("Slip and projection"), {"fields": (("projection_mm", "slip_limit_mm"),)}),
        (mark("Capacity"), {"fields": (("horizontal_kn", "vertical_kn"),)}),
        (mark("What it must hold"), {"fields": (("horizontal_demand_kn", "uplift_demand_kn"),)}),
        (
            mark("Rods"),
            {
                "fields": (
                    ("rod_grade", "rod_coating"),
                    ("rod_diameter_mm", "threads_per_in"),
                    ("rod_count", "rod_pretension_kn"),
                )
            },
        ),
        (mark("Cables"), {"fields": (("cable_count", "cable_diameter_mm"),)}),
        (
            mark("Clamping"),
            {
                "fields": (
                    ("clamp_force_kn", "clamp_loss_share"),
                    ("slip_coefficient", "faces"),
                )
            },
        ),
    ),
}


CONCRETE_FIELDSETS: Fieldsets = (
    (None, {"fields": ("shortening_rule", "cast_on")}),
    (
        mark("Concrete"),
        {
            "fields": (
                ("concrete_strength_mpa", "concrete_modulus_mpa"),
                ("cement_class", "curing_end_d"),
            )
        },
    ),
    (mark("Drying"), {"fields": (("humidity_percent", "notional_size_mm"),)}),
    (
        mark("Lasting compression"),
        {"fields": ("axial_stress_mpa", ("loading_d", "strength_at_loading_mpa"))},
    ),
)
SECTION_FIELDSETS: Fieldsets = (
    (None, {"fields": ("section_form", ("depth_mm", "surfacing_mm"))}),
    (
        mark("Slab and girders"),
        {"fields": ("slab_mm", ("girder_spacing_mm", "web_mm"), "girder_steel_mm2")},
    ),
)


def spoken(groups: Iterable[tuple[str | None, dict]]) -> Fieldsets:
    """Return groups whose titles and descriptions are the reader's."""
    return tuple(
        (
            title and translated_when_shown(title),
            {
                name: translated_when_shown(value) if name == "description" else value
                for name, value in options.items()
            },
        )
        for title, options in groups
    )


def by_device(kind: str) -> Fieldsets:
    """Return the capacities of a kind, each group marked with the devices that have it."""
    marked = []
    for title, options in DESIGN_OF_KIND[kind]:
        devices = DEVICES_OF_GROUP.get(title or "", DEVICES_OF_KIND[kind])
        classes = [] if len(devices) == len(DEVICES_OF_KIND[kind]) else devices
        marked.append((title, options | {"classes": [f"for-{each.value}" for each in classes]}))
    return spoken(marked)


def new_device(kind: str, title: str = pgettext_lazy("bearing or joint", "Device")) -> Fieldsets:
    """Return the groups of a device that comes to a place, capacities last."""
    return (
        (title, {"fields": ("device_type", "installed_on", ("maker", "lot"), "remarks")}),
        (gettext_lazy("Setting"), {"fields": SETTING_OF_KIND[kind]}),
        *by_device(kind),
    )
