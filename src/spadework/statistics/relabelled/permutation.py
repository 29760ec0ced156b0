"""What the drawing of lots alone bears out: the labels are dealt out again in every way that the layout allows.

No scatter is assumed here, only that lots were drawn.  If systems did nothing, every layout that could have been drawn
would have had the same readings; the chance is the share of those layouts in which systems seem to differ as much.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.statistics.relabelled.layouts import Layouts
from spadework.working import equation

__all__ = ["Shuffled", "shuffle_test"]

_SAME: Final = 1e-9  # of all that the readings scatter


@dataclass(frozen=True, slots=True)
class Shuffled:
    """What came of dealing the labels out again.

    Attributes
    ----------
    p : float
        Share of layouts in which labels seem to differ as much or more [1].
    layouts : int
        Layouts that were counted, or that were drawn.  Those that only exchange names of what is looked at count as one: all
        names, or the two of a pair and the others among themselves.
    exact : bool
        True where every layout was counted.
    smallest : float
        Smallest chance that can come out [1].
    """

    p: float
    layouts: int
    exact: bool
    smallest: float


@equation(
    "share of the layouts that could have been drawn in which the sum of squares between labels is as large or larger; with "
    "draws, one more than those over one more than the draws",
    unit="1",
    source="fisher_1935",
    in_words=True,
)
def shuffle_test(
    values: ArrayLike, layouts: Layouts, *groups: ArrayLike, pair: tuple[str, str] | None = None
) -> Shuffled:
    """Hold the readings against all layouts that could have been drawn.

    Parameters
    ----------
    values : array_like
        Reading of each unit [any].
    layouts : Layouts
        From :mod:`spadework.statistics.relabelled.layouts`.
    groups : array_like
        What is taken out of the readings first [text]: blocks, or rows and columns; labels of each unit.
    pair : tuple of str, optional
        Labels whose difference is looked at; left out, the sum of squares between all of them.

    Returns
    -------
    Shuffled
        The chance, two-sided.

    Raises
    ------
    ImpossibleValue
        If a value is no number.
    ValueError
        If shapes do not fit.

    Notes
    -----
    The sum of squares between labels after blocks is measured.  In complete blocks and squares it ranks layouts as F does.
    Every group must hold the same labels in all layouts, as the three makers of layouts see to.  A difference that is held
    against layouts of all labels asks whether it could come of labels none of which does anything; to ask of the two alone,
    give layouts in which only they change places.

    Examples
    --------
    >>> from spadework.statistics.relabelled.layouts import shuffled
    >>> gain = [0.4, 0.9, 0.2, 0.7, 0.5]  # five pairs, all the same way
    >>> values = np.ravel([[15.0, 15.0 + each] for each in gain])
    >>> pairs = np.repeat(range(5), 2)
    >>> shuffle_test(values, shuffled(["plough", "strip"] * 5, pairs), pairs)
    Shuffled(p=0.0625, layouts=16, exact=True, smallest=0.0625)
    """
    y = require("values", values, -1e12, 1e12)
    if y.ndim != 1 or y.shape != layouts.own.shape or any(np.shape(each) != y.shape for each in groups):
        raise ValueError("`values` and every group must have one place for each unit of the layouts")
    y = y - y.mean()
    parts = [np.ones((y.size, 1))]
    for each in groups:
        named = np.asarray(each)
        parts.append((named[:, np.newaxis] == np.unique(named)).astype(float))
    basis, size, _ = np.linalg.svd(np.column_stack(parts), full_matrices=False)
    basis = basis[:, size > 1e-9 * size[0]]
    y = y - basis @ (basis.T @ y)
    count = int(layouts.own.max()) + 1
    marked = (layouts.own[:, np.newaxis] == np.arange(count)).astype(float)
    left = marked - basis @ (basis.T @ marked)
    inverse = np.linalg.pinv(left.T @ left, rcond=1e-9, hermitian=True)

    def apart(codes: NDArray[np.int16], *, all_names: bool) -> FloatArray:
        if pair is not None and not all_names:
            one, other = (inverse[:, layouts.names.index(name)] for name in pair)
            return np.asarray(((one - other)[codes] @ y) ** 2)
        sums = np.stack([(codes == label) @ y for label in range(count)], axis=1)
        if pair is None:
            return np.asarray(np.einsum("la,ab,lb->l", sums, inverse, sums))
        means = sums @ inverse
        first, second = np.triu_indices(count, 1)  # with all names exchanged, every two labels have had these two names
        return np.asarray((means[:, first] - means[:, second]).ravel() ** 2)

    own = float(apart(layouts.own[np.newaxis], all_names=False)[0])
    others, many = apart(layouts.codes, all_names=layouts.renamed), len(layouts.codes)
    near = _SAME * max(own, float(others.max()))
    as_much = int(np.sum(others >= own - near))
    smallest = layouts.smallest if pair is None else math.nan
    if layouts.exact:
        if not math.isfinite(smallest):
            smallest = float(np.mean(others >= others.max() - near))
        return Shuffled(as_much / others.size, others.size, True, smallest)
    return Shuffled((1 + as_much) / (1 + many), many, False, float(np.nanmax([smallest, 1 / (1 + many)])))
