"""What is said of warmth and emergence, in cells and sentences that screen, page and print share."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate import Estimate, Spread
from spadework.estimate.seedbed.answers import (
    Figures,
    cold_slurry,
    ends_of_strip,
    figures_of,
    first_sowable,
    window,
)
from spadework.estimate.seedbed.emergence import (
    SHARES,
    SOIL_RULES,
    Emergence,
    emerge,
    rule_label,
)
from spadework.estimate.seedbed.follow import LEAST_DAYS, SEEDBED_DAYS, follow_warmth, seed_depths
from spadework.estimate.seedbed.logger_fit import ZoneFit
from spadework.estimate.seedbed.warmth import SoilWarmth
from spadework.present.wording import chance, figure_text, interval_text, spread_of
from spadework.ranges import FloatArray
from spadework.reference import STANDINGS, constants, load, sources
from spadework.science.seedbed.emergence.stand import days_by_rule
from spadework.science.seedbed.heat.conduction import conduct_from_surface
from spadework.science.seedbed.heat.soil import conductivity_lu_2007, heat_capacity
from spadework.science.seedbed.heat.strip import strip_from_surface
from spadework.science.seedbed.heat.surface import run_surface
from spadework.science.seedbed.heat.surface_transfer import transfer_apply
from spadework.working import equations

__all__ = [
    "CAREFUL",
    "Seedbed",
    "Zone",
    "against_cells",
    "air_words",
    "cold_words",
    "date_words",
    "depth_words",
    "emergence_cells",
    "formula_rows",
    "leaned_rows",
    "seedbed_of",
    "sow_cells",
    "sure_words",
    "warmth_cells",
    "weeks_words",
    "zones",
]

CAREFUL: Final = (
    "A model is no thermometer: before sowing, measure at seed depth in the early morning, in the strip and beside it, on "
    "several days."
)
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_TABLES: Final = (
    "surface_zones", "surface_balance", "heat_soil", "texture_sand", "seedbed_weeks", "emergence", "maize_emergence",
    "reference_et", "soil_evaporation", "band_defaults",
)  # fmt: skip
_FORMULAS: Final = (
    run_surface,
    conductivity_lu_2007,
    heat_capacity,
    strip_from_surface,
    conduct_from_surface,
    transfer_apply,
    days_by_rule,
)


@dataclass(frozen=True, eq=False)
class Seedbed:
    """Everything that is told of a plan's seedbeds."""

    warmth: SoilWarmth
    emergence: Emergence
    fits: tuple[ZoneFit, ...]

    @property
    def notes(self) -> tuple[str, ...]:
        """What a reader must be told."""
        return tuple(dict.fromkeys((*self.warmth.notes, *self.emergence.notes)))


@dataclass(frozen=True, eq=False)
class Zone:
    """A zone of a system with what is said of it; `seed` where the seed lies in it."""

    system: int
    zone: str
    name: str
    seed: bool
    figures: Figures


def seedbed_of(
    estimate: Estimate,
    *,
    days: int = SEEDBED_DAYS,
    start: dt.date | None = None,
    fits: Sequence[ZoneFit] = (),
) -> Seedbed:
    """Work out everything that is told: warmth, emergence, moisture."""
    warmth = follow_warmth(estimate, days=days, start=start, fits=fits, least_days=min(days, LEAST_DAYS))
    return Seedbed(warmth, emerge(estimate, warmth), tuple(fits))


def zones(estimate: Estimate, found: Seedbed) -> list[Zone]:
    """Return the zones of all systems in the order of the plan, the one with the seed first."""
    out = []
    for one in found.warmth.systems:
        name = estimate.systems[one.system]
        for zone in one.zones:
            said = name if zone.name == "whole" else f"{name}: {_WHERE[zone.name]}"
            out.append(
                Zone(
                    one.system, zone.name, said, zone is one.seed_zone, figures_of(found.warmth, one.system, zone.name)
                )
            )
    return out


_WHERE: Final = {"strip": "in the strip", "between": "between strips"}


def warmth_cells(zone: Zone) -> tuple[str, ...]:
    """Return name, mean, day range, and hours at or above the two bounds."""
    f = zone.figures
    hours = (f.hours_above_cool, f.hours_above_warm)
    return (
        zone.name,
        interval_text(spread_of(f.mean_degc), 1),
        interval_text(spread_of(f.range_k), 1),
        *(interval_text(spread_of(one), 0) for one in hours),
    )


