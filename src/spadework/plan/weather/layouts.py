"""What a column of a weather file holds: quantities by their trade words, in the units of the file, times in its own way."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from spadework.plan.faults import nearest
from spadework.plan.weather.times import AS_ISO, time_reader
from spadework.quantities import QuantityError, parse, units_that_do
from spadework.reference import load

__all__ = ["HOUSE", "NEEDED", "QUANTITIES", "TIMES", "Column", "Mapped", "Quant", "limits_of", "map_columns"]


@dataclass(frozen=True, slots=True)
class Quant:
    """A quantity of the weather.

    Attributes
    ----------
    key : str
        Its row in the table of limits.
    unit : str
        The unit in which it is kept.
    units : tuple of str
        The units in which a file may have it, by kind.
    fills : bool
        Whether a straight line may stand in for a missing hour; never for what falls or rises in an hour.
    """

    key: str
    unit: str
    units: tuple[str, ...]
    fills: bool = True


QUANTITIES: Final[Mapping[str, Quant]] = {
    "air temperature": Quant("air_temperature", "degC", ("degC",)),
    "wind": Quant("wind", "m/s", ("m/s",)),
    "rain": Quant("rain", "mm", ("mm", "mm/h"), fills=False),
    "relative humidity": Quant("relative_humidity", "1", ("%",)),
    "global radiation": Quant("global_radiation", "W/m2", ("W/m2", "MJ/m2")),
    "soil temperature at": Quant("soil_temperature", "degC", ("degC",)),
    "evaporation": Quant("evaporation", "mm", ("mm", "mm/h"), fills=False),
}
"""What a column can hold, by its trade word; that of the soil is followed by a depth."""

NEEDED: Final = ("air_temperature", "wind")
TIMES: Final = ("time", "date", "time of day")

HOUSE: Final[Mapping[str, str]] = {
    "time": "time",
    "air_temperature_degc": "air temperature, degC",
    "wind_m_s": "wind, m/s",
    "rain_mm": "rain, mm",
    "relative_humidity_pct": "relative humidity, %",
    "global_radiation_w_m2": "global radiation, W/m2",
    "evaporation_mm": "evaporation, mm",
}
"""What the columns of a file are taken for where the plan does not say it; from the fourth on they may be missing."""

_HOUR_S: Final = 3600
_MANY: Final = 1_000_000  # so many units, so that the difference of two temperatures keeps its digits
_IN_KEPT: Final = {"%": 0.01, "MJ/m2": 1e6 / _HOUR_S}
_FACTOR = re.compile(r"(\d+(?:\.\d+)?) +(?=\D)(.+)")


@dataclass(frozen=True, slots=True)
class Column:
    """One column of numbers: ``kept = scale * number + offset``.

    Attributes
    ----------
    name : str
        Its name in the head of the file.
    quant : Quant
        What it holds.
    scale, offset : float
        From the unit of the file to that in which the quantity is kept.
    depth_cm : float or None
        Depth of a soil temperature.
    """

    name: str
    quant: Quant
    scale: float
    offset: float
    depth_cm: float | None = None

    @property
    def holds(self) -> tuple[str, float | None]:
        """What the column holds, down to the depth."""
        return self.quant.key, self.depth_cm


@dataclass(frozen=True, slots=True)
class Mapped:
    """Which columns hold the time, how it is written, and which hold numbers."""

    times: tuple[str, ...]
    pattern: str
    columns: tuple[Column, ...]


def limits_of(quant: Quant) -> tuple[float, float]:
    """Return the smallest and the largest value that is taken for a reading, in the unit in which it is kept."""
    entry = load("weather_limits")[quant.key].entry("value")
    return entry.low, entry.high


def map_columns(said: Mapping[str, str], needed: tuple[str, ...] = NEEDED) -> tuple[Mapped, dict[str, str]]:
    """Read what a plan says of the columns of a file.

    Parameters
    ----------
    said : mapping
        ``quantity, unit`` by name of the column.
    needed : tuple of str
        Keys of the quantities that must be among them.

    Returns
    -------
    Mapped
        What could be read.
    dict
        Everything that is wrong, by name of the column; under the empty name what is wrong with the whole.

    Examples
    --------
    >>> mapped, wrong = map_columns({"When": "time", "T": "air temperature, degF", "W": "wind, km/h"})
    >>> [(column.name, round(column.scale, 4)) for column in mapped.columns], wrong
    ([('T', 0.5556), ('W', 0.2778)], {})
    """
    wrong: dict[str, str] = {}
    columns: dict[tuple[str, float | None], Column] = {}
    times: dict[str, tuple[str, str]] = {}
    names: set[str] = set()
    for raw, meaning in said.items():
        name = " ".join(raw.split())
        word, _, rest = (" ".join(part.split()) for part in meaning.partition(","))
        if name in names:
            wrong[raw] = "this column stands twice; keep one of the two"
        elif word in TIMES:
            if word in times:
                wrong[raw] = f'"{times[word][0]}" holds the {word} already'
            times.setdefault(word, (name, rest))
        else:
            try:
                column = _column(name, word, rest)
            except ValueError as error:
                wrong[raw] = str(error)
                continue
            if column.holds in columns:
                wrong[raw] = f'"{columns[column.holds].name}" holds the {word} already; keep one of the two'
            columns.setdefault(column.holds, column)
        names.add(name)
    pattern, problem = _pattern(times)
    whole = [problem] if problem and (times or not wrong) else []
    words = {quant.key: f"{word}, {quant.unit}" for word, quant in QUANTITIES.items()}
    held = {key for key, _ in columns}
    if not wrong:
        whole += [
            f'no column holds the {words[key].partition(",")[0]}; say, e.g. "Name in the file" = "{words[key]}"'
            for key in needed
            if key not in held
        ]
    if whole:
        wrong[""] = "; ".join(whole)
    in_order = tuple(times[word][0] for word in TIMES if word in times)
    return Mapped(in_order, pattern, tuple(columns.values())), wrong


def _pattern(times: Mapping[str, tuple[str, str]]) -> tuple[str, str]:
    """Return how the time is written, both parts of it joined where it stands in two columns, and what is wrong."""
    if set(times) == {"time"}:
        pattern = times["time"][1]
    elif set(times) == {"date", "time of day"}:
        pattern = f"{times['date'][1] or 'YYYY-MM-DD'} {times['time of day'][1] or 'hh:mm'}"
    else:
        return AS_ISO, 'say which column holds the time, e.g. "Date/Time" = "time", or "date" and "time of day" in two'
    try:
        time_reader(pattern)
    except ValueError as error:
        return pattern, str(error)
    return pattern, ""


def _column(name: str, word: str, unit: str) -> Column:
    depth = None
    base = word
    if word.startswith("soil temperature"):
        base = "soil temperature at"
        try:
            depth = parse(word.removeprefix("soil temperature").strip().removeprefix("at").strip(), "cm").value
        except QuantityError:
            raise ValueError('a soil temperature needs its depth, e.g. "soil temperature at 5 cm, degC"') from None
        if not 0 <= depth <= 1_000:
            raise ValueError(f"a soil temperature at {depth:g} cm is not read; from 0 to 1000 cm")
    if base not in QUANTITIES:
        known = [*TIMES, *(w + " 5 cm" if w.endswith(" at") else w for w in QUANTITIES)]
        raise ValueError(
            f'"{word[:60]}" is nothing that is read{nearest(word, known) or "; known: " + ", ".join(known)}'
        )
    quant = QUANTITIES[base]
    scale, offset = _scale(word, unit, quant)
    return Column(name, quant, scale, offset, depth)


def _scale(word: str, unit: str, quant: Quant) -> tuple[float, float]:
    """Return scale and offset from a unit of the file, which may have a factor before it, as 0.1 degC."""
    if not unit:
        do = ", ".join(dict.fromkeys(u for kind in quant.units for u in units_that_do(kind)))
        raise ValueError(f'"{word}" has no unit; write it behind a comma, e.g. "{word}, {quant.units[0]}" ({do})')
    factor = 1.0
    if match := _FACTOR.fullmatch(unit):
        factor, unit = float(match[1]), match[2]
    try:
        zero, many = (parse(f"{number} {unit}", *quant.units) for number in (0, _MANY))
    except QuantityError as error:
        raise ValueError(str(error).replace(f'"0 {unit}"', f'"{unit}"')) from None
    if not factor or {zero.kind, many.kind} != {"exact"}:
        raise ValueError(f'"{unit}" is no unit')
    kept = _IN_KEPT.get(many.unit, 1.0)
    return kept * factor * (many.value - zero.value) / _MANY, kept * zero.value
