"""The part of the report on days: whether each system is done in time on the farm, and with how many drivers."""

from __future__ import annotations

import math

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.chain import Chain
from spadework.estimate.money.in_time import chance_by_window, days_by_drivers
from spadework.plan import Farm
from spadework.present.charts import money as charts_money
from spadework.present.charts.money import ChancePanel, Point
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text, anchor
from spadework.present.report.water import fit_weeks_blocks
from spadework.present.wording import INTERVAL, STANDING, figure_text, interval_text, spread_of
from spadework.ranges import FloatArray

__all__ = ["chance_text", "days_section"]

_DRIVERS = (1, 2, 3)
_AS_GOOD_AS_SURE = 0.99
_WISHED = 0.8
_LONGEST = 366


def days_section(estimate: Estimate) -> Section | None:
    """Return days needed, fit days to be expected and the chance of being done; None for a plan without a farm."""
    farm = estimate.plan.farm
    if farm is None:
        return None
    blocks: list[Block] = [Text(_what_there_is(estimate, farm)), _drivers(estimate, farm)]
    panels = _panels(estimate)
    window = float(np.median(estimate.sheet["window"]))
    spec = charts_money.chance_chart(panels, window, standing=STANDING, interval=INTERVAL)
    said = " ".join(f"{panel.title}: {'; '.join(panel.lines)}." for panel in panels)
    blocks.append(Drawing("chance-in-time", to_svg(spec), f"Chance of being done by length of the window. {said}"))
    blocks += fit_weeks_blocks(estimate, farm)
    blocks.append(_late(estimate, farm))
    blocks.append(Items(tuple(_care(farm))))
    return Section("days", "Will it be done in time?", blocks)


def chance_text(values: FloatArray) -> str:
    """Return a chance with its interval in per cent; never a certainty.

    Examples
    --------
    >>> chance_text(np.array([0.9, 0.95, 0.999])), chance_text(np.array([0.2]))
    ('95 % (91 to 99)', '20 %')
    >>> chance_text(np.array([0.9999]))
    'over 99 %'
    """
    spread = spread_of(values)
    low, mid, high = (_per_cent(value) for value in (spread.low, spread.mid, spread.high))
    return f"{mid} %" if low == high else f"{mid} % ({low} to {high})"


def _per_cent(share: float) -> str:
    if share >= 0.995:
        return "over 99"
    return "under 1" if share < 0.005 else figure_text(100 * share, 0)


def _what_there_is(estimate: Estimate, farm: Farm) -> str:
    sheet = estimate.sheet
    fit = interval_text(spread_of(sheet["fit_days"]), 1)
    week = interval_text(spread_of(sheet["fit_per_week"]), 1)
    rows = "each day is taken to be fit on its own"
    if farm.stay_fit is not None:
        rows = "as given, fit days come in rows"
    elif farm.fit_moisture is not None:
        rows = "as counted from the weather, fit days come in rows"
    whence = "" if farm.fit_days is not None else ", worked out from the weather"
    return (
        f"The farm has {farm.maize.text} of maize and {farm.window.value:g} days of the calendar to establish it. Of these days "
        f"{fit} are fit in a mean year, {week} a week{whence}; {rows}. A chance is the share of years in which enough days are "
        f"fit. In brackets {INTERVAL}."
    )


def _drivers(estimate: Estimate, farm: Farm) -> Grid:
    counts = sorted({*_DRIVERS, farm.drivers})
    rows = []
    for s, name in enumerate(estimate.systems):
        needed, chances = days_by_drivers(estimate, s, counts)
        cells = [
            Cell(
                f"{interval_text(spread_of(days), 1)} days; done in {chance_text(share)}",
                anchor("chance_done", s) if count == farm.drivers else "",
            )
            for count, days, share in zip(counts, needed, chances, strict=True)
        ]
        rows.append(
            (
                Cell(name + (" (baseline)" if s == estimate.baseline else "")),
                Cell(interval_text(estimate.spread("hours", s), 2), anchor("hours", s)),
                Cell(_slowest(estimate, s), anchor("longest_pass", s)),
                *cells,
            )
        )
    heads = [
        f"{count} driver{'s' if count > 1 else ''}{' (as in the plan)' if count == farm.drivers else ''}"
        for count in counts
    ]
    return Grid(
        f"Fit days needed for {farm.maize.text}, and the chance of being done in {farm.window.value:g} days",
        ("", "all passes, h/ha", "slowest pass, h/ha", *heads),
        tuple(rows),
        (1.0, 1.1, 1.4, *(1.2 for _ in counts)),
        note=(
            "Drivers share the passes and change outfits as they are needed; no pass is shared by two outfits, so the "
            "slowest pass sets the pace in the end. Each driver needs a tractor. Drivers of feeders and helpers at a pump "
            "come on top."
        ),
    )


