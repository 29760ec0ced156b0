"""What follows from several readings together: plants per square metre, yield out of weight and plot, and whether it can be.

The formulas stand in the reference table ``reading_checks``, with what is usual and what can be.  A figure that is usual by
itself may still be wrong beside another one: 880 plants, and 10 m of row.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from spadework.records.kinds import Kinds, reading_kinds
from spadework.records.reading_row import Reading, utc_of
from spadework.records.tables.columns import Allowed, clip
from spadework.reference import Row, load

if TYPE_CHECKING:
    from spadework.plan import Plan

__all__ = ["GIVEN", "Check", "Given", "Unlikely", "given_by", "reading_checks", "unlikely"]

GIVEN: Final = ("row_spacing_m", "seeds_m2", "dose_m3_ha")
"""Names in a formula that the plan knows, not a reading."""
_M2_PER_HA: Final = 10_000.0
_CM_PER_M: Final = 100.0
_NO_END: Final = float("inf")
_DAY: Final = len("2026-05-04")
_SHOWN: Final = 4

Given = Mapping[str, Mapping[str, float]]
"""Figures of the plan by name, then by plot; under an empty plot what holds for all of them."""
_Key = tuple[str | int, ...]
_Figures = Mapping[str, tuple[Reading, ...]]


@dataclass(frozen=True, slots=True)
class Check:
    """A figure that follows from several readings.

    Attributes
    ----------
    key, label, formula, unit : str
        As in the table; names in the formula are keys of ``reading_kinds`` or of :data:`GIVEN`.
    over : str
        Readings that go together: of a ``line`` (plot, place, sample and day), a ``place`` or a ``plot``.
    soft, hard : Allowed or None
        What is usual, and what can be.
    look : str
        What to look at where it is neither.
    fields : Mapping
        Record and field of each name that is a reading.
    """

    key: str
    label: str
    formula: str
    over: str
    unit: str
    soft: Allowed | None
    hard: Allowed | None
    look: str
    fields: Mapping[str, tuple[str, str]]

    @property
    def record(self) -> str:
        """The record whose lines are gone through: that of the first reading in the formula."""
        return next(iter(self.fields.values()))[0]


@dataclass(frozen=True, slots=True)
class Unlikely:
    """A figure that is unusual or cannot be, and the readings that it follows from."""

    check: Check
    value: float
    readings: tuple[Reading, ...]
    cannot: bool

    @property
    def said(self) -> str:
        """What it is, what it follows from, what would be usual and what to look at."""
        check = self.check
        unit = "" if check.unit == "1" else f" {check.unit}".replace(" 1/", " per ")
        shown = ", ".join(f"{one.field} {one.value:g}" for one in self.readings[:_SHOWN])
        more = f" and {len(self.readings) - _SHOWN} more" if len(self.readings) > _SHOWN else ""
        what = f"{check.label} would be {self.value:.3g}{unit} ({shown}{more})"
        if self.cannot:
            return f"{what}; that cannot be, allowed: {_ends(check.hard)}{unit}; look at {check.look}"
        return f"{what}; usual: {_ends(check.soft)}{unit}; look at {check.look}"

    @property
    def where(self) -> str:
        """Plot and, where it is of one line, place and sample."""
        one = self.readings[0]
        text = f"plot {clip(one.plot)}"
        text += f", {clip(one.place)}" if one.place and self.check.over != "plot" else ""
        return text + (f", sample {one.sample}" if self.check.over == "line" else "")


@cache
def reading_checks() -> tuple[Check, ...]:
    """Return the checks of the reference table.

    Examples
    --------
    >>> first = reading_checks()[0]
    >>> first.label, str(first.soft), first.record
    ('plants per square metre', '0 to 11', 'stand')
    """
    return tuple(_check(row) for row in load("reading_checks").values())


def unlikely(
    readings: Iterable[Reading], given: Given | None = None, checks: Sequence[Check] | None = None
) -> tuple[Unlikely, ...]:
    """Find what follows from readings and is unusual or cannot be.

    Parameters
    ----------
    readings : iterable of Reading
        What counts now.
    given : Mapping, optional
        Figures of the plan; formulas that need one that is not given are left out.
    checks : sequence of Check, optional
        Those of the reference table if left out.

    Returns
    -------
    tuple of Unlikely
        Check by check.  What is unusual but was kept with a reason is not among it; what cannot be is, whatever the reason.
        The reason stands on a line of the record that is gone through, or beside a figure that is usual by itself.

    Examples
    --------
    >>> from spadework.records.reading_row import new_reading
    >>> rows = [new_reading("stand", field, value, plot="101", taken_at="2026-05-20", person="AB")
    ...     for field, value in (("plants", 880), ("length_m", 10))]
    >>> for one in unlikely(rows, {"row_spacing_m": {"": 0.75}}):
    ...     print(one.said.rpartition("; ")[0])
    plants per square metre would be 117 per m2 (plants 880, length_m 10); usual: 0 to 11 per m2
    """
    there = tuple(readings)
    by_field: dict[tuple[str, str], list[Reading]] = {}
    for one in there:
        by_field.setdefault((one.record, one.field), []).append(one)
    kept = {(one.record, _line(one)) for one in there if one.kept}
    kinds = reading_kinds()
    out: list[Unlikely] = []
    told: set[frozenset[str]] = set()
    for check in reading_checks() if checks is None else checks:
        for figures in _together(check, by_field):
            value = _value(check, figures, given or {})
            if value is None:
                continue
            cannot = check.hard is not None and not check.hard.holds(value)
            if not cannot and (check.soft is None or check.soft.holds(value)):
                continue
            used = tuple(one for group in figures.values() for one in group if one.value is not None)
            settled = any(
                (one.record, _line(one)) in kept if one.record == check.record else one.kept and _usual(one, kinds)
                for one in used
            )
            whose = frozenset(one.id for one in used)
            if cannot or not (settled or any(whose <= one for one in told)):  # one sentence for the same readings
                told.add(whose)
                out.append(Unlikely(check, value, used, cannot))
    return tuple(out)


def given_by(plan: Plan) -> dict[str, dict[str, float]]:
    """Return the figures of a plan that formulas may name, for all plots alike.

    The dose is among them where all systems get the same volume.
    """
    crop, slurry = plan.crop, plan.slurry
    out = {"row_spacing_m": crop.row_spacing.value / _CM_PER_M, "seeds_m2": crop.population.value / _M2_PER_HA}
    if slurry.terms == "equal volume" and slurry.dose.value > 0:
        from spadework.plan.composition import density_t_m3

        size = density_t_m3(slurry) if slurry.dose.unit == "t/ha" else 1.0
        out["dose_m3_ha"] = slurry.dose.value / size
    return {name: {"": float(value)} for name, value in out.items()}


def _check(row: Row) -> Check:
    kinds = {f"{record}_{field}": (record, field) for record, field in reading_kinds()}
    names = _names(_tree(row.text("formula")))
    if strange := sorted(set(names) - set(kinds) - set(GIVEN)):
        raise ValueError(f"table reading_checks, row {row.key}: {', '.join(strange)} is no kind of reading")
    fields = {name: kinds[name] for name in names if name in kinds}
    return Check(row.key, row.label, row.text("formula"), row.text("over"), row.text("unit"),
                 _range(row, "usual_from", "usual_to"), _range(row, "least", "most"), row.text("look"), fields)  # fmt: skip


def _range(row: Row, low: str, high: str) -> Allowed | None:
    if not row.has(low) and not row.has(high):
        return None
    least = row.entry(low).value if row.has(low) else -_NO_END
    return Allowed(least, row.entry(high).value if row.has(high) else _NO_END)


def _ends(allowed: Allowed | None) -> str:
    if allowed is None:
        return ""
    return f"{allowed.low:g} or more" if allowed.high == _NO_END else str(allowed)


def _usual(one: Reading, kinds: Kinds) -> bool:
    kind = kinds.get((one.record, one.field))
    return one.value is not None and (kind is None or kind.usual(one.value))


def _line(one: Reading) -> _Key:
    return (one.plot, one.place, one.sample, utc_of(one.taken_at)[:_DAY])


def _place(one: Reading) -> _Key:
    return (one.plot, one.place, utc_of(one.taken_at)[:_DAY])


def _plot(one: Reading) -> _Key:
    return (one.plot,)


_KEYS: Final = {"line": _line, "place": _place, "plot": _plot}


def _together(check: Check, by_field: Mapping[tuple[str, str], Sequence[Reading]]) -> Iterator[_Figures]:
    """Yield the readings of each name, group by group; what belongs to another record speaks for its whole plot."""
    home: dict[str, dict[_Key, list[Reading]]] = {}
    beside: dict[str, dict[str, list[Reading]]] = {}
    for name, field in check.fields.items():
        for one in by_field.get(field, ()):
            if field[0] == check.record:
                home.setdefault(name, {}).setdefault(_KEYS[check.over](one), []).append(one)
            else:
                beside.setdefault(name, {}).setdefault(one.plot, []).append(one)
    if len(home) + len(beside) < len(check.fields):
        return
    keys = set.intersection(*(set(groups) for groups in home.values()))
    for key in sorted(keys, key=str):
        plot = str(key[0])
        if all(plot in groups for groups in beside.values()):
            yield {name: tuple(home[name][key] if name in home else beside[name][plot]) for name in check.fields}


def _value(check: Check, figures: _Figures, given: Given) -> float | None:
    """Return what follows; None where a reading has no figure, the plan says nothing, or it would divide by nought."""
    plot = next(iter(figures.values()))[0].plot

    def number(name: str, summed: bool) -> float | None:
        if name in figures:
            values = [one.value for one in figures[name] if one.value is not None]
            if not values or (summed and len(values) < len(figures[name])):
                return None
            return sum(values) if summed else sum(values) / len(values)
        by_plot = given.get(name, {})
        return by_plot.get(plot, by_plot.get(""))

    def work(node: ast.expr) -> float | None:
        match node:
            case ast.Constant(value=int() | float() as said):
                return float(said)
            case ast.Name(id=name):
                return number(name, summed=False)
            case ast.Call(args=[ast.Name(id=name)]):
                return number(name, summed=True)
            case ast.BinOp(left=left, op=op, right=right):
                a, b = work(left), work(right)
                return None if a is None or b is None else _joined(op, a, b)
        raise AssertionError("the tree was looked over when it was read")

    return work(_tree(check.formula))


def _joined(op: ast.operator, a: float, b: float) -> float | None:
    if isinstance(op, ast.Div):
        return a / b if b else None
    return a + b if isinstance(op, ast.Add) else a - b if isinstance(op, ast.Sub) else a * b


@cache
def _tree(formula: str) -> ast.expr:
    """Return a formula as a tree of sums, differences, products and quotients.

    Raises
    ------
    ValueError
        If it holds anything else.
    """
    tree = ast.parse(formula, mode="eval").body
    for node in ast.walk(tree):
        match node:
            case ast.BinOp(op=ast.Add() | ast.Sub() | ast.Mult() | ast.Div()) | ast.Name():
                continue
            case ast.Call(func=ast.Name(id="sum"), args=[ast.Name()], keywords=[]):
                continue
            case ast.Constant(value=int() | float()):
                continue
            case ast.operator() | ast.expr_context():
                continue
        raise ValueError(f"table reading_checks: {formula} is no formula of sums, products and quotients")
    return tree


def _names(tree: ast.expr) -> tuple[str, ...]:
    """Return the names of a formula from left to right, each once."""
    found = sorted((node for node in ast.walk(tree) if isinstance(node, ast.Name)), key=lambda node: node.col_offset)
    return tuple(dict.fromkeys(node.id for node in found if node.id != "sum"))
