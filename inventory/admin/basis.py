"""The fields of a design temperature basis, by the method that needs them."""

from django.utils.translation import gettext_lazy

from inventory.admin.fieldsets import Fieldsets

BASIS_FIELDSETS: Fieldsets = (
    (None, {"fields": ("method", "reference_temperature_c", "source")}),
    (
        gettext_lazy("AASHTO LRFD, procedure A"),
        {"fields": ("climate",), "description": gettext_lazy("Needs the climate.")},
    ),
    (
        gettext_lazy("AASHTO LRFD, procedure B"),
        {
            "fields": (("map_min_c", "map_max_c"),),
            "description": gettext_lazy(
                "Needs both values and the map as their source. The maps are for decks of concrete,"
                " and differ for concrete and for steel girders."
            ),
        },
    ),
    (
        "EN 1991-1-5",
        {
            "fields": (("shade_air_min_c", "shade_air_max_c"),),
            "description": gettext_lazy(
                "Needs both, at sea level; the bridge's altitude is applied to them."
            ),
        },
    ),
    (
        gettext_lazy("EN 1991-1-5, and yearly extremes of the air station"),
        {
            "fields": ("return_period_years", "surfacing_rule"),
            "description": gettext_lazy(
                "The station's yearly extremes need no other figure: the bridge names its station,"
                " and ten years of it must be on record. They are the site's own, so the altitude"
                " is not applied. The surfacing rule needs the section of each unit."
            ),
        },
    ),
    (
        gettext_lazy("Entered figures"),
        {
            "fields": (("entered_min_c", "entered_max_c"),),
            "description": gettext_lazy("Needs both effective temperatures and their source."),
        },
    ),
)
