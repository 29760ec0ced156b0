"""Air and its moisture: pressure, vapour pressure, and the wind at 2 m, as the reference crop needs them.

The equations are those of FAO Irrigation and Drainage Paper 56, each with its number.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "air_pressure",
    "psychrometric",
    "vapour_from_humidity",
    "vapour_from_minimum",
    "vapour_saturation",
    "vapour_saturation_day",
    "vapour_slope",
    "wind_2_m_over_grass",
]

_K = reference.constants("reference_et")


@equation(
    "vapour_zero_kpa * exp(vapour_rate * temperature_degc / (temperature_degc + vapour_degc))",
    unit="kPa",
    source="fao56_1998",
    locator="equation 11",
    constants=(_K,),
)
def vapour_saturation(temperature_degc: ArrayLike) -> FloatArray:
    """Vapour pressure of saturated air.

    Parameters
    ----------
    temperature_degc : array_like
        Air temperature [degC], -60 to 60.

    Returns
    -------
    ndarray
        Pressure [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    e(T) = 0.6108 exp(17.27 T / (T + 237.3)), over water.

    Examples
    --------
    >>> round(float(vapour_saturation(24.5)), 3)
    3.075
    """
    t = require("temperature_degc", temperature_degc, -60, 60, "degC")
    return np.asarray(_K.vapour_zero_kpa * np.exp(_K.vapour_rate * t / (t + _K.vapour_degc)))


@equation(
    (
        "slope_degc * vapour_zero_kpa * exp(vapour_rate * temperature_degc / (temperature_degc + "
        "vapour_degc)) / (temperature_degc + vapour_degc)**2"
    ),
    unit="kPa/degC",
    source="fao56_1998",
    locator="equation 13",
    constants=(_K,),
)
def vapour_slope(temperature_degc: ArrayLike) -> FloatArray:
    """Rise of the vapour pressure of saturated air with temperature.

    Parameters
    ----------
    temperature_degc : array_like
        Air temperature [degC], -60 to 60.

    Returns
    -------
    ndarray
        Slope [kPa/degC], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    4098 e(T) / (T + 237.3)^2.

    Examples
    --------
    >>> round(float(vapour_slope(30.2)), 4)
    0.2458
    """
    t = require("temperature_degc", temperature_degc, -60, 60, "degC")
    return np.asarray(_K.slope_degc * vapour_saturation(t) / (t + _K.vapour_degc) ** 2)


@equation(
    "sea_level_kpa * ((air_k - lapse_k_m * altitude_m) / air_k)**pressure_exponent",
    unit="kPa",
    source="fao56_1998",
    locator="equation 7",
    constants=(_K,),
)
def air_pressure(altitude_m: ArrayLike) -> FloatArray:
    """Air pressure at a height above the sea.

    Parameters
    ----------
    altitude_m : array_like
        Height above the sea [m], -430 to 6000.

    Returns
    -------
    ndarray
        Pressure [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The weather moves the true pressure by a few per cent about it.

    Examples
    --------
    >>> round(float(air_pressure(100)), 3)
    100.124
    """
    z = require("altitude_m", altitude_m, -430, 6000, "m")
    return np.asarray(_K.sea_level_kpa * ((_K.air_k - _K.lapse_k_m * z) / _K.air_k) ** _K.pressure_exponent)


@equation(
    "psychro_per_degc * pressure_kpa", unit="kPa/degC", source="fao56_1998", locator="equation 8", constants=(_K,)
)
def psychrometric(pressure_kpa: ArrayLike) -> FloatArray:
    """Psychrometric constant: how far air cools as it takes up vapour.

    Parameters
    ----------
    pressure_kpa : array_like
        Air pressure [kPa], 40 to 110.

    Returns
    -------
    ndarray
        Constant [kPa/degC], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    0.000665 P.

    Examples
    --------
    >>> round(float(psychrometric(100.124)), 5)
    0.06658
    """
    p = require("pressure_kpa", pressure_kpa, 40, 110, "kPa")
    return np.asarray(_K.psychro_per_degc * p)


@equation(
    (
        "(vapour_zero_kpa * exp(vapour_rate * max_temperature_degc / (max_temperature_degc + "
        "vapour_degc)) + vapour_zero_kpa * exp(vapour_rate * min_temperature_degc / "
        "(min_temperature_degc + vapour_degc))) / 2"
    ),
    unit="kPa",
    source="fao56_1998",
    locator="equation 12",
    constants=(_K,),
)
def vapour_saturation_day(max_temperature_degc: ArrayLike, min_temperature_degc: ArrayLike) -> FloatArray:
    """Mean vapour pressure of saturated air over a day.

    Parameters
    ----------
    max_temperature_degc : array_like
        Highest air temperature of the day [degC], -60 to 60.
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.

    Returns
    -------
    ndarray
        Pressure [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The mean of the two ends, which is more than that of the mean temperature: the curve bends upward.

    Examples
    --------
    >>> round(float(vapour_saturation_day(21.5, 12.3)), 4)
    1.9975
    """
    hot = require("max_temperature_degc", max_temperature_degc, -60, 60, "degC")
    cold = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    return np.asarray((vapour_saturation(hot) + vapour_saturation(cold)) / 2)


@equation(
    (
        "(vapour_zero_kpa * exp(vapour_rate * min_temperature_degc / (min_temperature_degc + "
        "vapour_degc)) * max_humidity_share + vapour_zero_kpa * exp(vapour_rate * max_temperature_degc "
        "/ (max_temperature_degc + vapour_degc)) * min_humidity_share) / 2"
    ),
    unit="kPa",
    source="fao56_1998",
    locator="equation 17",
    constants=(_K,),
)
def vapour_from_humidity(
    max_temperature_degc: ArrayLike,
    min_temperature_degc: ArrayLike,
    max_humidity_share: ArrayLike,
    min_humidity_share: ArrayLike,
) -> FloatArray:
    """Vapour pressure of the air from the two ends of humidity and temperature.

    Parameters
    ----------
    max_temperature_degc : array_like
        Highest air temperature of the day [degC], -60 to 60.
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.
    max_humidity_share : array_like
        Highest relative humidity of the day [1], 0 to 1.
    min_humidity_share : array_like
        Lowest relative humidity of the day [1], 0 to 1.

    Returns
    -------
    ndarray
        Pressure [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The air is moistest when it is coldest, near sunrise.

    Examples
    --------
    >>> round(float(vapour_from_humidity(21.5, 12.3, 0.84, 0.63)), 4)
    1.4086
    """
    hot = require("max_temperature_degc", max_temperature_degc, -60, 60, "degC")
    cold = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    wet = require("max_humidity_share", max_humidity_share, 0, 1)
    dry = require("min_humidity_share", min_humidity_share, 0, 1)
    return np.asarray((vapour_saturation(cold) * wet + vapour_saturation(hot) * dry) / 2)


@equation(
    ("vapour_zero_kpa * exp(vapour_rate * min_temperature_degc / (min_temperature_degc + vapour_degc))"),
    unit="kPa",
    source="fao56_1998",
    locator="equation 48",
    constants=(_K,),
)
def vapour_from_minimum(min_temperature_degc: ArrayLike) -> FloatArray:
    """Vapour pressure of the air where no humidity is known.

    Parameters
    ----------
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.

    Returns
    -------
    ndarray
        Pressure [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The dew point is taken as the lowest temperature.  In dry country it lies some degrees lower.

    Examples
    --------
    >>> round(float(vapour_from_minimum(14.8)), 3)
    1.684
    """
    cold = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    return np.asarray(vapour_saturation(cold))


@equation(
    "wind_m_s * wind_a / log(wind_b_m * height_m - wind_c)",
    unit="m/s",
    source="fao56_1998",
    locator="equation 47",
    constants=(_K,),
)
def wind_2_m_over_grass(wind_m_s: ArrayLike, height_m: ArrayLike) -> FloatArray:
    """Wind at 2 m over short grass from a gauge at another height.

    Parameters
    ----------
    wind_m_s : array_like
        Wind at 2 m [m/s], 0 to 50.
    height_m : array_like
        Height of the wind gauge over the ground [m], 0.5 to 200.

    Returns
    -------
    ndarray
        Wind [m/s], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    `wind_m_s` is here the wind at `height_m`.

    Examples
    --------
    >>> round(float(wind_2_m_over_grass(10 / 3.6, 10)), 4)
    2.0776
    """
    u = require("wind_m_s", wind_m_s, 0, 50, "m/s")
    z = require("height_m", height_m, 0.5, 200, "m")
    return np.asarray(u * _K.wind_a / np.log(_K.wind_b_m * z - _K.wind_c))
