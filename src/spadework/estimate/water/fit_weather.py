"""Fit days out of the weather: the springs of the file, and how ground that was not worked dries in each of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.estimate.water.days import RULES
from spadework.estimate.water.reference_days import reference_days
from spadework.plan import PlanFaults, Read
from spadework.plan.weather.day_hours import DayHours, day_hours
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.seedbed.water.store import fit_days_of_springs

__all__ = ["Springs", "count_fit", "fit_of", "springs"]

_AT_ONCE: Final = 400  # soils, so that memory stays small; even, so that the shapes of residue alternate through


@dataclass(frozen=True, eq=False)
class Springs:
    """The weather of the springs in a file; arrays are springs by days.

    Attributes
    ----------
    years : tuple of int
        Of each spring; one only where it was put together of several.
    first : date
        First day of the window, in the year of the plan.
    lead, window : int
        Days before the window, and in it; further days follow it.
    et_mm, rain_mm, min_degc : ndarray
        Of each day; nil before the file begins, so that the ground stays at field capacity till then.
    known : ndarray of bool
        Whether the day, and all between it and the first of the window, stand in the file.
    notes : tuple of str
        What a reader must be told.
    """

    years: tuple[int, ...]
    first: dt.date
    lead: int
    window: int
    et_mm: FloatArray
    rain_mm: FloatArray
    min_degc: FloatArray
    known: NDArray[np.bool_]
    notes: tuple[str, ...]

    @property
    def inside(self) -> slice:
        """The days of the window."""
        return slice(self.lead, self.lead + self.window)


def springs(read: Read) -> Springs:
    """Return the springs of the weather file: the days of the farm's window in every year, with those before and after.

    The window begins on the day of the plan's start.  A year counts where the file holds every day of its window, with
    its rain.  Where no year does, one is put together of days of several, as in a typical year.

    Raises
    ------
    PlanFaults
        Where there is no rain, or no whole window in the file.
    """
    plan, k = read.plan, constants("water_weeks")
    farm, start = plan.farm, plan.weather.start
    if farm is None or start is None or plan.weather.file is None:
        raise ValueError("this plan has no farm, or no weather file")
    table = day_hours(read)
    if not table.has_rain:
        what = (
            f"fit days cannot be worked out: there is no rain in {plan.weather.file}; give it a file of its own under "
            "[weather.rain], or give fit_days and stay_fit yourself"
        )
        raise PlanFaults([read.fault(what, "farm", "fit_moisture")], read.name)
    lead, around, window = int(k.lead_days), int(k.around_days), int(farm.window.value)
    first = start.date()
    found: list[NDArray[np.int64]] = []
    years: list[int] = []
    left_out: list[int] = []
    notes: list[str] = []
    wet = np.asarray(~np.isnan(table.rain_mm).any(axis=1))
    for year in (first.year,) if table.typical else table.years:
        rows = _rows(table, wet, _dates(first, year, lead, window + around), other_years=False)
        if (rows[lead : lead + window] < 0).any():
            left_out.append(year)
            continue
        found.append(rows)
        years.append(year)
    if not found:
        rows = _rows(table, wet, _dates(first, first.year, lead, window + around), other_years=True)
        if (rows[lead : lead + window] < 0).any():
            what = (
                f"fit days cannot be worked out: {plan.weather.file} holds no year with every day of the "
                f"{window} days from {first.day}.{first.month}., each with its rain"
            )
            raise PlanFaults([read.fault(what, "farm", "fit_moisture")], read.name)
        found, years = [rows], [first.year]
        notes.append("no year of the weather file is whole: one spring was put together of days of several years")
    elif left_out and not table.typical:
        notes.append(f"years left out, as days or rain of the window are missing: {_row_of_years(left_out)}")
    rows = np.array(found)
    lasting = _followed(rows, lead)
    if len(years) == 1:
        kind = "a typical year" if table.typical else "one year"
        notes.append(
            f"the weather file holds {kind} only: how springs differ from one another cannot be told from it; "
            f"{k.wished_years:g} years are wanted"
        )
    elif len(years) < k.wished_years:
        notes.append(f"{len(years)} springs are few; {k.wished_years:g} are wanted")
    short = int((~lasting[:, :lead]).sum(axis=1).max())
    if short:
        notes.append(f"the weather begins up to {short} days late: the ground is at field capacity till then")
    used, place = np.unique(rows[lasting], return_inverse=True)
    weather = reference_days(read, table, used)
    wanted = ("sea level", "was measured", "straight line", "the head of")
    notes += [note for note in weather.notes if any(words in note for words in wanted)]

    def laid(values: FloatArray) -> FloatArray:
        whole = np.zeros(rows.shape)
        whole[lasting] = values[place]
        return whole

    return Springs(
        tuple(years), first, lead, window, laid(weather.et_mm), laid(weather.rain_mm), laid(weather.min_degc), lasting,
        tuple(notes),
    )  # fmt: skip


def _dates(first: dt.date, year: int, before: int, after: int) -> list[dt.date]:
    day = 28 if (first.month, first.day) == (2, 29) else first.day
    begin = dt.date(year, first.month, day)
    return [begin + dt.timedelta(days=number) for number in range(-before, after)]


def _rows(table: DayHours, wet: NDArray[np.bool_], dates: list[dt.date], *, other_years: bool) -> NDArray[np.int64]:
    rows, _ = table.rows_of(dates, other_years=other_years)
    return np.where((rows >= 0) & wet[rows], rows, -1)


def _followed(rows: NDArray[np.int64], lead: int) -> NDArray[np.bool_]:
    """Return which days can be followed without a gap up to the window, and on from its first day."""
    there = rows >= 0
    before = np.flip(np.logical_and.accumulate(np.flip(there[:, :lead], axis=1), axis=1), axis=1)
    return np.concatenate([before, np.logical_and.accumulate(there[:, lead:], axis=1)], axis=1)


def _row_of_years(years: list[int]) -> str:
    shown = ", ".join(map(str, years[:5]))
    return shown if len(years) <= 5 else f"{shown} and {len(years) - 5} more"


def fit_of(
    weather: Springs,
    capacity: FloatArray,
    evaporable: FloatArray,
    readily: FloatArray,
    layer: FloatArray,
    cover: FloatArray,
    limit: FloatArray,
) -> FloatArray:
    """Return for each soil, spring and day whether the day is fit; every other soil with the other shape of residue.

    Of a single soil the first shape is taken.
    """
    soils = [np.asarray(array) for array in np.broadcast_arrays(capacity, evaporable, readily, layer, cover, limit)]
    found = np.empty((len(soils[0]), *weather.et_mm.shape))
    for place, rule in enumerate(RULES):
        one, two, three, four, five, six = (array[place::2] for array in soils)
        if len(one):
            found[place::2] = fit_days_of_springs(
                one, two, three, four, five, six, weather.et_mm, weather.rain_mm, weather.min_degc, rule
            )
    return found


def count_fit(weather: Springs, **soils: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return for each soil, over the windows of all springs: fit days, days after one, fit days after one.

    The soils are those of :func:`fit_of`.
    """
    end = weather.inside.stop
    short = replace(
        weather, et_mm=weather.et_mm[:, :end], rain_mm=weather.rain_mm[:, :end], min_degc=weather.min_degc[:, :end]
    )
    names = list(soils)
    arrays = np.broadcast_arrays(*soils.values())
    counts: list[FloatArray] = []
    for start in range(0, len(arrays[0]), _AT_ONCE):
        some = {name: array[start : start + _AT_ONCE] for name, array in zip(names, arrays, strict=True)}
        fit = fit_of(short, **some)[:, :, weather.inside]
        first, second = fit[:, :, :-1], fit[:, :, 1:]
        counts.append(np.array([part.sum(axis=(1, 2)) for part in (fit, first, first * second)]))
    days, befores, pairs = np.concatenate(counts, axis=1)
    return days, befores, pairs
