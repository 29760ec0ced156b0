"""Ammonia over time along one curve that levels off, after Søgaard and others (2002).

The loss runs as N(t) = Nmax t / (t + Km): Nmax is reached in the end, half of it after the time Km.  Both are products
of factors for soil, weather, slurry and way of spreading.  The factors are recalled, not read; they stand in the table
``ammonia_sogaard``, those of a word in rows ``nmax_<word>`` and ``km_<word>``.

The paper knows one weather for the whole course and covering as a yes or no.  The course in changing weather and the
loss after a delayed covering are our own constructions.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, calibrated, require
from spadework.working import equation

__all__ = [
    "loss_in_weather_sogaard",
    "loss_incorporated_sogaard",
    "loss_michaelis_menten_sogaard",
    "rate_michaelis_menten_sogaard",
    "sogaard_half_time",
    "sogaard_nmax",
]

_K = reference.constants("ammonia_sogaard")
_LONGEST_H = 10_000.0


@equation(
    "minimum(1, nmax_constant * nmax_temperature ** temperature_degc * nmax_wind ** wind_m_s"
    " * nmax_dry_matter ** (100 * dry_matter_share) * nmax_tan ** tan_kg_t * nmax_rate ** dose_t_ha"
    " * wetness_factor * slurry_factor * method_factor * cover_factor * technique_factor)",
    unit="1",
    source="sogaard_2002",
    locator="regression of Nmax",
    constants=(_K,),
)
def sogaard_nmax(
    temperature_degc: ArrayLike,
    wind_m_s: ArrayLike,
    dry_matter_share: ArrayLike,
    tan_kg_t: ArrayLike,
    dose_t_ha: ArrayLike,
    wetness_factor: ArrayLike,
    slurry_factor: ArrayLike,
    method_factor: ArrayLike,
    cover_factor: ArrayLike,
    technique_factor: ArrayLike,
) -> FloatArray:
    """Largest share of the ammoniacal N that is lost in the end.

    Parameters
    ----------
    temperature_degc : array_like
        Air temperature [degC], -30 to 50.
    wind_m_s : array_like
        Wind speed [m/s], 0 to 40.
    dry_matter_share : array_like
        Dry matter of the slurry [1], 0 to 0.25.
    tan_kg_t : array_like
        Ammoniacal N of the slurry [kg/t], 0 to 20.
    dose_t_ha : array_like
        Slurry spread [t/ha], 0 to 500.
    wetness_factor : array_like
        ``soil_dry`` or ``soil_wet`` [1], above 0 to 5.
    slurry_factor : array_like
        ``cattle`` or ``pig`` [1], above 0 to 5.
    method_factor : array_like
        Way of spreading, such as ``trailing_hose`` [1], above 0 to 5.
    cover_factor : array_like
        ``not_incorporated`` or, mixed in at once, ``shallow`` [1], above 0 to 20.
    technique_factor : array_like
        How losses were measured, such as ``mass_balance`` [1], above 0 to 5.

    Returns
    -------
    ndarray
        Largest loss [1], 0 to 1, broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A constant times factors; those of temperature, wind, dry matter, ammoniacal N and dose are raised to that number.
    Dry matter is a fraction here and per cent in the paper.  The product can exceed one; it is then taken as one, which
    the paper does not say, and a note that the model was outside its range goes with the result.

    Closed slots are refused: their factor (row ``refused_nmax_closed_slot``, not ``nmax_closed_slot``) is twice that of
    the open slot, rests on few data and goes against the trials.

    Examples
    --------
    >>> round(float(sogaard_nmax(15, 4, 0.06, 2.0, 30, 1, 1, 1, 11.3, 0.578)), 4)
    0.5961
    """
    temperature, wind, dry, tan, dose = _predictors(temperature_degc, wind_m_s, dry_matter_share, tan_kg_t, dose_t_ha)
    product: FloatArray = (
        _K.nmax_constant
        * _K.nmax_temperature**temperature
        * _K.nmax_wind**wind
        * _K.nmax_dry_matter ** (100 * dry)
        * _K.nmax_tan**tan
        * _K.nmax_rate**dose
        * require("wetness_factor", wetness_factor, 0, 5, above=True)
        * require("slurry_factor", slurry_factor, 0, 5, above=True)
        * require("method_factor", method_factor, 0, 5, above=True)
        * require("cover_factor", cover_factor, 0, 20, above=True)
        * require("technique_factor", technique_factor, 0, 5, above=True)
    )
    calibrated("Ammonia after Søgaard and others 2002", "largest loss, taken as 1 where above,", product, 0, 1)
    return np.minimum(product, 1)


@equation(
    "km_constant * km_temperature ** temperature_degc * km_wind ** wind_m_s * km_dry_matter ** (100 * dry_matter_share)"
    " * km_tan ** tan_kg_t * km_rate ** dose_t_ha * wetness_factor * slurry_factor * technique_factor",
    unit="h",
    source="sogaard_2002",
    locator="regression of Km",
    constants=(_K,),
)
def sogaard_half_time(
    temperature_degc: ArrayLike,
    wind_m_s: ArrayLike,
    dry_matter_share: ArrayLike,
    tan_kg_t: ArrayLike,
    dose_t_ha: ArrayLike,
    wetness_factor: ArrayLike,
    slurry_factor: ArrayLike,
    technique_factor: ArrayLike = 1.0,
) -> FloatArray:
    """Time after which half of the largest loss is gone (Km of the paper).

    Parameters
    ----------
    temperature_degc : array_like
        Air temperature [degC], -30 to 50.
    wind_m_s : array_like
        Wind speed [m/s], 0 to 40.
    dry_matter_share : array_like
        Dry matter of the slurry [1], 0 to 0.25.
    tan_kg_t : array_like
        Ammoniacal N of the slurry [kg/t], 0 to 20.
    dose_t_ha : array_like
        Slurry spread [t/ha], 0 to 500.
    wetness_factor : array_like
        ``soil_dry`` or ``soil_wet`` [1], above 0 to 5.
    slurry_factor : array_like
        ``cattle`` or ``pig`` [1], above 0 to 5.
    technique_factor : array_like
        How losses were measured [1], above 0 to 5; recalled with little confidence, so left out unless given.

    Returns
    -------
    ndarray
        Time of half loss [h], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A product of the same form as that of the largest loss.  No factor for the way of spreading is known here.

    Examples
    --------
    >>> round(float(sogaard_half_time(15, 4, 0.06, 2.0, 30, 1, 1)), 3)
    2.497
    """
    temperature, wind, dry, tan, dose = _predictors(temperature_degc, wind_m_s, dry_matter_share, tan_kg_t, dose_t_ha)
    return np.asarray(
        _K.km_constant
        * _K.km_temperature**temperature
        * _K.km_wind**wind
        * _K.km_dry_matter ** (100 * dry)
        * _K.km_tan**tan
        * _K.km_rate**dose
        * require("wetness_factor", wetness_factor, 0, 5, above=True)
        * require("slurry_factor", slurry_factor, 0, 5, above=True)
        * require("technique_factor", technique_factor, 0, 5, above=True)
    )


@equation("nmax_share * time_h / (time_h + half_time_h)", unit="1", source="sogaard_2002", locator="loss curve")
def loss_michaelis_menten_sogaard(nmax_share: ArrayLike, half_time_h: ArrayLike, time_h: ArrayLike) -> FloatArray:
    """Share of the ammoniacal N lost up to a time, in weather that stays the same.

    Parameters
    ----------
    nmax_share : array_like
        Largest loss [1], 0 to 1.
    half_time_h : array_like
        Time of half loss [h], above 0 to 10,000.
    time_h : array_like
        Time since spreading [h], 0 to 10,000.

    Returns
    -------
    ndarray
        Loss [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> loss_michaelis_menten_sogaard(0.6, 2.5, [0, 2.5, 22.5]).round(3).tolist()
    [0.0, 0.3, 0.54]
    """
    largest, half, time = _curve(nmax_share, half_time_h, time_h)
    return np.asarray(largest * time / (time + half))


@equation(
    "nmax_share * half_time_h / (time_h + half_time_h) ** 2", unit="1/h", source="sogaard_2002", locator="rate of loss"
)
def rate_michaelis_menten_sogaard(nmax_share: ArrayLike, half_time_h: ArrayLike, time_h: ArrayLike) -> FloatArray:
    """Loss per hour at a time, in weather that stays the same.

    Parameters
    ----------
    nmax_share : array_like
        Largest loss [1], 0 to 1.
    half_time_h : array_like
        Time of half loss [h], above 0 to 10,000.
    time_h : array_like
        Time since spreading [h], 0 to 10,000.

    Returns
    -------
    ndarray
        Rate, share of the ammoniacal N spread per hour [1/h], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(rate_michaelis_menten_sogaard(0.6, 2.5, 0)), 3)
    0.24
    """
    largest, half, time = _curve(nmax_share, half_time_h, time_h)
    return np.asarray(largest * half / (time + half) ** 2)


@equation(
    "the loss after the last hour; each hour follows its own curve, nmax_share t / (t + half_time_h), from the t at "
    "which that curve has the loss so far to t + 1; nothing is lost in an hour whose largest loss is passed already",
    unit="1",
    source="choice",
    in_words=True,
)
def loss_in_weather_sogaard(nmax_share: ArrayLike, half_time_h: ArrayLike) -> FloatArray:
    """Share of the ammoniacal N lost hour by hour in changing weather.

    Parameters
    ----------
    nmax_share : array_like
        Largest loss in the weather of each hour [1], 0 to 1; hours along the last axis.
    half_time_h : array_like
        Time of half loss in the weather of each hour [h], above 0 to 10,000; hours along the last axis.

    Returns
    -------
    ndarray
        Loss up to the end of each hour [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Our own construction; the paper has one weather for the whole course.  With g the loss still to come on the curve of
    the hour, Nmax less the loss so far, an hour brings g to g / (1 + g / (Nmax Km)).  In constant weather this is the
    curve of the paper exactly.

    Examples
    --------
    >>> loss_in_weather_sogaard([0.6, 0.6, 0.2], 2.0).round(3).tolist()
    [0.2, 0.3, 0.3]
    """
    largest, half, _ = _curve(nmax_share, half_time_h, 0.0)
    largest, half = np.broadcast_arrays(np.atleast_1d(largest), np.atleast_1d(half))
    course = np.empty(largest.shape)
    lost = np.zeros(largest.shape[:-1])
    for hour in range(largest.shape[-1]):
        top = largest[..., hour]
        to_come = np.maximum(top - lost, 0)
        scale = np.where(to_come > 0, top * half[..., hour], 1)
        lost = lost + to_come * (to_come / (scale + to_come))
        course[..., hour] = lost
    return course


@equation(
    "nmax_share * (delay_h / (delay_h + half_time_h)"
    " + (1 - delay_h / (delay_h + half_time_h)) * (1 - abatement_now_share))",
    unit="1",
    source="choice",
)
def loss_incorporated_sogaard(
    nmax_share: ArrayLike, half_time_h: ArrayLike, delay_h: ArrayLike, abatement_now_share: ArrayLike
) -> FloatArray:
    """Share of the ammoniacal N lost in the end from slurry covered after a delay.

    Parameters
    ----------
    nmax_share : array_like
        Largest loss of slurry left lying [1], 0 to 1.
    half_time_h : array_like
        Time of half loss [h], above 0 to 10,000.
    delay_h : array_like
        Time from spreading to covering [h], 0 to 10,000.
    abatement_now_share : array_like
        What covering with this implement saves where it follows at once [1], 0 to 1.

    Returns
    -------
    ndarray
        Loss in the end [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Our own construction: the curve runs until covering, and covering saves its share of what was still to come.  The
    paper has covering as a yes or no without a time.  The shares stand in ``ammonia_abatement_unece``.

    Examples
    --------
    >>> loss_incorporated_sogaard(0.6, 2.5, [0, 2.5], 0.90).round(3).tolist()
    [0.06, 0.33]
    """
    largest, half, delay = _curve(nmax_share, half_time_h, delay_h, "delay_h")
    gone = delay / (delay + half)
    return np.asarray(largest * (gone + (1 - gone) * (1 - require("abatement_now_share", abatement_now_share, 0, 1))))


def _predictors(
    temperature_degc: ArrayLike,
    wind_m_s: ArrayLike,
    dry_matter_share: ArrayLike,
    tan_kg_t: ArrayLike,
    dose_t_ha: ArrayLike,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:
    return (
        require("temperature_degc", temperature_degc, -30, 50, "degC"),
        require("wind_m_s", wind_m_s, 0, 40, "m/s"),
        require("dry_matter_share", dry_matter_share, 0, 0.25),
        require("tan_kg_t", tan_kg_t, 0, 20, "kg/t"),
        require("dose_t_ha", dose_t_ha, 0, 500, "t/ha"),
    )


def _curve(
    nmax_share: ArrayLike, half_time_h: ArrayLike, time_h: ArrayLike, time_name: str = "time_h"
) -> tuple[FloatArray, FloatArray, FloatArray]:
    return (
        require("nmax_share", nmax_share, 0, 1),
        require("half_time_h", half_time_h, 0, _LONGEST_H, "h", above=True),
        require(time_name, time_h, 0, _LONGEST_H, "h"),
    )
