"""How the pH of the band goes back to that of the soil."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["ph_course"]


@equation("soil_ph + (fresh_ph - soil_ph) * exp(-days_since / fade_days)", unit="1", source="choice")
def ph_course(soil_ph: ArrayLike, fresh_ph: ArrayLike, days_since: ArrayLike, fade_days: ArrayLike) -> FloatArray:
    """Work out the pH of the soil in and about the band on a day.

    Parameters
    ----------
    soil_ph : array_like
        pH of the soil without slurry [1], 2 to 12.
    fresh_ph : array_like
        pH of the fresh band [1], 2 to 12.
    days_since : array_like
        Time since the slurry went in [d], 0 to 1000.
    fade_days : array_like
        Time in which the difference falls to 1/e [d], more than 0, to 1000.

    Returns
    -------
    ndarray
        pH [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    pH_s + (pH_0 - pH_s) exp(-t / tau), our choice.  With 10 d an eighth of the difference is left after 21 d, about
    as long as signs of ammonia were seen in boxes (Sawyer and Hoeft, abstract).  It stands for the band itself; carried
    over to the soil about it, it puts the pH there too high.

    Examples
    --------
    >>> ph_course(6.5, 8.0, [0, 10, 21], 10).round(2).tolist()
    [8.0, 7.05, 6.68]
    """
    soil = require("soil_ph", soil_ph, 2, 12)
    excess = require("fresh_ph", fresh_ph, 2, 12) - soil
    days = require("days_since", days_since, 0, 1000, "d")
    return np.asarray(soil + excess * np.exp(-days / require("fade_days", fade_days, 0, 1000, "d", above=True)))
