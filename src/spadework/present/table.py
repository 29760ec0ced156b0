"""The estimate as plain text for a terminal: every system, its figures with their spread, and the differences."""

from __future__ import annotations

import textwrap

from spadework import __version__
from spadework.estimate import Estimate
from spadework.present.in_short import in_short
from spadework.present.wording import (
    GROUPS,
    INTERVAL,
    MAIN,
    STANDING_LONG,
    Main,
    chance,
    decimals_for,
    difference,
    interval_text,
    place_line,
    price_line,
    spread_of,
    terms_line,
    unit_of,
    weather_line,
)

__all__ = ["WIDTH", "estimate_table", "wrapped"]

WIDTH = 100
_NAME = 22
_COLUMN = 24


def estimate_table(estimate: Estimate) -> str:
    """Return the estimate as a table of plain text, at most 100 columns wide.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.

    Returns
    -------
    str
        Lines without trailing blanks; the same estimate gives the same text on every terminal.
    """
    plan = estimate.plan
    out = [*wrapped(plan.question), *wrapped(place_line(estimate))]
    if plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += ["", f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}."]
    out += wrapped(
        f"Middle of {estimate.draws} draws, in brackets the range that holds {INTERVAL}. {price_line(estimate)}."
    )
    out += wrapped(f"{terms_line(estimate)}.")
    out += ["", "In short"]
    for lead, said in in_short(estimate):
        out += wrapped(f"{lead} {said}", "  ", "- ")
    for title, group in GROUPS:
        shown = [main for main in group if any(estimate.has(main.name, s) for s in range(len(estimate.systems)))]
        if shown:
            out += ["", title, *_block(estimate, shown)]
        if any(main.name == "loss_share" for main in shown):
            out += wrapped(f"Ammonia: spread {weather_line(estimate.weather)}.", "  ")
            out += wrapped("The factors used do not move with the weather; hot and windy hours lose more.", "  ")
    out += ["", *_differences(estimate)]
    if estimate.notes:
        out += ["", "Take note"]
        for note in estimate.notes:
            out += wrapped(note, "  ", "- ")
    out += ["", f"spadework {__version__}, {estimate.draws} draws, seed {estimate.seed}"]
    return "\n".join(line.rstrip() for line in out).replace("−", "-").replace("\N{NARROW NO-BREAK SPACE}", " ")


def _block(estimate: Estimate, group: list[Main]) -> list[str]:
    systems = range(len(estimate.systems))
    columns: list[list[str]] = []
    for main in group:
        spreads = {s: estimate.spread(main.name, s) for s in systems if estimate.has(main.name, s)}
        places = decimals_for(spreads.values(), main.factor)
        cells = [interval_text(spreads[s], places, main.factor) if s in spreads else "-" for s in systems]
        columns.append([main.short, unit_of(main, estimate), *cells])
    heads = [[column[line] for column in columns] for line in (0, 1)]
    lines = [" " * (_NAME + 2) + "".join(f"{cell:<{_COLUMN}}" for cell in head) for head in heads]
    for s in systems:
        name = estimate.systems[s] + (" (baseline)" if s == estimate.baseline else "")
        first, *more = textwrap.wrap(name, _NAME) or [""]
        lines.append(f"  {first:<{_NAME}}" + "".join(f"{column[s + 2]:<{_COLUMN}}" for column in columns))
        lines += [f"    {line}" for line in more]
    return lines


def _differences(estimate: Estimate) -> list[str]:
    base = estimate.systems[estimate.baseline]
    lines = [*wrapped(f"How sure is the difference to {base}?")]
    for s, name in enumerate(estimate.systems):
        if s == estimate.baseline:
            continue
        lines += wrapped(name, "  ")
        for main in MAIN:
            values = difference(estimate, main.name, s)
            if values is None or main.name == "loss_share":
                continue
            spread = spread_of(values)
            shown = interval_text(spread, min(2, decimals_for([spread], main.factor)), main.factor, sign=True)
            label = f"{main.short}, {unit_of(main, estimate)}"
            lines.append(f"    {label:<36}{shown:<28}{chance(values)}")
    lines += wrapped(
        "The share of draws says what the models and the stated spreads make of it; the models themselves may err.",
        "  ",
    )
    return lines


def wrapped(text: str, indent: str = "", mark: str = "") -> list[str]:
    """Return a text as lines no wider than :data:`WIDTH`, the first behind a mark, the others level with its words."""
    plain = " ".join(text.split())
    return textwrap.wrap(plain, WIDTH, initial_indent=indent + mark, subsequent_indent=indent + " " * len(mark))
