"""The hours of a plan's weather: out of an hourly file beside the plan, or the one typical hour that it gives."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spadework.plan.as_read import Read
from spadework.plan.faults import Fault, PlanFaults
from spadework.plan.schema.plan import Weather
from spadework.plan.weather.files import read_hourly
from spadework.plan.weather.gaps import Laid, lay, stretch
from spadework.plan.weather.layouts import QUANTITIES
from spadework.plan.weather.table import HOUR, Asked, HeadPlace, Holds, Hourly, WeatherFault
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.slurry.course_hafner import wind_at_2_m

__all__ = ["Hours", "Series", "head_place", "weather_hours", "weather_series"]

_NO_RAIN = "no rain in the file: counted as none"
_NO_RAIN_TYPICAL = "no rain in the typical hour: counted as none"
_AIR: Holds = ("air_temperature", None)
_WIND: Holds = ("wind", None)
_RAIN: Holds = ("rain", None)
_MOST_SAID = 5


@dataclass(frozen=True)
class Hours:
    """Weather of the spreading hours.

    Attributes
    ----------
    air_temperature_degc, wind_m_s : tuple of float
        One value an hour; one value where the plan gives a typical hour.  Wind at the height of the plan.
    rain_mm_h : tuple of float
        Likewise; noughts where there is no rain in the file, which `notes` then says.
    filled : tuple of bool
        Whether a straight line stands in for air temperature or wind of the hour.
    start : datetime or None
        First hour; None for a typical hour.
    came_from : str
        Where the values came from, for people.
    notes : tuple of str
        What a reader must be told of them.
    """

    air_temperature_degc: tuple[float, ...]
    wind_m_s: tuple[float, ...]
    rain_mm_h: tuple[float, ...]
    filled: tuple[bool, ...]
    start: dt.datetime | None
    came_from: str
    notes: tuple[str, ...] = ()

    @property
    def filled_hours(self) -> int:
        """How many hours were filled."""
        return sum(self.filled)


@dataclass(frozen=True, eq=False)
class Series:
    """Hourly weather, one value an hour without a break.

    Attributes
    ----------
    times : ndarray of datetime64
        Start of each hour in UTC; not-a-time for a typical hour.
    air_temperature_degc, wind_m_s, wind_2_m_m_s, rain_mm_h : ndarray of float
        Wind at the height of the plan, and 2 m above bare ground.
    filled : ndarray of bool
        Whether a straight line stands in for air temperature or wind of the hour.
    others : mapping
        ``(key, depth in cm or None)`` to values, NaN where the file has none: ``relative_humidity`` (a share),
        ``global_radiation`` (W/m2, mean of the hour), ``soil_temperature`` (degC), ``evaporation`` (mm in the hour).
    came_from : str
        Where the values came from, for people.
    notes : tuple of str
        What a reader must be told of them.
    """

    times: NDArray[np.datetime64]
    air_temperature_degc: FloatArray
    wind_m_s: FloatArray
    wind_2_m_m_s: FloatArray
    rain_mm_h: FloatArray
    filled: NDArray[np.bool_]
    others: Mapping[Holds, FloatArray]
    came_from: str
    notes: tuple[str, ...]


def weather_hours(read: Read) -> Hours:
    """Return the weather of the hours in which the plan spreads its slurry.

    Raises
    ------
    PlanFaults
        Where the file is missing, does not hold what it must, or does not reach over the hours.
    """
    start, hours = read.plan.weather.start, read.plan.weather.hours
    if read.plan.weather.file is None:
        series = _typical_hour(read)
    else:
        assert start is not None and hours is not None  # noqa: S101, PT018 (agreement checks it)
        series = _between(read, _begin(read), hours)
    values = (series.air_temperature_degc, series.wind_m_s, series.rain_mm_h, series.filled)
    air, wind, rain, filled = (tuple(array.tolist()) for array in values)
    return Hours(air, wind, rain, filled, start, series.came_from, series.notes)


def weather_series(read: Read, first: dt.datetime | None = None, last: dt.datetime | None = None) -> Series:
    """Return the weather hour by hour between two times.

    Parameters
    ----------
    read : Read
        The plan.
    first, last : datetime, optional
        Start of the first and of the last hour, with time zone.  Left out: as far back and as far on as the file goes
        from the hours of spreading without a break.  A typical year goes on for a year before and after that of the plan.

    Returns
    -------
    Series
        A single hour where the plan gives a typical one.

    Raises
    ------
    PlanFaults
        Where the file is missing, does not hold what it must, or does not reach over the hours.
    ValueError
        Where a time has no zone, or the last hour lies before the first.
    """
    if any(time is not None and time.tzinfo is None for time in (first, last)):
        raise ValueError("first and last need a time zone")
    if read.plan.weather.file is None:
        return _typical_hour(read)
    begin, hours = _begin(read), read.plan.weather.hours or 1
    if first is None or last is None:
        _between(read, begin, hours)  # so that a break in the hours of spreading is told
        whole_begin, whole_count = _unbroken(read, begin)
    begin = whole_begin if first is None else int(first.timestamp())
    end = whole_begin + (whole_count - 1) * HOUR if last is None else int(last.timestamp())
    if end < begin:
        raise ValueError("the last hour lies before the first")
    return _between(read, begin, (end - begin) // HOUR + 1)


def _typical_hour(read: Read) -> Series:
    weather = read.plan.weather
    assert weather.air_temperature is not None and weather.wind is not None  # noqa: S101, PT018 (agreement checks it)
    air, wind = (np.array([quantity.value]) for quantity in (weather.air_temperature, weather.wind))
    times = np.array(["NaT"], dtype="datetime64[s]")
    no = np.zeros(1)
    notes = (_NO_RAIN_TYPICAL,)
    return Series(times, air, wind, _low(weather, wind), no, no > 0, {}, "one typical hour, from the plan", notes)


def _low(weather: Weather, wind: FloatArray) -> FloatArray:
    assert weather.wind_height is not None  # noqa: S101 (agreement checks it)
    return wind_at_2_m(wind, weather.wind_height.value, constants("ammonia_hafner").roughness_bare_soil)


def _begin(read: Read) -> int:
    """Return the first hour of spreading in seconds from the start of 1970, or raise where none can be counted."""
    start, hours = read.plan.weather.start, read.plan.weather.hours
    assert start is not None and hours is not None  # noqa: S101, PT018 (agreement checks it)
    try:
        (start.astimezone(dt.UTC) - dt.timedelta(days=800)).astimezone(dt.UTC)
        start + dt.timedelta(hours=hours, days=800)
    except OverflowError:
        what = f"no hour can be counted from {start.isoformat()}; check the year"
        raise PlanFaults([read.fault(what, "weather", "start")], read.name) from None
    return int(start.timestamp())


def _max_gap(weather: Weather) -> int:
    return 0 if weather.max_gap is None else int(weather.max_gap.value + 1e-9)


def _tables(read: Read) -> tuple[Hourly, Hourly | None]:
    """Return the hours of the weather file, and those of the file of rain where there is one."""
    weather = read.plan.weather
    assert weather.file is not None and weather.start is not None  # noqa: S101, PT018 (agreement checks it)
    asked = Asked(
        path=read.folder / weather.file,
        name=weather.file,
        layout=weather.layout,
        zone=weather.zone,
        stamp=weather.stamp or "start",
        columns=None if weather.columns is None else tuple(weather.columns.items()),
        missing=tuple(weather.missing or ()),
        year=weather.start.astimezone(dt.UTC).year,
    )
    hourly = _told(read, asked, ("weather",))
    if weather.rain is None:
        return hourly, None
    without = {holds: values for holds, values in hourly.values.items() if holds != _RAIN}
    rain = weather.rain
    own = Asked(
        path=read.folder / rain.file,
        name=rain.file,
        zone=rain.zone or weather.zone,
        stamp=rain.stamp or "start",
        columns=None if rain.columns is None else tuple(rain.columns.items()),
        needed=("rain",),
        missing=tuple(rain.missing or ()),
    )
    return replace(hourly, values=without), _told(read, own, ("weather", "rain"))


def head_place(read: Read) -> HeadPlace:
    """Return what the head of a plan's weather file says of the place.

    Raises
    ------
    PlanFaults
        Where the file cannot be read.
    """
    return _tables(read)[0].place


def _told(read: Read, asked: Asked, here: tuple[str, ...]) -> Hourly:
    """Read a file; what is wrong with it is told at its key of the plan."""
    try:
        return read_hourly(asked)
    except WeatherFault as fault:
        keys = {" ".join(name.split()): name for name, _ in asked.columns or ()}
        at = [(*here, "columns", keys[column]) if column in keys else (*here, "file") for column, _ in fault.faults]
        said = [read.fault(what, *path) for path, (_, what) in zip(at, fault.faults, strict=True)]
        raise PlanFaults(said, read.name) from None


def _between(read: Read, begin: int, count: int) -> Series:
    """Return `count` hours from `begin`, or raise with what is missing or wrong in them."""
    weather = read.plan.weather
    hourly, rain = _tables(read)
    laid, fallen, notes = _laid(weather, hourly, rain, begin, count)
    faults = [read.fault(what, "weather", "file") for what in _few(laid.wrong)]
    if rain is not None:
        wrong = lay(rain, begin, count, 0).wrong
        faults += [read.fault(what, "weather", "rain", "file") for what in _few(wrong)]
    if not faults:
        faults = list(_lacking(read, laid, fallen, begin, count))
    if faults:
        raise PlanFaults(faults, read.name)
    filled = laid.filled[_AIR] | laid.filled[_WIND]
    others = {holds: values for holds, values in laid.values.items() if holds not in (_AIR, _WIND, _RAIN)}
    for holds, values in laid.values.items():
        if (by_line := int(laid.filled[holds].sum())) and holds != _RAIN:
            notes.append(f"{_word(holds)}: {by_line} of {count} h filled by a straight line")
        if holds in others and (gone := int(np.isnan(values).sum())):
            notes.append(f"{_word(holds)}: missing in {gone} of {count} h")
    came = f"{weather.file}, beside the plan"
    if hourly.typical:
        came = f"{weather.file}, a typical year, beside the plan"
    if weather.rain is not None:
        came += f"; rain from {weather.rain.file}"
    times = (begin + HOUR * np.arange(count)).astype("datetime64[s]")
    wind = laid.values[_WIND]
    return Series(times, laid.values[_AIR], wind, _low(weather, wind), fallen, filled, others, came, tuple(notes))


def _laid(
    weather: Weather, hourly: Hourly, rain: Hourly | None, begin: int, count: int
) -> tuple[Laid, FloatArray, list[str]]:
    """Return the hours, their rain, and what to note of the rain."""
    laid = lay(hourly, begin, count, _max_gap(weather))
    if rain is not None:
        return laid, lay(rain, begin, count, 0).values[_RAIN], []
    has_rain = _RAIN in hourly.values and not (hourly.typical and not np.nansum(hourly.values[_RAIN]))
    if not has_rain:
        return laid, np.zeros(count), [_NO_RAIN]
    return laid, laid.values[_RAIN], []


def _lacking(read: Read, laid: Laid, fallen: FloatArray, begin: int, count: int) -> Iterator[Fault]:
    """Tell which hours the file lacks, and what its lines leave out."""
    weather = read.plan.weather
    bare = np.isnan(laid.values[_AIR]) | np.isnan(laid.values[_WIND])
    absent = bare & (laid.lines == 0)
    if gone := int(absent.sum()):
        start = weather.start
        if start is None or int(start.timestamp()) != begin:
            start = dt.datetime.fromtimestamp(begin, dt.UTC)
        what = f"the weather file {weather.file} lacks {gone} of the {count} hours from {start.isoformat()}"
        what += "; its hours must start at the same minute" + _allowed_gap(weather)
        if weather.layout != "columns":
            what += "; a typical year may have no 29 February"
        yield read.fault(what, "weather", "start")
    for holds in (_AIR, _WIND):
        lines = laid.lines[np.isnan(laid.values[holds]) & (laid.lines > 0)]
        if len(lines):
            what = f"the weather file {weather.file} has no {_word(holds)} in {_in_lines(lines)}{_allowed_gap(weather)}"
            yield read.fault(what, "weather", "file")
    dry = np.isnan(fallen) & ~absent
    if gone := int(dry.sum()):
        name = weather.file if weather.rain is None else weather.rain.file
        first = dt.datetime.fromtimestamp(begin + HOUR * int(np.argmax(dry)), dt.UTC)
        what = (
            f"the weather file {name} has no rain for {gone} of the {count} hours, the first from {first:%Y-%m-%d %H:%M} UTC; "
            "rain is never filled: write 0 where none fell, take it from another file, or leave the column of rain out"
        )
        yield read.fault(what, "weather", *(("rain",) if weather.rain is not None else ()), "file")


def _allowed_gap(weather: Weather) -> str:
    if weather.max_gap is None:
        return '; max_gap = "3 h" would have short gaps filled by a straight line'
    return f"; gaps of up to {_max_gap(weather)} h are filled"


def _in_lines(lines: NDArray[np.int64]) -> str:
    shown = ", ".join(str(line) for line in lines[:_MOST_SAID].tolist())
    more = f" and {len(lines) - _MOST_SAID} more" if len(lines) > _MOST_SAID else ""
    return f"line{'' if len(lines) == 1 else 's'} {shown}{more}"


def _few(said: Sequence[str]) -> list[str]:
    more = len(said) - _MOST_SAID
    return [*said[: _MOST_SAID - 1], f"{said[_MOST_SAID - 1]}; and {more} more like it"] if more > 0 else list(said)


def _word(holds: Holds) -> str:
    word = next(word for word, quant in QUANTITIES.items() if quant.key == holds[0])
    return word if holds[1] is None else f"{word} {holds[1]:g} cm"


def _unbroken(read: Read, begin: int) -> tuple[int, int]:
    """Return first hour and number of hours, around `begin`, in which nothing is missing that is needed."""
    weather = read.plan.weather
    hourly, rain = _tables(read)
    first, count = stretch(hourly, begin, _max_gap(weather))
    laid, fallen, _ = _laid(weather, hourly, rain, first, count)
    broken = np.flatnonzero(np.isnan(laid.values[_AIR]) | np.isnan(laid.values[_WIND]) | np.isnan(fallen))
    here = (begin - first) // HOUR
    before, after = broken[broken < here], broken[broken > here]
    low = int(before[-1]) + 1 if len(before) else 0
    high = int(after[0]) if len(after) else count
    return first + low * HOUR, high - low
