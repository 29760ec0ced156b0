"""How the band and the gap scatter: between outlets, between seeds, and the share that lies within a window."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "gap_spread",
    "radius_spread",
    "share_within",
]


@equation("sqrt(band_top_sd_cm**2 + seed_depth_sd_cm**2)", unit="cm", source="physics")
def gap_spread(band_top_sd_cm: ArrayLike, seed_depth_sd_cm: ArrayLike) -> FloatArray:
    """Scatter of the gap where band and seed scatter apart from one another.

    Parameters
    ----------
    band_top_sd_cm : array_like
        Standard deviation of the depth of the band top [cm], 0 to 30.
    seed_depth_sd_cm : array_like
        Standard deviation of the depth of the seed [cm], 0 to 30.

    Returns
    -------
    ndarray
        Standard deviation of the gap [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Variances add.  Where the two move together (a deep wheel track lowers both) the gap scatters less.

    Examples
    --------
    >>> float(gap_spread(1.5, 0.8))
    1.7
    """
    band = require("band_top_sd_cm", band_top_sd_cm, 0, 30, "cm")
    spread: FloatArray = np.hypot(band, require("seed_depth_sd_cm", seed_depth_sd_cm, 0, 30, "cm"))
    return spread


@equation("radius_cm * dose_cv_share / 2", unit="cm", source="physics")
def radius_spread(radius_cm: ArrayLike, dose_cv_share: ArrayLike) -> FloatArray:
    """Scatter of the radius that comes from an uneven dose between the outlets.

    Parameters
    ----------
    radius_cm : array_like
        Mean radius of the band [cm], 0 to 100.
    dose_cv_share : array_like
        Coefficient of variation of the dose between outlets [1], 0 to 1.

    Returns
    -------
    ndarray
        Standard deviation of the radius [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    r grows with the square root of the dose, so to first order its relative scatter is half that of the dose.  Good
    to a few per cent up to a coefficient of variation of about 0.3.

    Examples
    --------
    >>> round(float(radius_spread(5.35, 0.20)), 3)
    0.535
    """
    radius = require("radius_cm", radius_cm, 0, 100, "cm")
    return np.asarray(radius * require("dose_cv_share", dose_cv_share, 0, 1) / 2)


@equation(
    "share of a normal distribution with that mean and scatter that lies between low and high",
    unit="1",
    source="physics",
    in_words=True,
)
def share_within(mean_cm: ArrayLike, sd_cm: ArrayLike, low_cm: ArrayLike, high_cm: ArrayLike) -> FloatArray:
    """Share of the seeds whose gap lies within a window.

    Parameters
    ----------
    mean_cm : array_like
        Mean gap [cm], -200 to 200.
    sd_cm : array_like
        Standard deviation of the gap [cm], more than 0, to 50.
    low_cm, high_cm : array_like
        Ends of the window [cm], -1000 to 1000.

    Returns
    -------
    ndarray
        Share between the ends [1], 0 to 1; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the window ends before it begins.

    Notes
    -----
    Phi((high - mean)/sd) - Phi((low - mean)/sd).  That gaps are normally distributed is our choice.

    Examples
    --------
    >>> round(float(share_within(6, 1.5, 5, 7)), 3)
    0.495
    """
    from scipy.special import ndtr

    mean = require("mean_cm", mean_cm, -200, 200, "cm")
    sd = require("sd_cm", sd_cm, 0, 50, "cm", above=True)
    low = require("low_cm", low_cm, -1000, 1000, "cm")
    high = require("high_cm", high_cm, -1000, 1000, "cm")
    require("high_cm - low_cm", high - low, 0, 2000, "cm")
    share: FloatArray = ndtr((high - mean) / sd) - ndtr((low - mean) / sd)
    return share
