"""The working of a figure as text: formula, numbers in it, result, and what each number leans on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from spadework.estimate.result import SHARE_PRINTED, Estimate
from spadework.plan.faults import nearest
from spadework.quantities import show
from spadework.ranges import FloatArray
from spadework.reference import Entry, sources
from spadework.working import Figure, Gathered, Given, Looked, Summed, Worked, Worksheet

__all__ = ["Line", "lines_of", "number", "one_line", "unit_text", "working", "working_text"]


@dataclass(frozen=True, slots=True)
class Line:
    """One figure of a working, for one system.

    Attributes
    ----------
    name, label, result : str
        The figure, in words, and its median with the 80 % interval.
    formula, numbers : str
        The formula in names and with numbers in it; empty for what was given or looked up.
    source : str
        Where it comes from: place in the plan, citation, or publication of the formula.
    inputs : tuple of str
        Names of the figures that it was made from.
    where : str
        Module and function that worked it out, or the tables that it was looked up in.
    """

    name: str
    label: str
    result: str
    formula: str
    numbers: str
    source: str
    inputs: tuple[str, ...]
    where: str = ""


def working(estimate: Estimate, name: str, system: int) -> tuple[Line, ...]:
    """Return the working of a figure for one system: the figure first, then everything behind it.

    Raises
    ------
    KeyError
        If there is no such figure; the message names the nearest.
    """
    sheet = estimate.sheet
    if name not in sheet.figures:
        raise KeyError(f'there is no figure "{name}"{nearest(name, sheet.figures)}')
    return tuple(line for figure in sheet.behind(name) for line in lines_of(estimate, figure.name, system))


def lines_of(estimate: Estimate, name: str, system: int) -> tuple[Line, ...]:
    """Return how one figure came about for one system, without what is behind it: a line for each of its rows."""
    figure = estimate.sheet.figures[name]
    currency = estimate.plan.prices.currency
    rows = _rows(estimate, figure, system)
    return tuple(_line(estimate.sheet, figure, row, label, currency) for row, label in rows)


def working_text(estimate: Estimate, name: str, system: int) -> str:
    """Return the working of a figure for one system as plain text, read from the figure down to the table rows."""
    out = [
        f"{estimate.systems[system]}: {estimate.sheet.figures[name].label if name in estimate.sheet.figures else name}",
        "",
    ]
    for line in working(estimate, name, system):
        out.append(f"{line.label} = {line.result}    [{line.name}]")
        if line.formula:
            out.append(f"    = {line.formula}")
        if line.numbers:
            out.append(f"    = {line.numbers}")
        out.append(f"    {line.source}")
        if line.where:
            out.append(f"    {line.where}")
    share = f"{SHARE_PRINTED:.0%}"
    out += [
        "",
        f"Numbers are medians; in brackets the interval that holds {share} of {estimate.draws} draws, "
        f"seed {estimate.seed}.",
    ]
    return "\n".join(out)


def one_line(sheet: Worksheet, name: str) -> str:
    """Return in one line how a figure came about."""
    figure = sheet.figures[name]
    origin = figure.origin
    if isinstance(origin, Worked):
        return f"{origin.function}: {_formula(origin)}"
    if isinstance(origin, Gathered):
        return f"{origin.how} of {origin.figure}"
    if isinstance(origin, Summed):
        return " + ".join(origin.figures)
    if isinstance(origin, Looked):
        return "; ".join(str(c) for c in dict.fromkeys(origin.citations))
    return "; ".join(dict.fromkeys(origin.places))


def number(values: FloatArray, digits: int = 3) -> str:
    """Return median and 80 % interval of draws, or the bare number where nothing varies."""
    tail = (1 - SHARE_PRINTED) / 2
    low, mid, high = (float(v) for v in np.quantile(values, (tail, 0.5, 1 - tail)))
    if low == high:
        return _short(mid, digits)
    return f"{_short(mid, digits)} ({_short(low, digits)} to {_short(high, digits)})"


def unit_text(unit: str, currency: str) -> str:
    """Return a unit for people: the currency of the plan, nothing for shares."""
    return unit.replace("EUR", currency) if unit != "1" else ""


def _short(value: float, digits: int) -> str:
    return show(value, "", digits).strip()


def _rows(estimate: Estimate, figure: Figure, system: int) -> Iterator[tuple[int | None, str]]:
    if not figure.over:
        yield None, figure.label
        return
    axis = estimate.sheet.axes[figure.over]
    for row, owner in enumerate(axis.systems):
        if owner == system:
            own = figure.over in {"system", "placing", "band", "covered"}
            yield row, figure.label if own else f"{figure.label}, {axis.labels[row]}"


def _line(sheet: Worksheet, figure: Figure, row: int | None, label: str, currency: str) -> Line:
    values = figure.values if row is None else figure.values[row]
    result = f"{number(values)} {unit_text(figure.unit, currency)}".strip()
    formula, numbers, source, where = "", "", "", ""
    origin = figure.origin
    if isinstance(origin, Worked):
        formula = _formula(origin)
        numbers = "" if origin.equation.in_words else _numbers(sheet, origin, row)
        text = sources()[origin.equation.source].text
        source = f"{text}, {origin.equation.locator}" if origin.equation.locator else text
        fixed = [f"{key} = {entry.value:g}: {_cited(entry, text)}" for key, entry in origin.equation.entries().items()]
        source = "; ".join([source, *fixed])
        where = f"{origin.module.removeprefix('spadework.')}: {origin.function}"
    elif isinstance(origin, Gathered):
        chosen = origin.rows[row or 0]
        parts = sheet.figures[origin.figure]
        axis = sheet.axes[parts.over].labels
        sign = {"sum": " + ", "product": " × ", "pick": ""}[origin.how]
        formula = sign.join(axis[i] for i in chosen) or "nil"
        numbers = sign.join(_short(float(np.median(parts.values[i])), 3) for i in chosen)
        source = {"sum": "sum", "product": "product", "pick": "taken"}[origin.how] + f" from [{origin.figure}]"
    elif isinstance(origin, Summed):
        formula = " + ".join(sheet.figures[f].label for f in origin.figures)
        numbers = " + ".join(_short(float(np.median(_at(sheet.figures[f], row))), 3) for f in origin.figures)
        source = "sum"
    elif isinstance(origin, Looked):
        picked = origin.citations
        if row is not None and len(picked) == len(figure.values):
            picked = (picked[row],)
        source = "; ".join(str(citation) for citation in dict.fromkeys(picked)) or "no table needed: the plan gives it"
        where = "table " + ", ".join(dict.fromkeys(citation.table for citation in picked)) if picked else ""
    elif isinstance(origin, Given):
        source = "plan: " + _one(origin.places, row)
        text = _one(origin.texts, row)
        source += f' = "{text}"' if text else ""
    if figure.note:
        source += f" ({figure.note})"
    return Line(figure.name, label, result, formula, numbers, source, sheet.inputs(figure), where)


def _cited(entry: Entry, said: str) -> str:
    """Return the citation of a constant, without the publication where that is the one already said."""
    citation = entry.citation
    if citation.source.text != said:
        return str(citation)
    return f"the same [{citation.standing}; table {citation.table}, row {citation.row}, {citation.column}]"


def _one(texts: tuple[str, ...], row: int | None) -> str:
    if not texts:
        return ""
    return texts[row] if row is not None and len(texts) > 1 and row < len(texts) else texts[0]


def _at(figure: Figure, row: int | None) -> FloatArray:
    values: FloatArray = figure.values if not figure.over or row is None else figure.values[row]
    return values


def _formula(origin: Worked) -> str:
    return _typeset(origin.equation.text)


def _numbers(sheet: Worksheet, origin: Worked, row: int | None) -> str:
    known = {
        argument: _short(float(np.median(_at(sheet.figures[figure], row))), 4)
        for argument, figure in origin.inputs.items()
    }
    known |= {key: f"{entry.value:g}" for key, entry in origin.equation.entries().items()}
    text = re.sub(r"[A-Za-z_][A-Za-z_0-9]*", lambda m: known.get(m[0], m[0]), origin.equation.text)
    return _typeset(text)


def _typeset(text: str) -> str:
    text = re.sub(r"\*\*2(?![\d.])", "²", text)
    text = re.sub(r"\*\*3(?![\d.])", "³", text)
    text = text.replace("**", "^").replace(" * ", " × ").replace("*", " × ")
    return re.sub(r" - ", " − ", text)
