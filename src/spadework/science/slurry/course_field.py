"""The ammonia course in a field: hour by hour, from every start, over a strip, and on the mean of two outfits' delay.

The two pools of :mod:`spadework.science.slurry.course_hafner` are carried through hours of weather here.  The mean over
the field takes any model of the loss after a delay.
"""

from __future__ import annotations

from collections.abc import Callable
from math import prod

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.science.slurry.course_hafner import _TINY, _step, hafner_r1, hafner_r2
from spadework.science.slurry.delay import delay_at
from spadework.working import equation

__all__ = ["ammonia_two_pool_hafner", "courses_from_every_hour", "field_mean_loss", "loss_of_strip"]

_AT_ONCE = 6_144  # elements worked on together; a few arrays of that size stay in the cache of one core
_BACK = 50.0  # largest r3 t
_APART = 1e-3  # 1/h; where r1 + r2 exceeds r3 by more, exp will do for expm1, which is slower

# Gauss-Legendre points and weights on 0 to 1.
_AT, _WEIGHT = (array / 2 for array in np.polynomial.legendre.leggauss(32))
_AT = _AT + 0.5


@equation(
    "one less what is open and soaked in at the end: the two pools, carried through hours of constant rates from "
    "fast_share open, 1 - fast_share soaked in; at delay_h the share f4_share of the open part stays open, the rest "
    "joins the soaked-in part, whose rate becomes r3_after_per_h",
    unit="1",
    source="hafner_2019",
    locator="two pools",
    in_words=True,
)
def ammonia_two_pool_hafner(
    temperature_degc: ArrayLike,
    wind_m_s: ArrayLike,
    rain_mm_h: ArrayLike,
    fast_share: ArrayLike,
    r1_centre_per_h: ArrayLike,
    r3_per_h: ArrayLike,
    r3_after_per_h: ArrayLike = 0.0,
    f4_share: ArrayLike = 1.0,
    delay_h: ArrayLike = np.inf,
    *,
    whole_course: bool = False,
) -> FloatArray:
    """Share of the ammoniacal N lost to the air over hours of weather.

    Parameters
    ----------
    temperature_degc : array_like
        Air temperature [degC], -30 to 50; hours along the last axis.
    wind_m_s : array_like
        Wind at 2 m above the ground [m/s], 0 to 40; hours along the last axis.
    rain_mm_h : array_like
        Rain [mm/h], 0 to 200; hours along the last axis.
    fast_share : array_like
        What lies open at first, from :func:`hafner_f0` [1], 0 to 1.
    r1_centre_per_h : array_like
        From :func:`hafner_r1_centre` [1/h], 0 to 1000.
    r3_per_h : array_like
        From :func:`hafner_r3`, before covering [1/h], 0 to 10.
    r3_after_per_h : array_like
        From :func:`hafner_r3`, after covering [1/h], 0 to 10.
    f4_share : array_like
        From :func:`hafner_f4` [1], 0 to 1.
    delay_h : array_like
        Time from spreading to covering [h], 0 or more, whole or not; infinite where nothing covers.
    whole_course : bool
        Whether to return the loss up to the end of every hour, along a last axis, and not only in the end.

    Returns
    -------
    ndarray
        Loss [1], in the broadcast shape of the weather without its last axis and of the other arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Draws, start hours and ways of spreading are leading axes and are worked on together, in pieces, so that memory
    stays with the size of the result.

    Examples
    --------
    >>> mild = np.full(168, 13.0), np.full(168, 2.7), np.zeros(168)
    >>> lost = ammonia_two_pool_hafner(*mild, 0.353, 0.115, 0.000591, 0.000032, 0.0242, [0, 4.5, np.inf])
    >>> lost.round(3).tolist()
    [0.013, 0.148, 0.375]
    """
    weather = [np.atleast_1d(np.asarray(a, dtype=np.float64)) for a in (temperature_degc, wind_m_s, rain_mm_h)]
    slurry = [
        require("fast_share", fast_share, 0, 1),
        require("r1_centre_per_h", r1_centre_per_h, 0, 1000, "1/h"),
        require("r3_per_h", r3_per_h, 0, 10, "1/h"),
        require("r3_after_per_h", r3_after_per_h, 0, 10, "1/h"),
        require("f4_share", f4_share, 0, 1),
        require("delay_h", delay_h, 0, np.inf, "h"),
    ]
    lead = np.broadcast_shapes(*(series.shape[:-1] for series in weather), *(value.shape for value in slurry))
    single, lead = not lead, lead or (1,)
    weather = [series[(None,) * (len(lead) + 1 - series.ndim)] for series in weather]
    slurry = [value[(None,) * (len(lead) - value.ndim)] for value in slurry]
    (hours,) = np.broadcast_shapes(*(series.shape[-1:] for series in weather))
    require("hours of weather", hours, 1, np.inf)
    # Hours go first and the longest leading axis last, so that the innermost loops are long.
    longest = lead.index(max(lead))
    weather = [np.moveaxis(series, (-1, longest), (0, -1)) for series in weather]
    slurry = [np.moveaxis(value, longest, -1) for value in slurry]
    inner = lead[:longest] + lead[longest + 1 :] + lead[longest : longest + 1]
    result = np.empty((hours if whole_course else 1, *inner))
    _pieces(weather, slurry, hours, result)
    result = np.moveaxis(result, (0, -1), (-1, longest))
    result = result if whole_course else result[..., 0]
    return result[0] if single else result


