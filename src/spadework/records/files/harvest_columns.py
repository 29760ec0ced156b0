"""What the columns of a yield log are: said by the person in a small TOML file, in no maker's words."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.plan.lines import line_of, lines_of_keys
from spadework.quantities import QuantityError, parse
from spadework.records.tables.columns import clip

__all__ = ["CANONICAL", "CLOCK", "LogColumn", "LogColumns", "LogPlot", "read_log_columns"]

CLOCK: Final = "clock"
"""Unit of times that are written as date and time of day."""
CANONICAL: Final[Mapping[str, str]] = {
    "time": "s",
    "latitude": "deg",
    "longitude": "deg",
    "east": "m",
    "north": "m",
    "flow": "kg/s",
    "speed": "m/s",
    "width": "m",
    "moisture": "1",
    "dry_matter": "1",
    "header": "",
    "plot": "",
}
"""What a log can hold, with the unit that it is turned into."""
_KEYS: Final = ("crop", "delay", "width", "column", "plot")
_PLOT_KEYS: Final = ("name", "system", "block", "start", "end", "width", "trim")
_LARGEST: Final = 200_000


@dataclass(frozen=True)
class LogColumn:
    """One column of a log: name, factor to the canonical unit, unit as written, and the word for a header that is down."""

    name: str
    factor: float
    unit: str
    down: str = ""


@dataclass(frozen=True)
class LogPlot:
    """A plot: a straight strip from start to end, or only the name that the log uses."""

    name: str
    system: str
    block: str
    start: tuple[float, float] | None
    end: tuple[float, float] | None
    width_m: float
    trim_m: float


@dataclass(frozen=True)
class LogColumns:
    """What a log holds, and what the log does not say itself.

    Attributes
    ----------
    columns : Mapping
        Column of each thing.
    crop : str
        ``"forage"`` or ``"grain"``.
    delay_s : float or None
        Time from header to sensor [s]; None where it is to be found from the log.
    width_m : float or None
        Working width, where no column has it [m].
    plots : tuple of LogPlot
        Plots, where the log does not name them or where they have a system and a block.
    """

    columns: Mapping[str, LogColumn]
    crop: str
    delay_s: float | None
    width_m: float | None
    plots: tuple[LogPlot, ...]

    @property
    def on_earth(self) -> bool:
        """True where places are latitudes and longitudes."""
        return "latitude" in self.columns


def read_log_columns(path: Path) -> LogColumns:
    """Read what the columns of a log are.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and key.
    """
    try:
        data = path.read_bytes()
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
        if len(data) > _LARGEST:
            raise PlanFaults([Fault("", f"is too large; allowed: up to {_LARGEST // 1000} kB")], path.name)
        raw = tomllib.loads(text)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        what = getattr(error, "strerror", None) or str(error)
        raise PlanFaults([Fault("", f"cannot be read ({clip(str(what))})")], clip(str(path))) from None
    found = _Reader(raw, lines_of_keys(text))
    columns = found.columns()
    plots = found.plots("plot" in columns)
    crop, delay, width = found.rest()
    if width is None and "width" not in columns:
        found.fault("width", "is missing; give the working width once, or a column for it")
    if found.faults:
        raise PlanFaults(found.faults, path.name)
    return LogColumns(columns, crop, delay, width, plots)


class _Reader:
    """Reads the parts of the file and gathers faults."""

    def __init__(self, raw: Mapping[str, Any], lines: Mapping[tuple[str | int, ...], int]) -> None:
        self.raw, self.lines, self.faults = raw, lines, list[Fault]()
        for key in raw:
            if key not in _KEYS:
                self.fault(key, f"is not known{nearest(key, _KEYS) or '; allowed: ' + ', '.join(_KEYS)}")

    def fault(self, key: str, what: str, *path: str | int) -> None:
        self.faults.append(Fault(clip(key), what, line_of(path or (key,), self.lines)))

    def quantity(
        self, key: str, value: object, unit: str, most: float, *path: str | int, zero: bool = True
    ) -> float | None:
        try:
            if not isinstance(value, str):
                raise QuantityError(f'is {clip(str(value))}; allowed: text with a unit, such as "12 {unit}"')
            read = parse(value, unit).value
        except QuantityError as error:
            self.fault(key, str(error), *path)
            return None
        if not (0 <= read <= most) or (not zero and read == 0):
            self.fault(key, f"is {read:g} {unit}; allowed: {'' if zero else 'more than '}0 to {most:g} {unit}", *path)
            return None
        return read

    def rest(self) -> tuple[str, float | None, float | None]:
        crop = self.raw.get("crop", "forage")
        if crop not in ("forage", "grain"):
            self.fault("crop", f'is "{clip(str(crop))}"; allowed: forage or grain')
        delay = width = None
        if "delay" in self.raw:
            delay = self.quantity("delay", self.raw["delay"], "s", 120)
        if "width" in self.raw:
            width = self.quantity("width", self.raw["width"], "m", 30, zero=False)
            width = width if width is not None else 1.0
        return str(crop), delay, width

    def columns(self) -> dict[str, LogColumn]:
        raw = self.raw.get("column")
        if not isinstance(raw, dict):
            self.fault("column", f"is missing; say for each of {', '.join(CANONICAL)} that the log has: name and unit")
            return {}
        found = {}
        for what, said in raw.items():
            if what not in CANONICAL:
                allowed = nearest(what, CANONICAL) or "; allowed: " + ", ".join(CANONICAL)
                self.fault(f"column.{what}", f"is not known{allowed}", "column", what)
                continue
            one = self._column(what, said)
            if one is not None:
                found[what] = one
        given = set(raw)
        for key in ("time", "flow", "speed"):
            if key not in given:
                self.fault(f"column.{key}", "is missing; a log without it gives no yield", "column")
        pairs = [pair for pair in (("latitude", "longitude"), ("east", "north")) if given & set(pair)]
        if len(pairs) != 1 or not set(pairs[0]) <= given:
            self.fault("column", "gives no place; allowed: latitude and longitude, or east and north", "column")
        if {"moisture", "dry_matter"} <= given:
            self.fault("column", "gives moisture and dry_matter; allowed: one of the two", "column")
        return found

    def _column(self, what: str, said: object) -> LogColumn | None:
        key, path = f"column.{what}", ("column", what)
        if not isinstance(said, dict) or not isinstance(said.get("name"), str) or not said["name"].strip():
            self.fault(key, 'needs the name of the column, such as { name = "v", unit = "km/h" }', *path)
            return None
        unit, name = said.get("unit", ""), said["name"].strip().lower()
        if extra := [one for one in said if one not in ("name", "unit", "down")]:
            self.fault(key, f"has {clip(extra[0])}; allowed: name, unit, and down for the header", *path)
        if what == "header":
            if "down" not in said:
                self.fault(
                    key, 'needs the word that stands in the log while the header is down, such as down = "1"', *path
                )
            return LogColumn(name, 1.0, "", str(said.get("down", "")).strip().lower())
        if what == "plot":
            return LogColumn(name, 1.0, "")
        if what in ("latitude", "longitude"):
            if unit != "deg":
                self.fault(key, 'needs unit = "deg", degrees with decimals', *path)
            return LogColumn(name, 1.0, "deg")
        if what in ("moisture", "dry_matter"):
            if unit not in ("%", "share"):
                self.fault(key, 'needs unit = "%" or "share"', *path)
            return LogColumn(name, 0.01 if unit == "%" else 1.0, str(unit))
        if what == "time" and unit == CLOCK:
            return LogColumn(name, 1.0, CLOCK)
        try:
            return LogColumn(name, parse(f"1 {unit}".strip(), CANONICAL[what]).value, str(unit))
        except QuantityError as error:
            more = f', or "{CLOCK}" for date and time' if what == "time" else ""
            self.fault(key, f"unit: {error}{more}", *path)
            return None

    def plots(self, named: bool) -> tuple[LogPlot, ...]:
        raw = self.raw.get("plot", [])
        if not isinstance(raw, list) or not all(isinstance(one, dict) for one in raw):
            self.fault("plot", "must be a list of plots, each under [[plot]]")
            return ()
        if not raw and not named:
            self.fault(
                "plot", "is missing; give a [[plot]] with start, end and width for each, or a column that names them"
            )
        found = [plot for number, one in enumerate(raw) if (plot := self._plot(number, one, named)) is not None]
        names = [plot.name for plot in found]
        for twice in sorted({name for name in names if names.count(name) > 1}):
            self.fault("plot", f'"{clip(twice)}" stands twice; allowed: once')
        return tuple(found)

    def _plot(self, number: int, one: Mapping[str, Any], named: bool) -> LogPlot | None:
        here = f"plot {number + 1}"
        for key in one:
            if key not in _PLOT_KEYS:
                self.fault(here, f"{clip(key)} is not known{nearest(key, _PLOT_KEYS)}", "plot", number, key)
        words = {key: one.get(key, "") for key in ("name", "system", "block")}
        for key, word in words.items():
            if not isinstance(word, str) or len(word) > 40 or (key == "name" and not word.strip()):
                self.fault(here, f"{key} must be text of up to 40 characters", "plot", number, key)
                return None
        ends = [self._corner(here, number, key, one.get(key)) for key in ("start", "end")]
        width = trim = 0.0
        if any(key in one for key in ("start", "end", "width")) or not named:
            if None in ends:
                self.fault(here, "needs start and end, each as two numbers in the unit of the log", "plot", number)
            width = self.quantity(here, one.get("width", ""), "m", 100, "plot", number, "width", zero=False) or 0.0
        if "trim" in one:
            trim = self.quantity(here, one["trim"], "m", 1000, "plot", number, "trim") or 0.0
        texts = {key: word.strip() for key, word in words.items()}
        return LogPlot(texts["name"], texts["system"], texts["block"], ends[0], ends[1], width, trim)

    def _corner(self, here: str, number: int, key: str, value: object) -> tuple[float, float] | None:
        if value is None:
            return None
        numbers: Iterable[object] = value if isinstance(value, list) else ()
        read = [float(v) for v in numbers if isinstance(v, int | float) and not isinstance(v, bool)]
        if len(read) != 2 or not isinstance(value, list) or len(value) != 2:
            self.fault(
                here, f"{key} must be two numbers: latitude and longitude, or east and north", "plot", number, key
            )
            return None
        return read[0], read[1]
