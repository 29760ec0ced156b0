"""What a comparison found, as a page and as a print: one content for both."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from spadework import __version__
from spadework.findings.compare_beside import Beside
from spadework.findings.compare_parts import Finding
from spadework.plan import Plan
from spadework.present.charts.spec import to_svg
from spadework.present.compare.charts import against_chart, plots_chart, residual_map
from spadework.present.compare.guards import guard_blocks
from spadework.present.compare.table import ALIKE, CHANCE, MOST_PAIRS, RATE, outside_said, way_said
from spadework.present.compare.words import (
    STANDINGS,
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
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Report, Section, Text

__all__ = ["compare_report"]

_WEAKEST = ("looked", "strips", "replicated")


def compare_report(
    found: Sequence[Finding], plan: Plan, beside: Mapping[str, Sequence[Beside]], remarks: Sequence[str]
) -> Report:
    """Return the content of the page: a section for each quantity.

    Parameters
    ----------
    found : sequence of Finding
        From :func:`spadework.findings.compare.compare`, one for each quantity.
    plan : Plan
        The comparison.
    beside : Mapping
        Measured held against estimated, by quantity.
    remarks : sequence of str
        Of the reader of the file.

    Returns
    -------
    Report
        Its standing is the weakest of the findings.
    """
    weakest = min((one.standing for one in found), key=_WEAKEST.index)
    sections = [_section(one, beside.get(one.quantity, ())) for one in found]
    if remarks:
        sections.append(Section("file", "What stood out in the file?", [Items(tuple(("", text) for text in remarks))]))
    sure = f"intervals hold {100 * found[0].confidence_share:g} %"
    facts = (f"readings of {found[0].file}", f"baseline {found[0].baseline}", sure, f"spadework {__version__}")
    place = f"{plan.field.name}: {plan.field.area.text}, {plan.field.texture.replace('_', ' ')}"
    return Report(plan.question, place, STANDINGS[weakest], plan.invented, facts, tuple(sections))


def _section(found: Finding, beside: Sequence[Beside]) -> Section:
    blocks: list[Block] = [Text(standing_sentence(found))]
    if found.differences:
        blocks.append(Items(tuple(("", sentence(found, one)) for one in found.differences)))
        blocks += [Text(note, "small") for note in reading_notes(found)]
    blocks += [Text(note, "warning") for note in found.warnings]
    name = f"plots-{found.quantity}"
    spec = plots_chart(found)
    blocks.append(Drawing(name, to_svg(spec), spec["description"]))
    if found.differences:
        spec = against_chart(found)
        blocks.append(Drawing(f"against-{found.quantity}", to_svg(spec), spec["description"]))
    blocks.append(_means(found))
    if found.differences:
        blocks += [_differences(found), *_pairs(found)]
    if found.inside:
        blocks.append(Text("At each label of the other factors, differences from the baseline", "title"))
        blocks.append(Items(tuple(("", inside_sentence(found, one)) for one in found.inside)))
    if found.tests:
        blocks.append(_tests(found))
    if beside:
        blocks += _beside(found, beside)
    blocks += guard_blocks(found)
    if any(math.isfinite(row.residual) for row in found.plots):
        spec = residual_map(found)
        blocks.append(Drawing(f"left-{found.quantity}", to_svg(spec), spec["description"]))
    blocks += _rest(found)
    said = unit_said(found.unit).strip()
    label = label_of(found.quantity)
    title = f"{label[0].upper()}{label[1:]}{', ' if said else ''}{said}: what did we find?"
    return Section(f"q-{found.quantity}", title, blocks)


def _rest(found: Finding) -> list[Block]:
    out: list[Block] = []
    lists = (
        ("Plots that do not count", found.missing),
        ("With the plots that were left out put in again", [sentence(found, one) for one in found.with_all]),
        ("What hangs on one plot", [influence_sentence(found, one) for one in found.influence]),
        ("Take note", found.notes),
    )
    for title, items in lists:
        if items:
            out += [Text(title, "title"), Items(tuple(("", text[0].upper() + text[1:]) for text in items))]
    return [*out, Text(f"Model: {'; '.join(found.model)}. {way_said(found)}", "small")]


def _means(found: Finding) -> Grid:
    places = places_of(found)
    known = any(math.isfinite(one.low) for one in found.means)
    head = ["system", "plots", "mean of the plots"]
    if known:
        head += ["mean of the model", "between", "letters"]
    rows = []
    for one in found.means:
        cells = [one.system, str(one.plots), figure(one.raw, places)]
        if known:
            between = f"{figure(one.low, places)} to {figure(one.high, places)}" if math.isfinite(one.low) else "-"
            cells += [figure(one.mean, places), between, one.letters or "-"]
        rows.append(tuple(Cell(text) for text in cells))
    unit = unit_said(found.unit).strip()
    caption = f"Means{', ' if unit else ''}{unit}"
    sure = f"{100 * found.confidence_share:g} %"
    note = f"Between: {sure} interval of each mean alone. Letters: all pairs at once, {sure}. {ALIKE}" if known else ""
    return Grid(caption, tuple(head), tuple(rows), note=note)


def _differences(found: Finding) -> Grid:
    places = places_of(found)
    head = ["system", "difference", "between", "degrees of freedom", "chance", "in reach"]
    margin = math.isfinite(found.margin)
    if margin:
        head.append("margin")
    rows = []
    for one in found.differences:
        between = f"{figure(one.low, places, sign=True)} to {figure(one.high, places, sign=True)}"
        cells = [one.system, figure(one.difference, places, sign=True), between, f"{one.df:.3g}", p_text(one.p),
                 figure(one.detectable, places)]  # fmt: skip
        if margin:
            cells.append(one.margin_call)
        rows.append(tuple(Cell(text) for text in cells))
    unit = unit_said(found.unit, apart=True).strip()
    sure = f"{100 * found.confidence_share:g} %"
    note = (
        f"Between and chance: for all differences from {found.baseline} at once, {sure}. In reach: the true difference "
    )
    note = f"{CHANCE} {note}"
    note += "that a comparison like this one would likely find, looked at alone."
    return Grid(f"Differences from {found.baseline}{', ' if unit else ''}{unit}", tuple(head), tuple(rows), note=note)


def _pairs(found: Finding) -> list[Block]:
    others = [pair for pair in found.pairs if found.baseline not in (pair.first, pair.second)]
    if not 0 < len(others) <= MOST_PAIRS:
        return []
    places = places_of(found)
    rows = tuple(
        (
            Cell(f"{pair.second} less {pair.first}"),
            Cell(figure(pair.difference, places, sign=True)),
            Cell(f"{figure(pair.low, places, sign=True)} to {figure(pair.high, places, sign=True)}"),
            Cell(p_text(pair.p)),
        )
        for pair in others
    )
    unit = unit_said(found.unit, apart=True).strip()
    note = f"For all pairs at once, {100 * found.confidence_share:g} %."
    return [
        Grid(f"Other pairs{', ' if unit else ''}{unit}", ("pair", "difference", "between", "chance"), rows, note=note)
    ]


def _tests(found: Finding) -> Grid:
    rows = tuple(
        (
            Cell(" with ".join(t.term)),
            Cell(f"{t.f:.2f}"),
            Cell(f"{t.df:.3g}"),
            Cell(f"{t.df_rest:.4g}"),
            Cell(p_text(t.p)),
        )
        for t in found.tests
    )
    head = ("term", "F", "degrees of freedom", "of the rest", "chance")
    scatter = f"{figure(found.error_sd, places_of(found) + 1)}{unit_said(found.unit, apart=True)}"
    note = f"Plots scatter by {scatter} for reasons that the model does not know"
    if found.unit != "%" and math.isfinite(found.cv_share):
        note += f", {100 * found.cv_share:.1f} % of the mean"
    return Grid("Does it matter at all?", head, rows, note=note + ".")


def _beside(found: Finding, rows: Sequence[Beside]) -> list[Block]:
    places = places_of(found)
    cells = []
    for one in rows:
        measured = f"{figure(one.measured, places)}"
        if math.isfinite(one.low):
            measured += f" ({figure(one.low, places)} to {figure(one.high, places)})"
        draws = f"{figure(one.estimated, places)} ({figure(one.least, places)} to {figure(one.most, places)})"
        off = Cell(figure(one.off, places, sign=True), mark="" if one.inside else "warning")
        cells.append((Cell(one.system), Cell(measured), Cell(draws), off, Cell("inside" if one.inside else "outside")))
    unit = unit_said(found.unit).strip()
    head = ("system", "measured", "estimated", "off by", "the range")
    note = "Estimated: middle of the draws, and the range that holds 80 % of them."
    grid = Grid(f"Measured beside estimated{', ' if unit else ''}{unit}", head, tuple(cells), note=note)
    outside = [Text(text, "small") for text in outside_said(rows)]
    return [grid, *outside, *([Text(RATE, "warning")] if found.quantity == "work_rate" else [])]
