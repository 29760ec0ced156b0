"""How far the seed lies beside the band: steering of two outfits, drift of what they pull, joins between passes.

Sideways distances count from the line that both outfits mean to follow, positive to the right in the direction of
travel of the planter; across a slope positive is downhill, whichever way it is driven.  Scatter is a standard
deviation of single places about the line.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, calibrated, require
from spadework.working import equation

__all__ = [
    "crab_angle",
    "join_spread",
    "joins_inside",
    "line_apart",
    "rows_in_step",
    "share_beyond",
    "sideways_spread",
    "towed_drift",
]

_MOST_SD_CM = 50.0
_STEEP_SHARE = 0.15  # beyond it tyres give way faster than in a straight line


@equation("sqrt(slurry_sd_cm**2 + seed_sd_cm**2 + slurry_drift_cm**2 + seed_drift_cm**2)", unit="cm", source="physics")
def sideways_spread(
    slurry_sd_cm: ArrayLike, seed_sd_cm: ArrayLike, slurry_drift_cm: ArrayLike, seed_drift_cm: ArrayLike
) -> FloatArray:
    """Scatter of the seed beside the band where all errors are apart from one another.

    Parameters
    ----------
    slurry_sd_cm, seed_sd_cm : array_like
        Standard deviation of the tractor about its line, slurry outfit and planter [cm], 0 to 50.
    slurry_drift_cm, seed_drift_cm : array_like
        Standard deviation of tools or units about their tractor [cm], 0 to 50.

    Returns
    -------
    ndarray
        Standard deviation of the offset [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Variances add.  Errors that both outfits share (the same base station, the same slope driven the same way) cancel,
    and the scatter is then less.  A steady distance between the two lines is no scatter; see :func:`share_beyond`.

    Examples
    --------
    >>> round(float(sideways_spread(2.5, 2.5, 3, 2)), 2)
    5.05
    """
    parts = (
        ("slurry_sd_cm", slurry_sd_cm),
        ("seed_sd_cm", seed_sd_cm),
        ("slurry_drift_cm", slurry_drift_cm),
        ("seed_drift_cm", seed_drift_cm),
    )
    squares = [require(name, value, 0, _MOST_SD_CM, "cm") ** 2 for name, value in parts]
    spread: FloatArray = np.sqrt(squares[0] + squares[1] + squares[2] + squares[3])
    return spread


@equation(
    "share of a normal distribution about shift_cm with offset_sd_cm that lies further than harmless_cm to either side",
    unit="1",
    source="physics",
    in_words=True,
)
def share_beyond(harmless_cm: ArrayLike, offset_sd_cm: ArrayLike, shift_cm: ArrayLike) -> FloatArray:
    """Share of the seeds that lie further beside the band than does no harm.

    Parameters
    ----------
    harmless_cm : array_like
        Distance to either side that does no harm [cm], 0 to 200.
    offset_sd_cm : array_like
        Standard deviation of the offset [cm], 0 to 100.
    shift_cm : array_like
        Mean of the offset [cm], -100 to 100.

    Returns
    -------
    ndarray
        Share beyond [1], 0 to 1; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Phi((-d - m)/s) + Phi((m - d)/s).  Without scatter the share is 0 or 1.  That offsets are normally distributed is our
    choice; a single slip of the guidance goes further than this says.

    Examples
    --------
    >>> round(float(share_beyond(11.4, 5.05, 0)), 3)
    0.024
    """
    from scipy.special import ndtr

    edge = require("harmless_cm", harmless_cm, 0, 200, "cm")
    sd = require("offset_sd_cm", offset_sd_cm, 0, 100, "cm")
    shift = require("shift_cm", shift_cm, -100, 100, "cm")
    still = sd == 0
    safe = np.where(still, 1.0, sd)
    scattered = ndtr((-edge - shift) / safe) + ndtr((shift - edge) / safe)
    share: FloatArray = np.where(still, np.abs(shift) > edge, scattered)
    return share


@equation("sqrt(2) * steering_sd_cm", unit="cm", source="physics")
def join_spread(steering_sd_cm: ArrayLike) -> FloatArray:
    """Scatter of the row spacing at the join between two passes of one outfit.

    Parameters
    ----------
    steering_sd_cm : array_like
        Standard deviation of one pass about its line [cm], 0 to 50.

    Returns
    -------
    ndarray
        Standard deviation of the spacing at the join [cm], shape of the input.

    Raises
    ------
    ImpossibleValue
        If the input lies outside its range.

    Notes
    -----
    Both passes err, each for itself.  The rows at the join keep apart from one another what the two passes do.

    Examples
    --------
    >>> round(float(join_spread(2.5)), 2)
    3.54
    """
    spread: FloatArray = math.sqrt(2) * require("steering_sd_cm", steering_sd_cm, 0, _MOST_SD_CM, "cm")
    return spread


@equation("side_slope_share / side_hold_per_deg", unit="deg", source="choice")
def crab_angle(side_slope_share: ArrayLike, side_hold_per_deg: ArrayLike) -> FloatArray:
    """Angle at which a towed outfit crabs behind its tractor on a side slope.

    Parameters
    ----------
    side_slope_share : array_like
        Slope across the direction of travel, height over distance [1], -0.4 to 0.4; the sign says which side is downhill.
    side_hold_per_deg : array_like
        Side force that the tyres take for each degree of crabbing, over the load on them [1/deg], 0.01 to 0.5.

    Returns
    -------
    ndarray
        Angle between drawbar and direction of travel [deg], shape of the inputs broadcast together; the sign is that of
        the slope.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Across a slope the weight pulls downhill with its share of the load on the wheels, which is the slope itself.  The
    wheels take that up once they run at an angle: a = slope / hold.  Tyres take less for each further degree, so that
    beyond a slope of about 15 % the angle is larger than this says.  Tools that stand in the soil hold the outfit back
    and are left out, which puts the angle too high.  Our construction, no source.

    Examples
    --------
    >>> crab_angle([0, 0.07, -0.07], 0.07).round(2).tolist()
    [0.0, 1.0, -1.0]
    """
    slope = require("side_slope_share", side_slope_share, -0.4, 0.4)
    calibrated("the angle at which an outfit crabs", "side slope", slope, -_STEEP_SHARE, _STEEP_SHARE)
    return np.asarray(slope / require("side_hold_per_deg", side_hold_per_deg, 0.01, 0.5, "1/deg"))


@equation(
    "length from hitch to tool times the sine of the crab angle, in centimetres",
    unit="cm",
    source="choice",
    in_words=True,
)
def towed_drift(hitch_to_tool_m: ArrayLike, crab_angle_deg: ArrayLike) -> FloatArray:
    """How far a towed tool hangs downhill of its tractor on a side slope.

    Parameters
    ----------
    hitch_to_tool_m : array_like
        Length from the hitch to the tools [m], 0 to 20; 0 where the tractor carries them.
    crab_angle_deg : array_like
        Angle between the drawbar and the direction of travel [deg], -45 to 45; read in the field, or see
        :func:`crab_angle`.

    Returns
    -------
    ndarray
        Drift [cm], shape of the inputs broadcast together; the sign is that of the angle.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    d = 100 L sin(a).  Our construction, no source.

    Examples
    --------
    >>> round(float(towed_drift(5, 1)), 1)
    8.7
    """
    length = require("hitch_to_tool_m", hitch_to_tool_m, 0, 20, "m")
    angle = require("crab_angle_deg", crab_angle_deg, -45, 45, "deg")
    drift: FloatArray = 100 * length * np.sin(np.radians(angle))
    return drift


@equation("shift_cm + slurry_hang_cm - seed_hang_cm", unit="cm", source="physics")
def line_apart(shift_cm: ArrayLike, slurry_hang_cm: ArrayLike, seed_hang_cm: ArrayLike) -> FloatArray:
    """How far the band lies downhill of the seed on the whole, on a side slope.

    Parameters
    ----------
    shift_cm : array_like
        Steady distance between the lines that the two outfits follow [cm], -100 to 100; positive where that of the slurry
        lies downhill.
    slurry_hang_cm, seed_hang_cm : array_like
        How far the tools of each hang downhill of their tractor [cm], -1000 to 1000; see :func:`towed_drift`.

    Returns
    -------
    ndarray
        Distance [cm], shape of the inputs broadcast together; negative where the band lies uphill of the seed.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Outfits that hang alike lie over one another again: what counts is the difference.

    Examples
    --------
    >>> float(line_apart(1, 8, 3))
    6.0
    """
    shift = require("shift_cm", shift_cm, -100, 100, "cm")
    slurry = require("slurry_hang_cm", slurry_hang_cm, -1000, 1000, "cm")
    return np.asarray(shift + slurry - require("seed_hang_cm", seed_hang_cm, -1000, 1000, "cm"))


@equation(
    "1 where the larger number of rows is a whole multiple of the smaller, else 0",
    unit="1",
    source="choice",
    in_words=True,
)
def rows_in_step(slurry_rows: ArrayLike, seed_rows: ArrayLike) -> FloatArray:
    """Whether slurry outfit and planter keep step, so that their joins can fall together.

    Parameters
    ----------
    slurry_rows, seed_rows : array_like
        Rows of each outfit [1], whole numbers from 1 to 60.

    Returns
    -------
    ndarray
        1 where one number is a whole multiple of the other, else 0; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input is no whole number in its range.

    Notes
    -----
    Common practice, no source.  In step means that joins can fall together, not that they do: both outfits must also
    begin at the same side and use the same lines.

    Examples
    --------
    >>> rows_in_step(8, [8, 4, 6]).tolist()
    [1.0, 1.0, 0.0]
    """
    slurry, seed = _whole("slurry_rows", slurry_rows), _whole("seed_rows", seed_rows)
    more, fewer = np.maximum(slurry, seed), np.minimum(slurry, seed)
    return np.asarray(more % fewer == 0, dtype=np.float64)


@equation(
    "passes of the planter within which a join of the slurry outfit falls, and after which of their rows",
    unit="1",
    source="physics",
    in_words=True,
)
def joins_inside(slurry_rows: int, seed_rows: int) -> FloatArray:
    """Where joins of the slurry outfit fall inside passes of the planter.

    Parameters
    ----------
    slurry_rows, seed_rows : int
        Rows of each outfit [1], whole numbers from 1 to 60.

    Returns
    -------
    ndarray
        One line for each such join until the pattern repeats: number of the pass of the planter, counted from 1, and
        its row after which the join falls; shape (n, 2), with n of 0 where every join of the slurry outfit is also one
        of the planter.

    Raises
    ------
    ImpossibleValue
        If an input is no whole number in its range.

    Notes
    -----
    Both begin at the same side.  The pattern repeats after as many rows as both numbers divide.

    Examples
    --------
    >>> joins_inside(8, 6).astype(int).tolist()
    [[2, 2], [3, 4]]
    >>> joins_inside(8, 4).shape
    (0, 2)
    """
    slurry, seed = int(_whole("slurry_rows", slurry_rows)), int(_whole("seed_rows", seed_rows))
    joins = range(slurry, math.lcm(slurry, seed) + 1, slurry)
    inside = [(join // seed + 1, join % seed) for join in joins if join % seed]
    return np.array(inside, dtype=np.float64).reshape(-1, 2)


def _whole(name: str, value: ArrayLike) -> FloatArray:
    rows = require(name, value, 1, 60, "")
    if (rows % 1 != 0).any():
        raise ImpossibleValue(name, f"{rows[rows % 1 != 0].flat[0]:.6g}", 1, 60, "")
    return rows
