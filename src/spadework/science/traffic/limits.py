"""A limit of stress, set by a person: how deep it is passed, and what wheel load keeps it.

Stress is not damage.  What a soil does under it hangs on how wet and how loose it is, and how often it is driven on.
The words here are "above" and "below the limit that was set", no more.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.traffic.stress import DEEPEST_CM, LEAST, MOST
from spadework.working import equation

__all__ = ["deeper_by_thumb", "depth_of_stress", "stress_to_limit", "wheel_load_for_limit"]

_THUMB = reference.constants("wheel_limits")


@equation(
    "contact_kpa * pi * (depth_cm / 100) ** 2 * (maximum(1 - limit_kpa / contact_kpa, 0) ** (-2 / concentration) - 1)",
    unit="kN",
    source="froehlich_1934",
    locator="circle, even pressure; solved for the load",
)
def wheel_load_for_limit(
    contact_kpa: ArrayLike, limit_kpa: ArrayLike, depth_cm: ArrayLike, concentration: ArrayLike
) -> FloatArray:
    """Work out the wheel load that brings the stress at a depth just to a limit.

    Parameters
    ----------
    contact_kpa : array_like
        Mean contact stress [kPa], more than 0, to 5000.
    limit_kpa : array_like
        Limit of the vertical stress [kPa], more than 0, to 5000.
    depth_cm : array_like
        Depth under the surface that the wheel stands on [cm], more than 0, to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Load of one wheel that stands alone [kN], shape of the inputs broadcast together; infinite where the contact
        stress itself is not above the limit, for then no load passes it.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    From the exact stress below a circle with even pressure.  Neighbouring wheels add to it.

    Examples
    --------
    >>> wheel_load_for_limit([60, 100, 200], 50, 50, 5).round(1).tolist()
    [49.4, 25.1, 19.2]
    """
    stress, limit, v = _limit(contact_kpa, limit_kpa, concentration)
    depth = require("depth_cm", depth_cm, 0, DEEPEST_CM, "cm", above=True) / 100
    with np.errstate(divide="ignore"):
        return np.asarray(stress * np.pi * depth**2 * (np.maximum(1 - limit / stress, 0) ** (-2 / v) - 1))


@equation(
    "100 * sqrt(wheel_load_kn / (pi * contact_kpa))"
    " / sqrt(maximum(1 - limit_kpa / contact_kpa, 0) ** (-2 / concentration) - 1)",
    unit="cm",
    source="froehlich_1934",
    locator="circle, even pressure; solved for the depth",
)
def depth_of_stress(
    wheel_load_kn: ArrayLike, contact_kpa: ArrayLike, limit_kpa: ArrayLike, concentration: ArrayLike
) -> FloatArray:
    """Work out down to which depth the stress below a wheel is above a limit.

    Parameters
    ----------
    wheel_load_kn : array_like
        Load of one wheel that stands alone [kN], 0 to 500.
    contact_kpa : array_like
        Mean contact stress [kPa], more than 0, to 5000.
    limit_kpa : array_like
        Limit of the vertical stress [kPa], more than 0, to 5000.
    concentration : array_like
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Depth under the surface that the wheel stands on [cm], shape of the inputs broadcast together; nil where the
        contact stress itself is not above the limit.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    From the exact stress below a circle with even pressure and the area load by stress.

    Examples
    --------
    >>> depth_of_stress([30, 60], 100, 50, 5).round(0).tolist()
    [55.0, 77.0]
    """
    load = require("wheel_load_kn", wheel_load_kn, 0, 500, "kN")
    stress, limit, v = _limit(contact_kpa, limit_kpa, concentration)
    with np.errstate(divide="ignore"):
        spread = np.sqrt(np.maximum(1 - limit / stress, 0) ** (-2 / v) - 1)
    return np.asarray(100 * np.sqrt(load / (np.pi * stress)) / spread)


def _limit(
    contact_kpa: ArrayLike, limit_kpa: ArrayLike, concentration: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    stress = require("contact_kpa", contact_kpa, 0, 5000, "kPa", above=True)
    limit = require("limit_kpa", limit_kpa, 0, 5000, "kPa", above=True)
    return stress, limit, require("concentration", concentration, LEAST, MOST)


@equation("stress_kpa / limit_kpa", unit="1", source="physics", locator="definition")
def stress_to_limit(stress_kpa: ArrayLike, limit_kpa: ArrayLike) -> FloatArray:
    """Work out a stress against the limit that was set.

    Parameters
    ----------
    stress_kpa : array_like
        Vertical stress [kPa], 0 to 10 000.
    limit_kpa : array_like
        The limit: a strength measured on the soil, a class of the table ``soil_strength``, or a rule of thumb of the
        table ``wheel_limits`` [kPa], more than 0, to 5000.

    Returns
    -------
    ndarray
        Ratio [1], shape of the inputs broadcast together; above 1 it is above the limit that was set.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    No verdict on the soil.  A field trial found soil displaced at 50 cm in the dry season, when its strength was several
    times the stress; strength from texture explains two fifths of the scatter at best.

    Examples
    --------
    >>> float(stress_to_limit(77, 50))
    1.54
    """
    stress = require("stress_kpa", stress_kpa, 0, 10_000, "kPa")
    return np.asarray(stress / require("limit_kpa", limit_kpa, 0, 5000, "kPa", above=True))


@equation(
    "deeper_cm_t * extra_t + deeper_cm_doubling * log(pressure_ratio) / log(2)",
    unit="cm",
    source="schjonning_2012",
    locator="rule of 8 and 8",
    constants=(_THUMB,),
)
def deeper_by_thumb(extra_t: ArrayLike, pressure_ratio: ArrayLike) -> FloatArray:
    """Work out by rule of thumb how much deeper the 50 kPa line lies under a heavier wheel or a harder tyre.

    Parameters
    ----------
    extra_t : array_like
        Wheel load more than before [t], -20 to 20.
    pressure_ratio : array_like
        Tyre pressure against that of before [1], 0.1 to 10.

    Returns
    -------
    ndarray
        How much deeper [cm], shape of the inputs broadcast together; negative where it rises.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Recalled and not seen in the source.  :func:`depth_of_stress` gives 6 to 9 cm for a tonne, 8 to 13 cm from 100 to
    200 kPa, but 3 to 6 cm from 200 to 400 kPa.

    Examples
    --------
    >>> float(deeper_by_thumb(1, 2))
    16.0
    """
    extra = require("extra_t", extra_t, -20, 20, "t")
    ratio = require("pressure_ratio", pressure_ratio, 0.1, 10)
    return np.asarray(_THUMB.deeper_cm_t * extra + _THUMB.deeper_cm_doubling * np.log(ratio) / np.log(2))
