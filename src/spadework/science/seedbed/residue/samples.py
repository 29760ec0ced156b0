"""Area that a mass of residue covers, from own paired samples, and the cover of a mixture of kinds.

Published areas differ by 15 % and more; a dozen frames in which residue is photographed, then raked up, dried and weighed,
give one's own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "am_from_samples",
    "am_standard_error",
    "cover_of_mixture",
]


@equation(
    "least-squares slope, through the origin, of less the logarithm of the bare share on the mass",
    unit="ha/kg",
    source="gregory_1982",
    locator="fit through the origin",
    in_words=True,
)
def am_from_samples(mass_kg_ha: ArrayLike, cover_share: ArrayLike) -> FloatArray:
    """Area that a mass covers, from paired samples.

    Parameters
    ----------
    mass_kg_ha : array_like
        Dry mass of flat residue; samples or kinds along the last axis [kg/ha], 0 to 50 000.
    cover_share : array_like
        Cover measured at the same place [1], 0 to 0.999.

    Returns
    -------
    ndarray
        Area [ha/kg], shape of the axes before the samples.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is no mass in any sample.
    ValueError
        If the samples have no axis.

    Notes
    -----
    -ln(1 - C) = Am M.  A sample under full cover says nothing about the mass and is not taken.

    Examples
    --------
    >>> round(float(am_from_samples([1000, 2000, 4000], [0.34, 0.54, 0.80])), 6)
    0.0004
    """
    m = require("mass_kg_ha", mass_kg_ha, 0, 50_000, "kg/ha")
    c = require("cover_share", cover_share, 0, 0.999)
    if not (m.ndim and c.ndim):
        raise ValueError("samples must run along the last axis")
    m, seen = np.broadcast_arrays(m, -np.log1p(-c))
    squares = require("sum of squared masses", (m**2).sum(axis=-1), 0, np.inf, above=True)
    return np.asarray((m * seen).sum(axis=-1) / squares)


@equation(
    (
        "standard error of the slope through the origin, from the scatter about it with one less than "
        "the samples in degrees of freedom"
    ),
    unit="ha/kg",
    source="gregory_1982",
    locator="fit through the origin",
    in_words=True,
)
def am_standard_error(mass_kg_ha: ArrayLike, cover_share: ArrayLike) -> FloatArray:
    """Reckon the standard error of the area that a mass covers, from paired samples.

    Parameters
    ----------
    mass_kg_ha : array_like
        Dry mass of flat residue; samples or kinds along the last axis [kg/ha], 0 to 50 000.
    cover_share : array_like
        Cover measured at the same place [1], 0 to 0.999.

    Returns
    -------
    ndarray
        Standard error [ha/kg], shape of the axes before the samples.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is one sample only or no mass in any.
    ValueError
        If the samples have no axis.

    Notes
    -----
    Takes the scatter of -ln(1 - C) as even.  It grows with cover in truth, so samples of middling cover are the
    best.

    Examples
    --------
    >>> round(float(am_standard_error([1000, 2000, 4000], [0.34, 0.54, 0.80])), 7)
    4.6e-06
    """
    m = require("mass_kg_ha", mass_kg_ha, 0, 50_000, "kg/ha")
    c = require("cover_share", cover_share, 0, 0.999)
    if not (m.ndim and c.ndim):
        raise ValueError("samples must run along the last axis")
    m, seen = np.broadcast_arrays(m, -np.log1p(-c))
    squares = require("sum of squared masses", (m**2).sum(axis=-1), 0, np.inf, above=True)
    count = float(require("samples", m.shape[-1], 2, np.inf))
    slope = (m * seen).sum(axis=-1) / squares
    off = seen - slope[..., np.newaxis] * m
    return np.asarray(np.sqrt((off**2).sum(axis=-1) / (count - 1) / squares))


@equation("1 less exp of less the sum of mass by area over the kinds", unit="1", source="gregory_1982", in_words=True)
def cover_of_mixture(mass_kg_ha: ArrayLike, am_ha_kg: ArrayLike) -> FloatArray:
    """Cover of several kinds of residue that lie at random over one another.

    Parameters
    ----------
    mass_kg_ha : array_like
        Dry mass of flat residue; samples or kinds along the last axis [kg/ha], 0 to 50 000.
    am_ha_kg : array_like
        Area that a mass covers before pieces overlap; kinds along the last axis [ha/kg], more than 0, to 0.01.

    Returns
    -------
    ndarray
        Cover [1], shape of the axes before the kinds.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the kinds have no axis.

    Notes
    -----
    1 - exp(-sum Am M).

    Examples
    --------
    >>> round(float(cover_of_mixture([2000, 1000], [0.0004, 0.00052])), 4)
    0.7329
    """
    m = require("mass_kg_ha", mass_kg_ha, 0, 50_000, "kg/ha")
    a = require("am_ha_kg", am_ha_kg, 0, 0.01, "ha/kg", above=True)
    if not (m.ndim and a.ndim):
        raise ValueError("kinds must run along the last axis")
    return np.asarray(-np.expm1(-(m * a).sum(axis=-1)))
