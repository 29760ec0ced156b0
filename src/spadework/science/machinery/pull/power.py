"""Power: what a pass asks of the tractor, and whether the tractor has it.

Powers of the tractor are rated powers at the power take-off, as in the fuel equations.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "load_share",
    "needed_power",
    "pto_power_asae_d497",
    "pto_power_for_drawbar",
    "pump_power",
    "pump_power_at_speed",
    "rotary_power",
    "rotary_power_from_work",
]


@equation(
    "drawbar_kw / drawbar_per_pto",
    unit="kW",
    source="asae_d497",
    locator="Fig. 1, drawbar power per power take-off power",
)
def pto_power_for_drawbar(drawbar_kw: ArrayLike, drawbar_per_pto: ArrayLike) -> FloatArray:
    """Power at the power take-off that stands behind a power at the drawbar.

    Parameters
    ----------
    drawbar_kw : array_like
        Power at the drawbar [kW], -2000 to 2000; negative where a drawn machine pushes.
    drawbar_per_pto : array_like
        Drawbar power per power at the power take-off [1], above 0 to 1; table ``drawbar_pto_ratio_asae_d497``.

    Returns
    -------
    FloatArray
        Power at the power take-off [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The ratio depends on wheels and surface and holds near the best slip.

    Examples
    --------
    >>> float(round(pto_power_for_drawbar(61.38, 0.77), 2))
    79.71
    """
    power = require("drawbar_kw", drawbar_kw, -2000, 2000, "kW")
    return power / require("drawbar_per_pto", drawbar_per_pto, 0, 1, above=True)


@equation("power_kw_m * width_m", unit="kW", source="common_practice", locator="power per width")
def rotary_power(power_kw_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Power through the power take-off of a driven tillage tool, from its width.

    Parameters
    ----------
    power_kw_m : array_like
        Power per working width [kW/m], 0 to 100; table ``rotary_power``.
    width_m : array_like
        Working width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Common practice, no source.  Depth and speed are not in it; the rival :func:`rotary_power_from_work` has them.

    Examples
    --------
    >>> float(rotary_power(25, 3.0))
    75.0
    """
    power = require("power_kw_m", power_kw_m, 0, 100, "kW/m")
    return power * require("width_m", width_m, 0, 60, "m", above=True)


@equation(
    "specific_work_kj_m3 * width_m * (depth_cm / 100) * (speed_km_h / 3.6)",
    unit="kW",
    source="common_practice",
    locator="work per volume of soil",
)
def rotary_power_from_work(
    specific_work_kj_m3: ArrayLike, width_m: ArrayLike, depth_cm: ArrayLike, speed_km_h: ArrayLike
) -> FloatArray:
    """Power through the power take-off of a driven tillage tool, from the soil that it works.

    Parameters
    ----------
    specific_work_kj_m3 : array_like
        Work per volume of soil [kJ/m3], 0 to 1000; table ``rotary_power``.
    width_m : array_like
        Working width [m], above 0 to 60.
    depth_cm : array_like
        Working depth [cm], above 0 to 60.
    speed_km_h : array_like
        Speed at work [km/h], 0 to 30.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Work per volume times volume per second.  The specific work is a recalled range of low confidence.

    Examples
    --------
    >>> float(rotary_power_from_work(150, 3.0, 10, 5.4))
    67.5
    """
    work = require("specific_work_kj_m3", specific_work_kj_m3, 0, 1000, "kJ/m3")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    depth = require("depth_cm", depth_cm, 0, 60, "cm", above=True)
    return work * width * (depth / 100) * (require("speed_km_h", speed_km_h, 0, 30, "km/h") / 3.6)


@equation(
    "a_kw + b_kw_m * width_m + c_kwh_t * throughput_t_h", unit="kW", source="asae_d497", locator="clause 4.2, Table 2"
)
def pto_power_asae_d497(
    a_kw: ArrayLike, b_kw_m: ArrayLike, c_kwh_t: ArrayLike, width_m: ArrayLike, throughput_t_h: ArrayLike
) -> FloatArray:
    """Power through the power take-off from width and throughput.

    Parameters
    ----------
    a_kw : array_like
        Power at any width and throughput [kW], 0 to 500; table ``pto_power_asae_d497``.
    b_kw_m : array_like
        Power per working width [kW/m], 0 to 100.
    c_kwh_t : array_like
        Work per mass handled [kWh/t], 0 to 100.
    width_m : array_like
        Working width [m], 0 to 60.
    throughput_t_h : array_like
        Mass handled per hour [t/h], 0 to 2000.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    P = a + b w + c F, clause 4.2 of ASAE D497.7.

    Examples
    --------
    A manure spreader that handles 120 t/h:

    >>> float(pto_power_asae_d497(0, 0, 0.2, 12, 120))
    24.0
    """
    idle = require("a_kw", a_kw, 0, 500, "kW")
    per_width = require("b_kw_m", b_kw_m, 0, 100, "kW/m")
    per_mass = require("c_kwh_t", c_kwh_t, 0, 100, "kWh/t")
    width = require("width_m", width_m, 0, 60, "m")
    return idle + per_width * width + per_mass * require("throughput_t_h", throughput_t_h, 0, 2000, "t/h")


@equation(
    "pressure_kpa * flow_m3_min / 60 / efficiency_share", unit="kW", source="physics", locator="pressure times flow"
)
def pump_power(pressure_kpa: ArrayLike, flow_m3_min: ArrayLike, efficiency_share: ArrayLike) -> FloatArray:
    """Power that a slurry pump takes.

    Parameters
    ----------
    pressure_kpa : array_like
        Pressure that the pump builds up [kPa], 0 to 3000.
    flow_m3_min : array_like
        Flow [m3/min], 0 to 100.
    efficiency_share : array_like
        Efficiency of pump and drive [1], above 0 to 1.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Pressure times flow over efficiency; 60 turns minutes into seconds.

    Examples
    --------
    >>> float(round(pump_power(300, 3, 0.5), 6))
    30.0
    """
    pressure = require("pressure_kpa", pressure_kpa, 0, 3000, "kPa")
    flow = require("flow_m3_min", flow_m3_min, 0, 100, "m3/min")
    return pressure * flow / 60 / require("efficiency_share", efficiency_share, 0, 1, above=True)


@equation("drive_kw + rotary_kw + pump_kw", unit="kW", source="physics", locator="sum")
def needed_power(drive_kw: ArrayLike, rotary_kw: ArrayLike, pump_kw: ArrayLike) -> FloatArray:
    """Power that a pass needs at the power take-off.

    Parameters
    ----------
    drive_kw : array_like
        Power to drive the tractor and pull what hangs on it, as power at the power take-off [kW], 0 to 3000.
    rotary_kw : array_like
        Power of driven tools [kW], 0 to 3000.
    pump_kw : array_like
        Power of pumps [kW], 0 to 3000.

    Returns
    -------
    FloatArray
        Needed power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A plain sum: wheels, shaft and pump draw on the engine at the same time.

    Examples
    --------
    >>> float(round(needed_power(151.4, 0, 10), 1))
    161.4
    """
    drive = require("drive_kw", drive_kw, 0, 3000, "kW")
    shaft = require("rotary_kw", rotary_kw, 0, 3000, "kW")
    return drive + shaft + require("pump_kw", pump_kw, 0, 3000, "kW")


@equation("needed_kw / rated_pto_kw", unit="1", source="physics", locator="definition")
def load_share(needed_kw: ArrayLike, rated_pto_kw: ArrayLike) -> FloatArray:
    """Share of its rated power that the tractor must give.

    Parameters
    ----------
    needed_kw : array_like
        Power needed at the power take-off [kW], 0 to 9000.
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.

    Returns
    -------
    FloatArray
        Load [1], in the broadcast shape of the arguments; above 1 the tractor is too small for this speed.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The share is not cut at 1: too small a tractor has to be told.

    Examples
    --------
    >>> float(round(load_share(79.71, 110), 4))
    0.7246
    """
    needed = require("needed_kw", needed_kw, 0, 9000, "kW")
    return needed / require("rated_pto_kw", rated_pto_kw, 0, 2000, "kW", above=True)


@equation("pump_kw * speed_km_h / planned_km_h", unit="kW", source="physics", locator="flow goes with speed")
def pump_power_at_speed(pump_kw: ArrayLike, planned_km_h: ArrayLike, speed_km_h: ArrayLike) -> FloatArray:
    """Power of the slurry pump at another speed and the same dose.

    Parameters
    ----------
    pump_kw : array_like
        Power of the pump at the planned speed [kW], 0 to 3000.
    planned_km_h : array_like
        Planned speed [km/h], above 0 to 30.
    speed_km_h : array_like
        Speed at work [km/h], 0 to 30.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The pressure is taken as the same, so power goes with the flow.

    Examples
    --------
    >>> float(pump_power_at_speed(14.0, 7.0, 5.0))
    10.0
    """
    planned = require("planned_km_h", planned_km_h, 0, 30, "km/h", above=True)
    return require("pump_kw", pump_kw, 0, 3000, "kW") * require("speed_km_h", speed_km_h, 0, 30, "km/h") / planned
