"""Ammonia over time from two pools, open and soaked-in slurry, after Hafner and others (2019).

Of the ammoniacal N spread a share f0 lies open.  From there it goes to the air at the rate r1 and into the soil at r2;
what has soaked in goes to the air at the slow rate r3.  Covering leaves the share f4 of what lies open where it is,
moves the rest into the soil and lowers r3.  Within an hour rates are constant and the solution is exact.

The coefficients are recalled, not read, and the range of slurries and weather behind them is not at hand.  They stand
in the table ``ammonia_hafner``; terms go by trade word: ``f0_<word>`` (way of spreading, kind of slurry), ``r1_<word>``
(way of spreading), ``r3_<word>`` (way of spreading, covering) and ``f4_<word>`` (covering).  Covering is ``shallow``
(harrow, disc, cultivator) or ``deep`` (mouldboard plough).
"""

from __future__ import annotations

from math import log

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "hafner_f0",
    "hafner_f4",
    "hafner_r1",
    "hafner_r1_centre",
    "hafner_r2",
    "hafner_r3",
    "two_pool_step",
    "wind_at_2_m",
]

_K = reference.constants("ammonia_hafner")
_TINY = 1e-300


@equation(
    "1 / (1 + exp(-(f0_intercept + method_term + slurry_term + (1 - in_slot) * f0_rate * (dose_t_ha - centre_rate)"
    " + f0_dry_matter * (100 * dry_matter_share - centre_dry_matter))))",
    unit="1",
    source="hafner_2019",
    locator="f0",
    constants=(_K,),
)
def hafner_f0(
    dose_t_ha: ArrayLike,
    dry_matter_share: ArrayLike,
    method_term: ArrayLike,
    slurry_term: ArrayLike,
    in_slot: ArrayLike,
) -> FloatArray:
    """Share of the ammoniacal N that lies open right after spreading.

    Parameters
    ----------
    dose_t_ha : array_like
        Slurry spread [t/ha], 0 to 500.
    dry_matter_share : array_like
        Dry matter of the slurry [1], 0 to 0.25.
    method_term : array_like
        Row ``f0_<way of spreading>`` [1], -20 to 20.
    slurry_term : array_like
        Row ``f0_<kind of slurry>`` [1], -20 to 20.
    in_slot : array_like
        1 for open and closed slots, where the dose does not count, else 0 [1], 0 to 1.

    Returns
    -------
    ndarray
        Share [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(hafner_f0(40, 0.06, 0, 0, 0)), 4)
    0.353
    """
    dose = require("dose_t_ha", dose_t_ha, 0, 500, "t/ha") - _K.centre_rate
    dry = 100 * require("dry_matter_share", dry_matter_share, 0, 0.25) - _K.centre_dry_matter
    logit = _K.f0_intercept + _term("method_term", method_term) + _term("slurry_term", slurry_term)
    counts = 1 - require("in_slot", in_slot, 0, 1)
    return _share(logit + counts * _K.f0_rate * dose + _K.f0_dry_matter * dry)


@equation(
    "10 ** (r1_intercept + method_term + r1_dry_matter * (100 * dry_matter_share - centre_dry_matter)"
    " + r1_ph * (ph - centre_ph))",
    unit="1/h",
    source="hafner_2019",
    locator="r1",
    constants=(_K,),
)
def hafner_r1_centre(dry_matter_share: ArrayLike, ph: ArrayLike, method_term: ArrayLike) -> FloatArray:
    """Rate of loss from open slurry in the central weather of the data, 13 degC and 2.7 m/s.

    Parameters
    ----------
    dry_matter_share : array_like
        Dry matter of the slurry [1], 0 to 0.25.
    ph : array_like
        pH of the slurry [1], 4 to 10.
    method_term : array_like
        Row ``r1_<way of spreading>`` [1], -20 to 20.

    Returns
    -------
    ndarray
        Rate [1/h], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The term for crop height with a trailing shoe is left out: its unit is not certain, and on the bare ground before
    maize it falls away (row ``refused_r1_crop_height_shoe``).

    Examples
    --------
    >>> round(float(hafner_r1_centre(0.06, 7.5, 0)), 5)
    0.11503
    """
    dry = 100 * require("dry_matter_share", dry_matter_share, 0, 0.25) - _K.centre_dry_matter
    power = _K.r1_intercept + _term("method_term", method_term) + _K.r1_dry_matter * dry
    return np.asarray(10 ** (power + _K.r1_ph * (require("ph", ph, 4, 10) - _K.centre_ph)))


