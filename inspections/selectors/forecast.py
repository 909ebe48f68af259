"""What an inspector may expect before reading: last value, expected value and band."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from inspections.form_spec import FIELDS
from inspections.models import AgencySettings, Inspection, Verdict
from inspections.models.choices import ReadingQuantity, TemperatureWay
from inspections.services.channels import Channels, build_channels, load_installations
from inspections.services.device_figures import ChannelKey
from inspections.services.points import DAY_S
from inspections.services.shortening import shortening_of
from inspections.services.temperatures import Hour, effective_temperatures
from inventory.models import Installation
from movement.expected import BAND_K, common_temperature, expected_line
from movement.results import ExpectedLine
from movement.temperature import EffectiveTemperature, weakest
from movement.uncertainty import from_accuracy


@dataclass(frozen=True, slots=True)
class Forecast:
    """Expected value and half its band, in the unit of the quantity; None where unknown."""

    key: ChannelKey
    expected: float | None
    half_band: float | None
    has_setting: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """What one element's channels should read at the temperature of an hour."""

    at: dt.datetime
    temperature_c: float | None
    way: TemperatureWay
    forecasts: dict[ChannelKey, Forecast]
    last: dict[ChannelKey, Verdict]


def outlook(
    inspection: Inspection,
    installation: Installation,
    points: Iterable[tuple[str, str, str]],
    at: dt.datetime,
) -> Outlook:
    """Return the outlook of a device at an hour of a visit.

    Parameters
    ----------
    points
        Quantity, point and axis of each channel.
    at
        The hour that temperatures already taken in the visit are sought for.
    """
    keys = [ChannelKey(installation.pk, *each) for each in points]
    agency = AgencySettings.current()
    installed = load_installations({installation.element_id})
    channels = build_channels(keys, installed, agency)
    temperature = _temperature(inspection, channels, at, agency)
    now_c = common_temperature(channels.sides, temperature.temperature_c)
    by_then = shortening_of(channels.units, channels.set_day, at.timestamp() / DAY_S, agency)
    line = expected_line(by_then.into(channels.sides), channels.setting)
    newest, last = _verdicts(inspection, installation)
    line = with_baselines(line, [newest.get(key) for key in keys])
    # What no temperature moves is expected at its setting, whatever the hour.
    t = np.where(line.b == 0, 0.0, now_c)
    u_value = from_accuracy([agency.accuracy_of(FIELDS[key.quantity].dimension) for key in keys])
    u_t = np.where(line.b == 0, 0.0, temperature.u_temperature_k.max(axis=-1))
    half = BAND_K * line.standard_uncertainty(t, u_t, u_value)
    expected = line.value(t)
    return Outlook(
        at,
        _finite(now_c[0]),
        TemperatureWay(int(weakest(temperature.way.ravel()))),
        {
            key: Forecast(
                key, _finite(expected[row]), _finite(half[row]), bool(np.isfinite(line.a[row]))
            )
            for row, key in enumerate(keys)
        },
        last,
    )


def _temperature(
    inspection: Inspection, channels: Channels, at: dt.datetime, agency: AgencySettings
) -> EffectiveTemperature:
    """Return temperatures (channels, 2); a backwall takes that of the unit that faces it."""
    behind, ahead = channels.unit_ids[0]
    pair = [unit for unit in (behind or ahead, ahead or behind) if unit is not None]
    found = effective_temperatures([Hour(inspection.pk, unit, at) for unit in pair], agency)
    count = len(channels.unit_ids)
    return EffectiveTemperature(
        *(
            np.tile(column, (count, 1))
            for column in (found.temperature_c, found.u_temperature_k, found.way)
        )
    )


def _verdicts(
    inspection: Inspection, installation: Installation
) -> tuple[dict[ChannelKey, Verdict], dict[ChannelKey, Verdict]]:
    """Return each channel's newest verdict that has its five numbers, and its last reading."""
    newest: dict[ChannelKey, Verdict] = {}
    last: dict[ChannelKey, Verdict] = {}
    for row in Verdict.objects.filter(installation=installation).order_by("taken_at", "pk"):
        key = ChannelKey(installation.pk, row.quantity, row.point, row.axis)
        if row.a is not None:
            newest[key] = row
        if row.inspection_id != inspection.pk and row.taken_at.date() <= inspection.date:
            last[key] = row
    return newest, last


def with_baselines(line: ExpectedLine, verdicts: list[Verdict | None]) -> ExpectedLine:
    """Fill what the register gives no setting for from verdicts that rest on a baseline."""
    names = ("a", "b", "c0", "c1", "c2")
    from_verdict = {
        name: np.array(
            [math.nan if row is None else getattr(row, name) for row in verdicts], dtype=float
        )
        for name in names
    }
    unknown = np.isnan(line.a)
    return ExpectedLine(
        **{name: np.where(unknown, from_verdict[name], getattr(line, name)) for name in names}
    )


def last_at_point(outlook: Outlook, quantity: ReadingQuantity | str, point: str) -> Verdict | None:
    """Return the last reading of a point, along whichever axis it was taken."""
    rows = [
        row for key, row in outlook.last.items() if (key.quantity, key.point) == (quantity, point)
    ]
    return max(rows, key=lambda row: row.taken_at, default=None)


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
