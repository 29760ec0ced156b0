"""The working of a figure as a worked example: what is sought, given and looked up, numbered steps, and the answer."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from spadework.estimate.result import SHARE_PRINTED, Estimate
from spadework.estimate.workings.explain import Line, left_out, line_of, middle, one_of, own_axis, rows_of, unit_text
from spadework.estimate.workings.trace import Row, Trace, value_of
from spadework.plan.faults import nearest
from spadework.quantities import show
from spadework.reference import STANDINGS, Citation, Entry, load, sources
from spadework.working import Figure, Gathered, Given, Looked, Worked, Worksheet

__all__ = ["Datum", "Step", "Working", "working", "working_text"]

_WIDTH = 100
_Said = TypeVar("_Said", bound=tuple[str, ...])


@dataclass(frozen=True, slots=True)
class Datum:
    """A value that the plan gives or a table holds.

    Attributes
    ----------
    label, result : str
        What it is, and its value with unit.
    said : str
        What the person wrote, or the range of the table.
    place : str
        Place in the plan, or table, row and column.
    source : str
        Publication and standing in words; empty for what the plan gives.
    """

    label: str
    result: str
    said: str
    place: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A numbered step: one formula, worked for one row or for several.

    Attributes
    ----------
    number : int
        From 1.
    label, formula, source : str
        What is worked out, how, and after whom.
    lines : tuple of Line
        One for each row; its label is that of the row, empty where there is but one.
    nil : tuple of str
        Rows of which the result is nil because a factor is.
    inputs : tuple of str
        What each name in the formula stands for and where its number is from.
    """

    number: int
    label: str
    formula: str
    source: str
    lines: tuple[Line, ...]
    nil: tuple[str, ...]
    inputs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Working:
    """A worked example for one figure of one system."""

    title: str
    given: tuple[Datum, ...]
    tables: tuple[Datum, ...]
    steps: tuple[Step, ...]
    answers: tuple[str, ...]


def working(estimate: Estimate, name: str, system: int) -> Working:
    """Return the working of a figure for one system, on the middle of every input.

    Raises
    ------
    KeyError
        If there is no such figure; the message names the nearest.
    """
    sheet = middle(estimate).sheet
    if name not in sheet.figures:
        raise KeyError(f'there is no figure "{name}"{nearest(name, sheet.figures)}')
    trace = Trace(sheet)
    sought = rows_of(estimate, name, system)
    for row in sought:
        trace.follow(*trace.resolved(name, row))
    given = [d for held in trace.leaves() for d in _given(estimate, held, trace.rows(held.name))]
    tables = [d for held in trace.leaves() for d in _looked(estimate, held, trace.rows(held.name))]
    tables += _fixed(estimate, trace)
    held = sheet.figures[name]
    unit = unit_text(held.unit, estimate.plan.prices.currency)
    return Working(
        title=f"{held.label}, for {estimate.systems[system]}" + (f", in {unit}" if unit else ""),
        given=tuple(given),
        tables=tuple(tables),
        steps=tuple(_step(estimate, trace, figure) for figure in trace.worked()),
        answers=tuple(_answer(estimate, held, row) for row in sought),
    )


def working_text(estimate: Estimate, name: str, system: int) -> str:
    """Return the working of a figure for one system as plain text, in lines of at most 100 characters."""
    found = working(estimate, name, system)
    out = [*_wrapped(f"Sought: {found.title}", 0)]
    if found.given:
        out += ["", "Given"]
        for datum in found.given:
            said = f', written "{datum.said}"' if datum.said else ""
            out += _wrapped(f"{datum.label} = {datum.result}{said}  [{datum.place}]", 2)
    if found.tables:
        out += ["", "From the tables"]
        for source in dict.fromkeys(datum.source for datum in found.tables):
            out += _wrapped(source, 2)
            for datum in (d for d in found.tables if d.source == source):
                said = f", {datum.said}" if datum.said else ""
                out += _wrapped(f"{datum.label} = {datum.result}{said}  [{datum.place}]", 4)
    if found.steps:
        out += ["", "Worked, on the middle of every input"]
    for step in found.steps:
        out += _step_text(step, estimate.draws)
    out += ["", "Answer"]
    for answer in found.answers:
        out += _wrapped(answer, 2)
    return "\n".join(out)


