"""What a comparison found, in sentences: the difference, how sure it is, and what is ruled out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from spadework.estimate import Spread
from spadework.findings.compare_parts import Difference, Finding, Inside, LeftOut
from spadework.present.wording import decimals_for, figure_text
from spadework.records.files.readings import PLAIN_UNIT

__all__ = [
    "STANDINGS",
    "figure",
    "influence_sentence",
    "inside_sentence",
    "label_of",
    "p_text",
    "places_of",
    "reading_notes",
    "sentence",
    "standing_sentence",
    "unit_said",
]

STANDINGS: Final = {
    "looked": "looked: nothing is repeated, so these are means and no comparison",
    "strips": "strips: repeated, but not drawn; what lies in their order counts for the systems",
    "replicated": "replicated: repeated, and drawn by lot in every block",
}
"""Standing of a finding in words."""


@dataclass(frozen=True, slots=True)
class _Words:
    verb: str
    noun: str
    worse: str
    unsure: str


_YIELD = _Words("yielded", "", "loss", "whether it lost or gained")
_FUEL = _Words("burned", "", "rise", "whether it burned more or less")
_WORDS: Final = {
    "dm_yield": _YIELD,
    "yield": _YIELD,
    "grain_yield": _YIELD,
    "fuel": _FUEL,
    "diesel": _FUEL,
    "residue_cover": _Words("left", "residue cover", "loss", "whether it left more or less"),
    "cover": _Words("left", "cover", "loss", "whether it left more or less"),
    "stand": _Words("had", "stand", "loss", "whether its stand is thinner or denser"),
}


def label_of(quantity: str) -> str:
    """Return a quantity as it is said.

    Examples
    --------
    >>> label_of("dm_yield"), label_of("residue_cover")
    ('dry matter yield', 'residue cover')
    """
    return {"dm_yield": "dry matter yield", "fuel": "diesel"}.get(quantity, quantity.replace("_", " "))


def unit_said(unit: str, *, apart: bool = False) -> str:
    """Return a unit as it stands behind a figure; `apart` for a difference, which is of percentage points.

    Examples
    --------
    >>> unit_said("t/ha"), unit_said("%", apart=True), unit_said("1")
    (' t/ha', ' percentage points', '')
    """
    if unit == PLAIN_UNIT:
        return ""
    return " percentage points" if apart and unit == "%" else f" {unit}"


def places_of(found: Finding) -> int:
    """Return as many decimals as the differences and means of a finding can bear."""
    spreads = [Spread(d.difference, d.low, d.high) for d in found.differences]
    if not spreads:
        values = [row.value for row in found.plots if not row.why_not]
        spreads = [Spread(values[0], min(values), max(values))]
    return decimals_for(spreads)


def figure(value: float, places: int, *, sign: bool = False) -> str:
    """Return a number, or a dash where there is none.

    Examples
    --------
    >>> figure(1.234, 1), figure(float("nan"), 1)
    ('1.2', '-')
    """
    return figure_text(value, places, sign=sign) if math.isfinite(value) else "-"


def p_text(p: float) -> str:
    """Return a chance with as many digits as it can bear.

    Examples
    --------
    >>> p_text(0.0312), p_text(0.2), p_text(0.00004)
    ('0.031', '0.20', '< 0.001')
    """
    if not math.isfinite(p):
        return "-"
    return "< 0.001" if p < 0.001 else f"{p:.3f}" if p < 0.1 else f"{p:.2f}"


def sentence(found: Finding, one: Difference) -> str:
    """Return what was found of a system, in sentences that a visitor of the field understands.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    one : Difference
        One of its differences.

    Returns
    -------
    str
        The difference with its interval, whether it can be told, and what is ruled out.
    """
    words = _WORDS.get(found.quantity, _other(found))
    places = places_of(found)
    unit = unit_said(found.unit, apart=True)
    noun = f" {words.noun}" if words.noun else ""
    middle = figure(abs(one.difference), places)
    way = "less" if one.difference < 0 else "more"
    between = f"between {_side(one.low, places)} and {_side(one.high, places)}"
    name = _capital(one.system)
    doing = f"{name} {words.verb}" if words.verb else f"{_capital(words.noun)}: {one.system}"
    what = noun if words.verb else ""
    if not middle.strip("0."):
        said = f"{doing} as much{what} as {found.baseline} ({between}{unit})"
    else:
        said = f"{doing} {middle}{unit} {way}{what} than {found.baseline} ({between})"
    said += f"; this comparison cannot tell {words.unsure}." if one.call == "open" else "."
    return " ".join([said, *_ruled_out(found, one, words, places, unit)])


def _other(found: Finding) -> _Words:
    return _Words(
        "", label_of(found.quantity), "rise" if found.better == "less" else "loss", "whether it is more or less"
    )


def _side(value: float, places: int) -> str:
    text = figure(abs(value), places)
    if not text.strip("0."):
        return "nil"
    return f"{text} {'less' if value < 0 else 'more'}"


def _ruled_out(found: Finding, one: Difference, words: _Words, places: int, unit: str) -> list[str]:
    out = []
    sign = {"more": 1.0, "less": -1.0, "": math.nan}[found.better]
    worst = -sign * one.bound  # how much worse it can be
    one_sided = f"Looked at from that side alone, a {words.worse} is ruled out" if one.call == "open" else ""
    if math.isfinite(worst) and worst <= 0 and one_sided and not one.margin_call:
        out.append(f"{one_sided}.")
    if math.isfinite(worst) and worst > 0 and one.margin_call != "worse":
        edge = math.ceil(worst * 10**places) / 10**places
        out.append(f"A {words.worse} of more than {figure(edge, places)}{unit} is ruled out.")
    if math.isfinite(found.margin):
        borne = f"{found.margin:.6g}{unit}"
        out.append(
            {
                "no worse": f"That is within the {borne} that would be borne."
                if worst > 0
                else f"{one_sided}, so there is none to be borne."
                if one_sided
                else f"There is no {words.worse} to be borne.",
                "alike": f"The two are alike to within the {borne} that would be borne.",
                "worse": f"That is beyond the {borne} that would be borne.",
                "open": f"Whether a {words.worse} stays within the {borne} that would be borne, cannot be told.",
            }[one.margin_call]
        )
    return out


def reading_notes(found: Finding) -> list[str]:
    """Return how the sentences and tables of a finding are to be read together, where they seem not to agree.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.

    Returns
    -------
    list of str
        What the ranges hold; then letters, ranges and the test of all systems where they say different things.
    """
    if not found.differences:
        return []
    many = len(found.differences)
    held = "all ranges hold the true differences" if many > 1 else "the range holds the true difference"
    said = f"In {100 * found.confidence_share:g} of 100 comparisons like this one {held}."
    if found.better:
        what = "What is ruled out, and the margin, look" if math.isfinite(found.margin) else "What is ruled out looks"
        said += f" {what} to one side at a time, so less far than the range."
    return [said, *_letters_and_ranges(found), *_together_and_alone(found)]


def _letters_and_ranges(found: Finding) -> list[str]:
    own = set(found.mean(found.baseline).letters)
    shared = {one.system: bool(own & set(found.mean(one.system).letters)) for one in found.differences}
    if not own:
        return []
    both = [one.system for one in found.differences if one.call != "open" and shared[one.system]]
    neither = [one.system for one in found.differences if one.call == "open" and not shared[one.system]]
    out = []
    if both:
        out.append(
            f"{_capital(_and(both))}: found to differ from {found.baseline}, and sharing a letter with it all the same. Letters "
            f"hold for all {len(found.pairs)} pairs at once and ask for more than the {len(found.differences)} differences from "
            f"{found.baseline}."
        )
    if neither:
        out.append(
            f"{_capital(_and(neither))}: not found to differ from {found.baseline}, and sharing no letter with it. Both lie "
            "at the edge of what counts, and letters are reckoned another way; go by the range."
        )
    return out


def _together_and_alone(found: Finding) -> list[str]:
    """Tell where the test of all systems and the single differences do not say the same."""
    test = next((one for one in found.tests if one.term == ("system",)), None)
    if test is None or len(found.differences) < 2 or not math.isfinite(test.p):
        return []
    alone = [one.system for one in found.differences if one.call != "open"]
    together = test.p <= 1 - found.confidence_share
    if together and not alone:
        return [
            f"The test of all systems together finds something (chance {p_text(test.p)}), and no single difference from "
            f"{found.baseline} does: it may lie between other systems, or in several differences that are small each."
        ]
    if alone and not together:
        return [
            f"The test of all systems together finds nothing (chance {p_text(test.p)}), and {_and(alone)} differs from "
            f"{found.baseline} all the same. The test asks of all systems at once, the range of the differences from "
            f"{found.baseline} alone. Take such a finding with care."
        ]
    return []


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def standing_sentence(found: Finding) -> str:
    """Return standing, layout and number of plots in one line."""
    plots = sum(not row.why_not for row in found.plots)
    blocks = len({(row.field, row.block) for row in found.plots if row.block and not row.why_not})
    fields = len({row.field for row in found.plots if row.field})
    said = f"{_capital(found.layout)}: {plots} plots"
    if blocks > 1:
        said += f" in {blocks} blocks"
    if fields > 1:
        said += f" of {fields} fields or years" if blocks > 1 else f" in {fields} fields or years"
    return f"{_capital(STANDINGS[found.standing])}. {said}."


def inside_sentence(found: Finding, one: Inside) -> str:
    """Return the differences at one label of a further factor in one line."""
    places, unit = places_of(found), unit_said(found.unit, apart=True)
    each = [
        f"{d.system} {figure(d.difference, places, sign=True)} ({figure(d.low, places, sign=True)} to "
        f"{figure(d.high, places, sign=True)})"
        for d in one.differences
    ]
    return f"{one.factor} {one.label}: {'; '.join(each)}{unit}"


def influence_sentence(found: Finding, one: LeftOut) -> str:
    """Return what changes without a plot: both results."""
    places, unit = places_of(found), unit_said(found.unit, apart=True)

    def said(d: Difference) -> str:
        between = f"{figure(d.low, places, sign=True)} to {figure(d.high, places, sign=True)}"
        margin = f", margin: {d.margin_call}" if d.margin_call else ""
        called = {"more": "more", "less": "less", "open": "cannot be told"}[d.call]
        return f"{figure(d.difference, places, sign=True)} ({between}){unit}, {called}{margin}"

    return (
        f"Without plot {one.plot} ({one.system}) something else would be said of {one.of}: with it {said(one.with_it)}; "
        f"without it {said(one.without)}. Both results stand; no plot was dropped."
    )
