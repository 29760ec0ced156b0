"""The dose on the day: windows of speed and flow around a target, and the dose that weighed or metered loads gave.

Errors are half-widths that all mean the same share of cases, such as the middle 80 %; they are combined as the root of
the sum of their squares, which takes them as independent.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "dose_error_from_speed",
    "dose_from_meter",
    "dose_from_weighed",
    "flow_window",
    "off_target",
    "speed_window",
    "weighed_error",
]


@equation(
    "(600 * flow_m3_min / (width_m * dose_m3_ha * (1 + tolerance_share)), "
    "600 * flow_m3_min / (width_m * dose_m3_ha * (1 - tolerance_share)))",
    unit="km/h",
    source="physics",
    locator="volume per area",
)
def speed_window(
    dose_m3_ha: ArrayLike, width_m: ArrayLike, flow_m3_min: ArrayLike, tolerance_share: ArrayLike
) -> FloatArray:
    """Lowest and highest speed at which a flow keeps the dose within its tolerance.

    Parameters
    ----------
    dose_m3_ha : array_like
        Target dose [m3/ha], above 0 to 500.
    width_m : array_like
        Effective width, overlap taken off [m], above 0 to 60.
    flow_m3_min : array_like
        Flow that stays as it is [m3/min], 0 to 20.
    tolerance_share : array_like
        Tolerance of the dose, either way [1], 0 to 0.99.

    Returns
    -------
    FloatArray
        Speeds [km/h]; the first axis holds lowest and highest, the others are the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Slower places more, so the lowest speed belongs to the largest dose.  The window is not even: it reaches further up
    than down.

    Examples
    --------
    >>> speed_window(40, 6, 2.8, 0.1).round(2).tolist()
    [6.36, 7.78]
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)
    width = require("width_m", width_m, 0, 60, "m", above=True)
    flow = require("flow_m3_min", flow_m3_min, 0, 20, "m3/min")
    tolerance = require("tolerance_share", tolerance_share, 0, 0.99)
    middle = 600 * flow / (width * dose)
    return np.stack([middle / (1 + tolerance), middle / (1 - tolerance)])


