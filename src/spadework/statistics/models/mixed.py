"""Mixed models by restricted likelihood: fixed effects, and random terms that are nested or crossed.

The variance of the readings is the sum of what each random term adds (its variance, to readings of one level) and of a
residual variance, which may differ between groups of readings.  All that is worked out comes from sums of products
(:mod:`spadework.statistics.models.cross_products`), so that ten thousand readings in nested plots take no more than small
matrices.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray
from spadework.statistics.models.cross_products import CrossProducts, Stack, cross_products
from spadework.working import equation

__all__ = ["Fitted", "NotConverged", "fit_mixed"]

_STEPS = 200
_SHARP = 1e-9  # of the slope, against the number of readings
_SMALL = 1e-10  # of a variance, against the largest
_SETTLED = 1e-5  # of the slope where no step leads further down, against the number of readings
_VANISHED, _VANISHING = 1e-8, 1e-4  # of one residual variance of several, against the largest variance


class NotConverged(ValueError):  # noqa: N818 (its own word)
    """No best variances were found."""


@dataclass(frozen=True)
class _At:
    """All that follows from the data at one set of variances; V is the variance of the readings.

    Attributes
    ----------
    criterion : float
        Minus twice the restricted log-likelihood.
    effects, covariance : FloatArray
        Fixed effects (of the shifted readings) and the inverse of X'V^-1X.
    slope : FloatArray
        Derivative of the criterion by each variance.
    expected : FloatArray
        tr(P G_i P G_j), G_i the share of a variance in V.
    average : FloatArray
        y'P G_i P G_j P y.
    single : FloatArray
        X'V^-1 G_i V^-1 X, shape (variances, columns, columns).
    pair : FloatArray
        X'V^-1 G_i V^-1 G_j V^-1 X, shape (variances, variances, columns, columns).
    level_sums : FloatArray
        Z'P y of every level.
    """

    criterion: float
    effects: FloatArray
    covariance: FloatArray
    slope: FloatArray
    expected: FloatArray
    average: FloatArray
    single: FloatArray
    pair: FloatArray
    level_sums: FloatArray


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
    at: _At

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
    one ends at nought, the search is made once more from another start.  A residual variance at nought is refused.
    With several residual variances, each of few readings, the likelihood may have more than one top; the search ends at
    the one that it meets first from equal variances.

    Examples
    --------
    >>> import numpy as np
    >>> found = fit_mixed([4.0, 6.0, 7.0, 9.0], np.ones((4, 1)), {"unit": [1, 1, 2, 2]})
    >>> found.variances.round(6).tolist(), found.effects.round(6).tolist()
    ([3.5, 2.0], [6.5])
    """
    data = cross_products(readings, fixed, random, residual)
    terms, groups = len(data.names), data.rows.size
    pooled = data.bb.sum(axis=0)
    size = data.bb.shape[1] - 1
    rest = float(pooled[size, size] - pooled[size, :size] @ np.linalg.solve(pooled[:size, :size], pooled[:size, size]))
    if rest <= 1e-13 * max(float(pooled[size, size]), 1e-300):
        raise ValueError("`readings` leave no residual: the fixed columns give every one of them")
    scale = rest / (float(data.rows.sum()) - size)
    start = np.full(terms + groups, scale / (terms + 1))
    variances, at, rounds = _search(data, start)
    least = _runs_to_nought(variances, at, terms, data)
    if least is not None or (variances[:terms] <= 0).any():
        other = np.concatenate([np.full(terms, 0.05 * scale), np.full(groups, scale)])
        again, at_again, more = _search(data, other)
        rounds += more
        if at_again.criterion < at.criterion - 1e-9:
            variances, at, least = again, at_again, _runs_to_nought(again, at_again, terms, data)
    labels = ["residual"] if residual is None else [f"residual {label}" for label in np.unique(np.asarray(residual))]
    if least is not None:
        among = " or residual variances" if groups > 1 else ""
        raise NotConverged(
            f"the variance of the {labels[least]} runs to nought: random terms and fixed columns give its readings nearly "
            f"all by themselves; leave some of the random terms{among} out"
        )
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
    )


