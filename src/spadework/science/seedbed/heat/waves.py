"""How deep a wave of warmth goes, such as that of the day, what is left of it at a depth and how late it comes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "damping_depth",
    "wave_lag",
    "wave_left",
]


@equation("100 * sqrt(conductivity_w_m_k * 3600 * period_h / (pi * heat_j_m3_k))", unit="cm", source="heat_waves")
def damping_depth(conductivity_w_m_k: ArrayLike, heat_j_m3_k: ArrayLike, period_h: ArrayLike = 24.0) -> FloatArray:
    """Work out the depth at which a wave of warmth has 37 % of its height left.

    Parameters
    ----------
    conductivity_w_m_k : array_like
        Conductivity [W/(m K)], more than 0, to 10.
    heat_j_m3_k : array_like
        Heat per volume and degree [J/(m3 K)], 1e5 to 5e6.
    period_h : array_like
        Length of the wave [h], more than 0, to 1e5; 24 for the day.

    Returns
    -------
    ndarray
        Damping depth [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    D = sqrt(2 alpha / omega): exact for uniform soil and a sine wave.

    Examples
    --------
    >>> round(float(damping_depth(1.0, 2e6)), 3)
    11.726
    """
    conductivity = require("conductivity_w_m_k", conductivity_w_m_k, 0, 10, "W/(m K)", above=True)
    heat = require("heat_j_m3_k", heat_j_m3_k, 1e5, 5e6, "J/(m3 K)")
    period = require("period_h", period_h, 0, 1e5, "h", above=True)
    return np.asarray(100 * np.sqrt(conductivity * 3600 * period / (np.pi * heat)))


@equation("exp(-depth_cm / damping_cm)", unit="1", source="heat_waves")
def wave_left(depth_cm: ArrayLike, damping_cm: ArrayLike) -> FloatArray:
    """Work out what is left of a wave of warmth at a depth.

    Parameters
    ----------
    depth_cm : array_like
        Depth under the surface [cm], 0 to 1000.
    damping_cm : array_like
        Damping depth [cm], more than 0, to 1000; see :func:`damping_depth`.

    Returns
    -------
    ndarray
        Height of the wave over that at the surface [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(wave_left(5, 11.72646)), 5)
    0.65286
    """
    depth = require("depth_cm", depth_cm, 0, 1000, "cm")
    left: FloatArray = np.exp(-depth / require("damping_cm", damping_cm, 0, 1000, "cm", above=True))
    return left


@equation("period_h / (2 * pi) * depth_cm / damping_cm", unit="h", source="heat_waves")
def wave_lag(depth_cm: ArrayLike, damping_cm: ArrayLike, period_h: ArrayLike = 24.0) -> FloatArray:
    """Work out how late a wave of warmth comes to a depth.

    Parameters
    ----------
    depth_cm : array_like
        Depth under the surface [cm], 0 to 1000.
    damping_cm : array_like
        Damping depth of that wave [cm], more than 0, to 1000.
    period_h : array_like
        Length of the wave [h], more than 0, to 1e5.

    Returns
    -------
    ndarray
        Time after the surface [h], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(wave_lag(5, 11.72646)), 3)
    1.629
    """
    depth = require("depth_cm", depth_cm, 0, 1000, "cm")
    period = require("period_h", period_h, 0, 1e5, "h", above=True)
    return np.asarray(period / (2 * np.pi) * depth / require("damping_cm", damping_cm, 0, 1000, "cm", above=True))