def against_cells(estimate: Estimate, found: Seedbed, zone: Zone) -> tuple[str, ...]:
    """Return name, difference of the mean to the baseline with its sign over the draws, and that of the day range."""
    base = figures_of(found.warmth, estimate.baseline)
    mean, wide = zone.figures.mean_degc - base.mean_degc, zone.figures.range_k - base.range_k
    return (
        zone.name,
        interval_text(spread_of(mean), 2, sign=True),
        _sign(mean, "colder", "warmer"),
        interval_text(spread_of(wide), 1, sign=True),
        _sign(wide, "narrower", "wider"),
    )


def _sign(values: FloatArray, less: str, more: str) -> str:
    """Return in how many draws a difference has its sign, as briefly as a cell wants it."""
    return chance(values, less, more).replace(" in all draws", ", all").replace(" in ", ", ").replace(" of draws", "")


def sow_cells(estimate: Estimate, found: Seedbed, system: int) -> tuple[str, ...]:
    """Return the name of a system, and the day on which each rule of sowing is first met."""
    k = constants("seedbed_weeks")
    days = (first_sowable(found.warmth, system, bound) for bound in (k.sow_cool_degc, k.sow_warm_degc))
    return (estimate.systems[system], *(date_words(found.warmth.first, one) for one in days))


def emergence_cells(estimate: Estimate, found: Seedbed, system: int, rule: str) -> tuple[str, ...]:
    """Return the name of a system, and the days on which shares of the plants are up by a rule."""
    days = found.emergence.of(system).days[rule]
    return (estimate.systems[system], *(date_words(found.emergence.sown, one) for one in days))


def date_words(first: dt.date, days: FloatArray) -> str:
    """Return a day with the range that holds the printed share of the draws; what is not reached is said so.

    Examples
    --------
    >>> date_words(dt.date(2026, 4, 20), np.array([10.2, 10.4, 11.1]))
    '30 Apr (30 Apr to 1 May)'
    >>> date_words(dt.date(2026, 4, 20), np.array([np.inf]))
    'not in these weeks'
    >>> date_words(dt.date(2026, 4, 20), np.array([10.2, 10.4, np.inf]))
    '30 Apr (30 Apr or later)'
    """
    low, mid, high = (float(np.quantile(days, at, method="inverted_cdf")) for at in (0.1, 0.5, 0.9))
    said = [_date(first, one) for one in (mid, low, high)]
    if not np.isfinite(high) and np.isfinite(low):
        return f"{said[0]} ({said[1]} or later)" if np.isfinite(mid) else f"{said[0]} ({said[1]} at the earliest)"
    return said[0] if said[1] == said[2] else f"{said[0]} ({said[1]} to {said[2]})"


def _date(first: dt.date, days: float) -> str:
    if not np.isfinite(days):
        return "not in these weeks"
    date = first + dt.timedelta(days=int(days))
    return f"{date.day} {_MONTHS[date.month - 1]}"


def air_words(found: Seedbed) -> str:
    """Return the rules that count the air in one sentence; they know no system."""
    said = [
        f"{rule_label(rule)} {_date(found.emergence.sown, float(days[1]))}"
        for rule, days in found.emergence.air_days.items()
    ]
    return f"Rules that count the air know no system; half of the plants are up by them on: {', '.join(said)}."


def dry_words(estimate: Estimate, found: Seedbed) -> list[str]:
    """Return what would be if nothing but rain wetted the seed; nothing where that is not known or makes no difference."""
    sown, rule, half = found.emergence, SOIL_RULES[0], SHARES.index(0.5)
    known = [one for one in sown.systems if one.too_dry_days is not None and one.too_dry_days.any()]
    if not known:
        return []
    days = min(int(constants("seedbed_weeks").shown_days), found.warmth.days - sown.wait_days)
    said = [
        f"{estimate.systems[one.system]} {interval_text(spread_of(one.too_dry_days), 0)} days, half up "
        f"{date_words(sown.sown, one.rain_only_days[rule][half])}"
        for one in known
        if one.too_dry_days is not None
    ]
    return [
        "These are days for seed in moist soil. If nothing but rain wetted the seed zone, it would be too dry to germinate on "
        f"so many of the first {days} days, and by {rule_label(rule)} half would be up: {'; '.join(said)}. That is the worst "
        "case, for water also rises from below: look with the spade, at the depth of the seed."
    ]