def _step(estimate: Estimate, trace: Trace, held: Figure) -> Step:
    rows = [row for row in trace.rows(held.name) if not trace.is_nil(held.name, row)]
    labels = [_row_label(trace.sheet, held, row, alone=len(rows) == 1) for row in rows]
    lines = [
        line_of(estimate, held.name, row, label if len(rows) > 1 else "")
        for row, label in zip(rows, labels, strict=True)
    ]
    nil: list[Line] = []
    if len(lines) > 1:
        nil = [line for line, row in zip(lines, rows, strict=True) if _nil_by_factor(trace, held, row)]
        nil = nil if len(nil) < len(lines) else nil[1:]
    origin = held.origin
    gathered = isinstance(origin, Gathered) and len(rows) > 1
    return Step(
        number=trace.numbers[held.name],
        label=f"{held.label}, {labels[0]}" if len(rows) == 1 and labels[0] else held.label,
        formula="" if gathered else lines[0].formula,
        source=_source(origin) if isinstance(origin, Worked) else "",
        lines=tuple(line for line in lines if line not in nil),
        nil=tuple(line.label for line in nil),
        inputs=tuple(_inputs(estimate, trace, held, rows)),
    )


def _nil_by_factor(trace: Trace, held: Figure, row: int | None) -> bool:
    """Tell whether a row is nil because something that it is made from is."""
    values = [trace.value(*made) for made in trace.made_from(held.name, row)]
    return trace.value(held.name, row) == 0 and 0 in values


def _inputs(estimate: Estimate, trace: Trace, held: Figure, rows: Iterable[int | None]) -> Iterator[str]:
    """Yield what each name of the formula stands for and where it is from; of a sum, where its parts are from."""
    origin = held.origin
    if not isinstance(origin, Worked):
        made = [m for row in rows for m in trace.made_from(held.name, row)]
        yield "parts " + _origin(trace, made)
        return
    single = len(trace.rows(held.name)) == 1
    for argument, name in origin.inputs.items():
        made = [m for row in rows for m in trace.inputs_of(held, name, row)]
        value = ""
        if origin.equation.in_words and single:
            value = " = " + ", ".join(line_of(estimate, *m, "").result for m in made)
        yield f"{argument}{value}: {trace.sheet.figures[name].label}, {_origin(trace, made)}"
    if not origin.equation.in_words:
        yield from (f"{name}: not asked for, so {show(value, '')}" for name, value in left_out(origin).items())
    for key, entry in origin.equation.entries().items():
        yield f"{key}: {entry.citation.label}, from the tables"


def _origin(trace: Trace, made: Iterable[Row]) -> str:
    steps: dict[int, None] = {}
    others: dict[str, None] = {}
    for name, row in made:
        if trace.is_nil(name, row):
            others["nil where there is none"] = None
        elif name in trace.numbers:
            steps[trace.numbers[name]] = None
        elif isinstance(trace.sheet.figures[name].origin, Given):
            others["given"] = None
        else:
            others["from the tables" if _cited(trace.sheet.figures[name]) else "given"] = None
    numbers = sorted(steps)
    said = [f"from step{'s' if len(numbers) > 1 else ''} {' and '.join(map(str, numbers))}"] if numbers else []
    return " or ".join([*said, *others])


def _given(estimate: Estimate, held: Figure, rows: tuple[int | None, ...]) -> Iterator[Datum]:
    origin = held.origin
    if isinstance(origin, Looked):
        if origin.citations:
            return
        places: tuple[str, ...] = ("no table needed: the plan gives it",)
        texts: tuple[str, ...] = ()
    elif isinstance(origin, Given):
        places, texts = origin.places, origin.texts
    said = {}
    for row in rows:
        result, text = line_of(estimate, held.name, row, "").result, one_of(texts, row)
        plain = _spaced(text) in (_spaced(result), _spaced(result.partition(" ")[0]))
        said[row] = (result, "" if plain else text, one_of(places, row))
    for (result, text, place), label in _by_row(estimate, held, said):
        yield Datum(label, result, text, place)


def _looked(estimate: Estimate, held: Figure, rows: tuple[int | None, ...]) -> Iterator[Datum]:
    if not isinstance(held.origin, Looked) or not held.origin.citations:
        return
    citations = held.origin.citations
    said = {}
    for row in rows:
        line = line_of(estimate, held.name, row, "")
        apart = row is not None and len(citations) == len(held.values)
        picked = (citations[row or 0],) if apart else tuple(dict.fromkeys(citations))
        ranged = ", ".join(filter(None, (_range(c, value_of(middle(estimate).sheet, held.name, row)) for c in picked)))
        source = "; ".join(dict.fromkeys(_publication(c) for c in picked))
        said[row] = (line.result, ranged, "; ".join(_place(c) for c in picked), source)
    note = f" ({held.note})" if held.note else ""
    for (result, ranged, place, source), label in _by_row(estimate, held, said):
        yield Datum(label + note, result, ranged, place, source)