@equation(
    "r1_centre_per_h"
    " * 10 ** (r1_temperature * (temperature_degc - centre_temperature) + r1_wind * (wind_m_s - centre_wind))",
    unit="1/h",
    source="hafner_2019",
    locator="r1",
    constants=(_K,),
)
def hafner_r1(r1_centre_per_h: ArrayLike, temperature_degc: ArrayLike, wind_m_s: ArrayLike) -> FloatArray:
    """Rate of loss from open slurry in a given weather.

    Parameters
    ----------
    r1_centre_per_h : array_like
        Rate in the central weather [1/h], 0 to 1000.
    temperature_degc : array_like
        Air temperature [degC], -30 to 50.
    wind_m_s : array_like
        Wind at 2 m above the ground [m/s], 0 to 40.

    Returns
    -------
    ndarray
        Rate [1/h], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(hafner_r1(0.115, 20, 4.0)), 3)
    0.59
    """
    return np.asarray(_rate("r1_centre_per_h", r1_centre_per_h) * _weather(*_air(temperature_degc, wind_m_s)))


@equation("10 ** (r2_intercept + r2_rain * rain_mm_h)", unit="1/h", source="hafner_2019", locator="r2", constants=(_K,))
def hafner_r2(rain_mm_h: ArrayLike) -> FloatArray:
    """Rate at which open slurry soaks in.

    Parameters
    ----------
    rain_mm_h : array_like
        Rain [mm/h], 0 to 200.

    Returns
    -------
    ndarray
        Rate [1/h], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the rain lies outside its range.

    Examples
    --------
    >>> hafner_r2([0, 2]).round(4).tolist()
    [0.0159, 0.0975]
    """
    return _soaking(require("rain_mm_h", rain_mm_h, 0, 200, "mm/h"))


@equation(
    "10 ** (r3_intercept + method_term + cover_term + r3_ph * (ph - centre_ph))",
    unit="1/h",
    source="hafner_2019",
    locator="r3",
    constants=(_K,),
)
def hafner_r3(ph: ArrayLike, method_term: ArrayLike, cover_term: ArrayLike) -> FloatArray:
    """Rate of loss from slurry that has soaked in or was covered.

    Parameters
    ----------
    ph : array_like
        pH of the slurry [1], 4 to 10.
    method_term : array_like
        Row ``r3_<way of spreading>`` [1], -20 to 20.
    cover_term : array_like
        0 before, row ``r3_<covering>`` after covering [1], -20 to 20.

    Returns
    -------
    ndarray
        Rate [1/h], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(hafner_r3(7.5, 0, 0)), 6)
    0.000591
    """
    power = _K.r3_intercept + _term("method_term", method_term) + _term("cover_term", cover_term)
    return np.asarray(10 ** (power + _K.r3_ph * (require("ph", ph, 4, 10) - _K.centre_ph)))


@equation("1 / (1 + exp(-cover_term))", unit="1", source="hafner_2019", locator="f4")
def hafner_f4(cover_term: ArrayLike) -> FloatArray:
    """Share of the open slurry that stays open when it is covered.

    Parameters
    ----------
    cover_term : array_like
        Row ``f4_<covering>`` [1], -20 to 20.

    Returns
    -------
    ndarray
        Share [1], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the term lies outside its range.

    Examples
    --------
    >>> round(float(hafner_f4(-0.9650)), 3)
    0.276
    """
    return _share(_term("cover_term", cover_term))


@equation("wind_m_s * log(2 / roughness_m) / log(height_m / roughness_m)", unit="m/s", source="physics")
def wind_at_2_m(wind_m_s: ArrayLike, height_m: ArrayLike, roughness_m: ArrayLike) -> FloatArray:
    """Wind 2 m above bare ground from wind measured at another height.

    Parameters
    ----------
    wind_m_s : array_like
        Wind where it was measured [m/s], 0 to 60.
    height_m : array_like
        Height of the measurement above the ground [m], 0.5 to 200.
    roughness_m : array_like
        Roughness length of the ground [m], 0.00001 to 0.25.

    Returns
    -------
    ndarray
        Wind at 2 m [m/s], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Logarithmic profile of neutral air, counted from the ground: for bare soil and low stubble, not over a crop.  A value
    for bare soil stands in ``ammonia_hafner``, row ``roughness_bare_soil``; it is our own choice.

    Examples
    --------
    >>> round(float(wind_at_2_m(5.0, 10, 0.01)), 2)
    3.84
    """
    wind = require("wind_m_s", wind_m_s, 0, 60, "m/s")
    height = require("height_m", height_m, 0.5, 200, "m")
    roughness = require("roughness_m", roughness_m, 1e-5, 0.25, "m")
    return np.asarray(wind * np.log(2 / roughness) / np.log(height / roughness))


