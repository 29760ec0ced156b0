"""The working of a figure: formula, inputs, values and source, down to the row of a table.

A function of :mod:`spadework.science` says its formula with :func:`equation`; the formula is written in the names of
the function's own arguments, so that a test can compute it and hold it against the function.  A :class:`Worksheet`
calls such functions by the names of figures it already holds, and so remembers how every figure came about.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, Literal, ParamSpec, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray
from spadework.reference import Citation, Constants, Entry

__all__ = [
    "EVERY_SYSTEM",
    "Across",
    "Axis",
    "Equation",
    "Figure",
    "Gathered",
    "Given",
    "Looked",
    "Summed",
    "Worked",
    "Worksheet",
    "equation",
    "equation_of",
    "equations",
]

EVERY_SYSTEM = -1
"""The system of rows that belong to all of them, such as analyses of the slurry."""
P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True)
class Equation:
    """The formula of a function.

    Attributes
    ----------
    text : str
        The formula in the argument names of the function and the names of `constants`, in Python's arithmetic; or,
        where `in_words`, a sentence.
    unit : str
        Unit of the result; empty where it is that of the first argument.
    source : str
        Key in the list of sources.
    locator : str
        Equation or table number in the source.
    constants : tuple of Constants
        Tables whose single numbers stand in the formula by their keys.
    in_words : bool
        True where arithmetic alone cannot say it (a search, a mean over a field).
    takes : mapping of str to type
        Arguments that are one thing with several parts, each part a figure of its own: the argument, and the dataclass
        that is made of those parts.
    """

    text: str
    unit: str
    source: str
    locator: str = ""
    constants: tuple[Constants, ...] = ()
    in_words: bool = False
    takes: Mapping[str, type[Any]] = field(default_factory=dict, hash=False)

    def entries(self) -> Mapping[str, Entry]:
        """Return the constants that the formula names."""
        names = set(re.findall(r"[a-z_][a-z_0-9]*", self.text))
        return {key: table[key] for table in self.constants for key in table if key in names}

    def gathered(self, given: Mapping[str, FloatArray]) -> dict[str, Any]:
        """Return the arguments of the function, those of :attr:`takes` made of their parts."""
        left, made = dict(given), {}
        for argument, kind in self.takes.items():
            made[argument] = kind(**{part.name: left.pop(part.name) for part in fields(kind) if part.name in left})
        return left | made


_equations: dict[Callable[..., Any], Equation] = {}


def equation(
    text: str,
    *,
    unit: str,
    source: str,
    locator: str = "",
    constants: tuple[Constants, ...] = (),
    in_words: bool = False,
    takes: Mapping[str, type[Any]] | None = None,
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Declare the formula of the decorated function; the function itself is unchanged.  See :class:`Equation`."""

    def declare(function: Callable[P, R]) -> Callable[P, R]:
        _equations[function] = Equation(text, unit, source, locator, constants, in_words, dict(takes or {}))
        return function

    return declare


def equation_of(function: Callable[..., Any]) -> Equation:
    """Return the declared formula of `function`."""
    return _equations[function]


def equations() -> Mapping[Callable[..., Any], Equation]:
    """Return all declared formulas by function."""
    return dict(_equations)


@dataclass(frozen=True)
class Axis:
    """What the first axis of some figures runs over.

    Attributes
    ----------
    name : str
        Such as ``pass``.
    labels : tuple of str
        One for each row.
    systems : tuple of int
        The system to which each row belongs; :data:`EVERY_SYSTEM` where it belongs to all.
    """

    name: str
    labels: tuple[str, ...]
    systems: tuple[int, ...]


@dataclass(frozen=True)
class Given:
    """A figure that stands in the plan: key and line, and what the person wrote; one of each, or one for each row."""

    places: tuple[str, ...]
    texts: tuple[str, ...]


@dataclass(frozen=True)
class Looked:
    """A figure from reference tables: one citation, or one for each row."""

    citations: tuple[Citation, ...]


