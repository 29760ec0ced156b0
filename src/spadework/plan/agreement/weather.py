"""Whether the keys of a plan's weather agree with one another, and whether its columns say what can be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from spadework.plan.faults import Fault
from spadework.plan.schema.plan import Weather
from spadework.plan.weather.layouts import NEEDED, map_columns
from spadework.plan.weather.times import zone_of

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["faults"]

_OF_A_FILE = ("layout", "start", "hours", "zone", "stamp", "columns", "missing", "rain", "max_gap")
_OF_COLUMNS = ("zone", "stamp", "columns", "missing")
_TMY_HEIGHT_M = 10


def faults(read: Read) -> Iterator[Fault]:
    """Tell what does not agree in the weather of a plan."""
    weather = read.plan.weather
    if weather.file is None:
        yield from _typical(read, weather)
    else:
        yield from _file(read, weather)
    if weather.start is not None and weather.start.tzinfo is None:
        what = "say the time zone, e.g. 2026-04-20T09:00:00+02:00; it is never guessed"
        yield read.fault(what, "weather", "start")
    if weather.wind_height is None:
        what = 'say at which height the wind was measured, e.g. wind_height = "10 m"'
        yield read.fault(what, "weather", "wind_height")


def _typical(read: Read, weather: Weather) -> Iterator[Fault]:
    if weather.air_temperature is None or weather.wind is None:
        what = 'give the typical hour of spreading: air_temperature = "12 degC" and wind = "3 m/s"; or file, start and hours'
        yield read.fault(what, "weather")
    for key in _OF_A_FILE:
        if key in weather.model_fields_set:
            what = f"{key} belongs to a weather file; give file as well, or leave {key} out"
            yield read.fault(what, "weather", key)


def _file(read: Read, weather: Weather) -> Iterator[Fault]:
    if weather.air_temperature is not None or weather.wind is not None:
        yield read.fault("give a file or a typical hour, not both", "weather", "file")
    for key, example in (("start", "2026-04-20T09:00:00+02:00"), ("hours", "8")):
        if getattr(weather, key) is None:
            yield read.fault(f"a weather file needs {key}, e.g. {key} = {example}", "weather", key)
    if weather.layout == "columns":
        yield from _columns(read, weather.columns, NEEDED, "weather")
        if weather.rain is not None and any(_holds_rain(said) for said in (weather.columns or {}).values()):
            what = "the file of the weather holds the rain already; leave that column or [weather.rain] out"
            yield read.fault(what, "weather", "rain")
    else:
        for key in _OF_COLUMNS:
            if key in weather.model_fields_set:
                what = f'{key} is for layout = "columns"; this layout says it itself, so leave {key} out'
                yield read.fault(what, "weather", key)
    if weather.layout == "tmy" and weather.wind_height is not None and weather.wind_height.value != _TMY_HEIGHT_M:
        what = f'the wind of this layout is that of {_TMY_HEIGHT_M} m; write wind_height = "{_TMY_HEIGHT_M} m"'
        yield read.fault(what, "weather", "wind_height")
    yield from _zone(read, weather.zone, "weather")
    if weather.rain is not None:
        yield from _zone(read, weather.rain.zone, "weather", "rain")
        yield from _columns(read, weather.rain.columns, ("rain",), "weather", "rain")


def _holds_rain(said: str) -> bool:
    return said.partition(",")[0].strip() == "rain"


def _zone(read: Read, zone: str | None, *here: str) -> Iterator[Fault]:
    try:
        zone_of(zone or "UTC")
    except ValueError as error:
        yield read.fault(str(error), *here, "zone")


def _columns(read: Read, columns: Mapping[str, str] | None, needed: tuple[str, ...], *here: str) -> Iterator[Fault]:
    if columns is None:
        return
    mapped, wrong = map_columns(columns, needed)
    for name, what in wrong.items():
        yield read.fault(what, *here, "columns", *((name,) if name else ()))
    if here == ("weather", "rain"):
        for column in mapped.columns:
            if column.quant.key != "rain":
                yield read.fault(
                    "only rain is read from this file; leave the column out", *here, "columns", column.name
                )
