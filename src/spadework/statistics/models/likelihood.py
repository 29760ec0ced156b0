"""The restricted likelihood of a mixed model at given variances, with its slope, its curves and all that tests need.

Everything comes from sums of products (:mod:`spadework.statistics.models.cross_products`), so that ten thousand readings
in nested plots take no more than small matrices.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.ranges import FloatArray
from spadework.statistics.models.cross_products import CrossProducts, Stack

__all__ = ["Likelihood", "likelihood_at"]


@dataclass(frozen=True)
class Likelihood:
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


def likelihood_at(data: CrossProducts, theta: FloatArray) -> Likelihood:
    """Work out everything at one set of variances.

    Parameters
    ----------
    data : CrossProducts
        From :func:`spadework.statistics.models.cross_products.cross_products`.
    theta : FloatArray
        Variances of the random terms, then of the residual groups, in the unit of the readings squared.

    Returns
    -------
    Likelihood
        Criterion, effects, slope and curves there.

    Raises
    ------
    numpy.linalg.LinAlgError
        If the variances lie so far apart that nothing can be worked out.
    """
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
    return Likelihood(
        float(criterion), effects, covariance, slope,
        (expected + expected.T) / 2, (average + average.T) / 2, single, pair, sums,
    )  # fmt: skip


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