@dataclass(frozen=True)
class Worked:
    """A figure that a function computed from other figures, by argument name; `module` is where the function stands."""

    function: str
    equation: Equation
    inputs: Mapping[str, str]
    module: str = ""


@dataclass(frozen=True)
class Across(Worked):
    """A figure that a function computed from several rows of other figures at once; `rows` are those of each of its own."""

    rows: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True)
class Gathered:
    """A figure whose rows are gathered from rows of another figure: their sum, product or largest, or one of them."""

    how: Literal["sum", "product", "largest", "pick"]
    figure: str
    rows: tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Summed:
    """A figure that is the sum of other figures, row by row."""

    figures: tuple[str, ...]


@dataclass(frozen=True)
class Figure:
    """A named array with unit and origin.

    The last axis of `values` is the draw (length one where nothing varies); the first, where there are two, runs over
    the :class:`Axis` that `over` names.
    """

    name: str
    values: FloatArray
    unit: str
    label: str
    over: str
    origin: Given | Looked | Worked | Gathered | Summed
    note: str = ""


@dataclass
class Worksheet:
    """Figures by name, in the order in which they came about, and the axes that they run over."""

    axes: dict[str, Axis] = field(default_factory=dict)
    figures: dict[str, Figure] = field(default_factory=dict)

    def add(self, figure: Figure) -> FloatArray:
        """Keep a figure and return its values.

        Raises
        ------
        KeyError
            If a figure of that name is there already: figures are never overwritten.
        ValueError
            If the values do not fit the axis.
        """
        if figure.name in self.figures:
            raise KeyError(f"figure {figure.name} is there already")
        rows = (len(self.axes[figure.over].labels),) if figure.over else ()
        if figure.values.shape[:-1] != rows:
            raise ValueError(f"figure {figure.name} has shape {figure.values.shape}; needed rows: {rows}")
        self.figures[figure.name] = figure
        return figure.values

    def given(
        self,
        name: str,
        values: ArrayLike,
        unit: str,
        label: str,
        *,
        over: str = "",
        places: Sequence[str] = (),
        texts: Sequence[str] = (),
    ) -> FloatArray:
        """Keep a figure that stands in the plan."""
        return self.add(Figure(name, _array(values), unit, label, over, Given(tuple(places), tuple(texts))))

    def looked_up(
        self,
        name: str,
        values: ArrayLike,
        unit: str,
        label: str,
        citations: Sequence[Citation],
        *,
        over: str = "",
        note: str = "",
    ) -> FloatArray:
        """Keep a figure from reference tables."""
        return self.add(Figure(name, _array(values), unit, label, over, Looked(tuple(citations)), note))

    def work(
        self, name: str, function: Callable[..., FloatArray], label: str, *, note: str = "", **inputs: str
    ) -> FloatArray:
        """Call `function` with the figures named in `inputs`, keep the result and how it came about.

        Raises
        ------
        ValueError
            If the inputs run over different axes.
        """
        said = equation_of(function)
        used = [self.figures[figure] for figure in inputs.values()]
        overs = {figure.over for figure in used} - {""}
        if len(overs) > 1:
            raise ValueError(f"figure {name} mixes the axes {sorted(overs)}")
        values = function(**said.gathered({argument: f.values for argument, f in zip(inputs, used, strict=True)}))
        origin = Worked(function.__name__, said, dict(inputs), function.__module__)
        unit = said.unit or used[0].unit
        return self.add(Figure(name, _array(values), unit, label, overs.pop() if overs else "", origin, note))

    def across(
        self,
        name: str,
        function: Callable[..., FloatArray],
        label: str,
        *,
        rows: Sequence[Sequence[int]],
        over: str = "",
        **inputs: str,
    ) -> FloatArray:
        """Call `function` once for each of `rows`, with those rows of the inputs along the last axis, the draws before it.

        Raises
        ------
        ValueError
            If the inputs run over different axes, or there are several of `rows` and no axis for them.
        """
        said = equation_of(function)
        used = {argument: self.figures[figure] for argument, figure in inputs.items()}
        overs = {figure.over for figure in used.values()} - {""}
        if len(overs) > 1 or (len(rows) != 1 and not over):
            raise ValueError(f"figure {name} is worked across the axes {sorted(overs)}, {len(rows)} times")
        found = []
        for chosen in rows:
            taken = {a: f.values[list(chosen)].T if f.over else f.values[:, np.newaxis] for a, f in used.items()}
            found.append(np.atleast_1d(function(**said.gathered(taken))))
        values = np.array(np.broadcast_arrays(*found))
        unit = said.unit or next(iter(used.values())).unit
        chosen_rows = tuple(tuple(chosen) for chosen in rows)
        origin = Across(function.__name__, said, dict(inputs), function.__module__, chosen_rows)
        return self.add(Figure(name, values if over else values[0], unit, label, over, origin))

    def gather(
        self,
        name: str,
        how: Literal["sum", "product", "largest", "pick"],
        figure: str,
        label: str,
        *,
        over: str,
        rows: Sequence[Sequence[int]],
    ) -> FloatArray:
        """Gather rows of `figure` into the rows of the axis `over`; an empty sum is nil, an empty product one."""
        source = self.figures[figure]
        values = np.empty((len(rows), source.values.shape[-1]))
        for row, chosen in enumerate(rows):
            picked = source.values[list(chosen)]
            if how == "largest":
                values[row] = picked.max(axis=0)
            else:
                values[row] = picked.prod(axis=0) if how == "product" else picked.sum(axis=0)
        origin = Gathered(how, figure, tuple(tuple(chosen) for chosen in rows))
        return self.add(Figure(name, values, source.unit, label, over, origin))

    def total(self, name: str, figure: str, label: str, *, to: str = "system") -> FloatArray:
        """Sum the rows of `figure` that belong to each system."""
        systems = self.axes[self.figures[figure].over].systems
        rows = [[i for i, s in enumerate(systems) if s == system] for system in range(len(self.axes[to].labels))]
        return self.gather(name, "sum", figure, label, over=to, rows=rows)

    def add_up(self, name: str, label: str, *figures: str) -> FloatArray:
        """Add up figures of one unit and axis; figures without an axis count in every row."""
        used = [self.figures[figure] for figure in figures]
        overs = {figure.over for figure in used} - {""}
        if len(overs) > 1 or len({figure.unit for figure in used}) > 1:
            raise ValueError(f"figure {name} adds up unlike things: {sorted(overs)}, {[f.unit for f in used]}")
        values = np.sum(np.broadcast_arrays(*(figure.values for figure in used)), axis=0)
        over = overs.pop() if overs else ""
        return self.add(Figure(name, values, used[0].unit, label, over, Summed(tuple(figures))))

    def inputs(self, figure: Figure) -> tuple[str, ...]:
        """Return the names of the figures that `figure` was made from."""
        if isinstance(figure.origin, Worked):
            return tuple(dict.fromkeys(figure.origin.inputs.values()))
        if isinstance(figure.origin, Summed):
            return figure.origin.figures
        return (figure.origin.figure,) if isinstance(figure.origin, Gathered) else ()

    def behind(self, name: str) -> Iterator[Figure]:
        """Yield the figure `name` and every figure behind it, each once, the nearest first."""
        waiting, seen = [name], {name}
        while waiting:
            figure = self.figures[waiting.pop(0)]
            yield figure
            for other in self.inputs(figure):
                if other not in seen:
                    seen.add(other)
                    waiting.append(other)

    def citations(self) -> tuple[Citation, ...]:
        """Return every citation that any figure leans on, each once, in order."""
        found: dict[Citation, None] = {}
        for figure in self.figures.values():
            if isinstance(figure.origin, Looked):
                found.update(dict.fromkeys(figure.origin.citations))
            elif isinstance(figure.origin, Worked):
                found.update(dict.fromkeys(e.citation for e in figure.origin.equation.entries().values()))
        return tuple(found)

    def __getitem__(self, name: str) -> FloatArray:
        return self.figures[name].values


def _array(values: ArrayLike) -> FloatArray:
    return np.atleast_1d(np.asarray(values, dtype=np.float64))
