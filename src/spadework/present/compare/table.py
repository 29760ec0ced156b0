"""What a comparison found, as plain text of at most 100 columns: sentences first, then the figures and what they rest on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from spadework import __version__
from spadework.findings.compare_beside import Beside
from spadework.findings.compare_parts import Finding
from spadework.present.compare.guards import guard_lines
from spadework.present.compare.words import (
    figure,
    influence_sentence,
    inside_sentence,
    label_of,
    p_text,
    places_of,
    reading_notes,
    sentence,
    standing_sentence,
    unit_said,
)
from spadework.present.table import wrapped
from spadework.reference import constants

__all__ = ["ALIKE", "CHANCE", "MOST_PAIRS", "RATE", "compare_text", "outside_said", "way_said"]

_K = constants("compare_rules")
_NAME = 20
MOST_PAIRS = 45
"""Pairs beside those with the baseline, up to which they are printed one by one."""
ALIKE = "Systems that share a letter were not found to differ; that does not make them equal."
CHANCE = "Chance: how often systems that do the same would seem to differ so much or more."
OVERLAP = "Mean outside the estimated range, which the interval of the mean still reaches: "
OUTSIDE = "Measured outside the estimated range: "
BEYOND = "Measured outside the estimated range, with the whole interval of the mean: "
RATE = (
    "A rate measured on plots is no rate of a farm: on short plots more of the time goes into turning and waiting. "
    "Do not carry it over."
)


def compare_text(
    found: Finding, *, beside: Sequence[Beside] = (), remarks: Sequence[str] = (), invented: bool = False
) -> str:
    """Return a finding as plain text.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    beside : sequence of Beside
        Measured held against estimated, from :func:`spadework.findings.compare_beside.beside`.
    remarks : sequence of str
        Of the reader of the file.
    invented : bool
        True where plan or readings are made up; said at the top.

    Returns
    -------
    str
        Lines of at most 100 columns, without special signs.
    """
    out = [f"What did we find? {label_of(found.quantity)}{_in(found.unit)}"]
    if invented:
        out.append("INVENTED: farm and readings are made up to show the tool; nothing here is advice.")
    out += ["", *wrapped(standing_sentence(found)), ""]
    out += [line for one in found.differences for line in wrapped(sentence(found, one), "  ", "- ")]
    out += [line for text in reading_notes(found) for line in wrapped(text, "  ")]
    if found.differences:
        out.append("")
    out += [*_means(found), *_differences(found), *_pairs(found)]
    out += _list("At each label of the other factors, differences from the baseline", [
        inside_sentence(found, one) for one in found.inside
    ])  # fmt: skip
    out += [*_tests(found), *_beside(found, beside), *guard_lines(found)]
    out += _list("Plots that do not count", found.missing)
    out += _list("With the plots that were left out put in again", _again(found))
    out += _list("What hangs on one plot", [influence_sentence(found, one) for one in found.influence])
    out += _list("What to look at", found.warnings)
    out += _list("Take note", [*found.notes, *remarks])
    out += [
        "",
        *wrapped(f"Model: {'; '.join(found.model)}. {way_said(found)}"),
        "",
        f"{found.file}, spadework {__version__}",
    ]
    text = "\n".join(line.rstrip() for line in out)
    return text.replace("−", "-").replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


def _in(unit: str) -> str:
    said = unit_said(unit).strip()
    return f", {said}" if said else ""


def _list(title: str, items: Sequence[str]) -> list[str]:
    lines = [line for text in items for line in wrapped(text[0].upper() + text[1:], "  ", "- ")]
    return ["", title, *lines] if lines else []


def _means(found: Finding) -> Iterator[str]:
    places, sure = places_of(found), f"{100 * found.confidence_share:g} %"
    intervals = any(math.isfinite(one.low) for one in found.means)
    yield f"Means{_in(found.unit)}" + (f" (interval of each mean {sure})" if intervals else "")
    yield f"    {'system':<{_NAME}}{'plots':>6}{'of plots':>11}" + (
        f"{'of model':>11}   {'between':<20}{'letters':<8}" if intervals else ""
    )
    for one in found.means:
        line = f"    {_cut(one.system):<{_NAME}}{one.plots:>6}{figure(one.raw, places):>11}"
        if intervals:
            between = f"{figure(one.low, places)} to {figure(one.high, places)}" if math.isfinite(one.low) else "-"
            line += f"{figure(one.mean, places):>11}   {between:<20}{one.letters:<8}"
        yield line
    if any(one.letters for one in found.means):
        yield from wrapped(f"Letters: all pairs at once, {sure}. {ALIKE}", "    ")


def _differences(found: Finding) -> Iterator[str]:
    if not found.differences:
        return
    places, sure = places_of(found), f"{100 * found.confidence_share:g} %"
    unit = unit_said(found.unit, apart=True).strip()
    yield ""
    yield from wrapped(
        f"Differences from {found.baseline}{', ' if unit else ''}{unit} (for all of them at once, {sure})"
    )
    margin = math.isfinite(found.margin)
    head = f"    {'system':<{_NAME}}{'difference':>11}   {'between':<20}{'df':>6}{'chance':>9}{'in reach':>11}"
    yield head + (f"   {'margin':<12}" if margin else "")
    for one in found.differences:
        between = f"{figure(one.low, places, sign=True)} to {figure(one.high, places, sign=True)}"
        line = f"    {_cut(one.system):<{_NAME}}{figure(one.difference, places, sign=True):>11}   {between:<20}"
        line += f"{one.df:>6.3g}{p_text(one.p):>9}{figure(one.detectable, places):>11}"
        yield line + (f"   {one.margin_call:<12}" if margin else "")
    share = f"{100 * _K.power_share:.0f}"
    text = f"{CHANCE} In reach: the true difference that a comparison like this one finds {share} times in 100, looked at alone."
    text += f" Plots scatter by {figure(found.error_sd, places + 1)}{unit_said(found.unit, apart=True)}"
    if found.unit != "%" and math.isfinite(found.cv_share):
        text += f", {100 * found.cv_share:.1f} % of the mean,"
    yield from wrapped(text + " for reasons that the model does not know.", "    ")


def _pairs(found: Finding) -> Iterator[str]:
    others = [pair for pair in found.pairs if found.baseline not in (pair.first, pair.second)]
    if not others:
        return
    places, sure = places_of(found), f"{100 * found.confidence_share:g} %"
    yield ""
    yield f"Other pairs (for all pairs at once, {sure})"
    if len(others) > MOST_PAIRS:
        yield f"    {len(others)} of them: letters sum them up; each stands in the file of figures (--json)."
        return
    for pair in others:
        between = f"{figure(pair.low, places, sign=True)} to {figure(pair.high, places, sign=True)}"
        name = f"{_cut(pair.second)} less {_cut(pair.first)}"
        yield f"    {name:<46}{figure(pair.difference, places, sign=True):>11}   {between:<20}{p_text(pair.p):>8}"


def _tests(found: Finding) -> Iterator[str]:
    if not found.tests:
        return
    yield ""
    yield "Does it matter at all? Tests of the terms"
    yield f"    {'term':<40}{'F':>9}{'df':>6}{'df rest':>10}{'chance':>9}"
    for test in found.tests:
        yield f"    {' with '.join(test.term)[:39]:<40}{test.f:>9.2f}{test.df:>6.3g}{test.df_rest:>10.4g}{p_text(test.p):>9}"


def _beside(found: Finding, rows: Sequence[Beside]) -> Iterator[str]:
    if not rows:
        return
    places = places_of(found)
    yield ""
    yield f"Measured beside estimated{_in(found.unit)}"
    yield f"    {'system':<{_NAME}}{'measured':>10}   {'between':<18}{'estimated':>10}   {'80 % of draws':<18}{'off by':>8}"
    for one in rows:
        measured = f"{figure(one.low, places)} to {figure(one.high, places)}" if math.isfinite(one.low) else "-"
        draws = f"{figure(one.least, places)} to {figure(one.most, places)}"
        yield (
            f"    {_cut(one.system):<{_NAME}}{figure(one.measured, places):>10}   {measured:<18}"
            f"{figure(one.estimated, places):>10}   {draws:<18}{figure(one.off, places, sign=True):>8}"
        )
    for text in outside_said(rows):
        yield from wrapped(text, "    ")
    if found.quantity == "work_rate":
        yield from wrapped(RATE, "    ")


def outside_said(rows: Sequence[Beside]) -> list[str]:
    """Return which systems were measured outside the estimated range, those that scatter alone may explain apart."""
    out: dict[str, list[str]] = {BEYOND: [], OVERLAP: [], OUTSIDE: []}
    for one in rows:
        reaches = one.low <= one.most and one.high >= one.least
        if not one.inside:
            out[OUTSIDE if not math.isfinite(one.low) else OVERLAP if reaches else BEYOND].append(one.system)
    return [f"{said}{', '.join(names)}." for said, names in out.items() if names]


def _again(found: Finding) -> list[str]:
    return [sentence(found, one) for one in found.with_all]


def way_said(found: Finding) -> str:
    """Return how a finding was worked out."""
    return {
        "strata": "Everything meets evenly: analysis of variance, each difference against the scatter of its own plots.",
        "restricted likelihood": "Plots do not meet evenly: restricted likelihood, tests after Kenward and Roger.",
        "means": "No analysis.",
    }[found.analysis]


def _cut(name: str) -> str:
    return name if len(name) < _NAME else name[: _NAME - 3] + ".."
