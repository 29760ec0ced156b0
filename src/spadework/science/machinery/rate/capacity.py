"""Capacity: rate of work from speed and width, and the field efficiency behind it.

Field efficiency is what a machine gets done against what it would at full width without a stop.  It leaves out the way
to the field, daily service and large repairs.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "field_capacity",
    "field_efficiency",
    "field_efficiency_from_times",
    "material_capacity",
    "work_rate",
]


@equation("speed_km_h * width_m * efficiency_share / 10", unit="ha/h", source="srivastava_2006", locator="eq. 15.1")
def field_capacity(speed_km_h: ArrayLike, width_m: ArrayLike, efficiency_share: ArrayLike) -> FloatArray:
    """Rate of work from speed, width and field efficiency.

    Parameters
    ----------
    speed_km_h : array_like
        Speed at work [km/h], 0 to 60.
    width_m : array_like
        Working width [m], above 0 to 60.
    efficiency_share : array_like
        Field efficiency [1], 0 to 1; table ``field_speed_efficiency``.

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
    Ca = v w eta / 10, eq. 15.1 of Srivastava et al. (2006).

    Examples
    --------
    >>> float(round(field_capacity(8, 18.33, 0.80), 2))
    11.73
    """
    speed = require("speed_km_h", speed_km_h, 0, 60, "km/h")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return speed * width * require("efficiency_share", efficiency_share, 0, 1) / 10


@equation(
    "speed_km_h * width_m * amount_t_ha * efficiency_share / 10",
    unit="t/h",
    source="srivastava_2006",
    locator="eq. 15.2",
)
def material_capacity(
    speed_km_h: ArrayLike, width_m: ArrayLike, amount_t_ha: ArrayLike, efficiency_share: ArrayLike
) -> FloatArray:
    """Mass that a machine takes up or gives out per hour.

    Parameters
    ----------
    speed_km_h : array_like
        Speed at work [km/h], 0 to 60.
    width_m : array_like
        Working width [m], above 0 to 60.
    amount_t_ha : array_like
        Yield or dose [t/ha], 0 to 500.
    efficiency_share : array_like
        Field efficiency [1], 0 to 1.

    Returns
    -------
    FloatArray
        Mass [t/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Cm = v w Y eta / 10, eq. 15.2 of Srivastava et al. (2006).

    Examples
    --------
    >>> float(round(material_capacity(6, 3, 40, 0.7), 1))
    50.4
    """
    amount = require("amount_t_ha", amount_t_ha, 0, 500, "t/ha")
    return field_capacity(speed_km_h, width_m, efficiency_share) * amount


@equation("1 / field_time_h_ha", unit="ha/h", source="physics", locator="definition")
def work_rate(field_time_h_ha: ArrayLike) -> FloatArray:
    """Rate of work from field time.

    Parameters
    ----------
    field_time_h_ha : array_like
        Field time [h/ha], above 0 to 400.

    Returns
    -------
    FloatArray
        Rate of work [ha/h], in the shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the argument lies outside its range.

    Notes
    -----
    The reciprocal of the field time.

    Examples
    --------
    >>> float(work_rate(0.4))
    2.5
    """
    return 1 / require("field_time_h_ha", field_time_h_ha, 0, 400, "h/ha", above=True)


@equation("work_rate_ha_h * 10 / (speed_km_h * width_m)", unit="1", source="srivastava_2006", locator="eq. 15.1")
def field_efficiency(work_rate_ha_h: ArrayLike, speed_km_h: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Field efficiency that a rate of work amounts to.

    Parameters
    ----------
    work_rate_ha_h : array_like
        Rate of work [ha/h], 0 to 400.
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 60.
    width_m : array_like
        Working width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Field efficiency [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Eq. 15.1 of Srivastava et al. (2006), solved for the efficiency.  A result, never an input of field time: build the
    rate from width, runs, turns and stops, and see what efficiency it comes to.  With the full width given, overlap
    counts as a loss.  A measured rate that gives more than 1 has a fault in its speed or width; the value is handed
    back so that it shows.

    Examples
    --------
    >>> float(round(field_efficiency(2.5, 8, 4.0), 3))
    0.781
    """
    rate = require("work_rate_ha_h", work_rate_ha_h, 0, 400, "ha/h")
    speed = require("speed_km_h", speed_km_h, 0, 60, "km/h", above=True)
    return rate * 10 / (speed * require("width_m", width_m, 0, 60, "m", above=True))


@equation(
    "theoretical_h_ha / (theoretical_h_ha / width_used_share + hourly_loss_h_ha + area_loss_h_ha)",
    unit="1",
    source="srivastava_2006",
    locator="section 15.1.2",
)
def field_efficiency_from_times(
    theoretical_h_ha: ArrayLike, width_used_share: ArrayLike, hourly_loss_h_ha: ArrayLike, area_loss_h_ha: ArrayLike
) -> FloatArray:
    """Field efficiency from the parts of field time.

    Parameters
    ----------
    theoretical_h_ha : array_like
        Time at full width without any stop [h/ha], above 0 to 100.
    width_used_share : array_like
        Share of the width that is used [1], above 0 to 1.
    hourly_loss_h_ha : array_like
        Losses that grow with operating time: rest, adjusting [h/ha], 0 to 100.
    area_loss_h_ha : array_like
        Losses that grow with area: filling, clearing, turning [h/ha], 0 to 100.

    Returns
    -------
    FloatArray
        Field efficiency [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    eta = tau_t / (tau_t / Kw + tau_h + tau_a), section 15.1.2 of Srivastava et al. (2006), from memory.

    Examples
    --------
    >>> float(round(field_efficiency_from_times(0.25, 0.95, 0.02, 0.05), 3))
    0.75
    """
    ideal = require("theoretical_h_ha", theoretical_h_ha, 0, 100, "h/ha", above=True)
    used = require("width_used_share", width_used_share, 0, 1, above=True)
    hourly = require("hourly_loss_h_ha", hourly_loss_h_ha, 0, 100, "h/ha")
    return ideal / (ideal / used + hourly + require("area_loss_h_ha", area_loss_h_ha, 0, 100, "h/ha"))
