"""What share of the ground the wheels drive on: in one pass, in lanes that are kept, or as if by chance.

Wheels that follow in the track of others drive on no new ground; lengths of ground are therefore joined, not added up.
Headlands, turns and the road to the gate come on top.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "driven_at_least",
    "driven_at_least_by_chance",
    "driven_by_chance",
    "track_edges",
    "wheeled_share",
]


@equation(
    "length of ground under at least one wheel, neighbouring runs of the outfit included, per working width",
    unit="1",
    source="physics",
    locator="geometry",
    in_words=True,
)
def wheeled_share(wheel_across_m: ArrayLike, tyre_width_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Work out the share of the ground that the wheels of one pass drive on.

    Parameters
    ----------
    wheel_across_m : array_like
        Middle of each wheel to the right of the middle of the outfit, wheels along the last axis [m], -50 to 50.
    tyre_width_m : array_like
        Width of each wheel [m], 0 to 3.
    width_m : array_like
        Working width less the overlap, without the axis of the wheels [m], more than 0, to 60.

    Returns
    -------
    ndarray
        Share of the ground [1], the leading axes broadcast together; never above 1.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Exact for runs side by side at the same distance.  Wheels in one track count once; wheels that reach into the
    neighbouring run count there.

    Examples
    --------
    >>> round(float(wheeled_share([-0.95, 0.95, -0.95, 0.95], [0.54, 0.54, 0.65, 0.65], 6)), 4)
    0.2167
    """
    middle = require("wheel_across_m", wheel_across_m, -50, 50, "m")
    tyre = require("tyre_width_m", tyre_width_m, 0, 3, "m")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    middle, tyre, pitch = np.broadcast_arrays(np.atleast_1d(middle), tyre, width[..., None])
    reach = int(np.ceil(np.max((np.abs(middle) + tyre / 2) / pitch) + 0.5))
    beside = np.arange(-reach, reach + 1)
    left = (middle - tyre / 2)[..., None] + beside * pitch[..., None] + pitch[..., None] / 2
    right = left + tyre[..., None]
    flat = (*left.shape[:-2], -1)
    return np.asarray(_covered(left.reshape(flat), right.reshape(flat), pitch[..., 0], 1) / pitch[..., 0])


