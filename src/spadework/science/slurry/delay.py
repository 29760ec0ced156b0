"""How long slurry lies before it is covered, and what covering then still saves.

Two outfits follow one another over a field.  Where they work at unequal rates the delay between them is not the same
everywhere; its effect on ammonia is averaged over the field exactly, without stepping.

What covering saves falls along straight lines through four points: at once, after 4 h, after 24 h, and the delay from
which it saves nothing.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["abatement_with_delay", "delay_at", "early_share", "mean_delay", "mean_early_share"]

# The second and third point: the delays that `abatement_4h_share` and `abatement_24h_share` are named for.
_FOUR_H = 4.0
_DAY_H = 24.0
_LONGEST_H = 10_000.0


@equation(
    "where(delay_h <= 4, abatement_now_share + (abatement_4h_share - abatement_now_share) * delay_h / 4, "
    "where(delay_h <= 24, abatement_4h_share + (abatement_24h_share - abatement_4h_share) * (delay_h - 4) / 20, "
    "abatement_24h_share * maximum(1 - (delay_h - 24) / (no_effect_h - 24), 0)))",
    unit="1",
    source="choice",
)
def abatement_with_delay(
    delay_h: ArrayLike,
    abatement_now_share: ArrayLike,
    abatement_4h_share: ArrayLike,
    abatement_24h_share: ArrayLike,
    no_effect_h: ArrayLike,
) -> FloatArray:
    """Work out what covering broadcast slurry saves after a delay.

    Parameters
    ----------
    delay_h : array_like
        Time between spreading and covering [h], 0 to 10,000.
    abatement_now_share : array_like
        What covering at once saves of the reference loss [1], above 0, up to 1.
    abatement_4h_share : array_like
        What covering after 4 h saves [1], 0 up to `abatement_now_share`.
    abatement_24h_share : array_like
        What covering after 24 h saves [1], 0 up to `abatement_4h_share`.
    no_effect_h : array_like
        Delay from which covering saves nothing [h], above 24.

    Returns
    -------
    ndarray
        Reduction of the reference loss [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or the points rise with the delay.

    Notes
    -----
    The points stand in ``ammonia_abatement_unece`` (UNECE 2014, Table 14: ``plough_at_once``,
    ``non_inversion_at_once``, ``within_4_h``, ``within_24_h``) and ``ammonia_delay`` (Mannheim, Braschkat and
    Marschner 1995).  The straight lines between them are ours, and so is taking "within 4 h" as "after 4 h".  Models
    of the loss over time give late covering less credit than these points do.

    Examples
    --------
    >>> [round(float(abatement_with_delay(h, 0.90, 0.55, 0.30, 30)), 3) for h in (0, 2, 4, 14, 27, 40)]
    [0.9, 0.725, 0.55, 0.425, 0.15, 0.0]
    """
    delay = require("delay_h", delay_h, 0, _LONGEST_H, "h")
    now, at_4, at_24, end = _points(abatement_now_share, abatement_4h_share, abatement_24h_share, no_effect_h)
    return _abatement(delay, now, at_4, at_24, end)


@equation(
    "1 - where(delay_h <= 4, abatement_now_share + (abatement_4h_share - abatement_now_share) * delay_h / 4, "
    "where(delay_h <= 24, abatement_4h_share + (abatement_24h_share - abatement_4h_share) * (delay_h - 4) / 20, "
    "abatement_24h_share * maximum(1 - (delay_h - 24) / (no_effect_h - 24), 0))) / abatement_now_share",
    unit="1",
    source="choice",
)
def early_share(
    delay_h: ArrayLike,
    abatement_now_share: ArrayLike,
    abatement_4h_share: ArrayLike,
    abatement_24h_share: ArrayLike,
    no_effect_h: ArrayLike,
) -> FloatArray:
    """Work out which share of the uncovered loss is gone before covering.

    Parameters
    ----------
    delay_h : array_like
        Time between spreading and covering [h], 0 to 10,000.
    abatement_now_share : array_like
        What covering at once saves of the reference loss [1], above 0, up to 1.
    abatement_4h_share : array_like
        What covering after 4 h saves [1], 0 up to `abatement_now_share`.
    abatement_24h_share : array_like
        What covering after 24 h saves [1], 0 up to `abatement_4h_share`.
    no_effect_h : array_like
        Delay from which covering saves nothing [h], above 24.

    Returns
    -------
    ndarray
        Share of the uncovered loss [1], 0 to 1, broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or the points rise with the delay.

    Notes
    -----
    One less the reduction after the delay over the reduction at once.  So chosen that broadcast slurry put
    through :func:`spadework.science.slurry.ammonia.loss_covered` loses what the reduction after the delay leaves of
    the reference.

    Examples
    --------
    >>> [round(float(early_share(h, 0.90, 0.55, 0.30, 30)), 3) for h in (0, 2, 4, 24, 30)]
    [0.0, 0.194, 0.389, 0.667, 1.0]
    """
    delay = require("delay_h", delay_h, 0, _LONGEST_H, "h")
    now, at_4, at_24, end = _points(abatement_now_share, abatement_4h_share, abatement_24h_share, no_effect_h)
    return 1 - _abatement(delay, now, at_4, at_24, end) / now


@equation(
    "maximum(lag_h + area_done_ha / cover_rate_ha_h - area_done_ha / spread_rate_ha_h, 0)",
    unit="h",
    source="huijsmans_de_mol_1999",
    locator="concept",
)
def delay_at(
    area_done_ha: ArrayLike, lag_h: ArrayLike, spread_rate_ha_h: ArrayLike, cover_rate_ha_h: ArrayLike
) -> FloatArray:
    """Work out how long the slurry lies at a place in the field.

    Parameters
    ----------
    area_done_ha : array_like
        Area worked before that place is reached [ha], 0 or more; the same for both outfits, which take the same way.
    lag_h : array_like
        Time from the start of spreading to the start of covering [h], 0 to 10,000.
    spread_rate_ha_h : array_like
        Work rate of spreading, stops counted [ha/h], 0.001 to 1,000.
    cover_rate_ha_h : array_like
        Work rate of covering, stops counted [ha/h], 0.001 to 1,000.

    Returns
    -------
    ndarray
        Delay between spreading and covering [h], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    The idea that a spreader outruns the implement behind it is Huijsmans and De Mol's (1999); the formula
    is ours.  A covering outfit that has caught up cannot overtake: it waits, and the delay stays at nought.

    Examples
    --------
    >>> round(float(delay_at(6.0, 0.5, 4.0, 1.2)), 2)
    4.0
    >>> round(float(delay_at(6.0, 0.5, 1.2, 4.0)), 2)
    0.0
    """
    area = require("area_done_ha", area_done_ha, 0, np.inf, "ha")
    start, growth = _growth(lag_h, spread_rate_ha_h, cover_rate_ha_h)
    return np.maximum(start + growth * area, 0)


@equation(
    "the mean of the delay over all parts of a field of area_ha, each part covered the later of nought and "
    "lag_h + area / cover_rate_ha_h - area / spread_rate_ha_h hours after it was spread",
    unit="h",
    source="choice",
    in_words=True,
)
def mean_delay(
    lag_h: ArrayLike, spread_rate_ha_h: ArrayLike, cover_rate_ha_h: ArrayLike, area_ha: ArrayLike
) -> FloatArray:
    """Work out how long the slurry lies on the mean of the field.

    Parameters
    ----------
    lag_h : array_like
        Time from the start of spreading to the start of covering [h], 0 to 10,000.
    spread_rate_ha_h : array_like
        Work rate of spreading, stops counted [ha/h], 0.001 to 1,000.
    cover_rate_ha_h : array_like
        Work rate of covering, stops counted [ha/h], 0.001 to 1,000.
    area_ha : array_like
        Area of the field, or of what is spread before covering catches up [ha], above 0, up to 1,000,000.

    Returns
    -------
    ndarray
        Mean delay [h], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    The exact mean of :func:`delay_at`.  With the delay running from lag L to E at the end of the field: (L
    + E)/2 where E is not below nought, otherwise L^2 / (2 (L - E)).

    Examples
    --------
    >>> round(float(mean_delay(0.5, 4.0, 1.2, 6.0)), 2)
    2.25
    """
    first, last = _ends(lag_h, spread_rate_ha_h, cover_rate_ha_h, area_ha)
    waits = last < 0
    return np.where(waits, first**2 / (2 * np.where(waits, first - last, 1)), (first + last) / 2)


@equation(
    "the mean over all parts of a field of area_ha of the share of the uncovered loss that is gone before covering, "
    "each part covered the later of nought and lag_h + area / cover_rate_ha_h - area / spread_rate_ha_h hours after it "
    "was spread",
    unit="1",
    source="choice",
    in_words=True,
)
def mean_early_share(
    lag_h: ArrayLike,
    spread_rate_ha_h: ArrayLike,
    cover_rate_ha_h: ArrayLike,
    area_ha: ArrayLike,
    abatement_now_share: ArrayLike,
    abatement_4h_share: ArrayLike,
    abatement_24h_share: ArrayLike,
    no_effect_h: ArrayLike,
) -> FloatArray:
    """Work out which share of the uncovered loss is gone before covering, on the mean of the field.

    Parameters
    ----------
    lag_h : array_like
        Time from the start of spreading to the start of covering [h], 0 to 10,000.
    spread_rate_ha_h : array_like
        Work rate of spreading, stops counted [ha/h], 0.001 to 1,000.
    cover_rate_ha_h : array_like
        Work rate of covering, stops counted [ha/h], 0.001 to 1,000.
    area_ha : array_like
        Area of the field, or of what is spread before covering catches up [ha], above 0, up to 1,000,000.
    abatement_now_share : array_like
        What covering at once saves of the reference loss [1], above 0, up to 1.
    abatement_4h_share : array_like
        What covering after 4 h saves [1], 0 up to `abatement_now_share`.
    abatement_24h_share : array_like
        What covering after 24 h saves [1], 0 up to `abatement_4h_share`.
    no_effect_h : array_like
        Delay from which covering saves nothing [h], above 24.

    Returns
    -------
    ndarray
        Mean share of the uncovered loss [1], 0 to 1, broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or the points rise with the delay.

    Notes
    -----
    The exact mean of :func:`early_share` at :func:`delay_at`.  The delay is uniform over the field between
    its two ends and the share is straight between the points, so each stretch between points counts with its length
    and its value at mid-length.

    Examples
    --------
    >>> round(float(mean_early_share(0.5, 4.0, 1.2, 6.0, 0.90, 0.55, 0.30, 30)), 4)
    0.2188
    """
    first, last = _ends(lag_h, spread_rate_ha_h, cover_rate_ha_h, area_ha)
    now, at_4, at_24, end = _points(abatement_now_share, abatement_4h_share, abatement_24h_share, no_effect_h)
    low, high = np.minimum(first, last), np.maximum(first, last)
    bounds: tuple[ArrayLike, ...] = (-np.inf, 0.0, _FOUR_H, _DAY_H, end, np.inf)
    length = weighed = np.zeros(np.broadcast(low, now, at_4, at_24, end).shape)
    for left, right in pairwise(bounds):
        begin, stop = np.maximum(low, left), np.minimum(high, right)
        stretch = np.maximum(stop - begin, 0)
        middle = np.maximum((begin + stop) / 2, 0)
        length = length + stretch
        weighed = weighed + stretch * _abatement(middle, now, at_4, at_24, end)
    even = length == 0
    kept = np.where(even, _abatement(low, now, at_4, at_24, end), weighed / np.where(even, 1, length))
    return 1 - np.minimum(kept, now) / now  # a weighed mean may round to just above its largest part


def _growth(lag_h: ArrayLike, spread_rate_ha_h: ArrayLike, cover_rate_ha_h: ArrayLike) -> tuple[FloatArray, FloatArray]:
    start = require("lag_h", lag_h, 0, _LONGEST_H, "h")
    spread = require("spread_rate_ha_h", spread_rate_ha_h, 0.001, 1000, "ha/h")
    cover = require("cover_rate_ha_h", cover_rate_ha_h, 0.001, 1000, "ha/h")
    return start, 1 / cover - 1 / spread


def _ends(
    lag_h: ArrayLike, spread_rate_ha_h: ArrayLike, cover_rate_ha_h: ArrayLike, area_ha: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Return the delay where the field begins and, unbounded below, where it ends."""
    start, growth = _growth(lag_h, spread_rate_ha_h, cover_rate_ha_h)
    return start, start + growth * require("area_ha", area_ha, 0, 1e6, "ha", above=True)


def _abatement(delay: FloatArray, now: FloatArray, at_4: FloatArray, at_24: FloatArray, end: FloatArray) -> FloatArray:
    to_4 = now + (at_4 - now) * delay / _FOUR_H
    to_24 = at_4 + (at_24 - at_4) * (delay - _FOUR_H) / (_DAY_H - _FOUR_H)
    to_end = at_24 * np.maximum(1 - (delay - _DAY_H) / (end - _DAY_H), 0)
    return np.where(delay <= _FOUR_H, to_4, np.where(delay <= _DAY_H, to_24, to_end))


def _points(
    now: ArrayLike, at_4: ArrayLike, at_24: ArrayLike, end: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    first = require("abatement_now_share", now, 0, 1, above=True)
    second = require("abatement_4h_share", at_4, 0, 1)
    third = require("abatement_24h_share", at_24, 0, 1)
    _not_above("abatement_4h_share", second, first)
    _not_above("abatement_24h_share", third, second)
    return first, second, third, require("no_effect_h", end, _DAY_H, _LONGEST_H, "h", above=True)


def _not_above(parameter: str, value: FloatArray, most: FloatArray) -> None:
    value, most = np.broadcast_arrays(value, most)
    bad = value > most
    if bad.any():
        raise ImpossibleValue(parameter, f"{float(value[bad].flat[0]):.6g}", 0, float(most[bad].flat[0]), "")