def _slowest(estimate: Estimate, system: int) -> str:
    chain = Chain(estimate.read)
    rows = chain.steps_of(system)
    times = [float(np.median(estimate.sheet["field_time"][row])) for row in rows]
    slowest = int(np.argmax(times))
    return f"{chain.steps[rows[slowest]].worker.name}: {figure_text(times[slowest], 2)}"


def _panels(estimate: Estimate) -> list[ChancePanel]:
    systems = range(len(estimate.systems))
    window = math.floor(float(np.median(estimate.sheet["window"])))
    last = _last_day(estimate, window)
    days = np.arange(0, last + 1)
    panels = []
    for s in systems:
        chances = chance_by_window(estimate, s, days.tolist())
        middle = [spread_of(row) for row in chances]
        curve = [Point(float(d), p.mid, p.low, p.high) for d, p in zip(days, middle, strict=True)]
        enough = next((int(d) for d, p in zip(days, middle, strict=True) if p.mid >= _WISHED), None)
        reach = f"{enough} days" if enough is not None else f"more than {last} days"
        lines = [
            f"in {window} days: {chance_text(estimate.values('chance_done', s))}",
            f"eight years in ten: {reach}",
        ]
        panels.append(ChancePanel(estimate.systems[s], curve, lines))
    return panels


def _last_day(estimate: Estimate, window: int) -> int:
    """Return the day up to which the chart runs: till the work is as good as sure, but not beyond two windows."""
    most = min(_LONGEST, max(2 * window, 10))
    days = list(range(window, most + 1))
    sure = window
    for s in range(len(estimate.systems)):
        middle = np.median(chance_by_window(estimate, s, days), axis=1)
        late = np.flatnonzero(middle >= _AS_GOOD_AS_SURE)
        sure = max(sure, days[late[0]] if late.size else most)
    return min(most, max(sure + 2, math.ceil(1.2 * window)))


def _late(estimate: Estimate, farm: Farm) -> Block:
    currency = estimate.plan.prices.currency
    if "lateness" not in estimate.sheet.figures or farm.late_loss is None:
        return Text(
            "Being late is not priced: the plan gives no figure of your own for the yield lost with each day "
            "(late_loss and crop_price under [farm]), and none that holds for north-west Europe is known."
        )
    rows = tuple(
        (
            Cell(name),
            Cell(interval_text(spread_of(estimate.values("days_late", s)), 1), anchor("days_late", s)),
            Cell(interval_text(estimate.spread("lateness", s), 0), anchor("lateness", s)),
        )
        for s, name in enumerate(estimate.systems)
    )
    return Grid(
        f"Cost of being late, at your figure of {farm.late_loss.text} of the yield for each day",
        ("", "days late, mean of the farm", f"yield lost, {currency}/ha"),
        rows,
        (1.2, 1.0, 1.0),
        note=(
            "The work starts on the best day; the loss grows in a straight line from there. Near the best day it may be "
            "nil, so this is the most that a few days cost. It is in no other figure."
        ),
    )


def _care(farm: Farm) -> list[tuple[str, str]]:
    said = [
        (
            "No reason to drive on wet ground.",
            "A chance below your wish says: more days, more drivers, or a contractor. Whether the soil bears is judged "
            "on the day, with the spade.",
        )
    ]
    if farm.stay_fit is None and farm.fit_moisture is None:
        said.append(
            (
                "Rather too high.",
                "Wet days come in rows. With days taken one by one, high chances come out too high; stay_fit under "
                "[farm] counts the rows.",
            )
        )
    return said
