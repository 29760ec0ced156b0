"""When to go, in words, as plain text for a terminal, and as a table of all start hours for a file."""

from __future__ import annotations

import csv
import datetime as dt
import io
import textwrap
from dataclasses import dataclass
from typing import Final

from spadework import __version__
from spadework.estimate import Estimate, Spread
from spadework.estimate.slurry.when import Best, When
from spadework.estimate.workings.explain import unit_text
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.table import wrapped
from spadework.present.wording import (
    INTERVAL,
    STANDING_LONG,
    day,
    decimals_for,
    figure_text,
    interval_text,
    place_line,
    price_line,
    spread_of,
)

__all__ = [
    "NO_FORECAST",
    "RULES_STAY",
    "Worth",
    "best_cells",
    "machine_words",
    "said_hour",
    "when_csv",
    "when_text",
    "window_words",
    "worths",
]

NO_FORECAST: Final = (
    "This is no forecast unless the weather file is one. Hours of a past or typical year say how much choosing the hour "
    "can be worth, not when to go this year."
)
RULES_STAY: Final = (
    "Waiting for a good hour replaces no rule: closed periods, distances, covering times and the state of the ground count "
    "as they stand. Check locally. Rain that helps against ammonia can carry slurry into water."
)
_CARE: Final = "Water and weather"
_NAME: Final = 22
_COLUMN: Final = 19


@dataclass(frozen=True)
class Worth:
    """What choosing is worth to one system: N [kg/ha] and money [EUR/ha], and the system that loses least.

    Attributes
    ----------
    mean, best, worst : Spread
        N lost on the mean of the ranked hours, in their best and in their worst tenth.
    hour_n, hour_money : Spread
        Mean hour less best tenth.
    machine_n, machine_money : Spread or None
        This system less the one that loses least, on the mean of the same hours; None for that one.
    """

    system: str
    mean: Spread
    best: Spread
    worst: Spread
    hour_n: Spread
    hour_money: Spread
    machine_n: Spread | None
    machine_money: Spread | None


def worths(estimate: Estimate, when: When) -> list[Worth]:
    """Return what choosing the hour, and choosing the machine, is worth to every system."""
    least = when.least()
    least_n, least_money = (when.by_hour(values, least)[0] for values in (when.lost_n, when.money))
    found = []
    for row, system in enumerate(when.systems):
        mean, best, worst = when.by_hour(when.lost_n, row)
        money, money_best, _ = when.by_hour(when.money, row)
        hour_n, hour_money = spread_of(mean - best), spread_of(money - money_best)
        machine_n = machine_money = None
        if row != least:
            machine_n, machine_money = spread_of(mean - least_n), spread_of(money - least_money)
        found.append(
            Worth(
                estimate.systems[system],
                spread_of(mean),
                spread_of(best),
                spread_of(worst),
                hour_n,
                hour_money,
                machine_n,
                machine_money,
            )
        )
    return found


def machine_words(estimate: Estimate, when: When) -> list[str]:
    """Return for every system what the hour is worth beside what the machine is worth."""
    unit = unit_text("EUR/ha", estimate.plan.prices.currency)
    least = estimate.systems[when.systems[when.least()]]
    said = []
    for worth in worths(estimate, when):
        hour = f"choosing the hour is worth {_n(worth.hour_n)} kg N/ha, {_n(worth.hour_money)} {unit}"
        if worth.machine_n is None or worth.machine_money is None:
            said.append(f"{worth.system}: {hour}; at the same hours no other system loses less")
            continue
        more = "more" if worth.machine_n.mid > worth.hour_n.mid else "less"
        said.append(
            f"{worth.system}: {hour}; going over to {least} at the same hours {_n(worth.machine_n)} kg N/ha, "
            f"{_n(worth.machine_money)} {unit}, which is {more} nitrogen than the hour brings"
        )
    return said


def said_hour(time: dt.datetime) -> str:
    """Return a start hour as it is said.

    Examples
    --------
    >>> said_hour(dt.datetime(2013, 4, 7, 6))
    '7 April, 06:00'
    """
    return f"{day(time).rsplit(' ', 1)[0]}, {time:%H:%M}"


def window_words(when: When) -> str:
    """Return what was gone through, in one sentence."""
    first, last = when.local[0], when.local[-1]
    step = f", every {(when.local[1] - first).total_seconds() / 3600:g} h" if len(when.local) > 1 else ""
    return (
        f"{len(when.local)} starts from {said_hour(first)} to {said_hour(last)} {last.year}{step}, clock of the plan "
        f"(UTC{first.isoformat()[19:]}); {int(when.allowed.sum())} of them between {when.day[0]} and {when.day[1]} h are ranked"
    )


