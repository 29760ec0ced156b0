"""Emergence of a stand: how far the plants spread in heat, and the days on which they come up.

The middle is one of the rules in :mod:`spadework.science.seedbed.emergence.rules`; the spread is that of an even stand, and
wider where depth, crust or clods make it so.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.reference import Row
from spadework.science.seedbed.emergence.heat_sum import days_to_heat, heat_course
from spadework.science.seedbed.emergence.rules import course_yin, heat_needed_base_10, heat_needed_itabari
from spadework.working import equation

__all__ = [
    "days_by_rule",
    "emerged_share",
    "emergence_days",
    "half_from_stage",
    "heat_at_share",
]

_K = reference.constants("emergence")
_USUAL = (0.1, 0.5, 0.9)
_CURVE = "yin"
_OWN_BASE = "itabari"
_SPREAD_OF = "wisconsin"


@equation(
    "1 / (1 + 9**(-2 * (heat_degc_d - half_degc_d) / spread_degc_d))", unit="1", source="choice", locator="logistic"
)
def emerged_share(heat_degc_d: ArrayLike, half_degc_d: ArrayLike, spread_degc_d: ArrayLike) -> FloatArray:
    """Share of the plants that are up at a heat.

    Parameters
    ----------
    heat_degc_d : array_like
        Heat gathered since sowing [degC d], 0 to 100 000.
    half_degc_d : array_like
        Heat at which half of the plants are up [degC d], 0 to 10 000.
    spread_degc_d : array_like
        Heat from one plant in ten to nine in ten [degC d], more than 0, to 500.

    Returns
    -------
    ndarray
        Share of the plants that will come up [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A logistic curve whose middle 80 % take `spread_degc_d`: odds of nine to one at either end.  That it is logistic
    is our choice.

    Examples
    --------
    >>> round(float(emerged_share(70, 63.9, 12.5)), 3)
    0.895
    """
    heat = require("heat_degc_d", heat_degc_d, 0, 100_000, "degC d")
    half = require("half_degc_d", half_degc_d, 0, 10_000, "degC d")
    wide = require("spread_degc_d", spread_degc_d, 0, 500, "degC d", above=True)
    odds = np.minimum(-2 * (heat - half) / wide, 300)
    return np.asarray(1 / (1 + 9.0**odds))


@equation(
    "half_degc_d + spread_degc_d * log(emerging_share / (1 - emerging_share)) / (2 * log(9))",
    unit="degC d",
    source="choice",
    locator="logistic",
)
def heat_at_share(half_degc_d: ArrayLike, emerging_share: ArrayLike, spread_degc_d: ArrayLike) -> FloatArray:
    """Heat at which a share of the plants is up.

    Parameters
    ----------
    half_degc_d : array_like
        Heat at which half of the plants are up [degC d], 0 to 10 000.
    emerging_share : array_like
        Share of the plants that will come up, which are up [1], 0.001 to 0.999.
    spread_degc_d : array_like
        Heat from one plant in ten to nine in ten [degC d], more than 0, to 500.

    Returns
    -------
    ndarray
        Heat [degC d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the spread is so wide that some would be up before sowing.

    Notes
    -----
    The inverse of :func:`emerged_share`.

    Examples
    --------
    >>> round(float(heat_at_share(63.9, 0.9, 12.5)), 2)
    70.15
    """
    half = require("half_degc_d", half_degc_d, 0, 10_000, "degC d")
    p = require("emerging_share", emerging_share, 0.001, 0.999)
    wide = require("spread_degc_d", spread_degc_d, 0, 500, "degC d", above=True)
    return require("heat at the share", half + wide * np.log(p / (1 - p)) / (2 * np.log(9)), 0, 11_000, "degC d")


@equation(
    "stated_degc_d - spread_degc_d * log(stage_share / (1 - stage_share)) / (2 * log(9))",
    unit="degC d",
    source="choice",
    locator="logistic",
)
def half_from_stage(stated_degc_d: ArrayLike, stage_share: ArrayLike, spread_degc_d: ArrayLike) -> FloatArray:
    """Heat at which half of the plants are up, from a rule that speaks of another share.

    Parameters
    ----------
    stated_degc_d : array_like
        Heat that a rule states for seed at 5 cm in moist soil [degC d], 0 to 500.
    stage_share : array_like
        Share of the plants that a rule speaks of [1], 0.001 to 0.999.
    spread_degc_d : array_like
        Heat from one plant in ten to nine in ten [degC d], more than 0, to 500.

    Returns
    -------
    ndarray
        Heat [degC d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or half would be up before sowing.

    Notes
    -----
    First plants are taken as one in ten.

    Examples
    --------
    >>> round(float(half_from_stage(63.9, 0.1, 12.5)), 2)
    70.15
    """
    heat = require("stated_degc_d", stated_degc_d, 0, 500, "degC d")
    p = require("stage_share", stage_share, 0.001, 0.999)
    wide = require("spread_degc_d", spread_degc_d, 0, 500, "degC d", above=True)
    return require("heat of half", heat - wide * np.log(p / (1 - p)) / (2 * np.log(9)), 0, 11_000, "degC d")


@equation("days to the heat at which each share of the plants is up", unit="d", source="choice", in_words=True)
def emergence_days(
    temperature_degc: ArrayLike,
    half_degc_d: ArrayLike,
    base_degc: ArrayLike,
    cap_degc: ArrayLike,
    spread_degc_d: ArrayLike,
    moist: ArrayLike = 1.0,
    shares: ArrayLike = _USUAL,
) -> FloatArray:
    """Days from sowing until shares of the plants are up.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature at the depth of the seed; hours along the last axis [degC], -40 to 60.
    half_degc_d : array_like
        Heat at which half of the plants are up [degC d], 0 to 10 000.
    base_degc : array_like
        Temperature below which nothing is counted [degC], -5 to 20.
    cap_degc : array_like
        Temperature above which no more is counted, above `base_degc` [degC], 0 to 60.
    spread_degc_d : array_like
        Heat from one plant in ten to nine in ten [degC d], more than 0, to 500.
    moist : array_like
        1 where the seed zone is moist enough, else 0 [1], 0 to 1. Hours along the last axis, or one for all.
    shares : array_like
        Shares of the plants that will come up [1], 0.001 to 0.999; one row of them.

    Returns
    -------
    ndarray
        Days, a row for each share; infinite where the heat is never reached [d].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If there are no hours.

    Notes
    -----
    Counted from the first hour of the series.  Only the plants that will come up are meant; seeds that never do are
    no part of it.

    Examples
    --------
    >>> emergence_days([16.0] * 480, 63.9, 10, 30, 12.5).round(2).tolist()
    [9.61, 10.65, 11.69]
    """
    t = require("temperature_degc", temperature_degc, -40, 60, "degC")
    half = require("half_degc_d", half_degc_d, 0, 10_000, "degC d")
    low = require("base_degc", base_degc, -5, 20, "degC")
    high = require("cap_degc", cap_degc, 0, 60, "degC")
    wide = require("spread_degc_d", spread_degc_d, 0, 500, "degC d", above=True)
    course = heat_course(t, low, high, moist)
    wanted = require("shares", shares, 0.001, 0.999)
    return np.array([days_to_heat(course, heat_at_share(half, share, wide)) for share in wanted.ravel()])


def _by_row(rule: str, deep: FloatArray, dry: ArrayLike, fine: ArrayLike, drier: ArrayLike) -> tuple[FloatArray, Row]:
    """Return the heat at which half of the plants are up by a row of the table, and the row."""
    table = reference.load("maize_emergence")
    if rule not in table:
        raise ValueError(f"`rule` is {rule!r}; it may be {', '.join((*table, _CURVE))}")
    row = table[rule]
    if rule == _OWN_BASE:
        return heat_needed_itabari(deep, drier), row
    stated = heat_needed_base_10(row.entry("heat").value, deep, dry, fine, 0)
    return half_from_stage(stated, row.entry("stage_share").value, _K.spread_heat), row


@equation(
    "days to the heat of the chosen rule; the spread is the same share of the heat in every rule",
    unit="d",
    source="choice",
    in_words=True,
)
def days_by_rule(
    temperature_degc: ArrayLike,
    rule: str,
    depth_cm: ArrayLike = 5.0,
    dry: ArrayLike = 0.0,
    fine: ArrayLike = 0.0,
    drier_share: ArrayLike = 0.0,
    moist: ArrayLike = 1.0,
    shares: ArrayLike = _USUAL,
) -> FloatArray:
    """Days from sowing until shares of the plants are up, by a rule of choice.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of what the rule counts, soil at seed depth or air; hours along the last axis [degC], -40 to
        60.
    rule : str
        Key of a row of the table ``maize_emergence``, or `yin` for the curve with a peak.
    depth_cm : array_like
        Depth of the seed under the surface above it [cm], 0 to 20.
    dry : array_like
        1 where the seed zone is drier than best, else 0 [1], 0 to 1.
    fine : array_like
        1 on fine soil, -1 on coarse, 0 between [1], -1 to 1.
    drier_share : array_like
        Water that the seed zone has less than moist soil, as a share [1], 0 to 0.3.
    moist : array_like
        1 where the seed zone is moist enough, else 0 [1], 0 to 1. Hours along the last axis, or one for all.
    shares : array_like
        Shares of the plants that will come up [1], 0.001 to 0.999; one row of them.

    Returns
    -------
    ndarray
        Days, a row for each share; infinite where it is never reached [d].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the rule has another name, or there are no hours.

    Notes
    -----
    `dry` and `fine` count in the rules over 10 degC, `drier_share` in `itabari`; the curve `yin` knows neither
    depth nor dryness, but stands still while the seed zone is not moist. Rules differ by weeks in cold soil.
    Compare systems by one rule, never one system by one rule and one by another.  That the spread is 18 % of the
    heat in all rules is our choice, from one of them.

    Examples
    --------
    >>> days_by_rule([16.0] * 600, 'wisconsin').round(1).tolist()
    [10.5, 11.6, 12.6]
    """
    t = require("temperature_degc", temperature_degc, -40, 60, "degC")
    z = require("depth_cm", depth_cm, 0, 20, "cm")
    wanted = require("shares", shares, 0.001, 0.999).ravel()
    spread = _K.spread_heat / reference.load("maize_emergence")[_SPREAD_OF].entry("heat").value
    if rule == _CURVE:
        wet = require("moist", moist, 0, 1)
        hours = np.where(wet > 0, t, _K.beta_low_degc)  # at the lowest temperature nothing is done
        course, half = course_yin(hours, _K.beta_days), np.ones_like(z)
    else:
        half, row = _by_row(rule, z, dry, fine, drier_share)
        course = heat_course(t, row.entry("base_degc").value, row.entry("cap_degc").value, moist)
    return np.array([days_to_heat(course, heat_at_share(half, share, spread * half)) for share in wanted])
