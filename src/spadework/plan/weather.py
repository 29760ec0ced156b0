"""The hours of a plan's weather: from an hourly file beside the plan, or the one typical hour that it gives."""

from __future__ import annotations

import csv
import datetime as dt
import stat
from collections.abc import Mapping, Set
from dataclasses import dataclass

from spadework.plan.faults import PlanFaults
from spadework.plan.reading import LARGEST_FILE, Read

__all__ = ["COLUMNS", "Hours", "weather_hours"]

COLUMNS = {
    "time": "start of the hour, ISO 8601 with time zone",
    "air_temperature_degc": "air temperature",
    "wind_m_s": "wind speed at wind_height",
}
"""What an hourly weather file must hold; further columns are left alone."""

_POSSIBLE = {"air_temperature_degc": (-60.0, 60.0), "wind_m_s": (0.0, 75.0)}
_LARGEST = 50 * LARGEST_FILE


@dataclass(frozen=True)
class Hours:
    """Weather of the spreading hours.

    Attributes
    ----------
    air_temperature_degc, wind_m_s : tuple of float
        One value an hour; one value where the plan gives a typical hour.
    start : datetime or None
        First hour; None for a typical hour.
    came_from : str
        Where the values came from, for people.
    """

    air_temperature_degc: tuple[float, ...]
    wind_m_s: tuple[float, ...]
    start: dt.datetime | None
    came_from: str


def weather_hours(read: Read) -> Hours:
    """Return the weather of the hours in which the plan spreads its slurry.

    Raises
    ------
    PlanFaults
        Where the file is missing, does not hold what it must, or does not reach over the hours.
    """
    weather = read.plan.weather
    if weather.file is None:
        assert weather.air_temperature is not None and weather.wind is not None  # noqa: S101, PT018 (agreement checks it)
        return Hours((weather.air_temperature.value,), (weather.wind.value,), None, "one typical hour, from the plan")
    start, hours = weather.start, weather.hours
    assert start is not None and hours is not None  # noqa: S101, PT018 (agreement checks it)
    try:
        wanted = {start.astimezone(dt.UTC) + dt.timedelta(hours=h) for h in range(hours)}
    except OverflowError:
        raise _stop(read, f"no hour can be counted from {start.isoformat()}; check the year", "start") from None
    found = _hours_of(read, wanted)
    if gone := len(wanted) - len(found):
        what = f"the weather file {weather.file} lacks {gone} of the {hours} hours from {start.isoformat()}"
        raise _stop(read, f"{what}; its hours must start at the same minute", "start")
    values = [found[time] for time in sorted(found)]
    return Hours(tuple(v[0] for v in values), tuple(v[1] for v in values), start, f"{weather.file}, beside the plan")


def _stop(read: Read, what: str, key: str = "file") -> PlanFaults:
    return PlanFaults([read.fault(what, "weather", key)], read.name)


def _hours_of(read: Read, wanted: Set[dt.datetime]) -> dict[dt.datetime, tuple[float, float]]:
    """Return temperature and wind of the `wanted` hours that the file holds."""
    name = read.plan.weather.file
    lines = [(number, line) for number, line in enumerate(_lines(read), 1) if line and not line.startswith("#")]
    reader = csv.DictReader((line for _, line in lines), strict=True)
    found: dict[dt.datetime, tuple[float, float]] = {}
    try:
        missing = [column for column in COLUMNS if column not in (reader.fieldnames or ())]
        for cells in reader if not missing else ():
            time = _time(cells["time"])
            if time in wanted:
                found[time] = (_number(cells, "air_temperature_degc"), _number(cells, "wind_m_s"))
    except (ValueError, csv.Error) as error:
        line = lines[reader.line_num - 1][0]
        raise _stop(read, f"the weather file {name}, line {line}: {error}") from None
    if missing:
        raise _stop(read, f"the weather file {name} has no column {', '.join(missing)}")
    return found


def _time(cell: str | None) -> dt.datetime:
    try:
        time = dt.datetime.fromisoformat(cell or "")
        counted = time.astimezone(dt.UTC)
    except (ValueError, OverflowError):
        raise ValueError(f'"{(cell or "")[:60]}" is no time such as 2026-04-20T09:00:00+02:00') from None
    if time.tzinfo is None:
        raise ValueError(f'the time "{cell}" has no zone, such as +02:00')
    return counted


def _number(cells: Mapping[str, str | None], column: str) -> float:
    cell = cells[column] or ""
    low, high = _POSSIBLE[column]
    try:
        value = float(cell)
    except ValueError:
        raise ValueError(f'{column} "{cell[:60]}" is no number') from None
    if not low <= value <= high:
        raise ValueError(f"{column} is {value:g}; it can be {low:g} to {high:g}")
    return value


def _lines(read: Read) -> list[str]:
    name = read.plan.weather.file or ""
    path = read.folder / name
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            what = "is no file that holds text"
        elif about.st_size > _LARGEST:
            what = "is too large; cut out the season"
        else:
            return path.read_text("utf-8-sig").splitlines()
    except FileNotFoundError:
        raise _stop(read, f"there is no weather file {name} beside the plan") from None
    except UnicodeDecodeError:
        what = "is not UTF-8 text"
    except (OSError, ValueError) as error:
        what = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    raise _stop(read, f"the weather file {name} {what}")
