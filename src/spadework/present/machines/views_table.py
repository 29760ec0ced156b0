"""The three views of cost as plain text for a terminal: hired, owned in full, one more hectare."""

from __future__ import annotations

import textwrap

from spadework import __version__
from spadework.estimate import Estimate
from spadework.plan import Fault, PlanFaults
from spadework.present.machines.views_words import (
    PassView,
    area_text,
    asked_line,
    contractor_total,
    fairness,
    money_text,
    pass_views,
)
from spadework.present.table import wrapped
from spadework.present.wording import INTERVAL, STANDING_LONG, interval_text, place_line, price_line

__all__ = ["views_table"]

_LABEL = 26
_COLUMN = 23


def views_table(estimate: Estimate, system: str | None = None) -> str:
    """Return what every pass costs in three views, as plain text of at most 100 columns.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    system : str, optional
        Only this system; all if left out.

    Returns
    -------
    str
        Lines without trailing blanks; the same estimate gives the same text on every terminal.

    Raises
    ------
    PlanFaults
        If no system is called so.
    """
    if system is not None and system not in estimate.systems:
        what = f'no system is called "{system}"; there are: {", ".join(estimate.systems)}'
        raise PlanFaults([Fault("--system", what)], estimate.read.name)
    views = pass_views(estimate)
    chosen = [s for s, name in enumerate(estimate.systems) if system in (None, name)]
    currency = estimate.plan.prices.currency
    out = ["Hire it, own it, or use what is there?", *wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += ["", f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}."]
    out += wrapped(
        f"{price_line(estimate)}. In {currency}/ha; brackets hold {INTERVAL}. Own in full: shared over the hours a year in "
        "the plan. One more hectare: diesel, oil, labour and repairs."
    )
    for s in chosen:
        out += ["", estimate.systems[s] + (" (baseline)" if s == estimate.baseline else "")]
        out += [_line("", "contractor", "own, in full", "own, one more hectare")]
        for view in views[s]:
            out += _pass(view)
        total = contractor_total(views[s])
        hired = total if isinstance(total, str) else money_text(total)
        sums = (money_text(estimate.values(name, s)) for name in ("full_cost", "marginal_cost"))
        out += [_line("all passes", hired, *sums), *_amounts(estimate, s, currency)]
    out += _asked([views[s] for s in chosen])
    out += ["", "To be fair"]
    for lead, text in fairness(estimate, views):
        out += wrapped(f"{lead} {text}", "  ", "- ")
    out += ["", f"spadework {__version__}, {estimate.draws} draws, seed {estimate.seed}"]
    plain = str.maketrans({"−": "-", "–": "-", "\N{NARROW NO-BREAK SPACE}": " "})
    return "\n".join(line.rstrip() for line in out).translate(plain)


def _pass(view: PassView) -> list[str]:
    first, *more = textwrap.wrap(f"{view.number} {view.title}", _LABEL - 1)
    hired = "-" if view.hired is None else money_text(view.hired)
    lines = [_line(first, hired, money_text(view.full), money_text(view.marginal))]
    lines += [f"    {line}" for line in more]
    use = f"your use {area_text(view.owned.use)} ha a year"
    words = "none pays" if view.pays_from is None else area_text(view.pays_from)
    pays = "" if words == "none pays" else f"; own pays from {words} ha a year"
    return [*lines, *wrapped(f"{use}{pays}; {view.verdict}", "      ")]


def _amounts(estimate: Estimate, s: int, currency: str) -> list[str]:
    def said(name: str) -> str:
        return interval_text(estimate.spread(name, s))

    volume = f", {said('cost_per_m3')} {currency}/m3 of slurry" if estimate.has("cost_per_m3", s) else ""
    return [
        *wrapped(
            f"with bringing the slurry {said('pass_cost')} {currency}/ha{volume}",
            "  ",
        ),
        *wrapped(
            f"with slurry and fertiliser {said('cost')} {currency}/ha, {said('cost_per_tonne')} {currency}/t of dry "
            "matter",
            "  ",
        ),
    ]


def _asked(views: list[list[PassView]]) -> list[str]:
    contractors = {view.contractor.name: view.contractor for system in views for view in system if view.contractor}
    if not contractors:
        return []
    lines = ["", "What contractors asked"]
    for name, contractor in contractors.items():
        lines += wrapped(f"{name}: {asked_line(contractor)}", "  ", "- ")
    return lines


def _line(label: str, *cells: str) -> str:
    wide = [_LABEL, *(_COLUMN for _ in cells)]
    return "  " + "".join(f"{cell:<{width - 1}} " for cell, width in zip((label, *cells), wide, strict=True))
