"""Slurry through a hose dragged behind the outfit: speed, rate, time, pull and cost.

No tanker stands on the field, and none runs on the road; the flow of the line takes the place of loads.  A line under
pressure can whip when it bursts or is uncoupled: keep people away from it, let the pressure off first, watch the whole
length for leaks, and follow the maker's and local rules.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["hose_drag", "hose_mass", "hose_rate", "hose_speed", "hose_time", "umbilical_cost"]

_K = reference.constants("physics")


@equation("10 * flow_m3_h / (width_m * dose_m3_ha)", unit="km/h", source="physics", locator="volume per area")
def hose_speed(flow_m3_h: ArrayLike, width_m: ArrayLike, dose_m3_ha: ArrayLike) -> FloatArray:
    """Speed at which the flow of the line makes the dose.

    Parameters
    ----------
    flow_m3_h : array_like
        Flow [m3/h], above 0 to 1200.
    width_m : array_like
        Effective width [m], above 0 to 60.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.

    Returns
    -------
    FloatArray
        Speed [km/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    ``speed_for_dose`` for a flow by the hour.  A speed too slow for the tractor or too fast for the tools means another
    width, dose or flow.

    Examples
    --------
    >>> float(hose_speed(120, 6, 40))
    5.0
    """
    flow = require("flow_m3_h", flow_m3_h, 0, 1200, "m3/h", above=True)
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return 10 * flow / (width * require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True))


@equation(
    "minimum(flow_m3_h / dose_m3_ha, 1 / spread_h_ha)", unit="ha/h", source="physics", locator="the slower of the two"
)
def hose_rate(flow_m3_h: ArrayLike, dose_m3_ha: ArrayLike, spread_h_ha: ArrayLike) -> FloatArray:
    """Rate of work behind a hose, once it is laid.

    Parameters
    ----------
    flow_m3_h : array_like
        Flow, stops at the headland included [m3/h], above 0 to 1200.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.
    spread_h_ha : array_like
        Working, turning and lost time at the speed that the tools allow [h/ha], above 0 to 100.

    Returns
    -------
    FloatArray
        Rate of work [ha/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    What the flow covers or what the tools can do, whichever is less.

    Examples
    --------
    >>> hose_rate([120, 60], 40, 0.4).tolist()
    [2.5, 1.5]
    """
    flow = require("flow_m3_h", flow_m3_h, 0, 1200, "m3/h", above=True)
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)
    return np.minimum(flow / dose, 1 / require("spread_h_ha", spread_h_ha, 0, 100, "h/ha", above=True))


@equation("1 / work_rate_ha_h + setup_h / area_ha", unit="h/ha", source="physics", locator="sum of times")
def hose_time(work_rate_ha_h: ArrayLike, setup_h: ArrayLike, area_ha: ArrayLike) -> FloatArray:
    """Time per area with laying and lifting of the hose.

    Parameters
    ----------
    work_rate_ha_h : array_like
        Rate of work once the hose lies [ha/h], above 0 to 100.
    setup_h : array_like
        Laying and lifting [h], 0 to 240.
    area_ha : array_like
        Area served by one laying [ha], above 0 to 10000.

    Returns
    -------
    FloatArray
        Time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A small field can take longer to lay than to spread.

    Examples
    --------
    >>> round(float(hose_time(2.5, 2, 10)), 2), round(float(hose_time(2.5, 2, 2)), 2)
    (0.6, 1.4)
    """
    rate = require("work_rate_ha_h", work_rate_ha_h, 0, 100, "ha/h", above=True)
    setup = require("setup_h", setup_h, 0, 240, "h")
    return 1 / rate + setup / require("area_ha", area_ha, 0, 10_000, "ha", above=True)


@equation(
    "empty_kg_m + pi / 4 * (diameter_mm / 1000) ** 2 * 1000 * density_t_m3",
    unit="kg/m",
    source="physics",
    locator="hose and what fills it",
)
def hose_mass(empty_kg_m: ArrayLike, diameter_mm: ArrayLike, density_t_m3: ArrayLike) -> FloatArray:
    """Mass of a metre of full hose.

    Parameters
    ----------
    empty_kg_m : array_like
        Hose without slurry [kg/m], 0 to 50.
    diameter_mm : array_like
        Bore [mm], above 0 to 500.
    density_t_m3 : array_like
        Density of the slurry [t/m3], 0.8 to 1.3.

    Returns
    -------
    FloatArray
        Mass [kg/m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A round bore, wholly full; the hose does not widen under pressure.

    Examples
    --------
    >>> float(round(hose_mass(1.5, 125, 1.02), 2))
    14.02
    """
    empty = require("empty_kg_m", empty_kg_m, 0, 50, "kg/m")
    bore = require("diameter_mm", diameter_mm, 0, 500, "mm", above=True) / 1000
    return empty + np.pi / 4 * bore**2 * 1000 * require("density_t_m3", density_t_m3, 0.8, 1.3, "t/m3")


@equation(
    "length_m * dragged_share * mass_kg_m * g_n * friction_share / 1000",
    unit="kN",
    source="physics",
    locator="sliding friction",
    constants=(_K,),
)
def hose_drag(
    length_m: ArrayLike, dragged_share: ArrayLike, mass_kg_m: ArrayLike, friction_share: ArrayLike
) -> FloatArray:
    """Mean pull of the hose behind the outfit.

    Parameters
    ----------
    length_m : array_like
        Hose that can be dragged over the field [m], 0 to 3000.
    dragged_share : array_like
        Share of it that moves, on the average of a field [1], 0 to 1; table ``slurry_supply``.
    mass_kg_m : array_like
        Full hose [kg/m], 0 to 300.
    friction_share : array_like
        Pull per weight [1], 0 to 2; table ``slurry_supply``.

    Returns
    -------
    FloatArray
        Pull [kN], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Level ground.  Share and friction are our own choices; wet grass pulls lighter than dry clods.

    Examples
    --------
    >>> float(round(hose_drag(200, 0.5, 14.02, 0.5), 2))
    6.87
    """
    moved = require("length_m", length_m, 0, 3000, "m") * require("dragged_share", dragged_share, 0, 1)
    weight = moved * require("mass_kg_m", mass_kg_m, 0, 300, "kg/m") * _K.g_n
    return weight * require("friction_share", friction_share, 0, 2) / 1000


@equation(
    "setup_h * setup_eur_h / area_ha + dose_m3_ha / flow_m3_h * pumping_eur_h",
    unit="EUR/ha",
    source="physics",
    locator="sum of costs",
)
def umbilical_cost(
    setup_h: ArrayLike,
    setup_eur_h: ArrayLike,
    area_ha: ArrayLike,
    dose_m3_ha: ArrayLike,
    flow_m3_h: ArrayLike,
    pumping_eur_h: ArrayLike,
) -> FloatArray:
    """Cost of slurry through an umbilical hose at hourly rates.

    Parameters
    ----------
    setup_h : array_like
        Laying and lifting the hose [h], 0 to 240.
    setup_eur_h : array_like
        Rate for it [EUR/h], 0 to 10000.
    area_ha : array_like
        Area served by one laying [ha], above 0 to 10000.
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    flow_m3_h : array_like
        Flow [m3/h], above 0 to 1200.
    pumping_eur_h : array_like
        Rate for pumping and spreading [EUR/h], 0 to 10000.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Set-up shared over the area, pumping by the hour.

    Examples
    --------
    >>> float(umbilical_cost(2, 100, 10, 40, 100, 140))
    76.0
    """
    setup = require("setup_h", setup_h, 0, 240, "h") * require("setup_eur_h", setup_eur_h, 0, 10_000, "EUR/h")
    area = require("area_ha", area_ha, 0, 10_000, "ha", above=True)
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    flow = require("flow_m3_h", flow_m3_h, 0, 1200, "m3/h", above=True)
    return setup / area + dose / flow * require("pumping_eur_h", pumping_eur_h, 0, 10_000, "EUR/h")