@equation(
    "open: fast_share exp(-(r1_per_h + r2_per_h) time_h); soaked in: slow_share exp(-r3_per_h time_h) + fast_share "
    "r2_per_h (exp(-r3_per_h time_h) - exp(-(r1_per_h + r2_per_h) time_h)) / (r1_per_h + r2_per_h - r3_per_h)",
    unit="1",
    source="hafner_2019",
    locator="solution of the two pools",
    in_words=True,
)
def two_pool_step(
    fast_share: ArrayLike,
    slow_share: ArrayLike,
    r1_per_h: ArrayLike,
    r2_per_h: ArrayLike,
    r3_per_h: ArrayLike,
    time_h: ArrayLike,
) -> tuple[FloatArray, FloatArray]:
    """Carry the open and the soaked-in part over a time with constant rates.

    Parameters
    ----------
    fast_share : array_like
        Ammoniacal N lying open, share of what was spread [1], 0 to 1.
    slow_share : array_like
        Ammoniacal N soaked in, share of what was spread [1], 0 to 1.
    r1_per_h : array_like
        Loss from open slurry [1/h], 0 to 1e6.
    r2_per_h : array_like
        Soaking in [1/h], 0 to 1e6.
    r3_per_h : array_like
        Loss from soaked-in slurry [1/h], 0 to 1e6.
    time_h : array_like
        Length of time [h], 0 to 10,000.

    Returns
    -------
    tuple of ndarray
        Open and soaked-in part at the end [1], broadcast shape of the arguments; what is missing was lost to the air.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Exact.  Where r1 + r2 and r3 are equal, or nearly so, the quotient goes over into its limit without a jump.

    Examples
    --------
    >>> fast, slow = two_pool_step(0.35, 0.65, 0.115, 0.016, 0.0006, 24)
    >>> round(float(1 - fast - slow), 3)
    0.304
    """
    return _step(
        require("fast_share", fast_share, 0, 1),
        require("slow_share", slow_share, 0, 1),
        require("r1_per_h", r1_per_h, 0, 1e6, "1/h"),
        require("r2_per_h", r2_per_h, 0, 1e6, "1/h"),
        require("r3_per_h", r3_per_h, 0, 1e6, "1/h"),
        require("time_h", time_h, 0, 10_000, "h"),
    )


def _step(
    fast: FloatArray, slow: FloatArray, r1: FloatArray, r2: FloatArray, r3: FloatArray, time: FloatArray
) -> tuple[FloatArray, FloatArray]:
    leaving = r1 + r2
    apart = np.abs(leaving - r3) * time + _TINY
    passing = time * np.exp(-np.minimum(leaving, r3) * time) * (-np.expm1(-apart) / apart)
    return np.asarray(fast * np.exp(-leaving * time)), np.asarray(slow * np.exp(-r3 * time) + fast * r2 * passing)


def _air(temperature_degc: ArrayLike, wind_m_s: ArrayLike) -> tuple[FloatArray, FloatArray]:
    return require("temperature_degc", temperature_degc, -30, 50, "degC"), require("wind_m_s", wind_m_s, 0, 40, "m/s")


def _weather(temperature: FloatArray, wind: FloatArray) -> FloatArray:
    power = _K.r1_temperature * (temperature - _K.centre_temperature) + _K.r1_wind * (wind - _K.centre_wind)
    return np.asarray(np.exp(log(10) * power))


def _soaking(rain: FloatArray) -> FloatArray:
    return np.asarray(np.exp(log(10) * (_K.r2_intercept + _K.r2_rain * rain)))


def _rate(parameter: str, value: ArrayLike) -> FloatArray:
    return require(parameter, value, 0, 1000, "1/h")


def _term(parameter: str, value: ArrayLike) -> FloatArray:
    return require(parameter, value, -20, 20)


def _share(logit: FloatArray) -> FloatArray:
    return np.asarray(1 / (1 + np.exp(-logit)))
