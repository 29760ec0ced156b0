"""The store of water in the top layer: how loosening changes it, what of a band lies in it, and what the days make of it.

Also the chance behind a count of fit days: a few springs tell it within wide limits only.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.seedbed.water.drying import Ground, dry_down
from spadework.science.seedbed.water.top_layer import layer_moisture
from spadework.science.seedbed.water.workable import day_is_fit
from spadework.working import equation

__all__ = [
    "band_in_layer",
    "chance_behind_count",
    "fit_days_of_springs",
    "loosened_density_share",
    "mixed_in_layer",
    "moisture_limit",
    "share_from_count",
    "stay_from_count",
]

_DRYING = reference.constants("soil_drying")
_FIT = reference.constants("fit_days")


@equation(
    "1 / (1 + swell_share * (1 - settlement_share))", unit="1", source="choice", locator="the same soil on more room"
)
def loosened_density_share(swell_share: ArrayLike, settlement_share: ArrayLike) -> FloatArray:
    """Density of loosened soil after it has settled, as a share of that before.

    Parameters
    ----------
    swell_share : array_like
        Rise of the cross-section when it is loosened [1], 0 to 1.
    settlement_share : array_like
        Share of that rise that is gone again after firming and sowing [1], 0 to 1.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The same soil takes up more room.  Its water by mass stays, so that its water by volume falls by the same share:
    a choice, for loose soil also holds some water in other pores.

    Examples
    --------
    >>> round(float(loosened_density_share(0.2, 0.5)), 3)
    0.909
    """
    swell = require("swell_share", swell_share, 0, 1)
    gone = require("settlement_share", settlement_share, 0, 1)
    return np.asarray(1 / (1 + swell * (1 - gone)))


@equation(
    "minimum(maximum((layer_cm - top_cm) / height_cm, 0), 1)",
    unit="1",
    source="physics",
    locator="slurry taken as even over the height of the band",
)
def band_in_layer(top_cm: ArrayLike, height_cm: ArrayLike, layer_cm: ArrayLike) -> FloatArray:
    """Share of a band of slurry that lies in the layer that dries.

    Parameters
    ----------
    top_cm : array_like
        Top of the band under the surface, positive downward [cm], -20 to 60.
    height_cm : array_like
        Height of the band [cm], more than 0, to 60.
    layer_cm : array_like
        Depth of the layer [cm], more than 0, to 50.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A band that lies wholly below the layer has no share in it.

    Examples
    --------
    >>> band_in_layer([6.0, 12.0], 8.0, 10.0).tolist()
    [0.5, 0.0]
    """
    top = require("top_cm", top_cm, -20, 60, "cm")
    height = require("height_cm", height_cm, 0, 60, "cm", above=True)
    layer = require("layer_cm", layer_cm, 0, 50, "cm", above=True)
    return np.minimum(np.maximum((layer - top) / height, 0), 1)


@equation("minimum(layer_cm / depth_cm, 1)", unit="1", source="physics", locator="even mixing")
def mixed_in_layer(depth_cm: ArrayLike, layer_cm: ArrayLike) -> FloatArray:
    """Share of slurry that lies in the layer that dries, where a tool mixes it in down to its working depth.

    Parameters
    ----------
    depth_cm : array_like
        Working depth of the tool [cm], more than 0, to 80.
    layer_cm : array_like
        Depth of the layer [cm], more than 0, to 50.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> mixed_in_layer([20.0, 8.0], 10.0).tolist()
    [0.5, 1.0]
    """
    depth = require("depth_cm", depth_cm, 0, 80, "cm", above=True)
    return np.minimum(require("layer_cm", layer_cm, 0, 50, "cm", above=True) / depth, 1)


@equation("limit_of_share * base_share", unit="1", source="choice", locator="the user's own limit")
def moisture_limit(limit_of_share: ArrayLike, base_share: ArrayLike) -> FloatArray:
    """Moisture by volume below which the ground is fit, from the user's share of field capacity or plastic limit.

    Parameters
    ----------
    limit_of_share : array_like
        Limit as a share of the moisture that it is counted from [1], 0.1 to 2.
    base_share : array_like
        That moisture, by volume [1], 0 to 1.

    Returns
    -------
    ndarray
        Moisture by volume [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the limit would pass 1.

    Examples
    --------
    >>> round(float(moisture_limit(0.8, 0.25)), 2)
    0.2
    """
    share = require("limit_of_share", limit_of_share, 0.1, 2)
    return require("moisture by volume", share * require("base_share", base_share, 0, 1), 0, 1)


@equation(
    "the top layer dries from field capacity day by day, rain first, at (most_base - crop_initial) of the reference, less by "
    "cover_linear or by cover_convex and cover_exponent; a day is fit where it is drier than the limit, with less rain than "
    "rain_limit_mm and no frost below frost_degc",
    unit="1",
    source="suitable_days_paper",
    locator="form; drying by equations 69 to 77 of FAO-56; the limits are the user's",
    constants=(_DRYING, _FIT),
    in_words=True,
)
def fit_days_of_springs(
    field_capacity_share: ArrayLike,
    evaporable_mm: ArrayLike,
    readily_mm: ArrayLike,
    layer_m: ArrayLike,
    cover_share: ArrayLike,
    limit_share: ArrayLike,
    reference_et_mm: ArrayLike,
    rain_mm: ArrayLike,
    min_temperature_degc: ArrayLike,
    rule: str = "linear",
) -> FloatArray:
    """Tell of every day of some springs whether ground that was not worked is fit.

    Parameters
    ----------
    field_capacity_share : array_like
        Moisture at field capacity, by volume [1], 0 to 1.
    evaporable_mm, readily_mm : array_like
        Water that can evaporate in all, and before the surface slows it [mm], 0 to 200.
    layer_m : array_like
        Depth of the layer [m], more than 0, to 0.5.
    cover_share : array_like
        Share of the ground that residue covers [1], 0 to 1.
    limit_share : array_like
        Moisture by volume below which the ground is fit [1], 0 to 1.
    reference_et_mm, rain_mm : array_like
        Of each day; years along the first axis, days along the last [mm], 0 to 30 and 0 to 1000.
    min_temperature_degc : array_like
        Lowest air temperature of each day, likewise [degC], -60 to 60.
    rule : str
        How evaporation falls with cover: `linear` (FAO-56) or `convex` (after Klocke).

    Returns
    -------
    ndarray
        1 where the day is fit, else 0; the shape of the soils, then years, then days [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the rule has another name.

    Notes
    -----
    Each year starts at field capacity, so let it start some weeks before the days that count.  The day is judged by
    the moisture at its end.  The ground is bare or under dead residue: no plants draw water from it.

    Examples
    --------
    >>> fit_days_of_springs(0.25, 19, 9, 0.1, 0.0, 0.2, [[4.0] * 4], [[0, 0, 6, 0]], [[5.0] * 4]).tolist()
    [[0.0, 1.0, 0.0, 1.0]]
    """
    soils = [
        np.asarray(array, dtype=np.float64)[..., np.newaxis]
        for array in (field_capacity_share, evaporable_mm, readily_mm, layer_m, cover_share, limit_share)
    ]
    capacity, total, readily, layer, cover, limit = soils
    ground = Ground(total, readily, 0.0, cover, 1.0, rule, "rate")
    left = _DRYING.crop_initial, _DRYING.most_base
    course = dry_down(ground, reference_et_mm, rain_mm, *left)
    moisture = layer_moisture(capacity[..., np.newaxis], course.depletion_mm, layer[..., np.newaxis])
    return day_is_fit(
        moisture, limit[..., np.newaxis], rain_mm, _FIT.rain_limit_mm, min_temperature_degc, _FIT.frost_degc
    )


@equation(
    "quantile of the beta distribution with half a fit and half an unfit day more than were counted",
    unit="1",
    source="choice",
    locator="Jeffreys' prior for a share",
    in_words=True,
)
def chance_behind_count(quantile_share: ArrayLike, counted_share: ArrayLike, worth_days: ArrayLike) -> FloatArray:
    """Chance that may stand behind a counted share, at a quantile of what the count leaves open.

    Parameters
    ----------
    quantile_share : array_like
        Quantile [1], more than 0, to 0.999999.
    counted_share : array_like
        Share that was counted [1], 0 to 1.
    worth_days : array_like
        How many independent days the count is worth, from :func:`.effective_days` [d], 0.05 to 1e6.

    Returns
    -------
    ndarray
        Chance [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The more days a count is worth, the narrower.  That springs of one place differ by more than their days do is not
    in it.

    Examples
    --------
    >>> chance_behind_count([0.1, 0.5, 0.9], 0.5, 25).round(2).tolist()
    [0.38, 0.5, 0.62]
    """
    from scipy.special import betaincinv

    u = require("quantile_share", quantile_share, 0, 1 - 1e-6, above=True)
    share = require("counted_share", counted_share, 0, 1)
    days = require("worth_days", worth_days, 0.05, 1e6, "d")
    return np.asarray(betaincinv(share * days + 0.5, (1 - share) * days + 0.5, u))


@equation(
    "(fit_days + 0.5) / (all_days + 1)",
    unit="1",
    source="choice",
    locator="Jeffreys' prior for a share",
)
def share_from_count(fit_days: ArrayLike, all_days: ArrayLike) -> FloatArray:
    """Share of days, with half a fit and half an unfit day added, so that a short count says neither never nor always.

    Parameters
    ----------
    fit_days : array_like
        Days that were fit [d], 0 to `all_days`.
    all_days : array_like
        Days that were counted [d], more than 0, to 1e6.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or more days were fit than were counted.

    Examples
    --------
    >>> share_from_count([0, 12, 24], 24).round(3).tolist()
    [0.02, 0.5, 0.98]
    """
    days = require("all_days", all_days, 0, 1e6, "d", above=True)
    fit = require("fit_days", fit_days, 0, 1e6, "d")
    require("all_days - fit_days", days - fit, 0, 1e6, "d")
    return np.asarray((fit + 0.5) / (days + 1))


@equation(
    "maximum((fit_after_days + 0.5) / (after_days + 1), counted_share)",
    unit="1",
    source="gabriel_neumann_1962",
    locator="chain of two states",
)
def stay_from_count(fit_after_days: ArrayLike, after_days: ArrayLike, counted_share: ArrayLike) -> FloatArray:
    """Chance that the day after a fit day is fit, from a count; at least that of any day.

    Parameters
    ----------
    fit_after_days : array_like
        Fit days that follow a fit day [d], 0 to `after_days`.
    after_days : array_like
        Days that follow a fit day [d], 0 to 1e6.
    counted_share : array_like
        Share of all days that were fit [1], 0 to 1.

    Returns
    -------
    ndarray
        Chance [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or more of the days were fit than there were.

    Notes
    -----
    Half a day is added on either side, as in :func:`share_from_count`.  Fit days do not shun one another: where a
    short count says so, they are taken as independent.

    Examples
    --------
    >>> round(float(stay_from_count(14, 19, 0.5)), 3)
    0.725
    """
    first = require("after_days", after_days, 0, 1e6, "d")
    both = require("fit_after_days", fit_after_days, 0, 1e6, "d")
    require("after_days - fit_after_days", first - both, 0, 1e6, "d")
    share = require("counted_share", counted_share, 0, 1)
    return np.asarray(np.maximum((both + 0.5) / (first + 1), share))