def _fixed(estimate: Estimate, trace: Trace) -> Iterator[Datum]:
    """Yield the constants of the formulas that were used."""
    found: dict[str, Entry] = {}
    for held in trace.worked():
        if isinstance(held.origin, Worked):
            found.update(held.origin.equation.entries())
    for key, entry in found.items():
        value = f"{show(entry.value, '', 12)} {unit_text(entry.unit, estimate.plan.prices.currency)}".rstrip()
        label = f"{key}, {entry.citation.label}"
        yield Datum(
            label, value, _range(entry.citation, entry.value), _place(entry.citation), _publication(entry.citation)
        )


def _by_row(estimate: Estimate, held: Figure, said: Mapping[int | None, _Said]) -> Iterator[tuple[_Said, str]]:
    """Yield what was said of rows, the same only once, with a label that names the rows where that is needed."""
    for what in dict.fromkeys(said.values()):
        rows = [row for row, other in said.items() if other == what]
        labels = dict.fromkeys(_row_label(estimate.sheet, held, row, alone=len(said) == 1) for row in rows)
        whole = len(rows) == len(said) > 1
        yield what, held.label if whole else ", ".join(filter(None, (held.label, "; ".join(labels))))


def _row_label(sheet: Worksheet, held: Figure, row: int | None, *, alone: bool) -> str:
    if row is None or (alone and own_axis(held)):
        return ""
    return sheet.axes[held.over].labels[row]


def _range(citation: Citation, value: float) -> str:
    """Return the range that a table gives, or what stands there where the number was made from it."""
    try:
        entry = load(citation.table, citation.vintage)[citation.row].entry(citation.column)
    except KeyError:
        return ""
    if abs(entry.value - value) > 1e-9 * abs(value):
        return f"the table says {show(entry.value, '' if entry.unit == '1' else entry.unit, 6)}"
    return f"range {show(entry.low, '', 4)} to {show(entry.high, '', 4)}" if entry.low != entry.high else ""


def _place(citation: Citation) -> str:
    place = f"table {citation.table}, row {citation.row}, {citation.column}"
    return f"{place}; {citation.locator}" if citation.locator else place


def _publication(citation: Citation) -> str:
    return f"{citation.source.text} ({STANDINGS[citation.standing]})"


def _cited(held: Figure) -> bool:
    return isinstance(held.origin, Looked) and bool(held.origin.citations)


def _source(origin: Worked) -> str:
    said = origin.equation
    text = sources()[said.source].text
    return (
        f"{text}{f', {said.locator}' if said.locator else ''}  [{origin.module.partition('.')[2]}: {origin.function}]"
    )


def _answer(estimate: Estimate, held: Figure, row: int | None) -> str:
    line = line_of(estimate, held.name, row, "")
    label = ", ".join(filter(None, (held.label, _row_label(estimate.sheet, held, row, alone=own_axis(held)))))
    if estimate.draws == 1:
        return f"{label} = {line.result} on the middle of every input"
    if not line.spread:
        return f"{label} = {line.result}; nothing in it varies"
    median, _, interval = line.spread.partition(" (")
    over = f"over {show(estimate.draws, '')} draws (seed {estimate.seed})"
    within = f"{SHARE_PRINTED:.0%} of them lie within {interval.rstrip(')')}".replace("%", " %")
    unit = unit_text(held.unit, estimate.plan.prices.currency)
    if median == f"{show(value_of(middle(estimate).sheet, held.name, row), '', 3)} {unit}".rstrip():
        return f"{label} = {line.result}; {over} the median is the same, and {within}"
    return f"{label} = {line.result} on the middle of every input; {over} the median is {median}, and {within}"


def _step_text(step: Step, draws: int) -> Iterator[str]:
    yield ""
    yield from _wrapped(f"{step.number}. {step.label}", 2)
    if step.formula:
        yield from _wrapped(step.formula, 5)
    for line in step.lines:
        spread = f"; over {show(draws, '')} draws {line.spread}" if line.spread else ""
        if len(step.lines) > 1 or step.nil:
            parts = "" if step.formula else line.formula
            worked = " = ".join(filter(None, (parts, line.numbers, line.result)))
            yield from _wrapped(f"{line.label}: {worked}{spread}", 5)
        else:
            if line.numbers:
                yield from _wrapped(f"= {line.numbers}", 5)
            yield from _wrapped(f"= {line.result}{spread}", 5)
    if step.nil:
        yield from _wrapped(f"nil: {'; '.join(dict.fromkeys(step.nil))}", 5)
    yield from _wrapped("; ".join(step.inputs), 5)
    if step.source:
        yield from _wrapped(step.source, 5)


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )


def _spaced(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", "").replace(" ", "")