def best_cells(when: When, row: int, best: Best) -> tuple[str, str, str, str]:
    """Return hour, N lost, share lost in per cent, and money of a start, with their spread."""
    kilograms, share, money = (
        spread_of(values[row][:, best.start]) for values in (when.lost_n, when.loss_share, when.money)
    )
    return said_hour(when.local[best.start]), _n(kilograms), interval_text(share, 1, 100.0), _n(money)


def when_text(estimate: Estimate, when: When) -> str:
    """Return when to go as plain text, at most 100 columns wide.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    when : When
        From :func:`spadework.estimate.slurry.when.start_hours`.
    """
    unit = unit_text("EUR/ha", estimate.plan.prices.currency)
    out = ["When to go", *wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += [
        "",
        f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}.",
        *wrapped(f"Weather: {when.came_from}. {NO_FORECAST}"),
    ]
    out += wrapped(f"{window_words(when)}.")
    out += wrapped(
        f"Model of the course: {when.model}. Middle of {when.draws} draws, in brackets the range that holds {INTERVAL}. "
        f"Money: bought N that the lost N would have replaced, up to the need; passes not counted. {price_line(estimate)}."
    )
    out += ["", *wrapped("N lost as ammonia, kg N/ha, by the hour chosen")]
    out.append(_line(("", "mean hour", "best tenth", "worst tenth", f"best, {unit}")))
    for worth in worths(estimate, when):
        cells = (_n(worth.mean), _n(worth.best), _n(worth.worst), _n(worth.hour_money))
        out += _named(worth.system, cells)
    out += wrapped(f"Last column: what the best tenth saves against the mean hour, {unit}.", "  ")
    out += ["", *wrapped("Best hours, one a day")]
    out.append(_line(("", "start", "kg N/ha", "% of ammoniacal N", unit)))
    for row, system in enumerate(when.systems):
        for number, best in enumerate(when.best_of_days(row)):
            out += _named(estimate.systems[system] if number == 0 else "", best_cells(when, row, best))
    out += ["", *wrapped("The hour or the machine?")]
    for words in machine_words(estimate, when):
        out += wrapped(f"{words}.", "  ", "- ")
    out += ["", "Take note"]
    for note in dict.fromkeys((*when.notes, *estimate.notes)):
        out += wrapped(note, "  ", "- ")
    out += ["", "Take care", *wrapped(RULES_STAY, "  ", "- ")]
    for caution in CAUTIONS:
        if caution.title == _CARE:
            out += wrapped(f"{caution.title}. {caution.text}", "  ", "- ")
    out += [*wrapped(DEFER, "  "), "", f"spadework {__version__}, {when.draws} draws, seed {estimate.seed}"]
    text = "\n".join(line.rstrip() for line in out)
    return text.replace("−", "-").replace("–", "-").replace("ø", "o").replace("\N{NARROW NO-BREAK SPACE}", " ")


def when_csv(estimate: Estimate, when: When) -> str:
    """Return every start of every system as comma-separated lines, with the units in the head."""
    currency = estimate.plan.prices.currency.lower()
    figures = (
        ("loss_pct_of_ammoniacal_n", when.loss_share, 100.0),
        ("lost_n_kg_ha", when.lost_n, 1.0),
        (f"money_{currency}_ha", when.money, 1.0),
    )
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    head = [f"{name}_{part}" for name, _, _ in figures for part in ("mid", "low", "high")]
    writer.writerow(["start", "system", "model", "ranked", *head])
    for row, system in enumerate(when.systems):
        for at, time in enumerate(when.local):
            numbers: list[str] = []
            for _, values, factor in figures:
                spread = spread_of(values[row][:, at])
                numbers += [f"{value * factor:.4g}" for value in (spread.mid, spread.low, spread.high)]
            ranked = "yes" if when.allowed[at] else "no"
            writer.writerow([time.isoformat(), _cell(estimate.systems[system]), when.model, ranked, *numbers])
    return out.getvalue()


def _cell(text: str) -> str:
    """Return text that a spreadsheet does not take for a formula."""
    return f"'{text}" if text[:1] in "=+-@" else text


def _n(spread: Spread) -> str:
    if spread.low == spread.high:
        return figure_text(spread.mid, 1)
    return interval_text(spread, min(decimals_for([spread]), 1))


def _named(name: str, cells: tuple[str, ...]) -> list[str]:
    first, *more = textwrap.wrap(name, _NAME - 2) or [""]
    return [_line((first, *cells)), *(f"    {line}" for line in more)]


def _line(cells: tuple[str, ...]) -> str:
    return f"  {cells[0]:<{_NAME - 2}}" + "".join(f"{cell:<{_COLUMN - 1}} " for cell in cells[1:])
