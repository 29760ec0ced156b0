"""What a comparison of systems consists of: plots, means, differences, pairs, terms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "Better",
    "Difference",
    "Inside",
    "LeftOut",
    "MarginCall",
    "Mean",
    "Pair",
    "PlotRead",
    "Question",
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
    """Test of a term: F, its degrees of freedom, the chance."""

    term: tuple[str, ...]
    f: float
    df: float
    df_rest: float
    p: float


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A plot without which something would be concluded otherwise: what is said with it, and what without."""

    plot: str
    system: str
    of: str
    with_it: Difference
    without: Difference


@dataclass(frozen=True)
class Question:
    """What is asked of the readings: which quantity, against which system, what counts as better, and how sure."""

    quantity: str
    baseline: str
    better: Better
    margin: float
    sure: float
    way: Way