def _search(data: CrossProducts, start: FloatArray) -> tuple[FloatArray, _At, int]:
    """Return the variances of the smallest criterion, what follows from them, and the rounds it took."""
    terms = len(data.names)
    theta, at = start, _evaluate(data, start)
    for number in range(1, _STEPS + 1):
        if _slope_left(theta, at, terms) <= _SHARP * data.rows.sum():
            return theta, at, number
        theta, at, moved = _step(data, theta, at, _free(theta, at, terms), terms)
        if not moved:
            return theta, at, number
    raise NotConverged(f"the variances did not settle in {_STEPS} rounds")


def _free(theta: FloatArray, at: _At, terms: int) -> NDArray[np.bool_]:
    """Tell which variances are not held at nought."""
    free = np.ones(theta.size, dtype=bool)
    free[:terms] = (theta[:terms] > 0) | (at.slope[:terms] < 0)
    return free


def _slope_left(theta: FloatArray, at: _At, terms: int) -> float:
    """Return the largest slope of the criterion by the logarithm of a variance that is not held at nought."""
    return float(np.abs(at.slope * np.where(theta > 0, theta, theta.max()))[_free(theta, at, terms)].max())


def _runs_to_nought(theta: FloatArray, at: _At, terms: int, data: CrossProducts) -> int | None:
    """Return the place of a residual variance that the search drove to nought, where it cannot be held; None if there is none."""
    within = theta[terms:] / theta.max()
    least = int(np.argmin(within))
    stuck = not _slope_left(theta, at, terms) <= _SETTLED * data.rows.sum()
    gone = (within.size > 1 and within[least] < _VANISHED) or (stuck and within[least] < _VANISHING)
    return least if gone else None


def _step(
    data: CrossProducts, theta: FloatArray, at: _At, free: NDArray[np.bool_], terms: int
) -> tuple[FloatArray, _At, bool]:
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
                found = _evaluate(data, tried)
            except np.linalg.LinAlgError:  # too far to be worked out
                continue
            if np.isfinite(found.criterion) and found.criterion < at.criterion + 1e-12 * abs(at.criterion):
                small = found.criterion >= at.criterion - 1e-13 * abs(at.criterion)
                return tried, found, not (small and np.allclose(tried, theta, rtol=1e-10, atol=0))
    return theta, at, False


@dataclass(frozen=True)
class _Part:
    """What one stack of independent groups adds; B are the fixed columns and the readings, G_i the share of variance i.

    Attributes
    ----------
    log_det : float
        Of V, beyond that of the residual variances.
    base : FloatArray
        B'V^-1 B.
    middle, pairs : FloatArray
        B'V^-1 G_i V^-1 B and B'V^-1 G_i V^-1 G_j V^-1 B.
    trace, both : FloatArray
        tr(V^-1 G_i) and tr(V^-1 G_i V^-1 G_j).
    levels, level_sums : NDArray
        Levels of the random terms, and Z'V^-1 B of each.
    """

    log_det: float
    base: FloatArray
    middle: FloatArray
    pairs: FloatArray
    trace: FloatArray
    both: FloatArray
    levels: NDArray[np.int64]
    level_sums: FloatArray


