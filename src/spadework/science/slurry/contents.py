"""Contents of slurry as laboratories write them, turned into the one way they are counted here."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["content_of_dry_matter", "nitrogen_from_ammonium", "oxide_from_element"]


@equation("content_g_kg * dry_matter_share", unit="kg/t", source="physics")
def content_of_dry_matter(content_g_kg: ArrayLike, dry_matter_share: ArrayLike) -> FloatArray:
    """Turn a content of the dry matter into one of fresh slurry.

    Parameters
    ----------
    content_g_kg : array_like
        Content of the dry matter [g/kg], 0 to 1000.
    dry_matter_share : array_like
        Dry matter of the fresh slurry [1], 0 to 1.

    Returns
    -------
    ndarray
        Content of fresh slurry [kg/t], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(content_of_dry_matter(50.0, 0.08))
    4.0
    """
    result: FloatArray = require("content_g_kg", content_g_kg, 0, 1000, "g/kg") * require(
        "dry_matter_share", dry_matter_share, 0, 1
    )
    return result


@equation("content * factor", unit="", source="physics")
def oxide_from_element(content: ArrayLike, factor: ArrayLike) -> FloatArray:
    """Turn a content of P or K into one of P2O5 or K2O.

    Parameters
    ----------
    content : array_like
        Content as element, in any unit [1], 0 or more.
    factor : array_like
        Mass of the oxide per mass of the element [1], 1 to 10.

    Returns
    -------
    ndarray
        Content as oxide, in the unit given [], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Notes
    -----
    Factors: table ``chemistry``.

    Examples
    --------
    >>> round(float(oxide_from_element(1.0, 2.2913)), 3)
    2.291
    """
    result: FloatArray = require("content", content, 0, np.inf) * require("factor", factor, 1, 10)
    return result


@equation("content / factor", unit="", source="physics")
def nitrogen_from_ammonium(content: ArrayLike, factor: ArrayLike) -> FloatArray:
    """Turn a content of NH4 into one of NH4-N.

    Parameters
    ----------
    content : array_like
        Content as NH4, in any unit [1], 0 or more.
    factor : array_like
        Mass of NH4 per mass of the nitrogen in it [1], 1 to 10.

    Returns
    -------
    ndarray
        Content as nitrogen, in the unit given [], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Notes
    -----
    Factor: table ``chemistry``.

    Examples
    --------
    >>> round(float(nitrogen_from_ammonium(1.28786, 1.28786)), 3)
    1.0
    """
    result: FloatArray = require("content", content, 0, np.inf) / require("factor", factor, 1, 10)
    return result
