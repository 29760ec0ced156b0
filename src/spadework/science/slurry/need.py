"""What maize needs by national reckoning, and the dose of slurry that covers it.

Planning aids, not rulings: the figures of law that go in carry their date, and the reckoning must be checked locally.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["dose_at_limit", "dose_for_n", "n_need_germany", "nutrient_need_uk", "yield_adjustment_germany"]


@equation(
    "where(expected_yield_t_ha >= base_yield_t_ha, "
    "minimum((expected_yield_t_ha - base_yield_t_ha) / step_t_ha * up_kg_ha, cap_kg_ha), "
    "(expected_yield_t_ha - base_yield_t_ha) / step_t_ha * down_kg_ha)",
    unit="kg/ha",
    source="duev",
    locator="Anlage 4 Table 3",
)
def yield_adjustment_germany(
    expected_yield_t_ha: ArrayLike,
    base_yield_t_ha: ArrayLike,
    step_t_ha: ArrayLike,
    up_kg_ha: ArrayLike,
    down_kg_ha: ArrayLike,
    cap_kg_ha: ArrayLike,
) -> FloatArray:
    """Work out what a yield above or below the table's adds to or takes from the target nitrogen in Germany.

    Parameters
    ----------
    expected_yield_t_ha : array_like
        Yield to expect, mean of past years [t/ha], 0 to 200.
    base_yield_t_ha : array_like
        Yield behind the target value [t/ha], above 0, up to 200.
    step_t_ha : array_like
        Yield step [t/ha], above 0, up to 200.
    up_kg_ha : array_like
        N more per step above [kg/ha], 0 or more.
    down_kg_ha : array_like
        N less per step below [kg/ha], 0 or more.
    cap_kg_ha : array_like
        Largest surcharge [kg/ha], 0 or more.

    Returns
    -------
    ndarray
        Adjustment of the target [kg N/ha], negative below the base yield, broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    The ordinance prints whole steps; taking parts of steps in proportion is ours.  Figures in ``maize_n_need``.

    Examples
    --------
    >>> round(float(yield_adjustment_germany(50, 45, 5, 10, 15, 40)), 1)
    10.0
    """
    expected = require("expected_yield_t_ha", expected_yield_t_ha, 0, 200, "t/ha")
    base = require("base_yield_t_ha", base_yield_t_ha, 0, 200, "t/ha", above=True)
    steps = (expected - base) / require("step_t_ha", step_t_ha, 0, 200, "t/ha", above=True)
    up = require("up_kg_ha", up_kg_ha, 0, np.inf, "kg/ha")
    down = require("down_kg_ha", down_kg_ha, 0, np.inf, "kg/ha")
    cap = require("cap_kg_ha", cap_kg_ha, 0, np.inf, "kg/ha")
    return np.where(steps >= 0, np.minimum(steps * up, cap), steps * down)


@equation(
    "maximum(target_kg_ha + yield_adjustment_kg_ha - nmin_kg_ha - soil_supply_kg_ha "
    "- last_year_organic_kg_ha * carry_over_share, 0)",
    unit="kg/ha",
    source="duev",
    locator="§ 4(1) and Anlage 4",
)
def n_need_germany(
    target_kg_ha: ArrayLike,
    yield_adjustment_kg_ha: ArrayLike,
    nmin_kg_ha: ArrayLike,
    soil_supply_kg_ha: ArrayLike,
    last_year_organic_kg_ha: ArrayLike,
    carry_over_share: ArrayLike,
) -> FloatArray:
    """Work out the nitrogen need of a crop by the German reckoning.

    Parameters
    ----------
    target_kg_ha : array_like
        Target value of the crop [kg N/ha], 0 or more.
    yield_adjustment_kg_ha : array_like
        Surcharge or deduction for yield [kg N/ha], any sign.
    nmin_kg_ha : array_like
        Mineral N in the soil, 0 to 90 cm for maize [kg N/ha], 0 or more.
    soil_supply_kg_ha : array_like
        Deduction for humus, preceding crop and catch crop [kg N/ha], 0 or more.
    last_year_organic_kg_ha : array_like
        Total N of organic manure given last year [kg N/ha], 0 or more.
    carry_over_share : array_like
        Share of it to deduct [1], 0 to 1.

    Returns
    -------
    ndarray
        N need [kg/ha], not below 0, broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Figures in ``maize_n_need`` and ``nitrogen_carry_over``.  Where the deductions exceed the target
    nothing is needed.  A planning aid, not the record that the ordinance asks for: check locally.

    Examples
    --------
    >>> round(float(n_need_germany(200, 10, 60, 0, 120, 0.10)), 1)
    138.0
    """
    target = require("target_kg_ha", target_kg_ha, 0, np.inf, "kg/ha")
    change = require("yield_adjustment_kg_ha", yield_adjustment_kg_ha, -1000, 1000, "kg/ha")
    nmin = require("nmin_kg_ha", nmin_kg_ha, 0, np.inf, "kg/ha")
    soil = require("soil_supply_kg_ha", soil_supply_kg_ha, 0, np.inf, "kg/ha")
    organic = require("last_year_organic_kg_ha", last_year_organic_kg_ha, 0, np.inf, "kg/ha")
    carried = organic * require("carry_over_share", carry_over_share, 0, 1)
    return np.maximum(target + change - nmin - soil - carried, 0)


@equation(
    "maximum(base_kg_ha + (expected_yield_t_ha - base_yield_t_ha) * per_yield_kg_t, 0)",
    unit="kg/ha",
    source="rb209",
    locator="forage maize",
)
def nutrient_need_uk(
    base_kg_ha: ArrayLike, expected_yield_t_ha: ArrayLike, base_yield_t_ha: ArrayLike, per_yield_kg_t: ArrayLike
) -> FloatArray:
    """Work out the phosphate or potash need of forage maize by the UK reckoning.

    Parameters
    ----------
    base_kg_ha : array_like
        Figure of the table at the soil's index [kg/ha], 0 or more.
    expected_yield_t_ha : array_like
        Fresh yield to expect [t/ha], 0 to 200.
    base_yield_t_ha : array_like
        Fresh yield behind the table [t/ha], 0 to 200.
    per_yield_kg_t : array_like
        Nutrient taken away per tonne of fresh crop [kg/t], 0 to 100.

    Returns
    -------
    ndarray
        Need [kg/ha] of the nutrient as the table counts it (P2O5 or K2O), not below 0.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Figures in ``maize_n_need``.

    Examples
    --------
    >>> round(float(nutrient_need_uk(85, 50, 40, 1.4)), 1)
    99.0
    """
    base = require("base_kg_ha", base_kg_ha, 0, np.inf, "kg/ha")
    expected = require("expected_yield_t_ha", expected_yield_t_ha, 0, 200, "t/ha")
    more = expected - require("base_yield_t_ha", base_yield_t_ha, 0, 200, "t/ha")
    return np.maximum(base + more * require("per_yield_kg_t", per_yield_kg_t, 0, 100, "kg/t"), 0)


@equation("need_kg_ha / (total_n_kg_m3 * available_share)", unit="m3/ha", source="physics")
def dose_for_n(need_kg_ha: ArrayLike, total_n_kg_m3: ArrayLike, available_share: ArrayLike) -> FloatArray:
    """Work out the dose of slurry whose available nitrogen covers a need.

    Parameters
    ----------
    need_kg_ha : array_like
        N need [kg/ha], 0 or more.
    total_n_kg_m3 : array_like
        Total N in the slurry [kg/m3], above 0, up to 100.
    available_share : array_like
        Share of total N that counts [1], above 0, up to 1.

    Returns
    -------
    ndarray
        Dose [m3/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    The need over the nitrogen that counts in each cubic metre.  Rules may allow less: :func:`dose_at_limit`.

    Examples
    --------
    >>> round(float(dose_for_n(138, 5.5, 0.70)), 1)
    35.8
    """
    need = require("need_kg_ha", need_kg_ha, 0, np.inf, "kg/ha")
    content = require("total_n_kg_m3", total_n_kg_m3, 0, 100, "kg/m3", above=True)
    return need / (content * require("available_share", available_share, 0, 1, above=True))


@equation("limit_kg_ha / content_kg_m3", unit="m3/ha", source="physics")
def dose_at_limit(limit_kg_ha: ArrayLike, content_kg_m3: ArrayLike) -> FloatArray:
    """Work out the largest dose of slurry under a limit on one nutrient.

    Parameters
    ----------
    limit_kg_ha : array_like
        Most of the nutrient that may be brought [kg/ha], 0 or more.
    content_kg_m3 : array_like
        The nutrient in the slurry, counted as the limit counts it [kg/m3], above 0, up to 100.

    Returns
    -------
    ndarray
        Dose [m3/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Some limits in ``nitrogen_limits``.  A limit on the mean of a holding does not bind the single field.
    Check locally.

    Examples
    --------
    >>> round(float(dose_at_limit(170, 5.5)), 1)
    30.9
    """
    limit = require("limit_kg_ha", limit_kg_ha, 0, np.inf, "kg/ha")
    return limit / require("content_kg_m3", content_kg_m3, 0, 100, "kg/m3", above=True)