@equation(
    "(1 - open_share - overflow_share) * closed_loss_share + open_share * open_loss_share"
    " + overflow_share * hose_loss_share",
    unit="1",
    source="choice",
)
def loss_of_strip(
    closed_loss_share: ArrayLike,
    open_loss_share: ArrayLike,
    hose_loss_share: ArrayLike,
    open_share: ArrayLike,
    overflow_share: ArrayLike,
) -> FloatArray:
    """Ammonia lost from a band under the row, weighed with where slurry shows on the strip.

    Parameters
    ----------
    closed_loss_share : array_like
        Loss where no slurry shows, as from a closed slot [1], 0 to 1.
    open_loss_share : array_like
        Loss where it shows in an open slit, as from an open slot [1], 0 to 1.
    hose_loss_share : array_like
        Loss where it has run over onto the strip, as from a trailing hose [1], 0 to 1.
    open_share : array_like
        Share of the length with slurry in an open slit [1], 0 to 1.
    overflow_share : array_like
        Share of the length with slurry on the strip [1], 0 to 1; with `open_share` 1 at most.

    Returns
    -------
    ndarray
        Loss [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Our own rule; the shares of the length are to be scored in the field, plot by plot.

    Examples
    --------
    >>> round(float(loss_of_strip(0.02, 0.16, 0.38, 0.10, 0.05)), 3)
    0.052
    """
    opened, over = require("open_share", open_share, 0, 1), require("overflow_share", overflow_share, 0, 1)
    hidden = 1 - opened - over
    if (hidden < -1e-12).any():  # shares that add up to one may miss it by the last binary digits
        raise ImpossibleValue("open_share + overflow_share", f"{1 - float(hidden.min()):.6g}", 0, 1, "")
    return np.asarray(
        np.maximum(hidden, 0) * require("closed_loss_share", closed_loss_share, 0, 1)
        + opened * require("open_loss_share", open_loss_share, 0, 1)
        + over * require("hose_loss_share", hose_loss_share, 0, 1)
    )


