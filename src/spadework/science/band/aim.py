"""What a target for the band asks of the tine: the depth for its middle, and the depth at which most seeds keep its end.

A target counts either from the seed (gap, clearance with the band straight under the row) or from the press-wheel track
(top of the band).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "inside",
    "mean_for_share",
    "middle",
    "one_place",
    "spoken_of",
    "target_spread",
    "tine_depth_for_top",
    "wanted_top",
]


@equation("sqrt(band_top_sd_cm**2 + (1 - from_track) * seed_depth_sd_cm**2)", unit="cm", source="physics")
def target_spread(band_top_sd_cm: ArrayLike, seed_depth_sd_cm: ArrayLike, from_track: ArrayLike) -> FloatArray:
    """Scatter of what a target speaks of.

    Parameters
    ----------
    band_top_sd_cm : array_like
        Standard deviation of the depth of the band top [cm], 0 to 30.
    seed_depth_sd_cm : array_like
        Standard deviation of the depth of the seed [cm], 0 to 30.
    from_track : array_like
        1 where the target counts from the press-wheel track, 0 where it counts from the seed.

    Returns
    -------
    ndarray
        Standard deviation [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Variances add; see :func:`spadework.science.band.gap_spread`.

    Examples
    --------
    >>> target_spread(1.5, 0.8, [1, 0]).tolist()
    [1.5, 1.7]
    """
    top = require("band_top_sd_cm", band_top_sd_cm, 0, 30, "cm")
    seed = require("seed_depth_sd_cm", seed_depth_sd_cm, 0, 30, "cm")
    spread: FloatArray = np.sqrt(top**2 + (1 - require("from_track", from_track, 0, 1)) * seed**2)
    return spread


@equation(
    "low_cm plus sd_cm times the quantile of the standard normal distribution at sure_share",
    unit="cm",
    source="physics",
    in_words=True,
)
def mean_for_share(low_cm: ArrayLike, sd_cm: ArrayLike, sure_share: ArrayLike) -> FloatArray:
    """Mean that must be aimed at so that a share of all places has at least the lower end.

    Parameters
    ----------
    low_cm : array_like
        Lower end of the target [cm], -30 to 60.
    sd_cm : array_like
        Standard deviation of single places [cm], 0 to 50.
    sure_share : array_like
        Share of the places that must have it [1], 0.5 to 0.9999.

    Returns
    -------
    ndarray
        Mean [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    m = low + z s with Phi(z) = share.  The scatter is taken as known; where it comes from few digs a tolerance limit asks
    for more.

    Examples
    --------
    >>> round(float(mean_for_share(5, 1.7, 0.9)), 2)
    7.18
    """
    from scipy.special import ndtri

    low = require("low_cm", low_cm, -30, 60, "cm")
    sd = require("sd_cm", sd_cm, 0, 50, "cm")
    return np.asarray(low + sd * ndtri(require("sure_share", sure_share, 0.5, 0.9999)))


@equation("wanted_cm + (1 - from_track) * seed_depth_cm", unit="cm", source="physics")
def wanted_top(wanted_cm: ArrayLike, seed_depth_cm: ArrayLike, from_track: ArrayLike) -> FloatArray:
    """Top of the band that a target asks for, under the press-wheel track.

    Parameters
    ----------
    wanted_cm : array_like
        Gap, clearance or top that is wanted [cm], -30 to 200.
    seed_depth_cm : array_like
        Depth of the seed under the press-wheel track [cm], 0 to 30.
    from_track : array_like
        1 where the target counts from the press-wheel track, 0 where it counts from the seed.

    Returns
    -------
    ndarray
        Depth of the top [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A clearance is taken as a gap: with the band straight under the row they are the same, and beside it the clearance of
    a round or flat band is no less than there.

    Examples
    --------
    >>> wanted_top([6, 11], 5, [0, 1]).tolist()
    [11.0, 11.0]
    """
    wanted = require("wanted_cm", wanted_cm, -30, 200, "cm")
    seed = require("seed_depth_cm", seed_depth_cm, 0, 30, "cm")
    return np.asarray(wanted + (1 - require("from_track", from_track, 0, 1)) * seed)


@equation(
    "depth at which the foot of the tine lies under the press-wheel track by band_top_cm and the whole height of the "
    "band, with the rise of the track that this depth itself makes",
    unit="cm",
    source="choice",
    in_words=True,
)
def tine_depth_for_top(
    band_top_cm: ArrayLike,
    half_height_cm: ArrayLike,
    tine_width_cm: ArrayLike,
    strip_width_cm: ArrayLike,
    spread_angle_deg: ArrayLike,
    swell_share: ArrayLike,
    settlement_share: ArrayLike,
) -> FloatArray:
    """Depth of the tine that puts the top of the band where it is wanted.

    Parameters
    ----------
    band_top_cm : array_like
        Wanted depth of the top under the press-wheel track [cm], -30 to 230.
    half_height_cm : array_like
        Half the height of the band [cm], 0 to 100.
    tine_width_cm : array_like
        Width of the foot [cm], more than 0, to 100.
    strip_width_cm : array_like
        Width over which the soil rises [cm], more than 0, to 300.
    spread_angle_deg : array_like
        Angle between the side of the loosened soil and the vertical [deg], 0 to 75.
    swell_share : array_like
        Growth of the loosened soil as share of its cross-section [1], 0 to 1.
    settlement_share : array_like
        Share of the height of the berm that is gone once the press wheel has passed [1], 0 to 1.

    Returns
    -------
    ndarray
        Tine depth under the undisturbed surface [cm], shape of the inputs broadcast together; 0 where the band would
        stand higher than wanted even on the surface.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Turns :func:`loosened_area`, :func:`berm_height`, :func:`firmed_rise` and :func:`band_top` round.  With
    k = (1 - settlement) swell / strip width, the depth d solves d + k (b d + d2 tan(theta)) = top + 2 half heights, a
    quadratic with one root that is not negative.  The zero is part of the meaning: no tine works above the ground.

    Examples
    --------
    >>> round(float(tine_depth_for_top(11, 5.35, 4, 25, 45, 0.2, 0.5)), 2)
    19.81
    """
    top = require("band_top_cm", band_top_cm, -30, 230, "cm")
    bottom = np.maximum(0, top + 2 * require("half_height_cm", half_height_cm, 0, 100, "cm"))
    width = require("tine_width_cm", tine_width_cm, 0, 100, "cm", above=True)
    strip = require("strip_width_cm", strip_width_cm, 0, 300, "cm", above=True)
    slope = np.tan(np.radians(require("spread_angle_deg", spread_angle_deg, 0, 75, "deg")))
    left = 1 - require("settlement_share", settlement_share, 0, 1)
    raised = left * require("swell_share", swell_share, 0, 1) / strip
    straight = 1 + raised * width
    depth: FloatArray = 2 * bottom / (straight + np.sqrt(straight**2 + 4 * raised * slope * bottom))
    return depth


@equation("where(found_cm < low_cm, 0, where(found_cm > high_cm, 0, 1))", unit="1", source="physics")
def inside(found_cm: ArrayLike, low_cm: ArrayLike, high_cm: ArrayLike) -> FloatArray:
    """Whether a place lies within a target; its mean over many places is their share.

    Parameters
    ----------
    found_cm : array_like
        Gap, clearance or top [cm], -1000 to 1000.
    low_cm, high_cm : array_like
        Ends of the target [cm], -1000 to 1000.

    Returns
    -------
    ndarray
        1 within the target, its ends included, else 0; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the target ends before it begins.

    Notes
    -----
    No tolerance is added to the ends.

    Examples
    --------
    >>> inside([4.9, 5, 8], 5, 7).tolist()
    [0.0, 1.0, 0.0]
    """
    found = require("found_cm", found_cm, -1000, 1000, "cm")
    low = require("low_cm", low_cm, -1000, 1000, "cm")
    high = require("high_cm", high_cm, -1000, 1000, "cm")
    require("high_cm - low_cm", high - low, 0, 2000, "cm")
    return np.where((found >= low) & (found <= high), 1.0, 0.0)


@equation("(low_cm + high_cm) / 2", unit="cm", source="physics")
def middle(low_cm: ArrayLike, high_cm: ArrayLike) -> FloatArray:
    """Middle of a target.

    Parameters
    ----------
    low_cm, high_cm : array_like
        Ends of the target [cm], -1000 to 1000.

    Returns
    -------
    ndarray
        Middle [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    That the middle is what a target wants is our reading of it.

    Examples
    --------
    >>> float(middle(5, 7))
    6.0
    """
    low = require("low_cm", low_cm, -1000, 1000, "cm")
    return np.asarray((low + require("high_cm", high_cm, -1000, 1000, "cm")) / 2)


@equation("mean_cm + z * sd_cm", unit="cm", source="physics")
def one_place(mean_cm: ArrayLike, sd_cm: ArrayLike, z: ArrayLike) -> FloatArray:
    """One single place out of a scatter, such as the gap under one seed or its distance beside the band.

    Parameters
    ----------
    mean_cm : array_like
        Mean [cm], -200 to 200.
    sd_cm : array_like
        Standard deviation of single places [cm], 0 to 100.
    z : array_like
        Standard deviations by which this place is off, -40 to 40.

    Returns
    -------
    ndarray
        What is found there [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    x = m + z s.  That single places are normally distributed is our choice.

    Examples
    --------
    >>> float(one_place(1, 5, -2))
    -9.0
    """
    mean = require("mean_cm", mean_cm, -200, 200, "cm")
    sd = require("sd_cm", sd_cm, 0, 100, "cm")
    return np.asarray(mean + require("z", z, -40, 40) * sd)


@equation(
    "where(speaks_of > 1.5, band_top_cm, where(speaks_of > 0.5, clearance_cm, gap_cm))", unit="cm", source="physics"
)
def spoken_of(gap_cm: ArrayLike, clearance_cm: ArrayLike, band_top_cm: ArrayLike, speaks_of: ArrayLike) -> FloatArray:
    """Pick what a target speaks of: gap, clearance or top of the band.

    Parameters
    ----------
    gap_cm : array_like
        Gap from the seed down to the top of the band [cm], -1000 to 1000.
    clearance_cm : array_like
        Shortest way from the seed to the band [cm], -1000 to 1000.
    band_top_cm : array_like
        Top of the band under the press-wheel track [cm], -1000 to 1000.
    speaks_of : array_like
        0 for the gap, 1 for the clearance, 2 for the top.

    Returns
    -------
    ndarray
        That one of the three [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The three differ where the seed lies beside the band; a target means only one of them.

    Examples
    --------
    >>> spoken_of(6, 6.4, 11, [0, 1, 2]).tolist()
    [6.0, 6.4, 11.0]
    """
    lengths = {"gap_cm": gap_cm, "clearance_cm": clearance_cm, "band_top_cm": band_top_cm}
    gap, clearance, top = (require(name, value, -1000, 1000, "cm") for name, value in lengths.items())
    which = require("speaks_of", speaks_of, 0, 2)
    found: FloatArray = np.where(which > 1.5, top, np.where(which > 0.5, clearance, gap))
    return found
