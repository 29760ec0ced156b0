"""Residue on the ground: mass and cover, what a pass leaves of it, strips and the ground between, decay.

Two kinds of retention exist and must not be mixed: the share of the *mass* that a pass leaves and the share of the
*cover*.  They differ most where residue is plentiful.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "area_weighted_cover",
    "cover_after_mass_retention",
    "cover_after_pass",
    "cover_from_mass",
    "cover_together",
    "decay",
    "decay_rate",
    "mass_from_cover",
    "tilled_share",
]


@equation("1 - exp(-am_ha_kg * mass_kg_ha)", unit="1", source="gregory_1982")
def cover_from_mass(mass_kg_ha: ArrayLike, am_ha_kg: ArrayLike) -> FloatArray:
    """Share of the ground that a mass of flat residue covers.

    Parameters
    ----------
    mass_kg_ha : array_like
        Dry mass of flat residue [kg/ha], 0 to 50 000.
    am_ha_kg : array_like
        Area that a mass covers before pieces overlap [ha/kg], more than 0, to 0.01.

    Returns
    -------
    ndarray
        Cover [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    C = 1 - exp(-Am M) (Gregory 1982, recalled and not re-read): pieces fall at random and overlap.  Not for standing
    residue, nor for windrows.

    Examples
    --------
    >>> round(float(cover_from_mass(2000, 0.0004)), 4)
    0.5507
    """
    mass = require("mass_kg_ha", mass_kg_ha, 0, 50_000, "kg/ha")
    cover: FloatArray = -np.expm1(-require("am_ha_kg", am_ha_kg, 0, 0.01, "ha/kg", above=True) * mass)
    return cover


@equation("-log(1 - cover_share) / am_ha_kg", unit="kg/ha", source="gregory_1982")
def mass_from_cover(cover_share: ArrayLike, am_ha_kg: ArrayLike) -> FloatArray:
    """Mass of flat residue behind a cover.

    Parameters
    ----------
    cover_share : array_like
        Cover [1], 0 to 0.999; a full cover says nothing about the mass.
    am_ha_kg : array_like
        Area that a mass covers before pieces overlap [ha/kg], more than 0, to 0.01.

    Returns
    -------
    ndarray
        Dry mass [kg/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    M = -ln(1 - C) / Am, the inverse of :func:`cover_from_mass`.

    Examples
    --------
    >>> round(float(mass_from_cover(0.30, 0.0004)))
    892
    """
    cover = require("cover_share", cover_share, 0, 0.999)
    return np.asarray(-np.log1p(-cover) / require("am_ha_kg", am_ha_kg, 0, 0.01, "ha/kg", above=True))


@equation("1 - (1 - cover_share) * (1 - other_cover_share)", unit="1", source="gregory_1982")
def cover_together(cover_share: ArrayLike, other_cover_share: ArrayLike) -> FloatArray:
    """Cover of two residues that lie at random over one another.

    Parameters
    ----------
    cover_share, other_cover_share : array_like
        Cover of each alone [1], 0 to 1.

    Returns
    -------
    ndarray
        Cover of both [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    1 - (1 - C1)(1 - C2), which is 1 - exp(-(Am1 M1 + Am2 M2)): it follows from Gregory (1982).

    Examples
    --------
    >>> round(float(cover_together(0.5, 0.4)), 2)
    0.7
    """
    one = require("cover_share", cover_share, 0, 1)
    return np.asarray(1 - (1 - one) * (1 - require("other_cover_share", other_cover_share, 0, 1)))


@equation("1 - (1 - cover_share) ** mass_retention_share", unit="1", source="gregory_1982")
def cover_after_mass_retention(cover_share: ArrayLike, mass_retention_share: ArrayLike) -> FloatArray:
    """Cover after a pass that leaves a known share of the residue *mass*.

    Parameters
    ----------
    cover_share : array_like
        Cover before [1], 0 to 1.
    mass_retention_share : array_like
        Share of the mass left flat on the ground [1], 0 to 5; over 1 where a pass brings buried residue up again.

    Returns
    -------
    ndarray
        Cover after [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    1 - C' = (1 - C)^r: it follows from Gregory (1982) without knowing Am.  A full cover stays full whatever share is left,
    unless nothing is, because the mass behind it is not known.

    Examples
    --------
    >>> round(float(cover_after_mass_retention(0.9, 0.5)), 4)
    0.6838
    """
    cover = require("cover_share", cover_share, 0, 1)
    return np.asarray(1 - (1 - cover) ** require("mass_retention_share", mass_retention_share, 0, 5))


@equation("cover_share * cover_retention_share", unit="1", source="scs_emi_1992")
def cover_after_pass(cover_share: ArrayLike, cover_retention_share: ArrayLike) -> FloatArray:
    """Cover after a pass that leaves a known share of the *cover*.

    Parameters
    ----------
    cover_share : array_like
        Cover before [1], 0 to 1.
    cover_retention_share : array_like
        Share of the cover left [1], 0 to 5; over 1 where a pass brings buried residue up again.

    Returns
    -------
    ndarray
        Cover after [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or more than the whole ground would be covered.

    Notes
    -----
    C' = q C, the way in which the list of 1992 is meant.  Passes multiply; so does the winter.

    Examples
    --------
    >>> round(float(cover_after_pass(0.8, 0.7)), 2)
    0.56
    """
    cover = require("cover_share", cover_share, 0, 1)
    after = np.asarray(cover * require("cover_retention_share", cover_retention_share, 0, 5))
    if (after > 1).any():
        raise ImpossibleValue("cover_share * cover_retention_share", f"{after.max():.6g}", 0, 1, "")
    return after


@equation("strip_width_m / row_spacing_m", unit="1", source="physics")
def tilled_share(strip_width_m: ArrayLike, row_spacing_m: ArrayLike) -> FloatArray:
    """Share of the field that strips till.

    Parameters
    ----------
    strip_width_m : array_like
        Width of a strip [m], 0 to 10; at most the row spacing.
    row_spacing_m : array_like
        Distance between strips [m], more than 0, to 10.

    Returns
    -------
    ndarray
        Tilled share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or a strip is wider than the row spacing.

    Notes
    -----
    f = w / s.

    Examples
    --------
    >>> round(float(tilled_share(0.20, 0.75)), 4)
    0.2667
    """
    width = require("strip_width_m", strip_width_m, 0, 10, "m")
    spacing = require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True)
    share = np.asarray(width / spacing)
    if (share > 1).any():
        raise ImpossibleValue("strip_width_m", f"{width.max():.6g}", 0, float(spacing.min()), "m")
    return share


@equation("tilled_share * strip_cover_share + (1 - tilled_share) * between_cover_share", unit="1", source="physics")
def area_weighted_cover(
    strip_cover_share: ArrayLike, between_cover_share: ArrayLike, tilled_share: ArrayLike
) -> FloatArray:
    """Cover of a field of strips and the ground between them.

    Parameters
    ----------
    strip_cover_share : array_like
        Cover inside the strips [1], 0 to 1.
    between_cover_share : array_like
        Cover between them [1], 0 to 1.
    tilled_share : array_like
        Share of the field inside the strips [1], 0 to 1.

    Returns
    -------
    ndarray
        Cover of the field [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    C = f C_s + (1 - f) C_b.

    Examples
    --------
    >>> round(float(area_weighted_cover(0.10, 0.70, 0.3333)), 4)
    0.5
    """
    strip = require("strip_cover_share", strip_cover_share, 0, 1)
    between = require("between_cover_share", between_cover_share, 0, 1)
    share = require("tilled_share", tilled_share, 0, 1)
    return np.asarray(share * strip + (1 - share) * between)


@equation("mass_kg_ha * exp(-rate_per_day * days)", unit="kg/ha", source="ghidey_alberts_1993")
def decay(mass_kg_ha: ArrayLike, rate_per_day: ArrayLike, days: ArrayLike) -> FloatArray:
    """Residue mass left after a time.

    Parameters
    ----------
    mass_kg_ha : array_like
        Dry mass at the start [kg/ha], 0 to 50 000.
    rate_per_day : array_like
        Rate of decay [1/d], 0 to 1.
    days : array_like
        Days of decay [d], 0 to 10 000.

    Returns
    -------
    ndarray
        Dry mass left [kg/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    M = M0 exp(-k t), with one rate for the whole year: in truth warm and moist weeks do most of it, and the second
    year is slower.

    Examples
    --------
    >>> round(float(decay(4000, 0.00296, 180)))
    2348
    """
    mass = require("mass_kg_ha", mass_kg_ha, 0, 50_000, "kg/ha")
    rate = require("rate_per_day", rate_per_day, 0, 1, "1/d")
    left: FloatArray = mass * np.exp(-rate * require("days", days, 0, 10_000, "d"))
    return left


@equation("-log(1 - loss_share) / days", unit="1/d", source="ghidey_alberts_1993")
def decay_rate(loss_share: ArrayLike, days: ArrayLike) -> FloatArray:
    """Mean rate of decay behind a loss over a time.

    Parameters
    ----------
    loss_share : array_like
        Share of the mass that was lost [1], 0 to 0.9999.
    days : array_like
        Days over which it was lost [d], more than 0, to 10 000.

    Returns
    -------
    ndarray
        Rate [1/d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    k = -ln(1 - L) / t, the inverse of :func:`decay`.

    Examples
    --------
    >>> round(float(decay_rate(0.66, 365)), 5)
    0.00296
    """
    loss = require("loss_share", loss_share, 0, 0.9999)
    return np.asarray(-np.log1p(-loss) / require("days", days, 0, 10_000, "d", above=True))
