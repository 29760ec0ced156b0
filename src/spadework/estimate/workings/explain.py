"""How each figure of an estimate came about: formula, numbers and units in it, result, spread, and where it is from."""

from __future__ import annotations

import importlib
import inspect
import re
import weakref
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from spadework.estimate.chain import ONE_A_SYSTEM
from spadework.estimate.result import SHARE_PRINTED, Estimate
from spadework.estimate.run import estimate as run
from spadework.estimate.typeset import (
    LEAF_DIGITS,
    WORKED_DIGITS,
    evaluate,
    figure,
    fitting,
    in_names,
    in_numbers,
    spread,
    tied,
)
from spadework.plan import PlanFaults
from spadework.ranges import FloatArray
from spadework.reference import Entry, sources
from spadework.working import EVERY_SYSTEM, Figure, Gathered, Given, Looked, Summed, Worked, Worksheet

__all__ = [
    "Line",
    "hold_middle",
    "is_leaf",
    "left_out",
    "line_of",
    "lines_of",
    "middle",
    "number",
    "one_of",
    "own_axis",
    "rows_of",
    "unit_text",
]

Kind = Literal["given", "table", "worked"]
_TAILS = ((1 - SHARE_PRINTED) / 2, 0.5, (1 + SHARE_PRINTED) / 2)
_NEARLY = 5e-5
_middles: dict[int, Estimate] = {}


@dataclass(frozen=True, slots=True)
class Line:
    """One figure, or one row of it, for one system.

    Attributes
    ----------
    name, label : str
        The figure, in words.
    kind : {"given", "table", "worked"}
        Whether the plan gives it, tables hold it, or it was worked out.
    result : str
        Its value, with unit, on the middle of every input.
    spread : str
        Its median over the draws with the 80 % interval; empty where nothing varies.
    formula, numbers : str
        The formula in names and with the numbers and units that come to `result`; empty for what was not worked out,
        `numbers` also where the formula is a sentence.
    source : str
        Where it comes from: place in the plan, citation, or publication of the formula.
    inputs : tuple of str
        Names of the figures that it was made from.
    where : str
        Module and function that worked it out, or the tables that it was looked up in.
    """

    name: str
    label: str
    kind: Kind
    result: str
    spread: str
    formula: str
    numbers: str
    source: str
    inputs: tuple[str, ...]
    where: str = ""


def middle(estimate: Estimate) -> Estimate:
    """Return the same estimate on the middle of every input, a single draw, on which its workings are shown.

    Where the middles taken together lead to something that cannot be, although the medians of the draws do not, the
    draw that has the median cost of the baseline stands in.
    """
    if estimate.draws == 1:
        return estimate
    key = id(estimate)
    if key not in _middles:
        try:
            _middles[key] = run(estimate.read, 1, estimate.seed)
        except PlanFaults:
            _middles[key] = _middle_draw(estimate)
        weakref.finalize(estimate, _middles.pop, key, None)
    return _middles[key]


def hold_middle(estimate: Estimate, its_middle: Estimate) -> None:
    """Let workings of an estimate that goes on from another be shown on a middle of its own."""
    if estimate.draws > 1:
        _middles[id(estimate)] = its_middle
        weakref.finalize(estimate, _middles.pop, id(estimate), None)


def lines_of(estimate: Estimate, name: str, system: int) -> tuple[Line, ...]:
    """Return how one figure came about for one system, without what is behind it: a line for each of its rows."""
    held = estimate.sheet.figures[name]
    rows = rows_of(estimate, name, system)
    labels = estimate.sheet.axes[held.over].labels if held.over else ()
    own = own_axis(held)
    return tuple(
        line_of(estimate, name, row, held.label if row is None or own else f"{held.label}, {labels[row]}")
        for row in rows
    )


