"""Soil lost under a cover, as share of what bare soil would lose."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, calibrated, require
from spadework.working import equation

__all__ = ["water_loss_ratio", "wind_loss_ratio"]

_K = reference.constants("soil_loss_ratio")


@equation("exp(-rate_per_pct * 100 * cover_share)", unit="1", source="ah703_1997")
def water_loss_ratio(cover_share: ArrayLike, rate_per_pct: ArrayLike) -> FloatArray:
    """Soil lost to water under a cover, as share of the loss from bare soil.

    Parameters
    ----------
    cover_share : array_like
        Cover [1], 0 to 1.
    rate_per_pct : array_like
        Decline per per cent of cover [1/%], 0 to 0.2; 0.025 where drops do the work, over 0.05 where rills do.

    Returns
    -------
    ndarray
        Soil loss ratio [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    exp(-b C) with C in per cent.  Slope, soil, rain and the crop itself are not in it: it compares covers, and gives
    no tonnes.

    Examples
    --------
    >>> round(float(water_loss_ratio(0.30, 0.035)), 4)
    0.3499
    """
    cover = require("cover_share", cover_share, 0, 1)
    ratio: FloatArray = np.exp(-require("rate_per_pct", rate_per_pct, 0, 0.2, "1/%") * 100 * cover)
    return ratio


@equation(
    "minimum(1, wind_scale * exp(-wind_rate * 100 * cover_share))",
    unit="1",
    source="fryrear_1985",
    constants=(_K,),
)
def wind_loss_ratio(cover_share: ArrayLike) -> FloatArray:
    """Soil lost to wind under a cover of flat residue, as share of the loss from bare soil.

    Parameters
    ----------
    cover_share : array_like
        Cover [1], 0 to 1; fitted from 0.08 to 0.8.

    Returns
    -------
    ndarray
        Soil loss ratio [1], shape of the input.

    Raises
    ------
    ImpossibleValue
        If the input lies outside its range.

    Warns
    -----
    OutsideCalibration
        Outside the covers of the fit.

    Notes
    -----
    1.81 exp(-0.072 C) with C in per cent (Fryrear 1985); the fit passes 1 near 8 %, and bare soil is the most that can
    be lost, so the ratio is 1 below that.

    Examples
    --------
    >>> round(float(wind_loss_ratio(0.20)), 4)
    0.4288
    """
    cover = require("cover_share", cover_share, 0, 1)
    calibrated("wind_loss_ratio", "cover_share", cover, _K.wind_cover_low, _K.wind_cover_high)
    ratio: FloatArray = np.minimum(1.0, _K.wind_scale * np.exp(-_K.wind_rate * 100 * cover))
    return ratio
