"""What a comparison of systems consists of: plots, means, differences, pairs, terms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "Better",
    "ByShuffling",
    "Difference",
    "Finding",
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


@dataclass(frozen=True)
class Finding:
    """What readings say of one measured quantity.

    Attributes
    ----------
    quantity, unit, file, baseline : str
        What was measured, in which unit, where it was read, and the system that the others are held against.
    standing : str
        ``looked``, ``strips`` or ``replicated``.
    layout : str
        Kind of layout.
    model : tuple of str
        The model in words.
    analysis : str
        ``strata``, ``restricted likelihood`` or ``means``.
    confidence_share : float
        Of all intervals [1].
    better : str
        ``more``, ``less`` or empty.
    margin : float
        Loss that would be borne, in the unit; NaN where none was given.
    plots : tuple of PlotRead
        Every plot, those that do not count with the reason.
    means : tuple of Mean
        By system, in the order of the plan.
    differences : tuple of Difference
        Of every other system from the baseline; empty where nothing is repeated.
    inside : tuple of Inside
        The same at each label of a further factor.
    pairs : tuple of Pair
        Of all systems.
    tests : tuple of TermTest
        Of the fixed terms.
    error_sd, cv_share, error_df : float
        Scatter of plots that the model does not explain, in the unit and against the mean [1], and its degrees of freedom;
        those of the first difference.
    missing : tuple of str
        Plots without a reading, or left out, with the reason.
    notes, warnings : tuple of str
        What a reader must be told of the analysis; what looks wrong with the readings.
    influence : tuple of LeftOut
        Plots without which a conclusion would change.
    with_all : tuple of Difference
        Differences with the plots that were left out put in again; empty where none was.
    shuffling : Shuffling or None
        Chances that rest on the drawing alone; None where nothing is repeated.
    otherwise : LaidOtherwise or None
        What another layout gives, where the file shows that plots lie otherwise than declared.
    second : SecondOpinion or None
        Differences with neighbours taken as alike, where rows and columns are known.
    """

    quantity: str
    unit: str
    file: str
    baseline: str
    standing: str
    layout: str
    model: tuple[str, ...]
    analysis: str
    confidence_share: float
    better: Better
    margin: float
    plots: tuple[PlotRead, ...]
    means: tuple[Mean, ...]
    differences: tuple[Difference, ...]
    inside: tuple[Inside, ...]
    pairs: tuple[Pair, ...]
    tests: tuple[TermTest, ...]
    error_sd: float
    cv_share: float
    error_df: float
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    influence: tuple[LeftOut, ...]
    with_all: tuple[Difference, ...]
    shuffling: Shuffling | None = None
    otherwise: LaidOtherwise | None = None
    second: SecondOpinion | None = None

    def mean(self, system: str) -> Mean:
        """Return the mean of a system."""
        return next(one for one in self.means if one.system == system)

    def difference(self, system: str) -> Difference:
        """Return the difference of a system from the baseline."""
        return next(one for one in self.differences if one.system == system)
