"""What a comparison of systems consists of: plots, means, differences, pairs, terms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "Better",
    "ByShuffling",
    "Difference",
    "Inside",
    "LaidOtherwise",
    "LeftOut",
    "MarginCall",
    "Mean",
    "Opinion",
    "Pair",
    "PlotRead",
    "Question",
    "SecondOpinion",
    "Shuffling",
    "TermTest",
    "Way",
]

Better = Literal["", "more", "less"]
"""Which way is better; empty where nobody said."""
Way = Literal["house", "kenward-roger"]
"""``house``: the table of strata where everything meets evenly, else restricted likelihood; or always the latter."""
MarginCall = Literal["", "no worse", "alike", "worse", "open"]


@dataclass(frozen=True, slots=True)
class PlotRead:
    """One plot as it counted.

    Attributes
    ----------
    plot, block, field, row, column : str
        Where it lies; empty where the file does not say.
    system : str
        Its system.
    others : tuple of str
        Labels of further factors.
    line : int
        Line of the file.
    samples : int
        Readings that were averaged.
    value, residual : float
        The reading, and what the model leaves of it; NaN where there is none.
    why_not : str
        Why it does not count; empty where it does.
    """

    plot: str
    block: str
    field: str
    row: str
    column: str
    system: str
    others: tuple[str, ...]
    line: int
    samples: int
    value: float
    residual: float
    why_not: str


@dataclass(frozen=True, slots=True)
class Mean:
    """Mean of a system: as it stands in the file, and as the model has it with its interval (NaN where there is none)."""

    system: str
    plots: int
    raw: float
    mean: float
    se: float
    df: float
    low: float
    high: float
    letters: str


@dataclass(frozen=True, slots=True)
class Difference:
    """Difference of a system from the baseline.

    Attributes
    ----------
    system : str
        The one that the baseline is taken from.
    difference, se, df : float
        Difference, its standard error and degrees of freedom.
    low, high, p : float
        Interval and chance, for all differences from the baseline at once.
    bound : float
        What the difference is not worse than, one-sided, for all at once; NaN where nobody said what is better.
    no_worse_p, alike_p : float
        Chances against the margin, for all at once; NaN without one.
    detectable : float
        True difference of the two that this trial would likely find, looked at alone.
    call : str
        ``more``, ``less`` or ``open``.
    margin_call : str
        ``no worse`` by more than the margin, ``alike`` to within it, ``worse`` by more, ``open``; empty without one.
    """

    system: str
    difference: float
    se: float
    df: float
    low: float
    high: float
    p: float
    bound: float
    no_worse_p: float
    alike_p: float
    detectable: float
    call: Literal["more", "less", "open"]
    margin_call: MarginCall


@dataclass(frozen=True, slots=True)
class Inside:
    """Differences from the baseline where a further factor has one label."""

    factor: str
    label: str
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """Difference of two systems, second less first, with interval and chance for all pairs at once."""

    first: str
    second: str
    difference: float
    low: float
    high: float
    p: float


@dataclass(frozen=True, slots=True)
class TermTest:
    """Test of a term: F, its degrees of freedom, the chance, and whether it stands on its weakest part."""

    term: tuple[str, ...]
    f: float
    df: float
    df_rest: float
    p: float
    by_weakest: bool


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A plot without which something would be concluded otherwise: what is said with it, and what without."""

    plot: str
    system: str
    of: str
    with_it: Difference
    without: Difference


@dataclass(frozen=True, slots=True)
class ByShuffling:
    """What dealing the labels out again says.

    Attributes
    ----------
    of : str
        Factor whose labels differ, or system that differs from the baseline.
    p : float
        Share of layouts in which labels seem to differ as much or more [1].
    layouts : int
        Layouts that were counted, or drawn.
    exact : bool
        True where every layout was counted.
    smallest : float
        Smallest chance that can come out [1].
    alone : ByShuffling or None
        Of a difference: the same with only the two systems changing places; None where they cannot.
    """

    of: str
    p: float
    layouts: int
    exact: bool
    smallest: float
    alone: ByShuffling | None = None


@dataclass(frozen=True)
class Shuffling:
    """Chances that rest on nothing but the drawing: of factors as a whole, of differences from the baseline, and what is told."""

    terms: tuple[ByShuffling, ...]
    differences: tuple[ByShuffling, ...]
    told: tuple[str, ...]


@dataclass(frozen=True)
class LaidOtherwise:
    """Plots that lie otherwise than the plan declares: both kinds of layout, why, and what the other one gives."""

    declared: str
    lies: str
    why: str
    tests: tuple[TermTest, ...]
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class Opinion:
    """Differences from the baseline with their standard errors, by system, under one way to take neighbours as alike."""

    name: str
    differences: tuple[float, ...]
    se: tuple[float, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class SecondOpinion:
    """A sensitivity beside the finding: systems, what comes of taking neighbours as alike, and a sentence on both."""

    systems: tuple[str, ...]
    opinions: tuple[Opinion, ...]
    sentence: str


@dataclass(frozen=True)
class Question:
    """What is asked of the readings: which quantity, against which system, what counts as better, and how sure."""

    quantity: str
    baseline: str
    better: Better
    margin: float
    sure: float
    way: Way
