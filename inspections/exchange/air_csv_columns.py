"""Columns of a station's file: which stand for what, hourly or daily."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.exchange.problems import ImportRefused, Problem

COLUMNS = (
    ("station", "", "Code of the station; not needed where one station is named for the file."),
    ("time_utc", "UTC", "Hour of the record, ISO 8601: 2024-06-01T08:00Z or 2024-06-01 08:00."),
    ("time", "", "Instead of time_utc: ISO 8601 with its offset, 2024-06-01T10:00+02:00."),
    ("temperature_c", "degC", "Shade air temperature; also temp_c. Empty, NA or NaN: not known."),
    ("temperature_f", "degF", "Instead of temperature_c; also temp_f."),
    ("sun_w_per_m2", "W/m2", "Sun on a level face (global horizontal irradiance), if recorded."),
    ("wind_m_per_s", "m/s", "Wind, if recorded."),
    ("date", "", "Instead of an hour, in a file of daily extremes: 2024-06-01, station's time."),
    ("temperature_min_c", "degC", "Lowest shade air of the day; also temp_min_c, or _f for degF."),
    ("temperature_max_c", "degC", "Highest shade air of the day; also temp_max_c, or _f for degF."),
)
"""Column, unit and meaning; other columns are passed over, and named."""
SAMPLE = (
    "station,time_utc,temperature_c\nST-1,2024-06-01T08:00Z,14.2\nST-1,2024-06-01T09:00Z,15.6\n"
)
DAILY_SAMPLE = (
    "station,date,temperature_min_c,temperature_max_c\n"
    "ST-1,2024-06-01,9.4,21.8\nST-1,2024-06-02,11.0,23.5\n"
)
LONGEST_STATION = 40
BESIDE_TEMPERATURE = ("sun_w_per_m2", "wind_m_per_s")
_TEMPERATURE = re.compile(r"temp(?:erature)?_([cf])")
_EXTREME = {name: re.compile(rf"temp(?:erature)?_{name}_([cf])") for name in ("min", "max")}


@dataclass(frozen=True, slots=True)
class Columns:
    """Where in the header things stand, by the names of what they stand for.

    ``at`` gives the name in the header of: station, time, temperature and what else an hour
    has; or station, day, min_c and max_c; what the file does not have is left out.
    """

    daily: bool
    every_row: str
    time_is_utc: bool
    at: dict[str, str]
    passed_over: list[str]

    @classmethod
    def of(cls, header: Sequence[str], every_row: str) -> Columns:
        """Read a header.

        Raises
        ------
        ImportRefused
            With all that it lacks, or has twice.
        """
        by_name = {name.lower(): name for name in header}
        daily = "date" in by_name
        problems = _station_problems(by_name, every_row)
        at = {"station": "station"} if "station" in by_name else {}
        times = [name for name in ("time_utc", "time") if name in by_name]
        if daily:
            if times:
                problems.append("Give hours or days, not both: «date» is for a daily file.")
            at["day"] = "date"
            for name, pattern in _EXTREME.items():
                at[f"{name}_c"] = _only(pattern, by_name, f"temperature_{name}", problems)
        else:
            if len(times) != 1:
                problems.append(
                    "Give the hour in one column, «time_utc» or «time»; a daily file has «date»."
                )
            at["time"] = next(iter(times), "")
            at["temperature"] = _only(_TEMPERATURE, by_name, "temperature", problems)
            at |= {name: name for name in BESIDE_TEMPERATURE if name in by_name}
        if problems:
            raise ImportRefused([Problem(1, "", message) for message in problems])
        used = set(at.values())
        return cls(
            daily,
            every_row,
            at.get("time") == "time_utc",
            {meant: by_name[name] for meant, name in at.items()},
            [name for low, name in by_name.items() if low not in used],
        )

    def unit(self, meant: str) -> str:
        """Return the unit of a temperature column, as its header ends."""
        return self.at[meant][-1].lower()


def _station_problems(by_name: dict[str, str], every_row: str) -> list[str]:
    problems = []
    if len(every_row) > LONGEST_STATION:
        problems.append(f"--station: «{every_row}» is longer than {LONGEST_STATION} characters.")
    if "station" not in by_name and not every_row:
        problems.append("There is no column «station». Add it, or name one for the file.")
    if "station" in by_name and every_row:
        problems.append("The file has a column «station» and one is named for it: use one.")
    return problems


def _only(pattern: re.Pattern[str], by_name: dict[str, str], name: str, problems: list[str]) -> str:
    found = [each for each in by_name if pattern.fullmatch(each)]
    if len(found) != 1:
        problems.append(f"Give one column «{name}_c» or «{name}_f».")
    return next(iter(found), "")
