"""Done in time: days needed and the chance of being done, by number of drivers and by length of the window."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from spadework.estimate.result import Estimate
from spadework.ranges import FloatArray
from spadework.science.machinery import chain_time, chance_done, chance_done_in_spells, days_needed, work_rate

__all__ = ["chance_by_window", "days_by_drivers"]


def days_by_drivers(estimate: Estimate, system: int, drivers: Sequence[int]) -> tuple[FloatArray, FloatArray]:
    """Return the fit days that the farm's maize takes with so many drivers, and the chance of being done.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan with a farm.
    system : int
        The system, in the order of the plan.
    drivers : sequence of int
        Numbers of drivers to look at, 1 to 50.

    Returns
    -------
    tuple of FloatArray
        Days [d] and chance of being done in the window [1]; one row for each number, one column for each draw.
    """
    sheet = estimate.sheet
    time = chain_time(sheet["hours"][system], sheet["longest_pass"][system], np.asarray(drivers)[:, None])
    needed = days_needed(sheet["farm_maize"], work_rate(time), sheet["day_hours"])
    return needed, _chance(estimate, needed, sheet["window"])


def chance_by_window(estimate: Estimate, system: int, windows: Sequence[int]) -> FloatArray:
    """Return the chance that a system is done on the farm in windows of other lengths, with the drivers of the plan.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan with a farm.
    system : int
        The system, in the order of the plan.
    windows : sequence of int
        Calendar days, 0 to 366.

    Returns
    -------
    FloatArray
        Chance [1]; one row for each window, one column for each draw.
    """
    days = np.asarray(windows, dtype=np.float64)[:, None]
    return _chance(estimate, estimate.sheet["needed_days"][system], days)


def _chance(estimate: Estimate, needed: FloatArray, window: FloatArray) -> FloatArray:
    """Chance by the way that the plan asks for: fit days in spells where it says how they follow one another."""
    sheet = estimate.sheet
    if "stay_fit" in sheet.figures:
        return chance_done_in_spells(needed, window, sheet["fit_share"], sheet["stay_fit"])
    return chance_done(needed, window, sheet["fit_share"])
