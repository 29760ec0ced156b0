"""Stress under several wheels: at points, and as a cut through the ground across the outfit.

The stresses of the wheels add up (Froehlich's rule is linear), be they twins on one hub, axles behind one another or
tracks of neighbouring passes at the same moment.  Wheels that come one after the other do not add up.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.traffic.stress import even_share, pressed
from spadework.working import equation

__all__ = ["stress_section", "stress_under_wheels"]


@equation(
    "the sum over the wheels of the stress beside a circle with even pressure, at the level distance of the point from"
    " each wheel",
    unit="kPa",
    source="froehlich_1934",
    locator="point loads add up",
    in_words=True,
)
def stress_under_wheels(
    contact_kpa: ArrayLike,
    radius_m: ArrayLike,
    wheel_across_m: ArrayLike,
    wheel_along_m: ArrayLike,
    across_m: ArrayLike,
    along_m: ArrayLike,
    depth_cm: ArrayLike,
    concentration: ArrayLike,
) -> FloatArray:
    """Work out the vertical stress that several wheels put on points in the ground at the same moment.

    Parameters
    ----------
    contact_kpa : array_like
        Mean contact stress of each wheel, wheels along the last axis [kPa], 0 to 5000.
    radius_m : array_like
        Radius of each contact [m], more than 0, to 10.
    wheel_across_m : array_like
        Middle of each wheel to the right of the middle of the outfit [m], -100 to 100.
    wheel_along_m : array_like
        Middle of each wheel ahead of a line across [m], -100 to 100.
    across_m, along_m : array_like
        Where the points lie, measured as the wheels are [m], -100 to 100.
    depth_cm : array_like
        Depth of the points under the surface that the wheels stand on [cm], 0 to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Vertical stress [kPa]; the leading axes of the wheels and those of the points, broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Each contact counts as a circle with even pressure; the shape of the print
    matters near the surface, hardly in the subsoil.

    Examples
    --------
    >>> twin = stress_under_wheels([100, 100], 0.3, [-0.35, 0.35], 0, 0, 0, [10, 50], 5)
    >>> twin.round(1).tolist()
    [27.4, 49.2]
    """
    stress = require("contact_kpa", contact_kpa, 0, 5000, "kPa")
    radius = require("radius_m", radius_m, 0, 10, "m", above=True)
    sideways = require("wheel_across_m", wheel_across_m, -100, 100, "m")
    ahead = require("wheel_along_m", wheel_along_m, -100, 100, "m")
    wheels = np.broadcast_arrays(*(np.atleast_1d(one) for one in (stress, radius, sideways, ahead)))
    across = require("across_m", across_m, -100, 100, "m")
    along = require("along_m", along_m, -100, 100, "m")
    found = np.zeros(())
    for stress, radius, sideways, ahead in zip(*(np.moveaxis(one, -1, 0) for one in wheels), strict=True):
        _, circle, depth, v = pressed(stress, radius, depth_cm, concentration)
        away = np.hypot(across - sideways, along - ahead)
        found = found + stress * even_share(*np.broadcast_arrays(away, circle, depth, v))
    return np.asarray(found)


@equation(
    "the stress under all wheels at every point of a grid: one row for each depth, one column for each distance across",
    unit="kPa",
    source="froehlich_1934",
    locator="point loads add up",
    in_words=True,
)
def stress_section(
    contact_kpa: ArrayLike,
    radius_m: ArrayLike,
    wheel_across_m: ArrayLike,
    wheel_along_m: ArrayLike,
    across_m: ArrayLike,
    along_m: float,
    depth_cm: ArrayLike,
    concentration: float,
) -> FloatArray:
    """Work out a cut through the ground across the outfit, with the vertical stress of all wheels at once.

    Parameters
    ----------
    contact_kpa : array_like
        Mean contact stress of each wheel [kPa], one axis, 0 to 5000.
    radius_m : array_like
        Radius of each contact [m], more than 0, to 10.
    wheel_across_m, wheel_along_m : array_like
        Middle of each wheel, to the right and ahead [m], -100 to 100.
    across_m : array_like
        Columns of the cut [m], one axis, -100 to 100.
    along_m : float
        Where the cut lies, measured as the wheels are [m], -100 to 100.
    depth_cm : array_like
        Rows of the cut under the surface that the wheels stand on [cm], one axis, 0 to 500.
    concentration : float
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Vertical stress [kPa], shape (depths, columns).

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A line of equal stress drawn through it says where the stress is reached, not what the soil makes of it.

    Examples
    --------
    >>> stress_section([120, 120], 0.35, [-0.95, 0.95], 0, [-0.95, 0, 0.95], 0, [10, 50], 5).round(1).tolist()
    [[119.8, 0.0, 119.8], [75.7, 2.2, 75.7]]
    """
    columns, rows = np.atleast_1d(np.asarray(across_m, float)), np.atleast_1d(np.asarray(depth_cm, float))
    return stress_under_wheels(
        contact_kpa, radius_m, wheel_across_m, wheel_along_m, columns, along_m, rows[:, None], concentration
    )