def _part(stack: Stack, theta: FloatArray, terms: int) -> _Part:
    within = theta[terms:]
    precise, count = 1 / within, theta.size
    zz, zb = np.tensordot(precise, stack.zz, 1), np.tensordot(precise, stack.zb, 1)
    root = np.sqrt(theta[stack.terms])
    held = root[:, np.newaxis] * zz * root + np.eye(root.size)
    log_det = 2 * float(np.log(np.diagonal(np.linalg.cholesky(held), axis1=1, axis2=2)).sum())
    inner = root[:, np.newaxis] * np.linalg.inv(held) * root  # V^-1 = W - W Z (inner) Z'W, W the residual precisions
    to_b, to_z = inner @ zb, inner @ zz
    ub, uz = zb - zz @ to_b, zz - zz @ to_z
    width = zb.shape[2]
    middle, pairs = np.zeros((count, width, width)), np.zeros((count, count, width, width))
    trace, both = np.zeros(count), np.zeros((count, count))
    own = [np.flatnonzero(stack.terms == term) for term in range(terms)]
    for i, mine in enumerate(own):
        middle[i] = _summed(ub[:, mine], ub[:, mine])
        trace[i] = uz[:, mine, mine].sum()
        for j in range(i, terms):
            between = uz[:, mine][:, :, own[j]]
            both[i, j] = both[j, i] = np.sum(between**2)
            pairs[i, j] = _summed(ub[:, mine], between @ ub[:, own[j]])
            pairs[j, i] = pairs[i, j].T
    rest = np.eye(root.size) - to_z
    left = [w * (stack.zb[g] - stack.zz[g] @ to_b) for g, w in enumerate(precise)]
    turned = [inner @ stack.zz[g] for g in range(precise.size)]
    for g, w in enumerate(precise):
        at = terms + g
        crossed = _summed(to_b, stack.zb[g])
        middle[at] = w**2 * (_summed(to_b, stack.zz[g] @ to_b) - crossed - crossed.T)
        held_back = float(np.trace(turned[g], axis1=1, axis2=2).sum())
        trace[at] = -(w**2) * held_back
        both[at, at] -= 2 * w**3 * held_back
        spread = w * rest.swapaxes(1, 2)
        levels_b, levels_z = spread @ left[g], w * spread @ stack.zz[g] @ rest
        for i, mine in enumerate(own):
            both[i, at] = both[at, i] = levels_z[:, mine, mine].sum()
            pairs[i, at] = _summed(ub[:, mine], levels_b[:, mine])
            pairs[at, i] = pairs[i, at].T
        for h, v in enumerate(precise):
            both[at, terms + h] += w**2 * v**2 * np.sum(turned[h] * turned[g].swapaxes(1, 2))
            pairs[at, terms + h] -= w * v * _summed(left[g], inner @ left[h])
    return _Part(log_det, -_summed(zb, to_b), middle, pairs, trace, both, stack.levels, ub)


def _summed(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return first'second, summed over the groups of a stack."""
    width = first.shape[-1]
    return np.asarray(first.reshape(-1, width).T @ second.reshape(-1, second.shape[-1]))


def _evaluate(data: CrossProducts, theta: FloatArray) -> _At:
    """Work out everything at one set of variances."""
    terms, last = len(data.names), data.bb.shape[1] - 1
    count, precise = theta.size, 1 / theta[terms:]
    parts = [_part(stack, theta, terms) for stack in data.stacks]
    base = np.tensordot(precise, data.bb, 1) + sum(part.base for part in parts)
    information, score = base[:last, :last], base[:last, last]
    covariance = np.linalg.inv(information)
    covariance = (covariance + covariance.T) / 2
    effects = covariance @ score
    sign, log_x = np.linalg.slogdet(information)
    freedom = float(data.rows.sum()) - last
    log_det = float(np.sum(data.rows * np.log(theta[terms:]))) + sum(part.log_det for part in parts)
    square = float(base[last, last] - score @ effects)
    criterion = log_det + log_x + square + freedom * np.log(2 * np.pi) if sign > 0 else np.inf

    middle, trace, both = np.zeros((count, last + 1, last + 1)), np.zeros(count), np.zeros((count, count))
    middle[terms:] = data.bb * (precise**2)[:, np.newaxis, np.newaxis]
    trace[terms:] = data.rows * precise
    both[range(terms, count), range(terms, count)] = data.rows * precise**2
    middle += sum(part.middle for part in parts)
    pairs = np.zeros((count, count, last + 1, last + 1)) + sum(part.pairs for part in parts)
    for g, w in enumerate(precise, terms):
        pairs[g, g] += w * middle[g]
    trace += sum(part.trace for part in parts)
    both += sum(part.both for part in parts)
    turn = np.eye(last + 1)  # from readings to residuals
    turn[:last, last] = -effects
    middle, pairs = turn.T @ middle @ turn, turn.T @ pairs @ turn
    single, pair, cross = middle[:, :last, :last], pairs[:, :, :last, :last], middle[:, :last, last]
    through = single @ covariance
    slope = trace - np.trace(through, axis1=1, axis2=2) - middle[:, last, last]
    expected = both - 2 * np.einsum("ab,ijba->ij", covariance, pair) + np.einsum("iab,jba->ij", through, through)
    average = pairs[:, :, last, last] - cross @ covariance @ cross.T
    sums = np.zeros(data.level_count)
    for part in parts:
        sums[part.levels] = part.level_sums @ turn[:, last]
    return _At(
        float(criterion), effects, covariance, slope,
        (expected + expected.T) / 2, (average + average.T) / 2, single, pair, sums,
    )  # fmt: skip
