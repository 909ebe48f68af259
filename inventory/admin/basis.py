"""The fields of a design temperature basis, by the method that needs them."""

from inventory.admin.fieldsets import Fieldsets

BASIS_FIELDSETS: Fieldsets = (
    (None, {"fields": ("method", "reference_temperature_c", "source")}),
    ("AASHTO LRFD, procedure A", {"fields": ("climate",), "description": "Needs the climate."}),
    (
        "AASHTO LRFD, procedure B",
        {
            "fields": (("map_min_c", "map_max_c"),),
            "description": "Needs both values and the map as their source. The maps are for decks"
            " of concrete, and differ for concrete and for steel girders.",
        },
    ),
    (
        "EN 1991-1-5",
        {
            "fields": (
                ("shade_air_min_c", "shade_air_max_c"),
                ("return_period_years", "surfacing_rule"),
            ),
            "description": "Needs both shade air extremes of 50 years; altitude and return period"
            " are applied to them. The surfacing rule needs the section of each unit. From the"
            " yearly extremes of the air station: needs no extremes here, but the station named on"
            " the bridge and ten years of it; the return period is that of the fit.",
        },
    ),
    (
        "Entered figures",
        {
            "fields": (("entered_min_c", "entered_max_c"),),
            "description": "Needs both effective temperatures and their source.",
        },
    ),
)