@equation(
    "for every hour from which course_h hours follow, those hours of the series",
    unit="",
    source="choice",
    in_words=True,
)
def courses_from_every_hour(hourly: ArrayLike, course_h: int) -> FloatArray:
    """Lay the weather of a course side by side for every hour at which spreading could start.

    Parameters
    ----------
    hourly : array_like
        Any hourly series [any]; hours along the last axis.
    course_h : int
        Hours of a course [h], 1 to the length of the series.

    Returns
    -------
    ndarray
        A view that takes no memory and cannot be written to; the last axis of the series becomes two, start and hour
        of the course.

    Raises
    ------
    ImpossibleValue
        If the course is longer than the series.

    Examples
    --------
    >>> courses_from_every_hour([7, 9, 12, 14], 3).tolist()
    [[7.0, 9.0, 12.0], [9.0, 12.0, 14.0]]
    """
    series = np.atleast_1d(require("hourly", hourly, -np.inf, np.inf))
    length = int(require("course_h", course_h, 1, series.shape[-1], "h"))
    return np.lib.stride_tricks.sliding_window_view(series, length, axis=-1)


@equation(
    "the mean over all parts of a field of area_ha of loss_of_delay, each part covered the later of nought and "
    "lag_h + area / cover_rate_ha_h - area / spread_rate_ha_h hours after it was spread",
    unit="1",
    source="huijsmans_de_mol_1999",
    locator="concept",
    in_words=True,
)
def field_mean_loss(
    loss_of_delay: Callable[[FloatArray], FloatArray],
    lag_h: ArrayLike,
    spread_rate_ha_h: ArrayLike,
    cover_rate_ha_h: ArrayLike,
    area_ha: ArrayLike,
) -> FloatArray:
    """Ammonia lost on the mean of a field that one outfit spreads and another covers.

    Parameters
    ----------
    loss_of_delay : callable
        Gives the loss for an array of delays between spreading and covering [any]; the first axis of that array runs
        over places in the field, the others are those of the arguments below.  Where losses vary along an axis, by
        draw say, one of these arguments must have that axis too; length one will do.
    lag_h : array_like
        Time from the start of spreading to the start of covering [h], 0 to 10,000.
    spread_rate_ha_h : array_like
        Work rate of spreading, stops counted [ha/h], 0.001 to 1,000.
    cover_rate_ha_h : array_like
        Work rate of covering, stops counted [ha/h], 0.001 to 1,000.
    area_ha : array_like
        Area of the field [ha], above 0, up to 1,000,000.

    Returns
    -------
    ndarray
        Mean loss [1], broadcast shape of the arguments and of what `loss_of_delay` gives.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A covering outfit that has caught up waits; from there to the end of the field the delay is nought, the smallest
    there is (:func:`spadework.science.slurry.delay.delay_at`).  The part before is averaged with Gauss and Legendre's 32
    points.  For a smooth curve with a half time of 1 h or more the error is below 1e-6 of the largest loss for delays up
    to 48 h.  A loss made of hours of weather bends at full hours, steeply where sun and wind follow a cold night; for
    any curve that only rises or only falls the error stays below 0.025 of the span of losses within the field.

    For losses along straight lines in the delay :func:`spadework.science.slurry.delay.mean_early_share` is exact.

    Examples
    --------
    >>> from spadework.science.slurry.course_sogaard import loss_incorporated_sogaard
    >>> round(float(field_mean_loss(lambda h: loss_incorporated_sogaard(0.6, 2.5, h, 0.9), 0.5, 4.0, 1.2, 6.0)), 4)
    0.3018
    """
    lag = require("lag_h", lag_h, 0, 10_000, "h")
    spread = require("spread_rate_ha_h", spread_rate_ha_h, 0.001, 1000, "ha/h")
    cover = require("cover_rate_ha_h", cover_rate_ha_h, 0.001, 1000, "ha/h")
    area = require("area_ha", area_ha, 0, 1e6, "ha", above=True)
    gained = area / spread - area / cover
    waits = gained > lag
    reach = np.where(waits, lag / np.where(waits, gained, 1), 1.0)
    ahead = (slice(None),) + (None,) * reach.ndim
    places = reach * area * _AT[ahead]
    delays = np.concatenate([delay_at(places, lag, spread, cover), np.zeros((1, *reach.shape))])
    losses = np.asarray(loss_of_delay(delays), dtype=np.float64)
    weights = np.concatenate([reach * _WEIGHT[ahead], (1 - reach)[None]])
    return np.asarray(np.sum(weights * losses, axis=0))


