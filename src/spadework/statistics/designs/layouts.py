"""Layouts of a comparison: their kinds, which errors each has, and what they weigh.

Which label lies where is drawn in :mod:`spadework.statistics.designs.randomise`.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from typing import Final

from spadework.reference import constants

__all__ = [
    "ALONE",
    "CHECKED",
    "KINDS",
    "NESTED",
    "Asked",
    "Comparison",
    "Factor",
    "Restrictions",
    "Stratum",
    "comparisons",
    "fixed_terms",
    "random_terms",
    "standing_of",
    "strata",
]

KINDS: Final = (
    "complete blocks",
    "pairs",
    "Latin square",
    "split plots",
    "criss-cross",
    "strips",
    "repeated check",
    "augmented blocks",
)
"""Kinds of layout, in trade words."""
NESTED: Final = ("split plots", "criss-cross")
"""Kinds with a factor in the parts of whole plots, or across them."""
CHECKED: Final = ("repeated check", "augmented blocks")
"""Kinds with systems that come again and again."""
ALONE: Final = ("strips", "repeated check")
"""Kinds that may stand in one block, to be looked at."""


@dataclass(frozen=True)
class Factor:
    """What is compared.

    Attributes
    ----------
    name : str
        One word, such as ``system``; the column of the readings.
    labels : tuple of str
        Its labels, such as the names of systems.
    within : bool
        True where it lies in the parts of whole plots (split plots), or across them (criss-cross).
    """

    name: str
    labels: tuple[str, ...]
    within: bool = False


@dataclass(frozen=True)
class Restrictions:
    """What a layout must keep to; names are labels of the first factor.

    Attributes
    ----------
    apart : tuple of str
        No two of these lie side by side.
    edge : str
        This one lies at an edge of every block; empty for none.
    borders : bool
        True where no label may lie side by side with itself across the border of two blocks.
    order : tuple of str
        All labels in the one order that the machines force on every block; empty where it is drawn.
    """

    apart: tuple[str, ...] = ()
    edge: str = ""
    borders: bool = False
    order: tuple[str, ...] = ()

    def said(self) -> tuple[str, ...]:
        """Return what was declared, in words."""
        out = []
        if self.apart:
            out.append("never side by side: " + ", ".join(self.apart))
        if self.edge:
            out.append(f"at the edge of every block: {self.edge}")
        if self.borders:
            out.append("nothing beside itself across the border of two blocks")
        if self.order:
            out.append("one order in every block: " + ", ".join(self.order))
        return tuple(out)


@dataclass(frozen=True)
class Asked:
    """A layout as it is asked for.

    Attributes
    ----------
    kind : str
        One of :data:`KINDS`.
    factors : tuple of Factor
        What is compared; several are crossed with one another.
    blocks : int
        How often everything is repeated; rows of a Latin square.
    checks : tuple of str
        Labels of the first factor that lie in every block (augmented blocks) or every so many strips (repeated check).
    every : int
        Strips from check to check (repeated check).
    restrictions : Restrictions
        What the layout must keep to.
    few : bool
        True where it was said twice that an error with too few degrees of freedom is wanted.
    """

    kind: str
    factors: tuple[Factor, ...]
    blocks: int
    checks: tuple[str, ...] = ()
    every: int = 0
    restrictions: Restrictions = field(default_factory=Restrictions)
    few: bool = False

    @property
    def whole(self) -> tuple[tuple[str, ...], ...]:
        """Combinations of the labels that whole plots carry."""
        return tuple(itertools.product(*(f.labels for f in self.factors if not f.within)))

    @property
    def inner(self) -> tuple[tuple[str, ...], ...]:
        """Combinations of the labels inside or across whole plots; one empty one where there are none."""
        return tuple(itertools.product(*(f.labels for f in self.factors if f.within)))

    @property
    def checks_per_block(self) -> int:
        """Strips of the check in each block of a repeated check."""
        options = len(self.factors[0].labels) - len(self.checks)
        return 1 + math.ceil(options / (self.every - 1))


@dataclass(frozen=True)
class Stratum:
    """One kind of plot with an error of its own.

    Attributes
    ----------
    name : str
        What its units are: plots, whole plots, sub-plots, strips along, strips across, crossings.
    terms : tuple of str
        Fixed terms that are held against its error.
    df : int
        Degrees of freedom of the error.
    """

    name: str
    terms: tuple[str, ...]
    df: int


@dataclass(frozen=True)
class Comparison:
    """A difference of two means in a layout.

    Attributes
    ----------
    what : str
        Which two.
    factor : float
        Variance of the difference over the variance of a unit.
    df : int
        Degrees of freedom of the error.
    units : str
        Name of its stratum.
    """

    what: str
    factor: float
    df: int
    units: str


def strata(asked: Asked) -> tuple[Stratum, ...]:
    """Return the errors of a layout with their degrees of freedom.

    Parameters
    ----------
    asked : Asked
        The layout.

    Returns
    -------
    tuple of Stratum
        Largest units first.

    Notes
    -----
    After Cochran and Cox (1957) and Federer (1956), from memory.  The error of a repeated check counts the scatter of its
    strips about one level for each block: neighbours are taken for independent.

    Examples
    --------
    >>> systems = Factor("system", ("plough", "cultivator", "strip"))
    >>> [(s.name, s.df) for s in strata(Asked("complete blocks", (systems,), 4))]
    [('plots', 6)]
    """
    blocks, size = asked.blocks, len(asked.whole)
    terms = _terms(tuple(f.name for f in asked.factors if not f.within))
    if asked.kind in NESTED:
        inner = len(asked.inner)
        inside = _terms(tuple(f.name for f in asked.factors if f.within))
        both = tuple(f"{a}:{b}" for a in terms for b in inside)
        first = (size - 1) * (blocks - 1)
        if asked.kind == "split plots":
            return (
                Stratum("whole plots", terms, first),
                Stratum("sub-plots", (*inside, *both), size * (inner - 1) * (blocks - 1)),
            )
        return (
            Stratum("strips along", terms, first),
            Stratum("strips across", inside, (inner - 1) * (blocks - 1)),
            Stratum("crossings", both, first * (inner - 1)),
        )
    if asked.kind == "Latin square":
        return (Stratum("plots", terms, (size - 1) * (size - 2)),)
    if asked.kind == "repeated check":
        options = size - 1
        return (Stratum("plots", terms, blocks * (options + asked.checks_per_block - 1) - options),)
    if asked.kind == "augmented blocks":
        return (Stratum("plots", terms, (len(asked.checks) - 1) * (blocks - 1)),)
    return (Stratum("plots", terms, (size - 1) * (blocks - 1)),)


def comparisons(asked: Asked) -> tuple[Comparison, ...]:
    """Return the differences that a layout is made for, with what their variance is to that of a unit.

    Parameters
    ----------
    asked : Asked
        The layout.

    Returns
    -------
    tuple of Comparison
        Those of the first factor first.

    Examples
    --------
    >>> systems = Factor("system", ("plough", "cultivator", "strip"))
    >>> [(c.what, c.factor, c.df) for c in comparisons(Asked("complete blocks", (systems,), 4))]
    [('two of system', 0.5, 6)]
    """
    found = strata(asked)
    df, blocks = found[0].df, asked.blocks
    if asked.kind == "repeated check":
        factor = (1 + 1 / asked.checks_per_block) / blocks
        return (Comparison(f"one of {asked.factors[0].name} and the check", factor, df, "plots"),)
    if asked.kind == "augmented blocks":
        c = len(asked.checks)
        return (
            Comparison("a new one and a check", 1 + 1 / blocks + 1 / c - 1 / (blocks * c), df, "plots"),
            Comparison("two new ones of different blocks", 2 * (1 + 1 / c), df, "plots"),
            Comparison("two checks", 2 / blocks, df, "plots"),
        )
    out = []
    for each in asked.factors:
        stratum = found[1] if each.within else found[0]
        units = len(asked.inner if each.within else asked.whole) * blocks / len(each.labels)
        if each.within and asked.kind == "split plots":
            units *= len(asked.whole)
        out.append(Comparison(f"two of {each.name}", 2 / units, stratum.df, stratum.name))
    return tuple(out)


def fixed_terms(asked: Asked) -> str:
    """Return the fixed terms for :func:`spadework.statistics.models.model.fit_model`."""
    return " * ".join(f.name for f in asked.factors)


def random_terms(asked: Asked) -> tuple[str, ...]:
    """Return the random terms for :func:`spadework.statistics.models.model.fit_model`.

    Examples
    --------
    >>> a, b = Factor("system", ("plough", "strip")), Factor("nitrogen", ("less", "full"), within=True)
    >>> random_terms(Asked("split plots", (a, b), 6))
    ('block', 'whole_plot')
    """
    if asked.kind == "Latin square":
        return ("row", "column")
    if asked.blocks < 2:
        return ()
    more = {"split plots": ("whole_plot",), "criss-cross": ("strip_along", "strip_across")}
    return ("block", *more.get(asked.kind, ()))


def standing_of(asked: Asked) -> str:
    """Return what readings of this layout are: ``looked``, ``strips`` or ``replicated``.

    Notes
    -----
    One block repeats nothing, and new entries of augmented blocks stand once: both are looked at.  An order that is not
    drawn, or a check at fixed places, makes strips.
    """
    if asked.blocks < int(constants("design_rules")["blocks_least"].value) or asked.kind == "augmented blocks":
        return "looked"
    return "strips" if asked.kind in ALONE or asked.restrictions.order else "replicated"


def _terms(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the names and what they do only together."""
    return tuple(":".join(each) for size in range(1, len(names) + 1) for each in itertools.combinations(names, size))
