"""Fuel: what the engine burns at work, in the turn, on the road and standing, and what that makes per hectare.

Three equations of the same line of American work stand side by side: by load and engine speed, by load alone in the
older and more cautious form, and an average over the year.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, calibrated, require
from spadework.working import equation

__all__ = [
    "TractorTooSmall",
    "fuel_per_hectare",
    "fuel_rate_asae_d497_4",
    "fuel_rate_average_asae_ep496",
    "fuel_rate_grisso_2004",
    "fuel_rate_idle",
    "lubricating_oil_rate_asae_ep496",
]

_K = reference.constants("fuel_grisso")
_OLD = reference.constants("fuel_asae_d497_4")
_YEAR = reference.constants("fuel_average_asae_ep496")
_ROUNDING = 1e-9


class TractorTooSmall(ImpossibleValue):
    """A load above the tractor's rated power: there is no fuel use to state, only a larger tractor or a slower pass."""

    def __init__(self, load: float) -> None:
        super().__init__("load_share", f"{load:.6g}", 0, 1, "")
        self.load = load

    def __str__(self) -> str:
        return (
            f"{super().__str__()}: the tractor is too small for this pass; "
            f"it takes {self.load:.6g} times its rated power, or a lower speed"
        )


def _load(load_share: ArrayLike) -> FloatArray:
    load = require("load_share", load_share, 0, 1e6)
    if (load > 1).any():
        raise TractorTooSmall(float(load.max()))
    return load


@equation(
    "(k_load * load_share + k_rest)"
    " * (1 - (k_cross * load_share * speed_reduction_pct + k_slow * speed_reduction_pct)) * rated_pto_kw",
    unit="L/h",
    source="grisso_2004",
    locator="equation for full and partial throttle",
    constants=(_K,),
)
def fuel_rate_grisso_2004(load_share: ArrayLike, rated_pto_kw: ArrayLike, speed_reduction_pct: ArrayLike) -> FloatArray:
    """Diesel use by load and engine speed.

    Parameters
    ----------
    load_share : array_like
        Needed per rated power at the power take-off [1], 0 to 1; noted below 0.2.
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.
    speed_reduction_pct : array_like
        Engine speed taken off the speed at full throttle [%], 0 to 100 (1 - load): a slower engine cannot give more.

    Returns
    -------
    FloatArray
        Diesel [L/h], in the broadcast shape of the arguments.

    Raises
    ------
    TractorTooSmall
        If a load is above 1.
    ImpossibleValue
        If another argument lies outside its range, or the slowed engine cannot carry the load.

    Notes
    -----
    Q = (0.22 X + 0.096) (1 - (-0.0045 X N + 0.00877 N)) P, Grisso, Kocher & Vaughan (2004); the same in substance as
    the current issue of ASAE D497.  The limit on N is our own guard: power is taken to fall in proportion to engine
    speed.

    Examples
    --------
    >>> float(round(fuel_rate_grisso_2004(0.75, 120, 0), 2)), float(round(fuel_rate_grisso_2004(0.75, 120, 10), 2))
    (31.32, 29.63)
    """
    load = _load(load_share)
    rated = require("rated_pto_kw", rated_pto_kw, 0, 2000, "kW", above=True)
    slower = require("speed_reduction_pct", speed_reduction_pct, 0, 100, "%")
    load, slower = np.broadcast_arrays(load, slower)
    beyond = load > 1 - slower / 100 + _ROUNDING
    if beyond.any():
        first_load, first = float(load[beyond].flat[0]), float(slower[beyond].flat[0])
        raise ImpossibleValue(
            "speed_reduction_pct", f"{first:.6g} at a load_share of {first_load:.6g},", 0, 100 * (1 - first_load), "%"
        )
    calibrated("fuel by load, Grisso 2004", "engine load", load, _K.load_share_least, 1)
    throttle = 1 - (_K.k_cross * load * slower + _K.k_slow * slower)
    return (_K.k_load * load + _K.k_rest) * throttle * rated


@equation(
    "(k_linear * load_share + k_level - k_root * sqrt(k_root_load * load_share + k_root_level))"
    " * load_share * rated_pto_kw",
    unit="L/h",
    source="asae_d497_4",
    locator="fuel efficiency of diesel engines",
    constants=(_OLD,),
)
def fuel_rate_asae_d497_4(load_share: ArrayLike, rated_pto_kw: ArrayLike) -> FloatArray:
    """Diesel use by load, in the older form with its surcharge for the field.

    Parameters
    ----------
    load_share : array_like
        Needed per rated power at the power take-off [1], 0 to 1; noted below 0.2.
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.

    Returns
    -------
    FloatArray
        Diesel [L/h], in the broadcast shape of the arguments.

    Raises
    ------
    TractorTooSmall
        If a load is above 1.
    ImpossibleValue
        If another argument lies outside its range.

    Notes
    -----
    Specific use 2.64 X + 3.91 - 0.203 sqrt(738 X + 173) in L/kWh (ASAE D497.4), times the power used.  It holds about
    15 % more than tractor tests showed, and older engines.

    Examples
    --------
    >>> float(round(fuel_rate_asae_d497_4(0.75, 120), 2))
    37.66
    """
    load = _load(load_share)
    rated = require("rated_pto_kw", rated_pto_kw, 0, 2000, "kW", above=True)
    calibrated("fuel by load, ASAE D497.4", "engine load", load, _K.load_share_least, 1)
    specific = _OLD.k_linear * load + _OLD.k_level - _OLD.k_root * np.sqrt(_OLD.k_root_load * load + _OLD.k_root_level)
    return specific * load * rated


