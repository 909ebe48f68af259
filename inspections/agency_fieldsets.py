"""Groups in which the agency's settings stand on their page."""

from django.utils.translation import gettext_lazy

AGENCY_FIELDSETS = (
    (
        gettext_lazy("Thresholds of the verdict"),
        {
            "fields": ("watch_k", "out_k", "watch_use"),
            "description": gettext_lazy(
                "A residual is compared with its standard uncertainty, a carried"
                " value with the limits of the device."
            ),
        },
    ),
    (
        gettext_lazy("Response of an element to the temperature, over its history"),
        {
            "fields": (
                ("frozen_below", "free_above"),
                ("sluggish_below", "more_than_free_above"),
            ),
            "description": gettext_lazy(
                "The response ratio is the movement per degree that the readings show over the one"
                " that is expected: 1 is free, 0 is frozen. Its whole 95 % interval must lie on"
                " one side of a bound."
            ),
        },
    ),
    (
        gettext_lazy("Drifts, steps and blunders in a history"),
        {
            "fields": ("chance", "horizon_years"),
            "description": gettext_lazy(
                "An element whose trend meets a limit within the horizon is to watch."
            ),
        },
    ),
    (
        gettext_lazy("Explanations of a whole unit"),
        {
            "fields": ("explanation_needed", "explanations_apart"),
            "description": gettext_lazy(
                "How much evidence it takes until a cause is named, and by how much it"
                " must outdo the next one."
            ),
        },
    ),
    (
        gettext_lazy("Order of the queue"),
        {
            "fields": (
                ("weight_severity", "weight_consequence"),
                ("weight_nearness", "weight_age"),
            ),
            "description": gettext_lazy("Only their proportions count."),
        },
    ),
    (
        gettext_lazy("When to visit"),
        {
            "fields": (
                ("routine_interval_months", "in_depth_interval_months"),
                ("watch_interval_months", "measure_again_days"),
                ("proving_days", "after_event_days"),
            ),
            "description": gettext_lazy(
                "When the plan names a bridge or an element as due: how long after the"
                " last visit, after a flag, after a repair, and after an event."
            ),
        },
    ),
    (
        gettext_lazy("Costs"),
        {
            "fields": ("currency",),
            "description": gettext_lazy(
                "The sign beside every cost of a study of options; no amount is converted."
            ),
        },
    ),
    (
        gettext_lazy("Creep and shrinkage"),
        {
            "fields": ("creep_scatter", "shrinkage_scatter"),
            "description": gettext_lazy(
                "How far a unit may lie off the rule chosen for its concrete, as a"
                " standard deviation."
            ),
        },
    ),
    (
        gettext_lazy("Standard uncertainty of the effective temperature, by the way it was found"),
        {
            "fields": (
                "u_embedded_k",
                "u_surfaces_k",
                "u_shaded_surface_k",
                "u_air_history_k",
                "u_shade_air_k",
                "temperature_window_h",
            ),
            "description": gettext_lazy(
                "How far the temperature that moves the bridge may lie off what was"
                " taken for it: the larger, the wider the expected band."
            ),
        },
    ),
    (
        gettext_lazy("Standard uncertainty of the setting"),
        {
            "fields": (
                ("u_setting_measured_mm", "u_setting_measured_k"),
                ("u_setting_drawings_mm", "u_setting_drawings_k"),
            ),
            "description": gettext_lazy(
                "How sure the position and the temperature are at which a device was"
                " set, where its record does not say."
            ),
        },
    ),
    (
        gettext_lazy("Standard uncertainty of the thermal movement"),
        {
            "fields": (
                "u_fixed_station_m",
                "u_expansion_steel_per_c",
                "u_expansion_composite_per_c",
                "u_expansion_concrete_per_c",
            ),
            "description": gettext_lazy(
                "How sure the fixed point and the thermal expansion are, where the"
                " register does not say: they widen the band the more, the longer the way to the"
                " fixed point."
            ),
        },
    ),
    (
        gettext_lazy("Instruments that state no accuracy"),
        {
            "fields": ("accuracy_mm", "accuracy_mrad", "accuracy_deg", "accuracy_kn"),
            "description": gettext_lazy(
                "What is taken for the accuracy of a reading, by what it measures,"
                " where its instrument states none."
            ),
        },
    ),
)
"""Every figure of the agency, as :data:`inspections.models.agency.AGENCY_QUANTITIES` has them."""
