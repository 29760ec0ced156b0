"""Positions over time: what of a log can be used, how much it scatters, and place and speed at even times from it.

Metres east and north are those of a plane that touches the field.  Nothing here asks which way time runs or where
north is: a log driven backwards, or a field turned round, gives the same answer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "even_track",
    "position_scatter",
    "span_needed",
    "speed_scatter",
    "usable_positions",
]

_K = reference.constants("time_study")
_FAR = 1e7
_THIRD = 20.0  # squares of 1, 3, 3 and 1: what a third difference of unrelated errors varies by
_AT_ONCE = 20_000
_TINY = 1e-9


@equation(
    "a position counts where its time is later than the one before and it is no lone jump; numbered are the pieces "
    "between breaks, -1 where it does not count",
    unit="1",
    source="choice",
    in_words=True,
)
def usable_positions(time_s: ArrayLike, east_m: ArrayLike, north_m: ArrayLike, piece_number: ArrayLike) -> FloatArray:
    """Which positions of a log can be used, and in which unbroken piece each lies.

    Parameters
    ----------
    time_s : array_like
        Time of each position, in order [s], 0 to 1e7.
    east_m : array_like
        Metres east [m], -1e7 to 1e7.
    north_m : array_like
        Metres north [m], -1e7 to 1e7.
    piece_number : array_like
        Piece that the log itself says a position belongs to, rising [1], 0 or more.

    Returns
    -------
    FloatArray
        Number of the piece, from 0; -1 for a position that is left out [1], one for each position.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A lone jump lies too far from both neighbours for the fastest outfit, though these lie near enough to each other.
    A step that is too far and stays is a break, and so is a gap in time; both limits stand in table ``time_study``.

    Examples
    --------
    >>> usable_positions([0, 1, 1, 2, 3, 60], [0, 2, 2, 900, 6, 7], 0, 0).tolist()
    [0.0, 0.0, -1.0, -1.0, 0.0, 1.0]
    """
    time = require("time_s", time_s, 0, _FAR, "s")
    east, north, piece = (
        np.broadcast_to(require(name, values, low, _FAR, unit), time.shape)
        for name, values, low, unit in (
            ("east_m", east_m, -_FAR, "m"), ("north_m", north_m, -_FAR, "m"), ("piece_number", piece_number, 0, "1")
        )
    )  # fmt: skip
    found = np.full(time.shape, -1.0)
    if time.size == 0:
        return found
    at = np.flatnonzero(np.concatenate([[True], time[1:] > np.maximum.accumulate(time)[:-1]]))
    while at.size > 2:
        near, over = _reached(time[at], east[at], north[at], 1), _reached(time[at], east[at], north[at], 2)
        alone = ~near[:-1] & ~near[1:] & over
        lone = np.concatenate([[False], alone, [False]])
        lone[0], lone[-1] = bool(~near[0] & near[1]), bool(~near[-1] & near[-2])
        if not lone.any():
            break
        at = at[~lone]
    if at.size > 1:
        breaks = (np.diff(time[at]) > _K.gap_s) | (np.diff(piece[at]) != 0)
        breaks |= ~_reached(time[at], east[at], north[at], 1)
        found[at] = np.concatenate([[0], np.cumsum(breaks)])
    else:
        found[at] = 0
    return found


def _reached(time: FloatArray, east: FloatArray, north: FloatArray, apart: int) -> NDArray[np.bool_]:
    """Tell whether the fastest outfit gets from each position to one further on."""
    far = np.hypot(east[apart:] - east[:-apart], north[apart:] - north[:-apart])
    return np.asarray(far <= _K.jump_factor * _K.fastest_m_s * (time[apart:] - time[:-apart]))


@equation(
    "middle size of the third differences of east_m and north_m in a row, as a standard deviation",
    unit="m",
    source="physics",
    locator="spread of a sum",
    in_words=True,
)
def position_scatter(east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
    """Scatter of single positions about the way that was driven.

    Parameters
    ----------
    east_m : array_like
        Metres east, evenly in time [m], -1e7 to 1e7.
    north_m : array_like
        Metres north [m], -1e7 to 1e7.

    Returns
    -------
    FloatArray
        Standard deviation of one coordinate [m]; 0 for fewer than four positions.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Third differences leave steady driving, braking and even curves out.  Errors that drift slowly are not in it; they
    do not harm speed and course, but they do harm the distance between passes.

    Examples
    --------
    >>> random = np.random.default_rng(1)
    >>> errors = random.normal(0, 0.5, (2, 2000))
    >>> float(position_scatter(2 * np.arange(2000) + errors[0], errors[1]).round(1))
    0.5
    """
    east, north = require("east_m", east_m, -_FAR, _FAR, "m"), require("north_m", north_m, -_FAR, _FAR, "m")
    if east.size < 4:
        return np.asarray(0.0)
    # both coordinates together, so that it does not hang on where north is: where both scatter alike, the median of
    # the sum of two squares is twice the logarithm of 2 of their variance
    squares = np.diff(east, 3) ** 2 + np.diff(north, 3) ** 2
    return np.asarray(np.sqrt(np.median(squares) / (2 * np.log(2)) / _THIRD))


@equation(
    "scatter_m * sqrt(12 / ((span_s / spacing_s + 1) * ((span_s / spacing_s + 1) ** 2 - 1))) / spacing_s",
    unit="m/s",
    source="physics",
    locator="slope of a fitted line",
)
def speed_scatter(scatter_m: ArrayLike, spacing_s: ArrayLike, span_s: ArrayLike) -> FloatArray:
    """Scatter of a speed that is taken over a span of positions.

    Parameters
    ----------
    scatter_m : array_like
        Standard deviation of one coordinate of a position [m], 0 to 100.
    spacing_s : array_like
        Time between positions [s], above 0 to 60.
    span_s : array_like
        Time between the first and the last position of the span [s], above 0 to 600.

    Returns
    -------
    FloatArray
        Standard deviation of one component of the speed [m/s], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Standard error of the slope of a straight line through evenly spaced points with unrelated errors.

    Examples
    --------
    >>> float(speed_scatter(0.5, 1, 6).round(4))
    0.0945
    """
    scatter = require("scatter_m", scatter_m, 0, 100, "m")
    spacing = require("spacing_s", spacing_s, 0, 60, "s", above=True)
    count = require("span_s", span_s, 0, 600, "s", above=True) / spacing + 1
    return np.asarray(scatter * np.sqrt(12 / (count * (count**2 - 1))) / spacing)


@equation(
    "the shortest span, in whole seconds, over which the speed scatters no more than most_m_s",
    unit="s",
    source="choice",
    in_words=True,
)
def span_needed(scatter_m: ArrayLike, spacing_s: ArrayLike, most_m_s: ArrayLike) -> FloatArray:
    """Span over which speed and course are to be taken.

    Parameters
    ----------
    scatter_m : array_like
        Standard deviation of one coordinate of a position [m], 0 to 100.
    spacing_s : array_like
        Time between positions [s], above 0 to 60.
    most_m_s : array_like
        Scatter of the speed that will do [m/s], above 0 to 10; table ``time_study``.

    Returns
    -------
    FloatArray
        Span [s], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    At least the shortest and at most the longest span of table ``time_study``: a longer one blurs short turns.

    Examples
    --------
    >>> span_needed([0.02, 0.5, 5.0], 1, 0.1).tolist()
    [3.0, 7.0, 15.0]
    """
    scatter, spacing, most = np.broadcast_arrays(
        require("scatter_m", scatter_m, 0, 100, "m"),
        require("spacing_s", spacing_s, 0, 60, "s", above=True),
        require("most_m_s", most_m_s, 0, 10, "m/s", above=True),
    )
    found = np.full(scatter.shape, _K.span_most_s)
    for span in np.arange(_K.span_most_s, _K.span_s - _TINY, -1.0):
        # a span of 7 s holds positions 6 s apart at one a second
        ok = speed_scatter(scatter, spacing, np.maximum(span - spacing, spacing)) <= most
        found = np.where(ok, span, found)
    return np.asarray(found)


@equation(
    "straight line fitted to the positions within half of span_s before and after each time of at_s: its place there, "
    "and its slope",
    unit="m and m/s",
    source="physics",
    locator="least squares",
    in_words=True,
)
def even_track(
    time_s: ArrayLike, east_m: ArrayLike, north_m: ArrayLike, at_s: ArrayLike, span_s: ArrayLike
) -> FloatArray:
    """Place and speed at even times, from one unbroken piece of a log.

    Parameters
    ----------
    time_s : array_like
        Time of each position, rising [s], 0 to 1e7.
    east_m : array_like
        Metres east [m], -1e7 to 1e7.
    north_m : array_like
        Metres north [m], -1e7 to 1e7.
    at_s : array_like
        Times wanted [s], 0 to 1e7.
    span_s : array_like
        Span of positions that each is taken from [s], above 0 to 600; one number.

    Returns
    -------
    FloatArray
        Metres east and north, and metres a second east and north [m and m/s], shape 4 by times.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    With three even positions the slope is the centred difference.  At the ends of a piece only one side is there.

    Examples
    --------
    >>> even_track([0, 1, 2, 3, 4], [0, 2, 4, 6, 8], [0, 0, 0, 0, 0], [1.5, 4], 3).round(6).tolist()
    [[3.0, 8.0], [0.0, 0.0], [2.0, 2.0], [0.0, 0.0]]
    """
    time = require("time_s", time_s, 0, _FAR, "s")
    places = np.stack([require("east_m", east_m, -_FAR, _FAR, "m"), require("north_m", north_m, -_FAR, _FAR, "m")])
    at = np.atleast_1d(require("at_s", at_s, 0, _FAR, "s"))
    half = float(require("span_s", span_s, 0, 600, "s", above=True)) / 2
    return np.concatenate(
        [_fitted(time, places, at[k : k + _AT_ONCE], half) for k in range(0, max(at.size, 1), _AT_ONCE)], axis=1
    )


def _fitted(time: FloatArray, places: FloatArray, at: FloatArray, half: float) -> FloatArray:
    first = np.searchsorted(time, at - half - _TINY)
    after = np.searchsorted(time, at + half + _TINY, "right")
    few = after - first < 2
    first, after = (
        np.where(few, np.maximum(first - 1, 0), first),
        np.where(few, np.minimum(after + 1, time.size), after),
    )
    taken = first[:, None] + np.arange(int((after - first).max(initial=1)))
    inside = taken < after[:, None]
    taken = np.minimum(taken, time.size - 1)
    count = inside.sum(axis=1)
    apart = np.where(inside, time[taken] - at[:, None], 0.0)
    middle = apart.sum(axis=1) / count
    lever = np.where(inside, apart - middle[:, None], 0.0)
    spread = (lever**2).sum(axis=1)
    held = np.where(inside, places[:, taken], 0.0)
    mean = held.sum(axis=2) / count
    slope = (lever * held).sum(axis=2) / np.where(spread > 0, spread, 1.0)
    return np.concatenate([mean - slope * middle, slope])
