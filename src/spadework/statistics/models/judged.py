"""What is said of differences: no worse than, alike, and letters beside means."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["equivalence_p", "letters", "no_worse_p"]


@equation("chance of t = (difference + margin) / se or more", unit="1", source="schuirmann_1987", in_words=True)
def no_worse_p(difference: ArrayLike, se: ArrayLike, df: ArrayLike, margin: ArrayLike) -> FloatArray:
    """Chance of so good a difference, where in truth the new is worse than the old by the margin.

    Parameters
    ----------
    difference : array_like
        New less old, better being more [any].
    se : array_like
        Its standard error [any], more than 0.
    df : array_like
        Its degrees of freedom [1], more than 0.
    margin : array_like
        Loss that would be borne [any], 0 or more.

    Returns
    -------
    FloatArray
        One-sided chance [1]; small speaks for "no worse by the margin".

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A large chance does not say that the new is worse, only that this trial cannot rule it out.

    Examples
    --------
    >>> round(float(no_worse_p(-0.1, 0.35, 6, 0.8)), 3)
    0.046
    """
    from scipy.special import stdtr

    off, error, freedom = _difference(difference, se, df)
    return np.asarray(stdtr(freedom, -(off + require("margin", margin, 0, 1e12)) / error))


@equation("larger of the two chances that the difference is beyond the margin on either side", unit="1",
          source="schuirmann_1987", in_words=True)  # fmt: skip
def equivalence_p(difference: ArrayLike, se: ArrayLike, df: ArrayLike, margin: ArrayLike) -> FloatArray:
    """Chance of a difference so near nought, where in truth it is as large as the margin.

    Parameters
    ----------
    difference : array_like
        Difference [any].
    se : array_like
        Its standard error [any], more than 0.
    df : array_like
        Its degrees of freedom [1], more than 0.
    margin : array_like
        Difference that would not matter [any], 0 or more.

    Returns
    -------
    FloatArray
        Chance [1]; small speaks for "alike to within the margin".

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(equivalence_p(0.1, 0.35, 6, 1.0)), 3)
    0.021
    """
    from scipy.special import stdtr

    off, error, freedom = _difference(difference, se, df)
    return np.asarray(stdtr(freedom, -(require("margin", margin, 0, 1e12) - np.abs(off)) / error))


def _difference(difference: ArrayLike, se: ArrayLike, df: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    return (
        require("difference", difference, -1e12, 1e12),
        require("se", se, 0, 1e12, above=True),
        require("df", df, 0, 1e9, above=True),
    )


@equation(
    "letters such that two means share one where, and only where, they were not found to differ; the largest mean has a",
    unit="",
    source="piepho_2004",
    in_words=True,
)
def letters(means: ArrayLike, differ: ArrayLike) -> tuple[str, ...]:
    """Give letters to means: those that share one were not found to differ.

    Parameters
    ----------
    means : array_like
        Means [any], one row of them; the largest gets ``a``.
    differ : array_like
        Whether each two were found to differ, shape (means, means), symmetric.

    Returns
    -------
    tuple of str
        Letters of each mean.

    Raises
    ------
    ImpossibleValue
        If a mean is no number.
    ValueError
        If the shape does not fit, or the table is not symmetric.

    Notes
    -----
    Insert and absorb: one letter for all at first; for each two that differ, every letter that both have is split
    into one without the first and one without the second, and letters whose means all have another letter in common
    go.  Sharing a letter is no evidence of being equal.

    Examples
    --------
    >>> apart = [[False, False, True], [False, False, False], [True, False, False]]
    >>> letters([12.1, 11.8, 10.9], apart)
    ('a', 'ab', 'b')
    """
    values = require("means", means, -1e12, 1e12)
    table = np.asarray(differ, dtype=bool)
    if table.shape != (values.size, values.size) or (table != table.T).any() or table.diagonal().any():
        raise ValueError("`differ` must be a symmetric table of all means, with no mean differing from itself")
    order = np.argsort(-values, kind="stable")
    groups: list[frozenset[int]] = [frozenset(range(values.size))]
    for i in range(values.size):
        for j in range(i + 1, values.size):
            if table[order[i], order[j]]:
                split = [part for g in groups for part in ((g - {i}, g - {j}) if {i, j} <= g else (g,))]
                groups = [g for g in dict.fromkeys(split) if not any(g < other for other in split)]
    groups.sort(key=lambda g: sorted(g))
    said = ["".join(_letter(k) for k, g in enumerate(groups) if place in g) for place in range(values.size)]
    out = [""] * values.size
    for place, mean in enumerate(order):
        out[mean] = said[place]
    return tuple(out)


def _letter(number: int) -> str:
    return chr(ord("a") + number) if number < 26 else f"({number + 1})"
