"""What digs say, as plain text of at most 100 columns: verdict first, then what to change, then the figures."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from spadework import __version__
from spadework.findings.dig_levels import Level
from spadework.findings.digs import Dug
from spadework.findings.digs_before import Ahead
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.digs.words import (
    CARE,
    CARE_FOR,
    STANDING_DIGS,
    changes,
    cm,
    compared_text,
    count_of,
    doubts,
    headline,
    judged,
)
from spadework.present.table import wrapped

__all__ = ["ahead_text", "digs_text"]

_INVENTED: Final = "INVENTED: machine and digs are made up to show the tool; nothing here is advice."


def digs_text(found: Dug, *, machine: str, invented: bool) -> str:
    """Return what digs say as plain text.

    Parameters
    ----------
    found : Dug
        From :func:`spadework.findings.digs.find_digs`.
    machine : str
        Its name, as people call it.
    invented : bool
        True where digs or machine are made up; said at the top.

    Returns
    -------
    str
        Lines of at most 100 columns, without special signs.
    """
    out = ["Digs across the row", *wrapped(machine)]
    if invented:
        out.append(_INVENTED)
    out += ["", *wrapped(headline(found))]
    do = [line for text in changes(found) for line in wrapped(text, "  ", "- ")]
    if do:
        out += ["", "What to change", *do]
    look = [line for text in doubts(found) for line in wrapped(text, "  ", "- ")]
    if look:
        out += ["", "What to look at", *look]
    out += ["", *wrapped(f"{STANDING_DIGS[0].upper()}{STANDING_DIGS[1:]}."), *_dug(found)]
    if found.gap.digs:
        out += ["", *_units(found), "", *_levels(found)]
        out += ["", *_shares(found)]
    if found.compared:
        out += ["", "Groups of digs (second less first, each unit against itself where it was seen in both)"]
        out += [line for one in found.compared for line in wrapped(compared_text(one), "  ", "- ")]
    if found.cannot:
        out += [
            "",
            "What these digs cannot say",
            *(line for text in found.cannot for line in wrapped(text, "  ", "- ")),
        ]
    out += ["", "Take care", *wrapped("At the hole. " + CARE, "  ", "- ")]
    for caution in CAUTIONS:
        if caution.title in CARE_FOR:
            out += wrapped(f"{caution.title}. {caution.text}", "  ", "- ")
    out += [*wrapped(DEFER, "  "), "", f"spadework {__version__}"]
    return _plain(out)


def _dug(found: Dug) -> Iterator[str]:
    low, high = found.window_cm
    text = (
        f"{found.file}: {count_of(found.digs, 'dig')}, {found.gap.digs} with a gap, in {found.gap.units} of {found.rows} units. "
        f"Wanted: gap {low:g} to {high:g} cm, seed {found.seed_depth_cm:g} cm under the press-wheel track. "
        "Depths from that track."
    )
    if found.judged < found.digs:
        text += (
            f" Judged are the {found.judged} digs of setting {found.setting}; the others tell of the machine before it was "
            "re-set and stand in the comparison only."
        )
    if found.seed_assumed:
        text += f" In {found.seed_assumed} of them the seed was not measured: its planned depth is taken."
    if found.converted:
        text += f" In {found.converted} of them depths were turned into depths under the track with the estimated berm."
    yield from wrapped(text)


def _units(found: Dug) -> Iterator[str]:
    sure = f"{100 * found.asked.confidence_share:.0f} %"
    yield f"Unit by unit, cm (intervals hold for all units at once, {sure})"
    yield f"    {'unit':>4}{'digs':>6}{'gap':>8}   {'between':<15}{'band top':>10}{'seed':>8}   judged"
    for one in found.found:
        between = f"{cm(one.low_cm)} to {cm(one.high_cm)}" if math.isfinite(one.low_cm) else "-"
        yield (
            f"    {one.unit:>4}{one.digs:>6}{cm(one.gap_cm):>8}   {between:<15}{cm(one.top_cm):>10}{cm(one.seed_cm):>8}   "
            f"{judged(one, found)}"
        )


def _levels(found: Dug) -> Iterator[str]:
    sure = f"{100 * found.asked.confidence_share:.0f} %"
    share = f"{100 * found.asked.inside_share:.0f} %"
    yield f"All units, cm (interval of the mean {sure}, units being what is repeated; limits: {share} with {sure})"
    head = f"    {'':<17}{'digs':>5}{'mean':>7}   {'interval':<13}{'sd units':>9}{'sd inside':>11}"
    yield head + f"{share + ' over':>12}{share + ' under':>13}"
    for level in (found.gap, found.top, found.seed, found.side):
        if not level.digs:
            continue
        interval = f"{cm(level.low)} to {cm(level.high)}" if level.has_interval else "-"
        between = "0 *" if level.at_zero else cm(level.between_sd)
        yield (
            f"    {level.what:<17}{level.digs:>5}{cm(level.mean):>7}   {interval:<13}{between:>9}{cm(level.within_sd):>11}"
            f"{cm(level.least):>12}{cm(level.most):>13}"
        )
    if any(level.at_zero for level in (found.gap, found.top, found.seed, found.side)):
        yield from wrapped(
            "* the units differ no more than their digs explain; the intervals still take the unit for what is repeated.",
            "    ",
        )


def _shares(found: Dug) -> Iterator[str]:
    low, high = found.window_cm
    yield from wrapped(_inside(found.gap, f"Gaps inside {low:g} to {high:g} cm"))
    side = found.side
    if side.digs:
        text = _inside(side, f"Band within {found.harmless_cm:g} cm of the row, sideways")
        where = "right" if side.mean > 0 else "left"
        text += f" On average it lies {cm(abs(side.mean))} cm {where} of the row, seen forwards"
        text += f"; standard deviation {cm(side.sd)} cm." if math.isfinite(side.sd) else "."
        text += f" Farther aside than that: {found.beyond_dug} of {side.digs} digs."
        yield from wrapped(text)
    error = f"{100 * found.on.error_share:g} %"
    each = count_of(found.on.digs_each, "dig")
    if found.on.call == "dig on":
        text = f"Rule for digging on ({each} a unit): not decided"
    else:
        text = f"Rule for digging on ({each} a unit): the mean gap {found.on.call}, decided after dig {found.on.stopped_after}"
    text += f" (means {found.target_cm:g} against {low:g} and {high:g} cm, errors {error} on either side)."
    yield from wrapped(text)


def _inside(level: Level, what: str) -> str:
    text = f"{what}: {level.inside_dug} of {level.digs} digs"
    if level.inside is None:
        return text + "."
    middle, low, high = (_share(share) for share in (level.inside.middle, level.inside.low, level.inside.high))
    return f"{text}; of all seeds {middle}" + ("." if low == high else f" ({low} to {high}).")


def _share(share: float) -> str:
    return "over 99 %" if share > 0.995 else "under 1 %" if share < 0.005 else f"{100 * share:.0f} %"


def ahead_text(ahead: Ahead) -> str:
    """Return the table of units and digs before the day as plain text of at most 100 columns.

    Parameters
    ----------
    ahead : Ahead
        From :func:`spadework.findings.digs_before.digs_ahead`.
    """
    sure, share = f"{100 * ahead.confidence_share:.0f} %", f"{100 * ahead.inside_share:.0f} %"
    out = [
        "How many digs?",
        *wrapped(
            f"Estimated beforehand for {ahead.rows} row units, with an assumed scatter of the gap of {ahead.between_sd_cm:g} cm "
            f"between units and {ahead.within_sd_cm:g} cm inside a unit. No measured figure was found for either: put in that of "
            "your own digs as soon as there are any."
        ),
        "",
        f"    {'units':>5}{'digs each':>11}{'digs':>6}{'mean good to':>16}{'finds a unit off':>19}{share + ' lie over':>22}",
        f"    {'':>5}{'':>11}{'':>6}{'+/- cm':>16}{f'by {ahead.off_by_cm:g} cm':>19}{'mean less, cm':>22}",
    ]
    for one in ahead.efforts:
        chance = "-" if math.isnan(one.found_share) else _share(one.found_share)
        out.append(
            f"    {one.units:>5}{one.digs_each:>11}{one.digs:>6}{one.half_width_cm:>16.1f}{chance:>19}{one.reach_cm:>22.1f}"
        )
    wanted = ", ".join(f"{u} units with {n}" for u, n in zip(ahead.units_wanted, ahead.digs_each, strict=True))
    out += [
        "",
        *wrapped(
            f"A mean good to +/- {ahead.half_width_cm:g} cm ({sure}) takes {wanted} digs each. More units come before more digs "
            "in a unit. A chance to find a unit needs two digs in it; units left out are never found."
        ),
        *wrapped(
            f"Without any assumption on the shape of the scatter, the smallest gap of {ahead.singles_one} units dug once each "
            f"is a limit over which {share} lie ({sure}); smallest and largest both of {ahead.singles_both}."
        ),
        *wrapped(
            "Dig every unit, on the way out and on the way back, a few of them on the headland and behind the wheels. Write down "
            "units as counted from the left, seen forwards, both ways."
        ),
    ]
    return _plain(out)


def _plain(lines: list[str]) -> str:
    text = "\n".join(line.rstrip() for line in lines)
    return text.replace("−", "-").replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")
