"""The supply of slurry as plain text for a terminal: who waits, what a load lasts, other numbers of feeders, other ways."""

from __future__ import annotations

import textwrap
from typing import Final

import numpy as np

from spadework import __version__
from spadework.estimate import Estimate
from spadework.estimate.supply.ways import GRID_DRAWS, Ways, feeders_table, usual_distances, ways_at
from spadework.estimate.workings.explain import unit_text
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.machines.supply_words import (
    HOSE_WORDS,
    feeders_cells,
    load_words,
    outfits,
    placing_step_of,
    placing_systems,
    said,
    supply_rows,
    waiting_words,
    ways_words,
    without_empty,
)
from spadework.present.table import WIDTH, wrapped
from spadework.present.wording import INTERVAL, STANDING_LONG, place_line, price_line, spread_of

__all__ = ["supply_text"]

_LABEL: Final = 38
_COLUMN: Final = 26
_WAYS: Final = 3
_CARE_FOR: Final = (
    "Gas when slurry is stirred",
    "Turning shafts and moving parts",
    "Hoses under pressure",
    "On the road",
)
_FEEDERS: Final = ("feeders", "ha/h", "outfit waits, %", "feeders wait, %")
_WIDTHS: Final = (9, 22, 18, 18, 26)


def supply_text(estimate: Estimate, system: str | None = None, km: tuple[float, float] | None = None) -> str:
    """Return the supply of slurry as plain text, at most 100 columns wide.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    system : str, optional
        The one that is meant; all that place slurry if left out.
    km : tuple of float, optional
        Least and greatest distance [km] at which other ways are looked at.

    Raises
    ------
    PlanFaults
        If no system is called so, it places no slurry, or none does.
    """
    chosen = _chosen(estimate, system)
    out = ["Supply of slurry", *wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += ["", f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}."]
    out += wrapped(
        f"Middle of {estimate.draws} draws, in brackets the range that holds {INTERVAL}. {price_line(estimate)}."
    )
    for group in outfits(estimate, chosen):
        for s in group:
            out += ["", *wrapped(estimate.systems[s])]
            for label, (cell,) in without_empty([supply_rows(estimate, s)]):
                out += textwrap.wrap(
                    cell.text, WIDTH, initial_indent=f"  {label:<{_LABEL}}", subsequent_indent=" " * (_LABEL + 2)
                )
            for words in (waiting_words(estimate, s), load_words(estimate, s)):
                out += wrapped(words, "  ")
        out += _outfit(estimate, group, km)
    if estimate.notes:
        out += ["", "Take note"]
        for note in estimate.notes:
            out += wrapped(note, "  ", "- ")
    out += ["", "Take care"]
    for caution in CAUTIONS:
        if caution.title in _CARE_FOR:
            out += wrapped(f"{caution.title}. {caution.text}", "  ", "- ")
    out += [*wrapped(DEFER, "  "), "", f"spadework {__version__}, {estimate.draws} draws, seed {estimate.seed}"]
    text = "\n".join(line.rstrip() for line in out)
    return text.replace("−", "-").replace("–", "-").replace("\N{NARROW NO-BREAK SPACE}", " ")


def _chosen(estimate: Estimate, system: str | None) -> list[int]:
    placing = placing_systems(estimate)
    if not placing:
        raise PlanFaults([Fault("", "no system of this plan places slurry")], estimate.read.name)
    if system is None:
        return placing
    names = [estimate.systems[s] for s in placing]
    if system in names:
        return [placing[names.index(system)]]
    known = nearest(system, names) or "; there are: " + ", ".join(names)
    short = system if len(system) <= 60 else system[:60] + "..."
    what = f'system "{short}" places no slurry' if system in estimate.systems else f'no system is called "{short}"'
    raise PlanFaults([Fault("--system", what + known)], estimate.read.name)


def _outfit(estimate: Estimate, group: list[int], km: tuple[float, float] | None) -> list[str]:
    system = group[0]
    outfit = "; ".join(m.name for m in placing_step_of(estimate, system).machines)
    names = " and ".join(estimate.systems[s] for s in group)
    unit = unit_text("EUR/m3", estimate.plan.prices.currency)
    out = ["", *wrapped(f"Other ways for the outfit of {names}: {outfit}")]
    if rows := feeders_table(estimate, system):
        distance = estimate.plan.field.store_distance.text
        out += ["", *wrapped(f"Other numbers of feeders, {distance} from the store", "  ")]
        for line in [(*_FEEDERS, unit), *(feeders_cells(row)[:-1] for row in rows)]:
            out.append("  " + "".join(f"{text:<{wide}}" for text, wide in zip(line, _WIDTHS, strict=True)))
        marks = (("In the plan", "planned"), ("Fewest that keep the outfit going", "enough"), ("Cheapest", "cheapest"))
        known = [f"{words}: {row.feeders}." for words, mark in marks for row in rows if getattr(row, mark)]
        out += wrapped(" ".join(known), "  ")
    ways = ways_at(estimate, system, usual_distances(estimate, *(km or (None, None))))
    out += ["", *wrapped(f"{unit} in the ground, outfit and supply together, by distance", "  ")]
    for start in range(0, len(ways.options), _WAYS):
        out += _by_distance(ways, range(start, min(start + _WAYS, len(ways.options))), _shown(estimate, ways))
    for words in ways_words(ways):
        out += wrapped(f"{words}.", "  ", "- ")
    if estimate.draws > GRID_DRAWS:
        out += wrapped(f"Every distance is gone through with {GRID_DRAWS} of the draws.", "  ")
    if any(option.way == "hose" for option in ways.options):
        out += wrapped(HOSE_WORDS, "  ")
    if any(option.way == "brought" for option in ways.options):
        out += wrapped("What others charge is taken as the same at every distance.", "  ")
    return [*out, *(line for note in ways.notes for line in wrapped(note, "  ", "- "))]


def _by_distance(ways: Ways, options: range, shown: list[int]) -> list[str]:
    names = [ways.options[i].label + (" (in the plan)" if ways.options[i].planned else "") for i in options]
    heads = [textwrap.wrap(name, _COLUMN - 2) for name in names]
    tall = max(map(len, heads))
    lines = [
        "  "
        + ("km" if row == 0 else "").ljust(8)
        + "".join((h[row] if row < len(h) else "").ljust(_COLUMN) for h in heads)
        for row in range(tall)
    ]
    for place in shown:
        cells = [
            said(spread_of(cost), 2) if np.isfinite(cost := ways.cost_eur_m3[i, place]).all() else "-" for i in options
        ]
        km = f"{ways.distances_km[place]:.3g}"
        lines.append(f"  {km:<8}" + "".join(f"{cell:<{_COLUMN}}" for cell in cells))
    return lines


def _shown(estimate: Estimate, ways: Ways) -> list[int]:
    """Return which distances are printed: every fourth, the first, the last, and that of the plan."""
    last = len(ways.distances_km) - 1
    planned = estimate.plan.field.store_distance.value
    return [
        place
        for place, km in enumerate(ways.distances_km)
        if place % 4 == 0 or place == last or abs(km - planned) < 1e-6
    ]
