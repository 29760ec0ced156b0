"""Tractor and pass: the speed, the depth and the width that a tractor manages.

A tractor manages a pass where it stays within both its rated power and the slip that one still works with.  How pull and
power go with speed, depth and width stands in :mod:`spadework.science.machinery.pull.pulling`.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.machinery.pull.planned import Pass, Tractor
from spadework.science.machinery.pull.pulling import gather
from spadework.working import equation

__all__ = ["most_depth_share", "most_speed", "most_width_share", "rows_possible"]

_GRIP = reference.constants("tractor_grip")
_ROUNDING = 1e-9
_TOLERANCE = 1e-4
_STEPS, _HALVINGS = 12, 15

_Index = NDArray[np.intp] | slice
_At = Callable[[Pass, FloatArray], tuple[FloatArray, FloatArray, FloatArray]]


def _most(planned: Pass, tractor: Tractor, at: _At, least: FloatArray, meant: FloatArray) -> FloatArray:
    """Return the largest value from `least` to `meant` that the tractor manages; nil where it manages not even `least`.

    `at` turns a value into speed, depth share and width share.
    """
    pull, (start, wanted), shape = gather(planned, tractor, least, meant)
    rated, most_ratio = pull.tractor.rated_pto_kw, pull.most_ratio()
    low, result = start.copy(), wanted.copy()

    def spare(chosen: _Index, value: FloatArray) -> FloatArray:
        """Return what is left of power and grip, whichever is the scarcer; below nil where it does not do."""
        some, limit = pull.only(chosen), most_ratio[chosen]
        v, d, w = at(some.planned, value)
        ratio = some.ratio(v, d, w)
        # where grip is short, the power is taken at the last slip that does: below nil it is already
        needed = some.needed_kw(np.minimum(ratio, limit), v, w)
        return np.minimum(1 - needed / rated[chosen], limit - ratio)

    at_meant = spare(slice(None), result)
    short = np.flatnonzero(at_meant < 0)
    if short.size:
        at_least = spare(short, low[short])
        between = short[at_least >= 0]
        low[short] = np.where(at_least >= 0, low[short], 0.0)
        _close_in(spare, between, low, result.copy(), at_least[at_least >= 0], at_meant[between])
        result[short] = low[short]
    return result.reshape(shape)


def _close_in(
    spare: Callable[[_Index, FloatArray], FloatArray],
    where: NDArray[np.intp],
    low: FloatArray,
    high: FloatArray,
    at_low: FloatArray,
    at_high: FloatArray,
) -> None:
    """Raise `low`, at the places `where`, to just below the place at which the falling function `spare` is nil.

    Regula falsi with the weights of the Illinois rule, kept off the ends so that both close in; halvings for what is
    still open after some steps.  Places that are done are left out.
    """
    inside = _TOLERANCE * high[where] / 2
    side = np.zeros_like(inside)
    for step in range(_STEPS + _HALVINGS):
        bottom, top = low[where], high[where]
        wide = top - bottom > 2 * inside
        where, bottom, top, inside, side = where[wide], bottom[wide], top[wide], inside[wide], side[wide]
        at_low, at_high = at_low[wide], at_high[wide]
        if not where.size:
            return
        cut = bottom + (top - bottom) * (at_low / (at_low - at_high) if step < _STEPS else 0.5)
        x = np.minimum(np.maximum(cut, bottom + inside), top - inside)
        found = spare(where, x)
        does = found >= 0
        at_low, at_high = (
            np.where(does, found, np.where(side < 0, at_low / 2, at_low)),
            np.where(does, np.where(side > 0, at_high / 2, at_high), found),
        )
        low[where], high[where] = np.where(does, x, bottom), np.where(does, top, x)
        side = np.where(does, 1.0, -1.0)


@equation(
    "the highest speed up to speed_km_h at which the needed power is within rated_pto_kw and the slip within "
    "slip_most_share; 0 where not even least_speed_km_h does",
    unit="km/h",
    source="brixius_1987",
    locator="solved for the speed",
    constants=(_GRIP,),
    in_words=True,
    takes={"planned": Pass, "tractor": Tractor},
)
def most_speed(planned: Pass, tractor: Tractor) -> FloatArray:
    """Highest speed up to the speed planned that the tractor manages.

    Parameters
    ----------
    planned : Pass
        What the pass asks for as planned.
    tractor : Tractor
        What pulls it, and the slip that one still works with.

    Returns
    -------
    FloatArray
        Speed [km/h], in the broadcast shape of the arguments; 0 where it manages the pass at no speed.

    Notes
    -----
    Draft, slip and pump fall with speed, all of which is counted.  The result lies up to 0.0001 of the speed planned
    below the true limit, never above it.  The slowest speed tried is ``least_speed_km_h`` of table ``tractor_grip``.

    Examples
    --------
    >>> plough = Pass(7, 22000, 0, 160)
    >>> most_speed(plough, Tractor(8, 1, 0.058, 0, 55, 0.96, [100, 60, 2], 0.25)).round(2).tolist()
    [7.0, 5.9, 0.0]
    """
    least = np.minimum(_GRIP.least_speed_km_h, planned.speed_km_h)
    return _most(planned, tractor, _at_speed, least, planned.speed_km_h)


@equation(
    "the largest share of the planned depth at which, at speed_km_h, the needed power is within rated_pto_kw "
    "and the slip within slip_most_share; 0 where none does",
    unit="1",
    source="brixius_1987",
    locator="solved for the depth",
    constants=(_GRIP,),
    in_words=True,
    takes={"planned": Pass, "tractor": Tractor},
)
def most_depth_share(planned: Pass, tractor: Tractor) -> FloatArray:
    """Largest share of the planned depth that the tractor manages at the speed planned.

    Parameters
    ----------
    planned : Pass
        What the pass asks for as planned.
    tractor : Tractor
        What pulls it, and the slip that one still works with.

    Returns
    -------
    FloatArray
        Share of the depth [1], in the broadcast shape of the arguments; 0 where none does.

    Notes
    -----
    The tools with a depth of their own, what is drawn, pumps and driven tools stay as planned.  The result lies up to
    0.0001 below the true limit, never above it.

    Examples
    --------
    >>> plough = Pass(7, 22000, 0, 160)
    >>> most_depth_share(plough, Tractor(8, 1, 0.058, 0, 55, 0.96, [100, 60], 0.25)).round(3).tolist()
    [1.0, 0.77]
    """
    return _most(planned, tractor, _at_depth, np.zeros(()), np.ones(()))


@equation(
    "the largest share of the planned width at which, at speed_km_h, the needed power is within rated_pto_kw "
    "and the slip within slip_most_share; 0 where none does",
    unit="1",
    source="brixius_1987",
    locator="solved for the width",
    constants=(_GRIP,),
    in_words=True,
    takes={"planned": Pass, "tractor": Tractor},
)
def most_width_share(planned: Pass, tractor: Tractor) -> FloatArray:
    """Largest share of the planned width that the tractor manages at the speed planned.

    Parameters
    ----------
    planned : Pass
        What the pass asks for as planned.
    tractor : Tractor
        What pulls it, and the slip that one still works with.

    Returns
    -------
    FloatArray
        Share of the width [1], in the broadcast shape of the arguments; 0 where none does.

    Notes
    -----
    Tools, pumps and driven tools go with the width; what is drawn stays as planned.  :func:`rows_possible` has
    whole rows.  The result lies up to 0.0001 below the true limit, never above it.

    Examples
    --------
    >>> plough = Pass(7, 22000, 0, 160)
    >>> most_width_share(plough, Tractor(8, 1, 0.058, 0, 55, 0.96, [100, 60], 0.25)).round(3).tolist()
    [1.0, 0.77]
    """
    return _most(planned, tractor, _at_width, np.zeros(()), np.ones(()))


def _at_speed(planned: Pass, value: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    return value, np.ones_like(value), np.ones_like(value)


def _at_depth(planned: Pass, value: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    return planned.speed_km_h, value, np.ones_like(value)


def _at_width(planned: Pass, value: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    return planned.speed_km_h, np.ones_like(value), value


@equation("floor(width_share * rows + 0.000000001)", unit="1", source="physics", locator="whole rows")
def rows_possible(width_share: ArrayLike, rows: ArrayLike) -> FloatArray:
    """Whole rows within a share of the planned width.

    Parameters
    ----------
    width_share : array_like
        Share of the planned width [1], 0 to 1.
    rows : array_like
        Rows planned [1], 0 to 200.

    Returns
    -------
    FloatArray
        Whole number of rows [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Rounded down; a billionth is added first so that rows which fit exactly are not lost for their last binary digit.

    Examples
    --------
    >>> rows_possible([1.0, 0.7, 0.1], 6).tolist()
    [6.0, 4.0, 0.0]
    """
    share = require("width_share", width_share, 0, 1)
    return np.floor(share * require("rows", rows, 0, 200) + _ROUNDING)
