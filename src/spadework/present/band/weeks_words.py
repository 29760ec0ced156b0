"""The weeks after banding in words: when to sow, how near the band may lie, when roots meet it, what decides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate import Estimate, Spread
from spadework.estimate.band.answers import (
    LEVELS,
    Decides,
    Roots,
    earliest_wait,
    edge_moved,
    roots_of,
    shares_by_wait,
    smallest_gap,
    watched,
    what_decides,
)
from spadework.estimate.band.course import BandCourse, Found
from spadework.estimate.band.fate import Fate, fate_of, half_by
from spadework.present.wording import figure_text, interval_text, spread_of
from spadework.ranges import FloatArray
from spadework.reference import constants, load

__all__ = [
    "CAREFUL",
    "DAY_HEAD",
    "LIMITS_HEAD",
    "LOST_LEAST_KG",
    "WORDS",
    "Weeks",
    "answers",
    "at_days",
    "day_rows",
    "decides_words",
    "limit_rows",
    "nitrogen_words",
    "share_text",
    "weeks_of",
]

WORDS: Final = ("clear", "watch", "risk")
"""Below half of every limit; from half on; above one of them."""
CAREFUL: Final = (
    "No promise that seedlings live: three limits from the literature and a band of an assumed shape. Slurry that wells up "
    "through loosened soil, rain, nitrite and want of air are not in it, and published targets ask for 5 to 10 cm whatever "
    "these limits say. Dig before sowing, and look at seeds and root tips a week later."
)
DAY_HEAD: Final = (
    "day", "N left, %", "seed: N, mg/kg", "seed: free ammonia, mmol/L", "seed: salt, dS/m", "seed: worst ratio",
    "root: worst ratio",
)  # fmt: skip
LIMITS_HEAD: Final = ("what", "limit", "source", "standing")
_DAYS: Final = (0, 7, 14, 28, 42, 60, 90, 120, 180, 240, 300)
_WAIT: Final = 5
_LEAD: Final = {"nitrogen": "ammonium and ammonia", "ammonia": "free ammonia", "salt": "salt"}
_FULL: Final = 100.0
LOST_LEAST_KG: Final = 0.05
"""Ammonia-N per hectare [kg/ha] below which it is told as next to nothing."""


@dataclass(frozen=True, eq=False)
class Weeks:
    """All that is said of the weeks of one system.

    Attributes
    ----------
    name : str
        Of the system.
    course : BandCourse
        Its weeks.
    wait : int
        Days from slurry to sowing.
    stated : bool
        Whether the plan or the person says the wait.
    seed : Found
        At the seed, every day.
    roots : Roots
        Sown after the wait.
    shares : ndarray
        Clear, watch and risk by days of waiting.
    wanted : float
        Share of draws that must stay below a level.
    earliest : dict
        Days by level; None where no wait does.
    gaps : dict
        Smallest middle gap by level [cm]; None where no gap does.
    decides : tuple of Decides
        What makes draws differ.
    moved_cm : float
        How far the line of a quarter of the N gets in four weeks.
    fate : Fate
        Where its ammoniacal N has gone, every day.
    """

    name: str
    course: BandCourse
    wait: int
    stated: bool
    seed: Found
    roots: Roots
    shares: FloatArray
    wanted: float
    earliest: dict[str, int | None]
    gaps: dict[str, float | None]
    decides: tuple[Decides, ...]
    moved_cm: float
    fate: Fate


def weeks_of(estimate: Estimate, course: BandCourse) -> Weeks:
    """Work out everything that is said of a course; where it has no wait, with 5 d."""
    said = course.wait_days
    days = _WAIT if said is None else said
    wanted = constants("band_weeks").wanted_share
    return Weeks(
        estimate.systems[course.system], course, days, said is not None, course.at_seed(), roots_of(course, days),
        shares_by_wait(course), wanted,
        {level: earliest_wait(course, wanted, level) for level in LEVELS},
        {level: smallest_gap(course, days, wanted, level) for level in LEVELS},
        what_decides(course, days), edge_moved(course), fate_of(estimate, course),
    )  # fmt: skip


def answers(weeks: Weeks) -> list[tuple[str, str]]:
    """Return what a person wants to know, each as a question in a few words and a sentence."""
    course, wanted = weeks.course, f"{weeks.wanted:.0%}".replace("%", " %")
    days = watched(course, weeks.wait)
    worst = spread_of(weeks.seed.severity[:, days].max(axis=1))
    clear, watch, risk = weeks.shares[weeks.wait] if weeks.wait < len(weeks.shares) else _shares(weeks)
    lead = _LEAD[_lead(weeks.seed, days)]
    origin = "" if weeks.stated else " (the plan gives no wait; this one is the usual)"
    seen = days.stop - 1 - weeks.wait
    at_root = spread_of(weeks.roots.at_front.severity[:, days].max(axis=1))
    root_lead = _LEAD[_lead(weeks.roots.at_front, days)]
    return [
        (
            "Sown as planned",
            f"{weeks.wait} d after the slurry{origin}: {share_text(clear)} of draws stay clear at the seed for {seen} d, "
            f"{share_text(watch)} are to be watched, {share_text(risk)} are at risk. The worst is {_ratio(worst)} of a "
            f"limit, led by {lead}.",
        ),
        ("Earliest sowing", " ".join(_earliest(weeks, level, wanted) for level in _apart(weeks.earliest))),
        ("Smallest gap", " ".join(_gap(weeks, level, wanted) for level in _apart(weeks.gaps))),
        (
            "Roots",
            f"The first root reaches the height of the band's top {_arrival(weeks.roots.arrive_fast_days)} after sowing at "
            f"its own speed, {_arrival(weeks.roots.arrive_slow_days)} at that of root fronts in fields. On its way, and "
            f"{constants('band_weeks').into_band_cm:g} cm into the band, it meets at worst {_ratio(at_root)} of a limit, "
            f"led by {root_lead}.",
        ),
        ("The nitrogen", nitrogen_words(weeks)),
        ("What decides", decides_words(weeks)),
    ]


def nitrogen_words(weeks: Weeks) -> str:
    """Return where the ammoniacal N of the slurry has gone by the last day shown, in plain words."""
    fate, day = weeks.fate, weeks.course.days
    lost = spread_of(fate.lost_kg_ha)
    gone = f"{interval_text(lost, 1)} go off as ammonia when it is laid" if lost.high >= LOST_LEAST_KG else (
        "next to nothing goes off as ammonia when it is laid"
    )  # fmt: skip
    half = half_by(weeks.course)
    turned = f"Half is nitrate {_by_day(half)}" if np.isfinite(np.median(half)) else (
        f"In the {weeks.course.horizon} days reckoned half has not become nitrate"
    )  # fmt: skip
    return (
        f"Of {interval_text(spread_of(fate.slurry_kg_ha), 0)} kg/ha ammoniacal N in the slurry {gone}. On day {day} "
        f"{interval_text(spread_of(fate.ammonium_kg_ha[:, day]), 0)} still lie there as ammonium and "
        f"{interval_text(spread_of(fate.nitrate_kg_ha[:, day]), 0)} have become nitrate. {turned}. Nitrate goes where water "
        "goes: what heavy rain washes down, what turns to gas and what the crop takes up comes off it and is not reckoned."
    )


def decides_words(weeks: Weeks) -> str:
    """Return what makes draws differ, in plain words."""
    course = weeks.course
    gap_sd = float(np.std(course.inputs.gap_cm))
    moved = (
        f"In 28 days the line of a quarter of the band's N moves {figure_text(weeks.moved_cm, 1)} cm; the gap scatters by "
        f"{figure_text(gap_sd, 1)} cm from seed to seed (standard deviation)."
    )
    if not weeks.decides:
        return f"Nothing: no draw comes near a limit through the band. {moved}"
    first = weeks.decides[0]
    others = [f"{one.group} {share_text(one.share)}" for one in weeks.decides[1:4] if one.share >= 0.01]
    rest = f" Next: {', '.join(others)}." if others else ""
    return (
        f"{first.group[:1].upper()}{first.group[1:]} decides: held at its middle, what differs between draws falls by "
        f"{share_text(first.share)} (variance of the logarithm of the worst ratio that the band makes).{rest} {moved}"
    )


def at_days(course: BandCourse) -> list[int]:
    """Return the days that are printed."""
    found = [day for day in _DAYS if day < course.days]
    return [*found, course.days]


def day_rows(weeks: Weeks) -> list[tuple[str, ...]]:
    """Return what there is on some days, as cells under ``DAY_HEAD``."""
    course, seed = weeks.course, weeks.seed
    rows: list[tuple[str, ...]] = []
    for day in at_days(course):
        root = _ratio(spread_of(weeks.roots.at_front.severity[:, day])) if day >= weeks.wait else "-"
        rows.append(
            (
                str(day),
                interval_text(spread_of(course.left_share[:, day]), 0, _FULL),
                _least(spread_of(seed.nitrogen_mg_kg[:, day]), 0),
                _least(spread_of(seed.ammonia_mmol_l[:, day]), 2),
                interval_text(spread_of(seed.salt_ds_m[:, day]), 1),
                _ratio(spread_of(seed.severity[:, day])),
                root,
            )
        )
    return rows


def limit_rows() -> list[tuple[str, ...]]:
    """Return the limits, as cells under ``LIMITS_HEAD``."""
    rows: list[tuple[str, ...]] = []
    for table, key in (
        ("seedling_thresholds", "ammoniacal_n_stand_loss"),
        ("seedling_thresholds", "ammoniacal_n_roots_pass"),
        ("band_spread", "nh3_limit"),
        ("seedling_thresholds", "ec_germination"),
    ):
        citation = load(table)[key].citation("value")
        entry = constants(table)[key]
        rows.append((citation.label, f"{entry.value:g} {entry.unit}", str(citation.source.text), citation.standing))
    return rows


def share_text(share: float) -> str:
    """Return a share of draws; never quite all or none unless it is so.

    Examples
    --------
    >>> share_text(0.834), share_text(0.997), share_text(0.002), share_text(0)
    ('83 %', 'over 99 %', 'under 1 %', '0 %')
    """
    if 0 < share < 0.005:
        return "under 1 %"
    if 0.995 <= share < 1:
        return "over 99 %"
    return f"{figure_text(100 * share, 0)} %"


def _shares(weeks: Weeks) -> FloatArray:
    from spadework.science.band import verdict

    of = verdict(weeks.seed.severity[:, watched(weeks.course, weeks.wait)].max(axis=1))
    return np.array([float(np.mean(of == word)) for word in range(3)])


def _lead(found: Found, days: slice) -> str:
    worst = found.ratios[:, :, days].max(axis=2)
    return ("nitrogen", "ammonia", "salt")[int(np.bincount(np.argmax(worst, axis=0), minlength=3).argmax())]


def _ratio(spread: Spread) -> str:
    return interval_text(spread, 2)


def _least(spread: Spread, decimals: int) -> str:
    """Return an interval; where all of it would be printed as nought, that it is below the least that can be."""
    least = 10.0**-decimals
    return f"under {least:g}" if spread.high < least / 2 else interval_text(spread, decimals)


def _apart(found: Mapping[str, float | None]) -> tuple[str, ...]:
    """Return the levels to be told: only the stricter where it comes at no price, for it holds the other."""
    if found["risk"] == found["watch"]:
        return ("risk",) if found["risk"] is None else ("watch",)
    return LEVELS


def _below(level: str) -> str:
    return "without risk" if level == "risk" else "clear"


def _earliest(weeks: Weeks, level: str, wanted: str) -> str:
    found = weeks.earliest[level]
    if found is None:
        return f"No wait of up to {len(weeks.shares) - 1} d keeps {wanted} of draws {_below(level)}."
    if found == 0:
        return f"{wanted} of draws stay {_below(level)} from the day of the slurry on."
    return f"{wanted} of draws stay {_below(level)} from day {found} on."


def _gap(weeks: Weeks, level: str, wanted: str) -> str:
    found = weeks.gaps[level]
    if found is None:
        return f"No gap at this depth of the band keeps {wanted} of draws {_below(level)}."
    if found == 0:
        return f"By these limits alone {wanted} of draws stay {_below(level)} at any middle gap."
    return f"{wanted} of draws stay {_below(level)} from a middle gap of {figure_text(found, 2)} cm on."


def _by_day(days: FloatArray) -> str:
    low, mid, high = np.quantile(days, (0.1, 0.5, 0.9), method="inverted_cdf")
    last = figure_text(float(high), 0) if np.isfinite(high) else "later than reckoned"
    return f"by day {figure_text(float(mid), 0)} ({figure_text(float(low), 0)} to {last})"


def _arrival(days: FloatArray) -> str:
    """Return days to an arrival as median and interval; the root may not get there at all."""
    low, mid, high = np.quantile(days, (0.1, 0.5, 0.9), method="inverted_cdf")
    if not np.isfinite(mid):
        return "later than the days that were reckoned"
    last = figure_text(float(high), 0) if np.isfinite(high) else "not in the days reckoned"
    return f"{figure_text(float(mid), 0)} d ({figure_text(float(low), 0)} to {last})"