@equation(
    "(dose_m3_ha * (1 - tolerance_share) * width_m * speed_km_h / 600, "
    "dose_m3_ha * (1 + tolerance_share) * width_m * speed_km_h / 600)",
    unit="m3/min",
    source="physics",
    locator="volume per time",
)
def flow_window(
    dose_m3_ha: ArrayLike, width_m: ArrayLike, speed_km_h: ArrayLike, tolerance_share: ArrayLike
) -> FloatArray:
    """Least and largest flow at which a speed keeps the dose within its tolerance.

    Parameters
    ----------
    dose_m3_ha : array_like
        Target dose [m3/ha], 0 to 500.
    width_m : array_like
        Effective width, overlap taken off [m], above 0 to 60.
    speed_km_h : array_like
        Speed that stays as it is [km/h], 0 to 30.
    tolerance_share : array_like
        Tolerance of the dose, either way [1], 0 to 0.99.

    Returns
    -------
    FloatArray
        Flows [m3/min]; the first axis holds least and largest, the others are the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> flow_window(40, 6, 7, 0.1).round(2).tolist()
    [2.52, 3.08]
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    speed = require("speed_km_h", speed_km_h, 0, 30, "km/h")
    tolerance = require("tolerance_share", tolerance_share, 0, 0.99)
    middle = dose * width * speed / 600
    return np.stack([middle * (1 - tolerance), middle * (1 + tolerance)])


@equation("1 / (1 + speed_error_share) - 1", unit="1", source="physics", locator="volume per area")
def dose_error_from_speed(speed_error_share: ArrayLike) -> FloatArray:
    """Error of the dose from an error of the speed, while the flow stays as it is.

    Parameters
    ----------
    speed_error_share : array_like
        Speed against the one that was set, less one [1], -0.9 to 9; positive is too fast.

    Returns
    -------
    FloatArray
        Dose against the target, less one [1], shape of the argument; negative is too little.

    Raises
    ------
    ImpossibleValue
        If the argument lies outside its range.

    Notes
    -----
    Only for a pump or valve that does not follow the speed.

    Examples
    --------
    >>> float(dose_error_from_speed(0.25).round(2))
    -0.2
    """
    return 1 / (1 + require("speed_error_share", speed_error_share, -0.9, 9)) - 1


@equation("(full_t - empty_t) / (density_t_m3 * area_ha)", unit="m3/ha", source="ohio_604", locator="load and area")
def dose_from_weighed(full_t: ArrayLike, empty_t: ArrayLike, density_t_m3: ArrayLike, area_ha: ArrayLike) -> FloatArray:
    """Dose from a load weighed before and after, and the area that it covered.

    Parameters
    ----------
    full_t : array_like
        Mass with the load, or the sum over several loads [t], 0 to 100000.
    empty_t : array_like
        Mass after spreading, weighed in the same way [t], 0 to `full_t`.
    density_t_m3 : array_like
        Density of the slurry [t/m3], 0.8 to 1.3.
    area_ha : array_like
        Area covered, from length and effective width [ha], above 0 to 100000.

    Returns
    -------
    FloatArray
        Dose [m3/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The source calls weighing the load the most accurate check, and asks for two or three loads.  It divides mass by
    area; the density that turns mass into volume is ours.

    Examples
    --------
    >>> float(dose_from_weighed(26.9, 8.54, 1.02, 0.45).round(1))
    40.0
    """
    full = require("full_t", full_t, 0, 100_000, "t")
    empty = require("empty_t", empty_t, 0, 100_000, "t")
    if np.any(empty > full):
        worst = float(np.broadcast_to(empty, (empty - full).shape)[empty > full].flat[0])
        raise ImpossibleValue("empty_t", f"{worst:g}", 0, float(full.min()), "t")
    density = require("density_t_m3", density_t_m3, 0.8, 1.3, "t/m3")
    return (full - empty) / (density * require("area_ha", area_ha, 0, 100_000, "ha", above=True))


@equation(
    "sqrt(2 * weighing_error_t**2 / (loads * load_t**2) + area_error_share**2 + density_error_share**2)",
    unit="1",
    source="physics",
    locator="propagation of independent errors",
)
def weighed_error(
    load_t: ArrayLike,
    loads: ArrayLike,
    weighing_error_t: ArrayLike,
    area_error_share: ArrayLike,
    density_error_share: ArrayLike,
) -> FloatArray:
    """Error of a dose from weighed loads, as a share of the dose.

    Parameters
    ----------
    load_t : array_like
        Slurry in one load, mean of all [t], above 0 to 200.
    loads : array_like
        How many loads were weighed [1], 1 to 10000.
    weighing_error_t : array_like
        Error of one weighing [t], 0 to 10.
    area_error_share : array_like
        Error of the whole area covered [1], 0 to 1.
    density_error_share : array_like
        Error of the density [1], 0 to 1.

    Returns
    -------
    FloatArray
        Error of the dose [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Each load is weighed twice and every weighing errs anew, so more loads help; area and density are measured once and
    err the same way in all loads, so more loads do not.

    Examples
    --------
    >>> float(weighed_error(18.4, 1, 0.1, 0.02, 0.005).round(3))
    0.022
    """
    load = require("load_t", load_t, 0, 200, "t", above=True)
    count = require("loads", loads, 1, 10_000)
    weighing = require("weighing_error_t", weighing_error_t, 0, 10, "t")
    area = require("area_error_share", area_error_share, 0, 1)
    density = require("density_error_share", density_error_share, 0, 1)
    return np.sqrt(2 * weighing**2 / (count * load**2) + area**2 + density**2)


@equation("(end_m3 - start_m3) * meter_factor / area_ha", unit="m3/ha", source="physics", locator="volume per area")
def dose_from_meter(start_m3: ArrayLike, end_m3: ArrayLike, meter_factor: ArrayLike, area_ha: ArrayLike) -> FloatArray:
    """Dose from two readings of a flow meter.

    Parameters
    ----------
    start_m3 : array_like
        Reading before [m3], 0 to 1e9.
    end_m3 : array_like
        Reading after [m3], `start_m3` to 1e9.
    meter_factor : array_like
        Volume of a weighed load per volume that the meter showed for it [1], 0.5 to 2; 1 where it was never checked.
    area_ha : array_like
        Area covered [ha], above 0 to 100000.

    Returns
    -------
    FloatArray
        Dose [m3/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the meter ran backwards.

    Notes
    -----
    Thick slurry can mislead a meter; hold it against a weighed load each season and whenever the slurry changes.

    Examples
    --------
    >>> float(dose_from_meter(120, 156, 1.0, 0.9))
    40.0
    """
    start = require("start_m3", start_m3, 0, 1e9, "m3")
    used = require("end_m3 - start_m3", require("end_m3", end_m3, 0, 1e9, "m3") - start, 0, 1e9, "m3")
    factor = require("meter_factor", meter_factor, 0.5, 2)
    return used * factor / require("area_ha", area_ha, 0, 100_000, "ha", above=True)


@equation("dose_m3_ha / target_m3_ha - 1", unit="1", source="physics", locator="definition")
def off_target(dose_m3_ha: ArrayLike, target_m3_ha: ArrayLike) -> FloatArray:
    """How far a dose lies off its target.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose found [m3/ha], 0 to 1e6.
    target_m3_ha : array_like
        Dose wanted [m3/ha], above 0 to 500.

    Returns
    -------
    FloatArray
        Share of the target [1], in the broadcast shape of the arguments; negative is too little.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(off_target(24, 30).round(2))
    -0.2
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 1e6, "m3/ha")
    return dose / require("target_m3_ha", target_m3_ha, 0, 500, "m3/ha", above=True) - 1
