"""Terms of a model as people write them, and the fixed columns that come of them.

Terms follow Wilkinson and Rogers (1973): ``system + nitrogen``, ``system:nitrogen`` for what the two do only together,
``system * nitrogen`` for all three.  Names are columns of the data and nothing else; no text of a file is ever run.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray

__all__ = ["Design", "Term", "UnclearModel", "fixed_design", "read_terms", "together"]

Term = tuple[str, ...]  # names of the columns that a term is made of; one for a main effect or a covariate

_NAME = re.compile(r"[^\W\d]\w*")
_MARK = re.compile(r"\s*([^\W\d]\w*|[+*:()])")


class UnclearModel(ValueError):  # noqa: N818 (its own word)
    """A model that the data cannot carry, or that cannot be read."""


@dataclass(frozen=True)
class Design:
    """Fixed columns of a model.

    Attributes
    ----------
    terms : tuple of Term
        Terms without the mean, lower ones first.
    levels : dict
        Labels of every factor, sorted; the first is the one that columns are counted from.
    covariates : dict
        Mean of every covariate.
    columns : FloatArray
        The columns, shape (readings, columns); the first is the mean.
    names : tuple of str
        Their names.
    """

    terms: tuple[Term, ...]
    levels: dict[str, tuple[str, ...]]
    covariates: dict[str, float]
    columns: FloatArray
    names: tuple[str, ...]

    def at(self, cell: Mapping[str, str], above: Collection[str] = ()) -> FloatArray:
        """Return the weights of the columns in one cell: a label for every factor, covariates at their mean or one above."""
        data: dict[str, NDArray[np.str_] | FloatArray] = {name: np.array([cell[name]]) for name in self.levels}
        data.update({name: np.array([float(name in above)]) for name in self.covariates})
        return np.asarray(_columns(self.terms, self.levels, data, 1, dict.fromkeys(self.covariates, 0.0))[0][0])


def read_terms(text: str) -> tuple[Term, ...]:
    """Read the terms of a model.

    Parameters
    ----------
    text : str
        Names of columns with ``+``, ``:``, ``*`` and brackets between them.

    Returns
    -------
    tuple of Term
        Every term once, those with fewer names first.

    Raises
    ------
    UnclearModel
        If the text cannot be read.

    Examples
    --------
    >>> read_terms("system * nitrogen + stand")
    (('system',), ('nitrogen',), ('stand',), ('system', 'nitrogen'))
    """
    marks, at = [], 0
    stripped = text.rstrip()
    while at < len(stripped):
        found = _MARK.match(stripped, at)
        if not found:
            what = f'"{stripped[at:].strip()[:20]}" in the terms "{text[:80]}" cannot be read'
            raise UnclearModel(f"{what}; allowed: names of columns with + : * and brackets between them")
        marks.append(found[1])
        at = found.end()
    if not marks:
        return ()
    terms, rest = _sum(marks, text)
    if rest:
        raise UnclearModel(f'"{rest[0]}" in the terms "{text[:80]}" stands in the wrong place')
    return tuple(sorted(dict.fromkeys(terms), key=len))


def _sum(marks: list[str], text: str) -> tuple[list[Term], list[str]]:
    terms, rest = _product(marks, text)
    while rest and rest[0] == "+":
        more, rest = _product(rest[1:], text)
        terms = [*terms, *more]
    return terms, rest


def _product(marks: list[str], text: str) -> tuple[list[Term], list[str]]:
    terms, rest = _only_together(marks, text)
    while rest and rest[0] == "*":
        more, rest = _only_together(rest[1:], text)
        terms = [*terms, *more, *_crossed(terms, more)]
    return terms, rest


def _only_together(marks: list[str], text: str) -> tuple[list[Term], list[str]]:
    terms, rest = _single(marks, text)
    while rest and rest[0] == ":":
        more, rest = _single(rest[1:], text)
        terms = _crossed(terms, more)
    return terms, rest


def _single(marks: list[str], text: str) -> tuple[list[Term], list[str]]:
    if marks and marks[0] == "(":
        terms, rest = _sum(marks[1:], text)
        if not rest or rest[0] != ")":
            raise UnclearModel(f'a bracket of the terms "{text[:80]}" is not closed')
        return terms, rest[1:]
    if not marks or not _NAME.fullmatch(marks[0]):
        where = f'before "{marks[0]}"' if marks else "at the end"
        raise UnclearModel(f'the terms "{text[:80]}" lack a name {where}')
    return [(marks[0],)], marks[1:]


def _crossed(first: Sequence[Term], second: Sequence[Term]) -> list[Term]:
    return [tuple(dict.fromkeys((*a, *b))) for a in first for b in second]


def together(data: Mapping[str, ArrayLike], term: Term) -> NDArray[np.str_]:
    """Return one label for each reading out of the labels of the columns of a term.

    Examples
    --------
    >>> together({"block": [1, 2], "plot": ["a", "a"]}, ("block", "plot")).tolist()
    ['1, a', '2, a']
    """
    parts = [_labels(data[name]) for name in term]
    out = parts[0]
    for part in parts[1:]:
        out = np.char.add(np.char.add(out, ", "), part)
    return out


def fixed_design(data: Mapping[str, ArrayLike], terms: Sequence[Term]) -> Design:
    """Build the fixed columns of a model: the mean, then term by term.

    Parameters
    ----------
    data : mapping
        Columns of the data by name; text, or numbers (which make a covariate).
    terms : sequence of Term
        From :func:`read_terms`.

    Returns
    -------
    Design
        Columns, their names, and the labels of every factor.

    Raises
    ------
    UnclearModel
        If a name is not there, a factor has one label only, or columns cannot be told apart from others.

    Notes
    -----
    A factor's columns say what each label but the first adds; covariates are counted from their mean.

    Examples
    --------
    >>> design = fixed_design({"system": ["plough", "strip", "plough"], "stand": [8.0, 9.0, 10.0]}, [("system",), ("stand",)])
    >>> design.names
    ('mean', 'system strip', 'stand')
    >>> design.at({"system": "strip"}).tolist()
    [1.0, 1.0, 0.0]
    """
    names = tuple(dict.fromkeys(name for term in terms for name in term))
    if missing := [name for name in names if name not in data]:
        raise UnclearModel(f"no column is called {_said(missing)}; there are: {', '.join(data)}")
    size = len(np.asarray(next(iter(data.values()))))
    levels, covariates = {}, {}
    read: dict[str, NDArray[np.str_] | FloatArray] = {}
    for name in names:
        values = np.asarray(data[name])
        if values.dtype.kind in "fiu":
            read[name] = values.astype(np.float64)
            covariates[name] = float(read[name].mean())
            if not np.isfinite(read[name]).all():
                raise UnclearModel(
                    f'covariate "{name}" lacks a number in {int((~np.isfinite(read[name])).sum())} readings'
                )
            continue
        labels = _labels(values)
        levels[name] = tuple(np.unique(labels).tolist())
        if len(levels[name]) < 2:
            raise UnclearModel(f'"{name}" has one label only ("{levels[name][0]}"); nothing can be compared')
        read[name] = labels
    columns, named = _columns(terms, levels, read, size, covariates)
    _told_apart(columns, named, terms, levels, read)
    return Design(tuple(terms), levels, covariates, columns, named)


def _columns(
    terms: Sequence[Term],
    levels: Mapping[str, tuple[str, ...]],
    data: Mapping[str, NDArray[np.str_] | FloatArray],
    size: int,
    means: Mapping[str, float],
) -> tuple[FloatArray, tuple[str, ...]]:
    columns, names = [np.ones(size)], ["mean"]
    for term in terms:
        choices = [levels[name][1:] if name in levels else ("",) for name in term]
        for choice in itertools.product(*choices):
            column, said = np.ones(size), []
            for name, label in zip(term, choice, strict=True):
                if name in levels:
                    column = column * (data[name] == label)
                    said.append(f"{name} {label}")
                else:
                    column = column * (np.asarray(data[name], dtype=np.float64) - means[name])
                    said.append(name)
            columns.append(column)
            names.append(", ".join(said))
    return np.column_stack(columns), tuple(names)


def _told_apart(
    columns: FloatArray,
    names: tuple[str, ...],
    terms: Sequence[Term],
    levels: Mapping[str, tuple[str, ...]],
    data: Mapping[str, NDArray[np.str_] | FloatArray],
) -> None:
    for term in terms:
        inside = [name for name in term if name in levels]
        if len(inside) < 2:
            continue
        found = set(zip(*(np.asarray(data[name]).tolist() for name in inside), strict=True))
        empty = [c for c in itertools.product(*(levels[name] for name in inside)) if c not in found]
        if empty:
            cells = "; ".join(" with ".join(cell) for cell in empty[:4])
            raise UnclearModel(
                f"{' and '.join(inside)}: no reading of {cells}{' and others' if len(empty) > 4 else ''}, so what they do "
                "together cannot be told; leave that term out, or one of the labels"
            )
    kept: list[int] = []
    scaled = columns / np.maximum(np.linalg.norm(columns, axis=0), 1e-300)
    basis = np.empty((columns.shape[0], 0))
    lost = []
    for number in range(columns.shape[1]):
        rest = scaled[:, number] - basis @ (basis.T @ scaled[:, number])
        rest = rest - basis @ (basis.T @ rest)
        length = float(np.linalg.norm(rest))
        if length < 1e-8:
            lost.append(names[number])
            continue
        kept.append(number)
        basis = np.column_stack([basis, rest / length])
    if lost:
        raise UnclearModel(f"{_said(lost)} cannot be told apart from the terms before; leave the term out")


def _labels(values: ArrayLike) -> NDArray[np.str_]:
    found = np.asarray(values)
    if found.dtype.kind == "f" and np.all(found == np.round(found)):
        found = found.astype(np.int64)
    return found.astype(np.str_)


def _said(names: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in names[:6]) + (" and others" if len(names) > 6 else "")
