"""How much of a plot must be weighed, so that the step of the scale does not count."""

from __future__ import annotations

from spadework.ranges import require

__all__ = ["least_area_m2", "step_share"]


def least_area_m2(step_kg: float, error_share: float, yield_t_ha: float) -> float:
    """Return the area that must be weighed, so that a step of the scale is no more than a share of what lies on it.

    Parameters
    ----------
    step_kg : float
        Step in which the scale reads [kg], above 0 to 1000.
    error_share : float
        Largest share of the weight that a step may be [1], above 0 to 1.
    yield_t_ha : float
        What is weighed, as it comes off the field [t/ha], above 0 to 300.

    Notes
    -----
    A = q / (e Y), with 1 t/ha = 0.1 kg/m2.

    Examples
    --------
    >>> least_area_m2(10, 0.005, 10)
    2000.0
    """
    require("step_kg", step_kg, 0, 1_000, "kg", above=True)
    require("error_share", error_share, 0, 1, "1", above=True)
    require("yield_t_ha", yield_t_ha, 0, 300, "t/ha", above=True)
    return step_kg / (error_share * yield_t_ha / 10)


def step_share(step_kg: float, area_m2: float, yield_t_ha: float) -> float:
    """Return which share of the weight of an area a step of the scale is; undoes :func:`least_area_m2`.

    Examples
    --------
    >>> step_share(10, 2000, 10)
    0.005
    """
    require("area_m2", area_m2, 0, 1e6, "m2", above=True)
    require("step_kg", step_kg, 0, 1_000, "kg", above=True)
    require("yield_t_ha", yield_t_ha, 0, 300, "t/ha", above=True)
    return step_kg / (area_m2 * yield_t_ha / 10)
