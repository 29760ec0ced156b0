"""Figures in words: which ones head every page, how they are rounded, and how chances and weather are said."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate import SHARE_PRINTED, Estimate, Spread
from spadework.estimate.workings.explain import unit_text
from spadework.plan.weather.series import Hours
from spadework.ranges import FloatArray

__all__ = [
    "GROUPS",
    "INTERVAL",
    "MAIN",
    "STANDING",
    "STANDING_LONG",
    "Main",
    "chance",
    "day",
    "decimals_for",
    "difference",
    "figure_text",
    "interval_text",
    "place_line",
    "price_line",
    "spread_of",
    "terms_line",
    "unit_of",
    "weather_line",
]

STANDING: Final = "estimated"
STANDING_LONG: Final = "estimated: models only, nothing measured"
INTERVAL: Final = f"{SHARE_PRINTED:.0%} of draws".replace("%", " %")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_TAIL = (1 - SHARE_PRINTED) / 2


@dataclass(frozen=True, slots=True)
class Main:
    """A figure that heads the report.

    Attributes
    ----------
    name : str
        On the worksheet.
    title, short : str
        For a row of a table and for the head of a narrow column.
    unit : str
        As people read it; ``EUR`` stands for the currency of the plan.
    factor : float
        From the unit of the worksheet to this one.
    """

    name: str
    title: str
    short: str
    unit: str
    factor: float = 1.0


GROUPS: Final[tuple[tuple[str, tuple[Main, ...]], ...]] = (
    (
        "What will it cost and burn?",
        (
            Main("pass_cost", "Cost of the passes", "passes", "EUR/ha"),
            Main("cost", "Cost with slurry and fertiliser", "with slurry, fertiliser", "EUR/ha"),
            Main("fuel", "Diesel", "diesel", "L/ha"),
        ),
    ),
    (
        "How long will it take?",
        (
            Main("hours", "Field time, all passes", "time", "h/ha"),
            Main("rate", "Work rate, one pass after the other", "work rate", "ha/h"),
        ),
    ),
    (
        "What will it lose?",
        (
            Main("lost_n", "Nitrogen lost as ammonia", "ammonia", "kg N/ha"),
            Main("loss_share", "Ammonia lost, as a share", "ammonia", "% of ammoniacal N", 100.0),
            Main("co2e", "Greenhouse gases, as CO2", "gases", "kg CO2e/ha"),
        ),
    ),
    (
        "What will it leave?",
        (
            Main("available_n", "Nitrogen the crop can use this year", "N for the crop", "kg N/ha"),
            Main("cover", "Residue on the ground after sowing", "residue cover", "% of the ground", 100.0),
            Main("gap", "Gap from seed to band", "gap, seed to band", "cm"),
        ),
    ),
)
MAIN: Final[tuple[Main, ...]] = tuple(main for _, group in GROUPS for main in group)


def spread_of(values: FloatArray) -> Spread:
    """Return median and printed interval of draws that stand on no worksheet, such as the cost of one pass.

    Examples
    --------
    >>> spread_of(np.array([1.0, 2.0, 3.0])).mid
    2.0
    """
    low, mid, high = np.quantile(values, (_TAIL, 0.5, 1 - _TAIL))
    return Spread(float(mid), float(low), float(high))


def decimals_for(spreads: Iterable[Spread], factor: float = 1.0) -> int:
    """Return as many decimals as the widest interval can bear: two digits of its width.

    Examples
    --------
    >>> decimals_for([Spread(400, 372, 429)]), decimals_for([Spread(1.27, 1.13, 1.43)])
    (0, 2)
    """
    wide = [(s.high - s.low) * factor for s in spreads if s.high > s.low]
    if not wide:
        return 2
    return min(3, max(0, 1 - math.floor(math.log10(max(wide)))))


def figure_text(value: float, decimals: int, *, sign: bool = False) -> str:
    r"""Return a number with a true minus, thousands parted from 10 000 on, and no minus nil.

    Examples
    --------
    >>> figure_text(-0.2, 0), figure_text(12345.6, 0), figure_text(3.0, 1, sign=True)
    ('0', '12\u202f346', '+3.0')
    """
    text = f"{abs(value):.{decimals}f}"
    if len(text.partition(".")[0]) > 4:
        text = f"{abs(value):,.{decimals}f}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    if not any(c in "123456789" for c in text):
        return text
    return ("−" if value < 0 else "+" if sign else "") + text


def interval_text(spread: Spread, decimals: int | None = None, factor: float = 1.0, *, sign: bool = False) -> str:
    """Return ``mid (low to high)``, or the bare figure where nothing varies.

    Examples
    --------
    >>> interval_text(Spread(38.495, 34.9, 42.1))
    '38.5 (34.9 to 42.1)'
    >>> interval_text(Spread(0.75, 0.75, 0.75), factor=100.0)
    '75'
    """
    places = decimals_for([spread], factor) if decimals is None else decimals
    mid, low, high = (figure_text(v * factor, places, sign=sign) for v in (spread.mid, spread.low, spread.high))
    if spread.low == spread.high:
        return mid.rstrip("0").rstrip(".") if decimals is None and "." in mid else mid
    return f"{mid} ({low} to {high})"


def unit_of(main: Main, estimate: Estimate) -> str:
    """Return the unit of a main figure, in the currency of the plan."""
    return unit_text(main.unit, estimate.plan.prices.currency)


def difference(estimate: Estimate, name: str, system: int) -> FloatArray | None:
    """Return the draws of a figure less those of the baseline; None where one of the two has no such figure."""
    if not (estimate.has(name, system) and estimate.has(name, estimate.baseline)):
        return None
    values: FloatArray = estimate.values(name, system) - estimate.values(name, estimate.baseline)
    return values


def chance(values: FloatArray, less: str = "less", more: str = "more") -> str:
    """Return in how large a share of the draws a difference has its sign; never a certainty.

    Examples
    --------
    >>> chance(np.array([-1.0, -2.0, -1.5, 0.5])), chance(np.zeros(3))
    ('less in 75 % of draws', 'no difference')
    """
    if np.all(values == 0):
        return "no difference"
    below, above = float(np.mean(values < 0)), float(np.mean(values > 0))
    if len(values) == 1:
        return f"{less if below else more} (a single draw)"
    word, share = (less, below) if below >= above else (more, above)
    if share == 1:
        return f"{word} in all draws"
    return f"{word} in {'over 99' if share >= 0.995 else format(100 * share, '.0f')} % of draws"


def weather_line(hours: Hours) -> str:
    """Return the weather of the spreading hours in one line."""
    air = _from_to(hours.air_temperature_degc, "°C")
    wind = _from_to(hours.wind_m_s, "m/s")
    when = f"{day(hours.start)}, from {hours.start:%H:%M}, {len(hours.wind_m_s)} h" if hours.start else "a typical hour"
    return f"{when}: air {air}, wind {wind} ({hours.came_from})"


def _from_to(values: tuple[float, ...], unit: str) -> str:
    low, high = (figure_text(v, 1) for v in (min(values), max(values)))
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def day(date: dt.date) -> str:
    """Return a date as it is said, the same in every locale.

    Examples
    --------
    >>> day(dt.date(2026, 3, 1))
    '1 March 2026'
    """
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}"


def place_line(estimate: Estimate) -> str:
    """Return the field in one line."""
    field = estimate.plan.field
    return f"{field.name}: {field.area.text}, {field.texture.replace('_', ' ')}"


def terms_line(estimate: Estimate) -> str:
    """Return at what terms the systems are compared, and how much slurry each of them gets."""
    terms = estimate.plan.slurry.terms
    if terms != "equal available N":
        same = " (with one slurry for all that is equal volume)" if terms == "equal ammoniacal N" else ""
        dose = interval_text(spread_of(estimate.sheet["dose"]))
        return f"Compared at {terms}{same}: {dose} m3/ha of slurry wherever it is placed"
    doses = [(name, estimate.dose(s)) for s, name in enumerate(estimate.systems)]
    said = ", ".join(f"{name} {interval_text(spread_of(dose), 1)}" for name, dose in doses if float(dose.max()) > 0)
    return f"Compared at equal available N, that of {estimate.plan.baseline}: slurry in m3/ha {said}"


def price_line(estimate: Estimate) -> str:
    """Return of what date, currency and tax the prices are."""
    prices = estimate.plan.prices
    tax = {"without": "without value-added tax", "with": "with value-added tax"}[prices.tax]
    return f"Prices of {day(prices.date)}, in {prices.currency}, {tax}"
