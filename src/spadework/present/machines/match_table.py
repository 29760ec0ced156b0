"""Tractor match and field time as plain text for a terminal: every pass, what it asks, how long it takes, what it burns."""

from __future__ import annotations

import textwrap

import numpy as np

from spadework import __version__
from spadework.estimate import Estimate
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.present.machines.match_facts import (
    FUEL_COLUMNS,
    TIGHT_LOAD,
    TIME_PARTS,
    PassFacts,
    pass_facts,
    plot_run_m,
    row_values,
    spread_text,
)
from spadework.present.wording import INTERVAL, STANDING_LONG, figure_text, interval_text, place_line, spread_of
from spadework.reference import load

__all__ = ["match_table"]

_WIDTH = 100
_POWER = (
    ("needed, kW", "planned_power", 0, 1.0, 17),
    ("rated", "rated_power", 0, 1.0, 7),
    ("load, %", "load", 0, 100.0, 14),
    ("pull, kN", "pull", 1, 0.001, 20),
    ("slip, %", "slip", 1, 100.0, 17),
    ("handbook, kW", "handbook_power", 0, 1.0, 15),
)
_TIME_HEADS = ("working", "turning", "resting", "refilling", "waiting", "in all")
_FUEL_HEADS = ("working", "pumping", "turning", "standing", "road", "the pass")


def match_table(estimate: Estimate, system: str | None = None) -> str:
    """Return power, pull, slip, time and diesel of every pass as plain text, at most 100 columns wide.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    system : str, optional
        Only this system; all if left out.

    Returns
    -------
    str
        Lines without trailing blanks; the same estimate gives the same text.

    Raises
    ------
    PlanFaults
        If no system is called so.
    """
    facts = pass_facts(estimate, _chosen(estimate, system))
    out = [*_wrapped(estimate.plan.question), *_wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out.append("INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice.")
    out += ["", f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}."]
    out += _wrapped(f"Middle of {estimate.draws} draws, in brackets the range that holds {INTERVAL}.")
    out += ["", "Is the tractor large enough?", *_power(estimate, facts), *_power_notes(estimate, facts)]
    out += ["", "How long does a hectare take, and why?", *_time(estimate, facts), *_time_notes()]
    out += ["", "Diesel by part, L/ha (pumping is part of working)", *_fuel(estimate, facts)]
    out += ["", f"spadework {__version__}, {estimate.draws} draws, seed {estimate.seed}"]
    text = "\n".join(line.rstrip() for line in out).replace("−", "-")
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


def _chosen(estimate: Estimate, system: str | None) -> list[int]:
    if system is None:
        return list(range(len(estimate.systems)))
    if system not in estimate.systems:
        known = nearest(system, estimate.systems) or "; there are: " + ", ".join(estimate.systems)
        raise PlanFaults([Fault("--system", f'no system is called "{system}"{known}')], estimate.read.name)
    return [estimate.systems.index(system)]


def _power(estimate: Estimate, facts: dict[int, list[PassFacts]]) -> list[str]:
    lines = [_row([(head, wide) for head, _, _, _, wide in _POWER])]
    for system, passes in facts.items():
        lines += _wrapped(estimate.systems[system], "  ")
        for one in passes:
            lines += _wrapped(f"{one.name}, {one.outfit}: {one.match.text}", "    ")
            lines.append(_row([(_cell(estimate, name, one, p, factor), wide) for _, name, p, factor, wide in _POWER]))
            planned = float(np.median(row_values(estimate, "speed", one.row)))
            if (enough := one.enough(planned)) != "as planned":
                lines += _wrapped(f"in nine draws of ten enough up to: {enough}", "      ")
    return lines


def _power_notes(estimate: Estimate, facts: dict[int, list[PassFacts]]) -> list[str]:
    low, high = next(iter(facts.values()))[0].slip_advised
    ground = load("rolling")[estimate.plan.field.surface].label
    return _wrapped(
        f"At the power take-off, as planned. Slip advised on {ground}: {100 * low:.0f} to {100 * high:.0f} %. Tight: over "
        f"{100 * TIGHT_LOAD:.0f} % load in more than a tenth of the draws, or slip above that. Makers' limits for hitch, "
        "axles and ballast, and the rules of the road, come first. Handbook: power by its fixed ratio, a check.",
        "  ",
    )


def _time(estimate: Estimate, facts: dict[int, list[PassFacts]]) -> list[str]:
    lines = [_row([*((head, 11) for head in _TIME_HEADS), ("h/ha", 6)])]
    for system, passes in facts.items():
        lines += _wrapped(estimate.systems[system], "  ")
        for one in passes:
            mids = [float(np.median(row_values(estimate, n, one.row))) for n in (*TIME_PARTS, "field_time")]
            lines += _wrapped(one.name, "    ")
            lines.append(_row([(figure_text(mid, 2) if mid else "0", 11) for mid in mids]))
            low, high = (figure_text(100 * share, 0) for share in one.handbook)
            rate = _cell(estimate, "pass_rate", one, 2, 1.0)
            share = _cell(estimate, "pass_efficiency", one, 0, 100.0)
            said = f"{rate} ha/h; field efficiency {share} %, handbook {low} to {high} %: {one.efficiency.text}"
            lines += _wrapped(said, "      ")
            plot, field = spread_text(one.plot_rate, 2), spread_text(one.field_rate, 2)
            against = interval_text(spread_of(100 * (one.plot_rate / one.field_rate - 1)), 0, sign=True)
            lines += _wrapped(f"nothing fetched: plot {plot} ha/h, field {field}; plot {against} %", "      ")
    return lines


def _time_notes() -> list[str]:
    run = figure_text(plot_run_m(), 0)
    return _wrapped(
        f"Parts are middles. Plot: the same pass on runs of {run} m, with its turns and no headland beyond. The rate of a "
        "plot must not be quoted as that of a farm: it makes too much of turning and hides the filling.",
        "  ",
    )


def _fuel(estimate: Estimate, facts: dict[int, list[PassFacts]]) -> list[str]:
    widths = (11, 11, 11, 11, 11, 20)
    lines = [_row(list(zip(_FUEL_HEADS, widths, strict=True)))]
    for system, passes in facts.items():
        lines += _wrapped(estimate.systems[system], "  ")
        for one in passes:
            mids = [float(np.median(row_values(estimate, name, one.row))) for name in FUEL_COLUMNS][:-1]
            cells = [figure_text(mid, 1) if mid else "0" for mid in mids]
            cells.append(_cell(estimate, "pass_fuel", one, 1, 1.0))
            lines += _wrapped(one.name, "    ")
            lines.append(_row(list(zip(cells, widths, strict=True))))
        fed = estimate.spread("supply_fuel", system)
        if fed.high > 0:
            lines.append(f"    feeders that bring slurry: {interval_text(fed, 1)}")
    return lines


def _cell(estimate: Estimate, name: str, one: PassFacts, places: int, factor: float) -> str:
    return spread_text(row_values(estimate, name, one.row), places, factor)


def _row(cells: list[tuple[str, int]]) -> str:
    return " " * 6 + "".join(f"{text} ".ljust(wide) for text, wide in cells)


def _wrapped(text: str, indent: str = "") -> list[str]:
    plain = " ".join(text.split())
    return textwrap.wrap(plain, _WIDTH, initial_indent=indent, subsequent_indent=indent)