@equation(
    "k_average * rated_pto_kw",
    unit="L/h",
    source="grisso_note",
    locator="clause 6.3.2.1 of EP496.3",
    constants=(_YEAR,),
)
def fuel_rate_average_asae_ep496(rated_pto_kw: ArrayLike) -> FloatArray:
    """Diesel use of a tractor on the average of a year's work.

    Parameters
    ----------
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.

    Returns
    -------
    FloatArray
        Diesel [L/h], in the shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the argument lies outside its range.

    Notes
    -----
    0.223 L/h per rated kW, EP496.3 as quoted second-hand.  Too low for heavy tillage: for a year's fuel bill only.

    Examples
    --------
    >>> float(round(fuel_rate_average_asae_ep496(120), 2))
    26.76
    """
    return _YEAR.k_average * require("rated_pto_kw", rated_pto_kw, 0, 2000, "kW", above=True)


@equation("idle_l_h_per_kw * rated_pto_kw", unit="L/h", source="common_practice", locator="low idle")
def fuel_rate_idle(rated_pto_kw: ArrayLike, idle_l_h_per_kw: ArrayLike) -> FloatArray:
    """Diesel use of a tractor standing at low idle.

    Parameters
    ----------
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.
    idle_l_h_per_kw : array_like
        Diesel at low idle per rated power [L/kWh], 0 to 0.2; table ``field_work``.

    Returns
    -------
    FloatArray
        Diesel [L/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Common practice, no source.  A stopped engine burns nothing; say so in the plan by a standing time of nil.

    Examples
    --------
    >>> float(round(fuel_rate_idle(120, 0.025), 2))
    3.0
    """
    rated = require("rated_pto_kw", rated_pto_kw, 0, 2000, "kW", above=True)
    return require("idle_l_h_per_kw", idle_l_h_per_kw, 0, 0.2, "L/kWh") * rated


@equation(
    "work_l_h * work_h_ha + turn_l_h * turn_h_ha + road_l_h * road_h_ha + stand_l_h * stand_h_ha",
    unit="L/ha",
    source="choice",
    locator="sum over the parts of field time",
)
def fuel_per_hectare(
    work_l_h: ArrayLike,
    work_h_ha: ArrayLike,
    turn_l_h: ArrayLike,
    turn_h_ha: ArrayLike,
    road_l_h: ArrayLike,
    road_h_ha: ArrayLike,
    stand_l_h: ArrayLike,
    stand_h_ha: ArrayLike,
) -> FloatArray:
    """Diesel per hectare from the fuel and time of working, turning, driving on the road and standing.

    Parameters
    ----------
    work_l_h : array_like
        Diesel while the tools work [L/h], 0 to 600.
    work_h_ha : array_like
        Time at work [h/ha], 0 to 100.
    turn_l_h : array_like
        Diesel in the turn [L/h], 0 to 600.
    turn_h_ha : array_like
        Time in the turn [h/ha], 0 to 100.
    road_l_h : array_like
        Diesel on the road between store and field [L/h], 0 to 600.
    road_h_ha : array_like
        Time on that road [h/ha], 0 to 100.
    stand_l_h : array_like
        Diesel while standing with the engine running [L/h], 0 to 600.
    stand_h_ha : array_like
        Time standing [h/ha], 0 to 100.

    Returns
    -------
    FloatArray
        Diesel [L/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Fuel at full work divided by the work rate would charge full load to turning and filling as well; the parts are
    kept apart here so that this does not happen.

    Examples
    --------
    >>> float(round(fuel_per_hectare(28.1, 0.714, 16, 0.08, 0, 0, 3, 0.05), 2))
    21.49
    """
    total = np.zeros(())
    parts = (
        ("work", work_l_h, work_h_ha),
        ("turn", turn_l_h, turn_h_ha),
        ("road", road_l_h, road_h_ha),
        ("stand", stand_l_h, stand_h_ha),
    )
    for name, rate, time in parts:
        burnt = require(f"{name}_l_h", rate, 0, 600, "L/h") * require(f"{name}_h_ha", time, 0, 100, "h/ha")
        total = total + burnt
    return total


@equation(
    "oil_per_kw * engine_kw + oil_rest",
    unit="L/h",
    source="asae_ep496",
    locator="lubricating oil of diesel engines",
    constants=(_YEAR,),
)
def lubricating_oil_rate_asae_ep496(engine_kw: ArrayLike) -> FloatArray:
    """Engine oil that a diesel tractor uses.

    Parameters
    ----------
    engine_kw : array_like
        Rated engine power [kW], above 0 to 2000.

    Returns
    -------
    FloatArray
        Engine oil [L/h], in the shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the argument lies outside its range.

    Notes
    -----
    0.00059 P + 0.02169, EP496.3, from memory.  A rival to a share of the fuel cost
    (see :mod:`~spadework.science.machinery.cost.hourly`).

    Examples
    --------
    >>> float(round(lubricating_oil_rate_asae_ep496(140), 3))
    0.104
    """
    return _YEAR.oil_per_kw * require("engine_kw", engine_kw, 0, 2000, "kW", above=True) + _YEAR.oil_rest