def _pieces(weather: list[FloatArray], slurry: list[FloatArray], hours: int, result: FloatArray) -> None:
    """Halve the leading axes, the last one last, until a piece fits the cache; then walk."""
    lead = result.shape[1:]
    if prod(lead) > _AT_ONCE:
        axis = int(np.argmax(lead[:-1])) if prod(lead[:-1]) > 1 else len(lead) - 1
        for part in slice(lead[axis] // 2), slice(lead[axis] // 2, None):
            cut = (slice(None),) * axis + (part,)
            hourly = (slice(None), *cut)
            _pieces(_along(weather, axis + 1, hourly), _along(slurry, axis, cut), hours, result[hourly])
        return
    factor, soaking = (
        np.broadcast_to(np.ascontiguousarray(rate), (hours, *rate.shape[1:]))
        for rate in (hafner_r1(1.0, weather[0], weather[1]), hafner_r2(weather[2]))
    )
    _walk(factor, soaking, slurry, result)


def _along(arrays: list[FloatArray], axis: int, cut: tuple[slice, ...]) -> list[FloatArray]:
    return [array if array.shape[axis] == 1 else array[cut] for array in arrays]


def _walk(factor: FloatArray, soaking: FloatArray, slurry: list[FloatArray], result: FloatArray) -> None:
    """Go through the hours in place; `result` has room for every hour, or for the last.

    Both parts are carried times exp(r3 t), t since they were last brought back, so that r3 costs nothing in most hours.
    """
    shape = result.shape[1:]
    f0, r1_centre, r3, r3_after, f4, delay = slurry
    fast = np.array(np.broadcast_to(f0, shape))
    slow = 1 - fast
    turn = np.broadcast_to(np.floor(delay), shape)
    turns = set(np.unique(np.floor(delay)).tolist())
    if turns - {np.inf}:
        r3 = np.array(np.broadcast_to(r3, shape))
    slowest = max(r3.max(), r3_after.max(), _TINY)
    close = soaking.min() - slowest < _APART
    back = 1 if len(result) > 1 else int(min(_BACK / slowest, len(factor)))
    since, kept = 0, np.exp(-r3 * back)
    x, u = np.empty(shape), np.empty(shape)
    for hour, (by_weather, r2) in enumerate(zip(factor, soaking, strict=True)):
        at = np.nonzero(turn == hour) if hour in turns else None
        if at is not None:
            b_r1, b_r2, b_after, b_f4, b_delay = (
                np.broadcast_to(a, shape)[at] for a in (r1_centre * by_weather, r2, r3_after, f4, delay)
            )
            down, up = np.exp(-r3[at] * since), np.exp(b_after * (since + 1))
            lying, soaked = _step(fast[at] * down, slow[at] * down, b_r1, b_r2, r3[at], b_delay - hour)
            covered = _step(lying * b_f4, soaked + lying * (1 - b_f4), b_r1, b_r2, b_after, hour + 1 - b_delay)
        np.multiply(r1_centre, by_weather, out=x)
        np.subtract(r3, x, out=x)
        x -= r2
        if close:
            x += _TINY
            np.expm1(x, out=u)
            u *= fast
        else:
            np.exp(x, out=u)
            u *= fast
            u -= fast
        fast += u
        u /= x
        u *= r2
        slow += u
        since += 1
        if at is not None:
            fast[at], slow[at], r3[at] = covered[0] * up, covered[1] * up, b_after
            kept[at] = np.exp(-b_after * back)
        if since == back:
            fast *= kept
            slow *= kept
            since = 0
        if len(result) > 1:
            _lost(fast, slow, x, result[hour])
    if len(result) == 1:
        kept = np.exp(-r3 * since)
        _lost(fast * kept, slow * kept, x, result[0])


def _lost(fast: FloatArray, slow: FloatArray, room: FloatArray, result: FloatArray) -> None:
    np.add(fast, slow, out=room)
    np.subtract(1, room, out=room)
    np.maximum(room, 0, out=result)  # a last binary digit below nought