def line_of(estimate: Estimate, name: str, row: int | None, label: str) -> Line:
    """Return how one row of a figure came about; `row` is None for a figure that has no rows."""
    sheet = middle(estimate).sheet
    held = sheet.figures[name]
    unit = unit_text(held.unit, estimate.plan.prices.currency)
    value = _at(held, row)
    varies = _drawn(estimate.sheet.figures[name], row)
    low, mid, high = np.quantile(varies, _TAILS).tolist() if varies.size > 1 else (value,) * 3
    line = Line(
        name=name,
        label=label,
        kind="worked",
        result=tied(figure(value, digits_of(held, value)), unit),
        spread="" if low == high else spread(low, mid, high, unit),
        formula="",
        numbers="",
        source="",
        inputs=sheet.inputs(held),
    )
    line = _with_origin(line, sheet, held, row, estimate.plan.prices.currency)
    return replace(line, source=f"{line.source} ({held.note})") if held.note else line


def number(values: FloatArray, digits: int = 3) -> str:
    """Return median and 80 % interval of draws, or the bare number where nothing varies."""
    low, mid, high = np.quantile(values, _TAILS).tolist()
    return spread(low, mid, high, "", digits)


def unit_text(unit: str, currency: str) -> str:
    """Return a unit for people: the currency of the plan, nothing for shares."""
    return unit.replace("EUR", currency) if unit != "1" else ""


def left_out(origin: Worked) -> dict[str, float]:
    """Return the arguments that stand in a formula but were not asked for, with the value that the function takes."""
    function = getattr(importlib.import_module(origin.module), origin.function)
    return {
        name: float(argument.default)
        for name, argument in inspect.signature(function).parameters.items()
        if name not in origin.inputs and re.search(rf"\b{name}\b", origin.equation.text)
    }


def is_leaf(held: Figure) -> bool:
    """Tell whether a figure was given or looked up, not worked out."""
    return isinstance(held.origin, Given | Looked)


def digits_of(held: Figure, value: float) -> int:
    """Return the significant digits with which a figure is printed: more than four where plan or table hold more."""
    if not is_leaf(held) or abs(float(f"{value:.3e}") - value) <= _NEARLY * abs(value):
        return WORKED_DIGITS
    return LEAF_DIGITS


def own_axis(held: Figure) -> bool:
    """Tell whether the rows of a figure are systems, so that a row needs no name beside that of its system."""
    return held.over in ONE_A_SYSTEM


def rows_of(estimate: Estimate, name: str, system: int) -> tuple[int | None, ...]:
    """Return the rows of a figure that belong to a system; a single None where it has no rows."""
    held = estimate.sheet.figures[name]
    if not held.over:
        return (None,)
    owners = estimate.sheet.axes[held.over].systems
    return tuple(row for row, owner in enumerate(owners) if owner in {system, EVERY_SYSTEM})


def _with_origin(line: Line, sheet: Worksheet, held: Figure, row: int | None, currency: str) -> Line:
    origin = held.origin
    if isinstance(origin, Worked):
        return _worked(line, sheet, origin, row, currency)
    if isinstance(origin, Gathered):
        return _gathered(line, sheet, origin, row)
    if isinstance(origin, Summed):
        values = [_at(sheet.figures[part], row) for part in origin.figures]
        labels = [sheet.figures[part].label for part in origin.figures]
        return replace(line, formula=" + ".join(labels), numbers=_chain(values, " + "), source="sum")
    if isinstance(origin, Looked):
        picked = origin.citations
        if row is not None and len(picked) == len(held.values):
            picked = (picked[row],)
        source = "; ".join(str(citation) for citation in dict.fromkeys(picked)) or "no table needed: the plan gives it"
        where = "table " + ", ".join(dict.fromkeys(citation.table for citation in picked)) if picked else ""
        return replace(line, kind="table" if picked else "given", source=source, where=where)
    text = one_of(origin.texts, row)
    source = "plan: " + one_of(origin.places, row) + (f' = "{text}"' if text else "")
    return replace(line, kind="given", source=source)