def sure_words(estimate: Estimate, found: Seedbed) -> list[str]:
    """Return for each system worked in strips how sure mean and day range are, strip against the ground between."""
    out = []
    for one in found.warmth.systems:
        if len(one.zones) < 2:
            continue
        strip, between = (figures_of(found.warmth, one.system, zone.name) for zone in one.zones)
        mean, wide = strip.mean_degc - between.mean_degc, strip.range_k - between.range_k
        ratio, name = spread_of(between.range_k / strip.range_k), estimate.systems[one.system]
        out.append(
            f"{name}: over day and night the strip is {_more(spread_of(mean), 'warmer', 'colder')} than the ground between "
            f"({chance(mean, 'colder', 'warmer')}); its day range is {_more(spread_of(wide), 'wider', 'narrower')}: between the "
            f"strips it is {interval_text(ratio, 2)} of that in the strip."
        )
        if all(zone.came_from == "weather" for zone in one.zones):
            ends = ends_of_strip(estimate, found.warmth, one.system)
            low, high = (figure_text(value, 1, sign=True) for value in (ends.mean_low_k, ends.mean_high_k))
            out.append(
                "The day range is known well, the mean weakly. With light thrown back by residue, its hold, and the holds "
                "against evaporation at the ends of their ranges, every end with every other, the mean difference goes from "
                f"{low} to {high} °C (warmer in {100 * ends.warmer_share:.0f} % of these cases), the ratio of the day ranges "
                f"only from {figure_text(ends.ratio_low, 2)} to {figure_text(ends.ratio_high, 2)}. Loggers in both zones say "
                "it better."
            )
    return out


def _more(spread: Spread, more: str, less: str) -> str:
    word = more if spread.mid >= 0 else less
    sign = 1 if spread.mid >= 0 else -1
    low, high = sorted((sign * spread.low, sign * spread.high))
    return f"{interval_text(Spread(sign * spread.mid, low, high), 1)} °C {word}"


def cold_words(estimate: Estimate, found: Seedbed) -> list[str]:
    """Return by how much slurry cools its band at first, for each system that lays one."""
    slurry = constants("seedbed_weeks")["slurry_degc"]
    out = []
    for one in found.warmth.systems:
        cooled = cold_slurry(estimate, found.warmth, one.system)
        if cooled is not None:
            out.append(
                f"{estimate.systems[one.system]}: slurry of {figure_text(slurry.value, 0)} °C makes the soil of the fresh band "
                f"{interval_text(spread_of(cooled), 1)} °C colder at first; within about a day that is gone. It is not in the "
                "figures above."
            )
    return out


def leaned_rows() -> list[tuple[str, str, str]]:
    """Return the tables that warmth and emergence lean on: name with vintage, standing of their rows, sources."""
    out = []
    for name in _TABLES:
        table = load(name)
        counts = Counter(row.cells.get("standing") or str(table.about["standing"]) for row in table.values())
        standing = ", ".join(f"{counts[key]} {key}" for key in STANDINGS if counts[key])
        keys = dict.fromkeys(row.cells.get("source") or str(table.about["source"]) for row in table.values())
        out.append((f"{name} ({table.vintage})", standing, "; ".join(sources()[key].text for key in keys)))
    return out


def formula_rows() -> list[tuple[str, str, str]]:
    """Return the formulas: what each works out, how, and where it is from."""
    known = equations()
    out = []
    for function in _FORMULAS:
        equation = known[function]
        place = f", {equation.locator}" if equation.locator else ""
        out.append((function.__name__, equation.text, f"{sources()[equation.source].text}{place}"))
    return out


def depth_words(estimate: Estimate) -> str:
    """Return where the seed lies."""
    middle, sd = seed_depths(estimate)
    return f"{middle:g} cm deep, scatter {sd:.1f} cm" if sd else f"{middle:g} cm deep"


def weeks_words(found: Seedbed) -> str:
    """Return the days over which means are taken."""
    days = window(found.warmth)
    return f"first {days} days from {found.warmth.first.isoformat()}"
