"""Mixed models by restricted likelihood: fixed effects, and random terms that are nested or crossed.

The variance of the readings is the sum of what each random term adds (its variance, to readings of one level) and of a
residual variance, which may differ between groups of readings.  What is searched for is the top of the restricted likelihood
(:mod:`spadework.statistics.models.likelihood`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray
from spadework.statistics.models.cross_products import CrossProducts, cross_products
from spadework.statistics.models.likelihood import Likelihood, likelihood_at
from spadework.working import equation

__all__ = ["Fitted", "NotConverged", "Rival", "fit_mixed"]

_STEPS = 200
_SHARP = 1e-9  # of the slope, against the number of readings
_SMALL = 1e-10  # of a variance, against the largest
_SETTLED = 1e-5  # of the slope where no step leads further down, against the number of readings
_VANISHED, _VANISHING = 1e-8, 1e-4  # of one residual variance of several, against the largest variance
_PRESSED = 1e-5  # of one of several that is still pressed down, against the largest variance
_STARTS, _BELOW = 6, 0.05  # groups of readings with a start of their own, where their variance is so much smaller
_NEAR = 2.0  # log-likelihood by which another top is told


class NotConverged(ValueError):  # noqa: N818 (its own word)
    """No best variances were found."""


@dataclass(frozen=True)
class Rival:
    """Another top of the likelihood: restricted log-likelihood, and the residual variance that is nought there, if any."""

    log_likelihood: float
    at_nought: str


@dataclass(frozen=True)
class Fitted:
    """A fitted mixed model.

    Attributes
    ----------
    names : tuple of str
        Random terms, then ``"residual"`` for each residual variance (with its label where there are several).
    variances : FloatArray
        In that order, in the unit of the readings squared.
    at_zero : NDArray
        True where a variance of a random term was found to be nought.
    effects : FloatArray
        Fixed effects, one for each column.
    covariance : FloatArray
        Their covariance, as if the variances were known.
    log_likelihood : float
        Restricted log-likelihood.
    level_effects : FloatArray
        What is expected of every level of the random terms, as they are counted: term by term, labels sorted.
    readings : int
        Number of readings.
    rounds : int
        Rounds of the search.
    at : object
        Sums at the variances found, for the tests of :mod:`spadework.statistics.models.small_sample`.
    rivals : tuple of Rival
        With several residual variances: other tops that are nearly as high, or higher with a residual variance of nought.
    """

    names: tuple[str, ...]
    variances: FloatArray
    at_zero: NDArray[np.bool_]
    effects: FloatArray
    covariance: FloatArray
    log_likelihood: float
    level_effects: FloatArray
    readings: int
    rounds: int
    at: Likelihood
    rivals: tuple[Rival, ...] = ()

    @property
    def columns(self) -> int:
        """Number of fixed effects."""
        return self.effects.size

    def variance(self, name: str) -> float:
        """Return the variance of a random term, or ``"residual"``."""
        return float(self.variances[self.names.index(name)])


@equation(
    "the fixed effects and the variances, none below nought, at which the restricted likelihood of the readings is largest",
    unit="",
    source="patterson_thompson_1971",
    in_words=True,
)
def fit_mixed(
    readings: ArrayLike,
    fixed: ArrayLike,
    random: Mapping[str, ArrayLike],
    residual: ArrayLike | None = None,
) -> Fitted:
    """Fit a mixed model by restricted likelihood.

    Parameters
    ----------
    readings : array_like
        Readings [any], one row of them, -1e12 to 1e12.
    fixed : array_like
        Columns of the fixed part [any], shape (readings, columns), of full rank.
    random : mapping
        Name of every random term and the label of each reading in it; nested terms carry the labels of what they are
        nested in (``"block 1, plot 3"``); may be empty.
    residual : array_like, optional
        Label of the residual variance of each reading; left out: one for all.

    Returns
    -------
    Fitted
        Effects in the unit of the readings, variances in its square.

    Raises
    ------
    ImpossibleValue
        If a reading or a fixed column holds no number, or there are no more readings than fixed columns.
    ValueError
        If shapes do not fit, the fixed columns are not of full rank, or the readings leave no residual at all.
    NotConverged
        If the search does not end, or a residual variance runs to nought.

    Notes
    -----
    -2 log L = log det V + log det X'V^-1X + r'V^-1r + (n - p) log 2 pi.  The search takes Newton's step with the exact
    second derivatives, or with averaged ones (Gilmour, Thompson and Cullis 1995) where those do not lead down; a
    variance that would go below nought is held there as long as the slope presses it down, and set free again.  Where
    one ends at nought, the search is made once more from another start.

    With several residual variances, each of few readings, the likelihood may have more than one top.  It is then climbed
    from starts of its own for each of the smallest groups, and the highest top at which no residual variance is nought is
    taken; it is refused where there is none.  What is nearly as high, or higher at nought, stands in ``rivals``.

    Examples
    --------
    >>> import numpy as np
    >>> found = fit_mixed([4.0, 6.0, 7.0, 9.0], np.ones((4, 1)), {"unit": [1, 1, 2, 2]})
    >>> found.variances.round(6).tolist(), found.effects.round(6).tolist()
    ([3.5, 2.0], [6.5])
    """
    data = cross_products(readings, fixed, random, residual)
    terms = len(data.names)
    labels = ["residual"] if residual is None else [f"residual {label}" for label in np.unique(np.asarray(residual))]
    tops, rounds = _tops(data, _scale(data))
    whole = [top for top in tops if top.gone is None]
    if not whole:
        among = " or residual variances" if data.rows.size > 1 else ""
        raise NotConverged(
            f"the variance of the {labels[tops[0].gone or 0]} runs to nought: random terms and fixed columns give its "
            f"readings nearly all by themselves; leave some of the random terms{among} out"
        )
    best = min(whole, key=lambda top: top.at.criterion)
    variances, at = best.variances, best.at
    if _slope_left(variances, at, terms) > _SETTLED * data.rows.sum():
        raise NotConverged("the search for the variances came to a halt before its end")
    spread = np.concatenate([np.full(s.levels.shape, variances[s.terms]).ravel() for s in data.stacks] or [np.empty(0)])
    order = np.concatenate([s.levels.ravel() for s in data.stacks] or [np.empty(0, dtype=np.int64)])
    level_effects = np.zeros(data.level_count)
    level_effects[order] = spread
    level_effects *= at.level_sums
    return Fitted(
        (*data.names, *labels),
        variances,
        variances[:terms] <= 0,
        at.effects + data.shift * data.shift_effect,
        at.covariance,
        -at.criterion / 2,
        level_effects,
        int(data.rows.sum()),
        rounds,
        at,
        _rivals(tops, best, labels),
    )


@dataclass(frozen=True)
class _Top:
    """Where a search ended: variances, what follows from them, and the residual variance that ran to nought, if any."""

    variances: FloatArray
    at: Likelihood
    gone: int | None


def _scale(data: CrossProducts) -> float:
    """Return the variance of the readings about the fixed part alone."""
    pooled = data.bb.sum(axis=0)
    size = data.bb.shape[1] - 1
    rest = float(pooled[size, size] - pooled[size, :size] @ np.linalg.solve(pooled[:size, :size], pooled[:size, size]))
    if rest <= 1e-13 * max(float(pooled[size, size]), 1e-300):
        raise ValueError("`readings` leave no residual: the fixed columns give every one of them")
    return float(rest / (float(data.rows.sum()) - size))


def _tops(data: CrossProducts, scale: float) -> tuple[list[_Top], int]:
    """Return where the searches from several starts end, and the rounds they took; the first is from equal variances."""
    terms, groups = len(data.names), data.rows.size
    first, rounds = _climbed(data, np.full(terms + groups, scale / (terms + 1)))
    tops, starts = [first], []
    other = np.concatenate([np.full(terms, 0.05 * scale), np.full(groups, scale)])
    if groups > 1 or first.gone is not None or (first.variances[:terms] <= 0).any():
        starts.append(other)
    if groups > 1:
        for group in np.argsort(data.rows, kind="stable")[:_STARTS].tolist():
            starts.append(other.copy())
            starts[-1][terms + group] *= _BELOW
    for start in starts:
        try:
            top, more = _climbed(data, start)
        except (NotConverged, np.linalg.LinAlgError):
            continue  # the first start has led somewhere
        rounds += more
        if _slope_left(top.variances, top.at, terms) <= _SETTLED * data.rows.sum() or top.gone is not None:
            tops.append(top)
    return tops, rounds


def _rivals(tops: Sequence[_Top], best: _Top, labels: Sequence[str]) -> tuple[Rival, ...]:
    """Return the other tops that are near the best one, or above it with a residual variance of nought; highest first."""
    out: list[Rival] = []
    for top in sorted(tops, key=lambda one: one.at.criterion):
        same = top.gone is None and np.allclose(
            top.variances, best.variances, rtol=1e-3, atol=1e-6 * best.variances.max()
        )
        if same or top.at.criterion > best.at.criterion + 2 * _NEAR or len(labels) == 1:
            continue
        rival = Rival(-top.at.criterion / 2, "" if top.gone is None else labels[top.gone])
        known = (
            one.at_nought == rival.at_nought and abs(one.log_likelihood - rival.log_likelihood) < 0.01 for one in out
        )
        if not any(known) and not (rival.at_nought and rival.at_nought in {one.at_nought for one in out}):
            out.append(rival)
    return tuple(out)


def _climbed(data: CrossProducts, start: FloatArray) -> tuple[_Top, int]:
    variances, at, rounds = _search(data, start)
    return _Top(variances, at, _runs_to_nought(variances, at, len(data.names), data)), rounds


def _search(data: CrossProducts, start: FloatArray) -> tuple[FloatArray, Likelihood, int]:
    """Return the variances of the smallest criterion, what follows from them, and the rounds it took."""
    terms = len(data.names)
    theta, at = start, likelihood_at(data, start)
    for number in range(1, _STEPS + 1):
        least = terms + int(np.argmin(theta[terms:]))
        vanished = theta[least] < _VANISHED * theta[terms:].max() and at.slope[least] > 0  # and it is pressed further
        if vanished or _slope_left(theta, at, terms) <= _SHARP * data.rows.sum():
            return theta, at, number
        theta, at, moved = _step(data, theta, at, _free(theta, at, terms), terms)
        if not moved:
            return theta, at, number
    raise NotConverged(f"the variances did not settle in {_STEPS} rounds")


def _free(theta: FloatArray, at: Likelihood, terms: int) -> NDArray[np.bool_]:
    """Tell which variances are not held at nought."""
    free = np.ones(theta.size, dtype=bool)
    free[:terms] = (theta[:terms] > 0) | (at.slope[:terms] < 0)
    return free


def _slope_left(theta: FloatArray, at: Likelihood, terms: int) -> float:
    """Return the largest slope of the criterion by the logarithm of a variance that is not held at nought."""
    return float(np.abs(at.slope * np.where(theta > 0, theta, theta.max()))[_free(theta, at, terms)].max())


def _runs_to_nought(theta: FloatArray, at: Likelihood, terms: int, data: CrossProducts) -> int | None:
    """Return the place of a residual variance that the search drove to nought, where it cannot be held; None if there is none."""
    within = theta[terms:] / theta.max()
    least = int(np.argmin(within))
    stuck = not _slope_left(theta, at, terms) <= _SETTLED * data.rows.sum()
    pressed = (
        within[least] < _PRESSED and at.slope[terms + least] * theta.max() > 1
    )  # at a top of its own it is nearly nought
    gone = (within.size > 1 and (within[least] < _VANISHED or pressed)) or (stuck and within[least] < _VANISHING)
    return least if gone else None


def _step(
    data: CrossProducts, theta: FloatArray, at: Likelihood, free: NDArray[np.bool_], terms: int
) -> tuple[FloatArray, Likelihood, bool]:
    observed = 2 * at.average - at.expected
    for curve in (observed, at.average, at.expected):
        kept = curve[np.ix_(free, free)]
        size = np.sqrt(np.abs(np.diag(kept)))
        size = np.where(size > 0, size, 1.0)
        scaled = kept / np.outer(size, size)
        if not np.isfinite(scaled).all() or np.linalg.eigvalsh(scaled).min() <= 1e-12:
            continue
        way = np.zeros(theta.size)
        way[free] = -np.linalg.solve(scaled, at.slope[free] / size) / size
        for halving in range(30):
            tried = theta + way / 2**halving
            tried[:terms] = np.where(tried[:terms] < _SMALL * theta.max(), 0.0, tried[:terms])
            tried[terms:] = np.maximum(tried[terms:], 0.1 * theta[terms:])
            try:
                found = likelihood_at(data, tried)
            except np.linalg.LinAlgError:  # too far to be worked out
                continue
            if np.isfinite(found.criterion) and found.criterion < at.criterion + 1e-12 * abs(at.criterion):
                small = found.criterion >= at.criterion - 1e-13 * abs(at.criterion)
                return tried, found, not (small and np.allclose(tried, theta, rtol=1e-10, atol=0))
    return theta, at, False
