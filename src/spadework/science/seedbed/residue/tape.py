"""Planning a count of residue along a tape: how many points, how many hits prove it, and when rows fool the tape."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "aliased",
    "hits_to_prove",
    "phase_drift",
    "points_needed",
    "points_per_row",
    "power_to_prove",
]

_K = reference.constants("transect_practice")
_MOST = 1_000_000
_SAME = 1e-9  # of a row: nearer to a whole number than any tape is laid


@equation("ceil(z**2 * cover_share * (1 - cover_share) / half_width_share**2)", unit="1", source="cochran_1977")
def points_needed(cover_share: ArrayLike, half_width_share: ArrayLike, z: ArrayLike) -> FloatArray:
    """Points that a cover takes to be known within a half width.

    Parameters
    ----------
    cover_share : array_like
        Expected cover [1], 0 to 1; 0.5 is the worst case.
    half_width_share : array_like
        Wanted half width of the interval [1], 0.001 to 0.5.
    z : array_like
        Normal quantile [1], more than 0, to 10; see :func:`~spadework.science.seedbed.residue.transect.normal_quantile`.

    Returns
    -------
    ndarray
        Whole number of points, shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    n = z2 p (1 - p) / E2, rounded up.  Independent points; patches need more.

    Examples
    --------
    >>> float(points_needed(0.30, 0.05, 1.96))
    323.0
    """
    cover = require("cover_share", cover_share, 0, 1)
    half = require("half_width_share", half_width_share, 0.001, 0.5)
    count: FloatArray = np.ceil(require("z", z, 0, 10, above=True) ** 2 * cover * (1 - cover) / half**2)
    return count


@equation(
    "smallest count that a cover at the limit would reach or pass with a probability of no more than alpha",
    unit="1",
    source="physics",
    in_words=True,
)
def hits_to_prove(limit_share: ArrayLike, points: ArrayLike, alpha_share: ArrayLike) -> FloatArray:
    """Hits that it takes to show that the cover lies over a limit.

    Parameters
    ----------
    limit_share : array_like
        Limit of the cover [1], 0.001 to 0.999.
    points : array_like
        Number of points, 1 to 1 000 000.
    alpha_share : array_like
        Risk of a wrong claim, one-sided [1], 0.0001 to 0.5.

    Returns
    -------
    ndarray
        Whole number of hits; more than `points` where no count would do.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The exact one-sided binomial test, of independent points.

    Examples
    --------
    >>> float(hits_to_prove(0.30, 100, 0.05))
    39.0
    """
    limit = require("limit_share", limit_share, 0.001, 0.999)
    n = require("points", points, 1, _MOST)
    alpha = require("alpha_share", alpha_share, 0.0001, 0.5)
    low, high = np.zeros(np.broadcast_shapes(limit.shape, n.shape, alpha.shape)), n + 1 + 0 * (limit + alpha)
    while (high - low > 1).any():
        middle = np.floor((low + high) / 2)
        enough = _at_least(middle, n, limit) <= alpha
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return np.asarray(high)


@equation(
    "probability that as many points or more are hits when the true cover is this",
    unit="1",
    source="physics",
    in_words=True,
)
def power_to_prove(hits: ArrayLike, points: ArrayLike, cover_share: ArrayLike) -> FloatArray:
    """Chance of reaching a count of hits when the true cover is this.

    Parameters
    ----------
    hits : array_like
        Hits that are needed, 0 to `points` + 1; see :func:`hits_to_prove`.
    points : array_like
        Number of points, 1 to 1 000 000.
    cover_share : array_like
        True cover [1], 0 to 1.

    Returns
    -------
    ndarray
        Probability [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Upper tail of the binomial distribution.

    Examples
    --------
    >>> round(float(power_to_prove(39, 100, 0.40)), 2)
    0.62
    """
    n = require("points", points, 1, _MOST)
    needed = require("hits", hits, 0, _MOST + 1)
    require("points + 1 - hits", n + 1 - needed, 0, _MOST + 1)
    return _at_least(needed, n, require("cover_share", cover_share, 0, 1))


@equation("row spacing over the distance between marks across the rows", unit="1", source="physics", in_words=True)
def points_per_row(row_spacing_m: ArrayLike, mark_spacing_m: ArrayLike, angle_deg: ArrayLike) -> FloatArray:
    """Count the marks that a tape has in one row period.

    Parameters
    ----------
    row_spacing_m : array_like
        Distance between rows [m], more than 0, to 10.
    mark_spacing_m : array_like
        Distance between marks along the tape [m], more than 0, to 10.
    angle_deg : array_like
        Angle between tape and rows [deg], 1 to 90.

    Returns
    -------
    ndarray
        Marks per row period [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range; a tape along the rows never crosses one.

    Notes
    -----
    k = s / (dx sin(angle)).

    Examples
    --------
    >>> round(float(points_per_row(0.75, 0.15, 45)), 3)
    7.071
    """
    spacing = require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True)
    mark = require("mark_spacing_m", mark_spacing_m, 0, 10, "m", above=True)
    angle = require("angle_deg", angle_deg, 1, 90, "deg")
    return np.asarray(spacing / (mark * np.sin(np.radians(angle))))


@equation(
    "least over q from 1 to alias_marks of points times the distance of q / points_per_row from the nearest whole number",
    unit="1",
    source="choice",
    constants=(_K,),
    in_words=True,
)
def phase_drift(points_per_row: ArrayLike, points: ArrayLike) -> FloatArray:
    """How far the marks wander through the row over the whole tape, where they keep step with it most.

    Parameters
    ----------
    points_per_row : array_like
        Marks per row period [1], more than 0, to 10 000; see :func:`points_per_row`.
    points : array_like
        Number of marks on the tape, 1 to 1 000 000.

    Returns
    -------
    ndarray
        Drift [1], shape of the inputs broadcast together, in gaps between the places of a row that the marks meet; 0 where
        all marks meet the same few places, 1 where the tape just fills the gaps between them.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Every q-th mark lies q / k rows further on.  Where that is nearly a whole number, the marks meet no more than q places of a
    row, 1 / q apart, and wander from there by ``|q / k - whole|`` with each of the n / q marks of a place: ``n |q / k - whole|``
    gaps over the tape.  The least over q = 1, 2, ... counts.  Marks further apart than a row are no safer: at one and a half
    row spacings they meet two places.  Our own rule, from our own simulation.

    Examples
    --------
    >>> round(float(phase_drift(0.75 / 0.1524, 100)), 1), float(phase_drift(0.75 / 0.30, 100))
    (1.6, 0.0)
    """
    k = require("points_per_row", points_per_row, 0, 10_000, above=True)
    n = require("points", points, 1, _MOST)
    step = np.arange(1, int(_K.alias_marks) + 1) / k[..., None]
    least = np.min(np.abs(step - np.round(step)), axis=-1)
    return np.asarray(n * np.where(least < _SAME, 0.0, least))


@equation("where(drift < alias_drift, 1, 0)", unit="1", source="choice", constants=(_K,))
def aliased(drift: ArrayLike) -> FloatArray:
    """Tell whether the rows can fool the tape.

    Parameters
    ----------
    drift : array_like
        Drift of the marks over the tape [1], 0 to 1 000 000; see :func:`phase_drift`.

    Returns
    -------
    ndarray
        1 where another angle, another spacing or separate counts are needed, else 0.

    Raises
    ------
    ImpossibleValue
        If the drift lies outside its range.

    Notes
    -----
    The count then depends on where the tape happened to start.  On strips a quarter of the ground wide, nearly bare in
    well covered ground, 100 such marks scatter by 0.07 to 0.36; independent points by 0.05.  Our own rule, from our own
    simulation.

    Examples
    --------
    >>> float(aliased(0)), float(aliased(1.6))
    (1.0, 0.0)
    """
    return np.asarray(require("drift", drift, 0, _MOST) < _K.alias_drift, dtype=np.float64)


def _at_least(hits: FloatArray, points: FloatArray, cover: FloatArray) -> FloatArray:
    """Probability of `hits` or more among `points`."""
    from scipy.special import betainc

    inside = (hits >= 1) & (hits <= points)
    first = np.where(inside, hits, 1)
    second = np.where(inside, points - hits + 1, 1)
    tail: FloatArray = np.where(inside, betainc(first, second, cover), np.where(hits < 1, 1.0, 0.0))
    return tail