def _worked(line: Line, sheet: Worksheet, origin: Worked, row: int | None, currency: str) -> Line:
    said, entries = origin.equation, origin.equation.entries()
    cited = sources()[said.source].text
    where = f"{origin.module.removeprefix('spadework.')}: {origin.function}"
    source = f"{cited}, {said.locator}" if said.locator else cited
    source = "; ".join(
        [source, *(f"{key} = {entry.value:g}: {_cited(entry, cited)}" for key, entry in entries.items())]
    )
    line = replace(line, formula=in_names(said.text), source=source, where=where)
    if said.in_words:
        return line
    held = {argument: sheet.figures[name] for argument, name in origin.inputs.items()}
    values = [_at(part, row) for part in held.values()]
    fixed = left_out(origin) | {key: entry.value for key, entry in entries.items()}
    shown = fitting(
        values,
        [digits_of(part, value) for part, value in zip(held.values(), values, strict=True)],
        lambda rounded: evaluate(said.text, fixed | dict(zip(held, rounded, strict=True))),
        _at(sheet.figures[line.name], row),
    )
    printed = dict(zip(held, shown, strict=True)) | {key: figure(value, 12) for key, value in fixed.items()}
    units = {argument: unit_text(part.unit, currency) for argument, part in held.items()}
    units |= {key: unit_text(entry.unit, currency) for key, entry in entries.items()}
    return replace(line, numbers=in_numbers(said.text, printed, units))


def _gathered(line: Line, sheet: Worksheet, origin: Gathered, row: int | None) -> Line:
    chosen = origin.rows[row or 0]
    parts = sheet.figures[origin.figure]
    labels = [sheet.axes[parts.over].labels[i] for i in chosen]
    sign = " × " if origin.how == "product" else " + "
    if not chosen:
        return replace(line, formula="nil" if origin.how == "sum" else "none", source=f"nothing in [{origin.figure}]")
    if len(chosen) == 1:
        return replace(line, formula=labels[0], source=f"taken from [{origin.figure}]")
    if origin.how == "largest":
        return replace(line, formula="the largest of: " + ", ".join(labels), source=f"out of [{origin.figure}]")
    numbers = _chain([_at(parts, i) for i in chosen], sign)
    return replace(line, formula=sign.join(labels), numbers=numbers, source=f"{origin.how} from [{origin.figure}]")


def _chain(values: list[float], sign: str) -> str:
    """Return a printed sum or product of worked figures."""
    together = np.prod if sign == " × " else np.sum
    shown = fitting(values, [WORKED_DIGITS] * len(values), lambda v: float(together(v)), float(together(values)))
    return sign.join(f"({text})" if text.startswith("−") else text for text in shown)


def _cited(entry: Entry, said: str) -> str:
    """Return the citation of a constant, without the publication where that is the one already said."""
    citation = entry.citation
    if citation.source.text != said:
        return str(citation)
    return f"the same [{citation.standing}; table {citation.table}, row {citation.row}, {citation.column}]"


def one_of(texts: tuple[str, ...], row: int | None) -> str:
    """Return the text of a row, where there is one for each, or the one for all."""
    if not texts:
        return ""
    return texts[row] if row is not None and len(texts) > 1 and row < len(texts) else texts[0]


def _drawn(held: Figure, row: int | None) -> FloatArray:
    values: FloatArray = held.values if not held.over or row is None else held.values[row]
    return values


def _at(held: Figure, row: int | None) -> float:
    return float(_drawn(held, row)[0])


def _middle_draw(estimate: Estimate) -> Estimate:
    cost = estimate.values("cost", estimate.baseline)
    draw = int(np.argsort(cost)[(cost.size - 1) // 2])
    sheet = Worksheet(estimate.sheet.axes)
    for held in estimate.sheet.figures.values():
        column = draw if held.values.shape[-1] > 1 else 0
        sheet.add(replace(held, values=held.values[..., column : column + 1]))
    return replace(estimate, draws=1, sheet=sheet)
