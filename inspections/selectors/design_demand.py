"""Movement that the design temperatures ask of a device, against what it can take.

This sizes a device: here, and only here, the load factor of AASHTO LRFD and the
allowance S of EN 1991-1-5 enter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _

from inspections.form_spec import FIELDS, QUANTITIES_OF_DEVICE
from inspections.models import AgencySettings
from inspections.models.choices import ReadingQuantity
from inspections.services.channels import build_channels, limits_at
from inspections.services.device_figures import ChannelKey
from inventory.models import Installation
from inventory.models.choices import BasisMethod, GapAxis, SettingSource
from inventory.units import Dimension
from movement.errors import InputError
from movement.standards import aashto_lrfd_9_temperature as aashto
from movement.standards import en_1991_1_5_2003 as en
from movement.thermal_range import BridgeExtremes, demand_from_setting

_DEMANDED = (ReadingQuantity.GAP, ReadingQuantity.OFFSET_ALONG, ReadingQuantity.TILT)


@dataclass(frozen=True, slots=True)
class DesignDemand:
    """One way of one movement, from the setting to a design extreme.

    ``movement`` is the plain thermal movement, ``demand`` that with the factor or
    allowance of ``rule``, ``available`` what the device offers that way (None where no
    limit is recorded); all in the unit of ``dimension``.
    """

    name: str
    dimension: Dimension
    extreme_c: float
    movement: float
    demand: float
    available: float | None
    rule: str

    @property
    def use(self) -> float | None:
        """Share of what is available that the demand takes."""
        return self.demand / self.available if self.available else None


def design_demands(installation: Installation) -> list[DesignDemand]:
    """Return the demands on a device both ways; empty where the register does not tell.

    The setting temperature is the recorded one, else the basis' reference temperature.
    """
    element = installation.element
    basis = getattr(element.bridge, "temperature_basis", None)
    quantity = next(
        (each for each in QUANTITIES_OF_DEVICE[installation.device_type] if each in _DEMANDED), None
    )
    if basis is None or quantity is None:
        return []
    axis = GapAxis.SQUARE.value if quantity == ReadingQuantity.GAP else ""
    key = ChannelKey(installation.pk, quantity, FIELDS[quantity].points[0], axis)
    channels = build_channels([key], {installation.pk: installation}, AgencySettings.current())
    recorded = float(channels.setting.temperature_c[0])
    setting_c = basis.reference_temperature_c if np.isnan(recorded) else recorded
    levers, alpha = channels.sides.lever[0], channels.sides.expansion_per_c[0]
    slope = float((levers * alpha).sum())
    extremes = BridgeExtremes(channels.extremes.min_c[0], channels.extremes.max_c[0], "")
    known_all = setting_c is not None and np.isfinite([slope, extremes.min_c, extremes.max_c]).all()
    if not known_all or slope == 0.0:
        return []
    position = 0.0 if quantity != ReadingQuantity.GAP else np.nan
    known = channels.setting.value[0]
    position = position if np.isnan(known) else float(known)
    limits = limits_at(channels.limits, channels.limits_from_setting, np.array([position]))
    factor, allowance_k, rule = _rule(basis.method, installation.setting_source)
    try:
        plain = demand_from_setting(alpha, levers, extremes, setting_c)
        full = demand_from_setting(alpha, levers, extremes, setting_c, allowance_k, factor)
    except InputError:
        return []  # the setting lies outside the extremes
    ways = (
        (_("to the coldest"), extremes.min_c, plain.contraction_mm, full.contraction_mm, slope < 0),
        (_("to the hottest"), extremes.max_c, plain.expansion_mm, full.expansion_mm, slope > 0),
    )
    room = {True: limits.upper[0] - position, False: position - limits.lower[0]}
    label = ReadingQuantity(quantity).label
    return [
        DesignDemand(
            f"{label}, {word}",
            FIELDS[quantity].dimension,
            float(extreme_c),
            float(each.sum()),
            float(total.sum()),
            None if np.isnan(room[grows]) else float(room[grows]),
            rule,
        )
        for word, extreme_c, each, total, grows in ways
    ]


def _rule(method: str, setting_source: str) -> tuple[float, float, str]:
    """Return factor, allowance [K] and clause of a basis."""
    if method in (BasisMethod.AASHTO_A, BasisMethod.AASHTO_B):
        factor = aashto.LOAD_FACTOR_TU_DEFORMATION
        return factor, 0.0, f"{aashto.EDITION}, Table 3.4.1-1, TU factor {factor:.2f}"
    if method in (BasisMethod.EN_1991_1_5, BasisMethod.STATION):
        allowance = float(en.allowance_k(setting_source != SettingSource.UNKNOWN))
        return 1.0, allowance, f"{en.EDITION}, 6.1.3.3(3) note 2, S = {allowance:g} K"
    return 1.0, 0.0, _("entered figures, no factor or allowance added")