@equation(
    "start + (run + 1/2) width + middle of the wheel, less and plus half the tyre, for every run that begins in the field",
    unit="m",
    source="physics",
    locator="geometry",
    in_words=True,
)
def track_edges(
    wheel_across_m: ArrayLike, tyre_width_m: ArrayLike, width_m: float, breadth_m: float, start_m: float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """Return left and right edge of every track that an outfit leaves, run beside run, across a field.

    Parameters
    ----------
    wheel_across_m, tyre_width_m : array_like
        Middle of each wheel to the right of the middle of the outfit, and its width [m], one axis.
    width_m : float
        From run to run [m], more than 0, to 60.
    breadth_m : float
        Breadth of the field [m], more than 0, to 1e4.
    start_m : float
        Left edge of the first run [m]; may be negative.

    Returns
    -------
    tuple of ndarray
        Left and right edges from the left side of the field [m].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> left, right = track_edges([-1, 1], 0.5, 6, 12)
    >>> left.tolist(), right.tolist()
    ([1.75, 3.75, 7.75, 9.75], [2.25, 4.25, 8.25, 10.25])
    """
    middle = np.atleast_1d(require("wheel_across_m", wheel_across_m, -50, 50, "m"))
    half = require("tyre_width_m", tyre_width_m, 0, 3, "m") / 2
    width = float(require("width_m", width_m, 0, 60, "m", above=True))
    breadth = float(require("breadth_m", breadth_m, 0, 1e4, "m", above=True))
    start = float(require("start_m", start_m, -1e4, 1e4, "m"))
    runs = np.arange(max(0, int(np.ceil((breadth - start) / width - 1e-9))))
    centre = (start + (runs + 0.5) * width)[:, None] + middle
    return (centre - half).ravel(), (centre + half).ravel()


@equation(
    "length of the breadth that lies in at least so many of the tracks, per breadth",
    unit="1",
    source="physics",
    locator="geometry",
    in_words=True,
)
def driven_at_least(left_m: ArrayLike, right_m: ArrayLike, breadth_m: ArrayLike, times: int) -> FloatArray:
    """Work out the share of a field that is driven on at least so many times, from the edges of all tracks.

    Parameters
    ----------
    left_m, right_m : array_like
        Edges of every track of every wheel and pass, along the last axis [m].
    breadth_m : array_like
        Breadth of the field, without that axis [m], more than 0, to 1e4.
    times : int
        How many wheels at least [1], 1 to 1000.

    Returns
    -------
    ndarray
        Share of the field [1], the leading axes broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or a track ends before it begins.

    Notes
    -----
    Exact where lanes are kept.  Every wheel counts, so that two axles in one track drive it twice.

    Examples
    --------
    >>> left, right = track_edges([-1, 1, -1, 1], 0.5, 6, 12)
    >>> [round(float(driven_at_least(left, right, 12, n)), 4) for n in (1, 2, 3)]
    [0.1667, 0.1667, 0.0]
    """
    left = require("left_m", left_m, -1e5, 1e5, "m")
    right = require("right_m", right_m, -1e5, 1e5, "m")
    require("right_m less left_m", right - left, 0, 1e5, "m")
    breadth = require("breadth_m", breadth_m, 0, 1e4, "m", above=True)
    count = int(require("times", times, 1, 1000))
    left, right, _ = np.broadcast_arrays(left, right, breadth[..., None])
    return np.asarray(_covered(left, right, breadth, count) / breadth)


def _covered(left: FloatArray, right: FloatArray, breadth: FloatArray, times: int) -> FloatArray:
    """Length of 0 to `breadth` that lies in at least `times` of the stretches along the last axis."""
    edges = np.clip(np.concatenate((left, right), axis=-1), 0, breadth[..., None])
    steps = np.concatenate((np.ones(left.shape, int), -np.ones(right.shape, int)), axis=-1)
    order = np.argsort(edges, axis=-1, kind="stable")
    deep = np.cumsum(np.take_along_axis(steps, order, axis=-1), axis=-1)[..., :-1]
    lengths = np.diff(np.take_along_axis(edges, order, axis=-1), axis=-1)
    return np.asarray(np.sum(np.where(deep >= times, lengths, 0.0), axis=-1))


@equation(
    "1 - (1 - share 1)(1 - share 2)... over the passes",
    unit="1",
    source="physics",
    locator="independent passes",
    in_words=True,
)
def driven_by_chance(pass_share: ArrayLike) -> FloatArray:
    """Work out the share of a field that is driven on at least once, where the tracks of passes fall as if by chance.

    Parameters
    ----------
    pass_share : array_like
        Share that each pass drives on, passes along the last axis [1], 0 to 1.

    Returns
    -------
    ndarray
        Share of the field [1], shape of the argument without its last axis.

    Raises
    ------
    ImpossibleValue
        If a share lies outside its range.

    Notes
    -----
    An expectation for passes that know nothing of each other's tracks: other widths, other start, across one another.
    Kept lanes drive on less, lanes kept side by side on more; :func:`driven_at_least` is exact for both.

    Examples
    --------
    >>> round(float(driven_by_chance([0.2, 0.5, 0.3])), 2)
    0.72
    """
    share = require("pass_share", np.atleast_1d(pass_share), 0, 1)
    return np.asarray(1 - np.prod(1 - share, axis=-1))


@equation(
    "chance that at least so many of the passes drive on a spot, each with its own share and none knowing of the others",
    unit="1",
    source="physics",
    locator="independent passes",
    in_words=True,
)
def driven_at_least_by_chance(pass_share: ArrayLike, times: int) -> FloatArray:
    """Work out the share that at least so many passes drive on, where their tracks fall as if by chance.

    Parameters
    ----------
    pass_share : array_like
        Share that each pass drives on, passes along the last axis [1], 0 to 1.
    times : int
        How many passes at least [1], 1 to 1000.

    Returns
    -------
    ndarray
        Share of the field [1], shape of the first argument without its last axis.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Counts passes, not wheels.

    Examples
    --------
    >>> [round(float(driven_at_least_by_chance([0.2, 0.5, 0.3], n)), 2) for n in (1, 2, 3)]
    [0.72, 0.25, 0.03]
    """
    share = require("pass_share", np.atleast_1d(pass_share), 0, 1)
    count = int(require("times", times, 1, 1000))
    chances = np.zeros((*share.shape[:-1], share.shape[-1] + 1))
    chances[..., 0] = 1.0
    for one in np.moveaxis(share, -1, 0):
        moved = chances[..., :-1] * one[..., None]
        chances *= (1 - one)[..., None]
        chances[..., 1:] += moved
    return np.asarray(chances[..., count:].sum(axis=-1))
