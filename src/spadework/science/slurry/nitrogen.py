"""What slurry nitrogen does for the crop, what the crop needs, and what bought nitrogen it saves."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "available_n_mechanistic",
    "available_n_share",
    "bought_n_needed",
    "bought_n_replaced",
    "counted_share_germany",
    "n_beyond_need",
    "tan_kept",
    "value_of_n",
]


@equation("tan_kg_ha * (1 - loss_share)", unit="kg/ha", source="physics")
def tan_kept(tan_kg_ha: ArrayLike, loss_share: ArrayLike) -> FloatArray:
    """Work out the ammoniacal nitrogen left after ammonia has gone.

    Parameters
    ----------
    tan_kg_ha : array_like
        Ammoniacal N spread [kg/ha], 0 or more.
    loss_share : array_like
        NH3-N lost, share of the ammoniacal N spread [1], 0 to 1.

    Returns
    -------
    ndarray
        Ammoniacal N kept [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Mass balance: what is kept and what is lost add up to what was spread.

    Examples
    --------
    >>> round(float(tan_kept(102, 0.04)), 2)
    97.92
    """
    tan = require("tan_kg_ha", tan_kg_ha, 0, np.inf, "kg/ha")
    return tan * (1 - require("loss_share", loss_share, 0, 1))


@equation(
    "(tan_kept_kg_ha - early_gas_n_kg_ha) * a_min_share + organic_n_kg_ha * m1_share",
    unit="kg/ha",
    source="pedersen_2021",
    locator="mechanism, in words",
)
def available_n_mechanistic(
    tan_kept_kg_ha: ArrayLike,
    organic_n_kg_ha: ArrayLike,
    a_min_share: ArrayLike,
    m1_share: ArrayLike,
    early_gas_n_kg_ha: ArrayLike = 0.0,
) -> FloatArray:
    """Work out the slurry nitrogen that acts like bought nitrogen, from what gases have left.

    Parameters
    ----------
    tan_kept_kg_ha : array_like
        Ammoniacal N left after the ammonia loss [kg/ha], 0 or more.
    organic_n_kg_ha : array_like
        Organic N brought [kg/ha], 0 or more.
    a_min_share : array_like
        Effect of ammoniacal N kept against bought N [1], 0 to 1.
    m1_share : array_like
        Organic N turned mineral in the first season, net [1], -1 to 1; below 0 where it is locked up.
    early_gas_n_kg_ha : array_like, optional
        N gone early as N2O and N2 [kg/ha], 0 up to `tan_kept_kg_ha`.

    Returns
    -------
    ndarray
        Available N [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or more has gone as gas than was there.

    Notes
    -----
    The first-year effect is about the ammonium left after ammonia has gone, plus a little net
    mineralisation (Pedersen and others 2021); the formula is ours.  Shares stand in ``nitrogen_mechanistic``; hold the
    result against the guide values in ``nitrogen_available``.

    Examples
    --------
    >>> round(float(available_n_mechanistic(97.9, 33.9, 1.0, 0.10)), 2)
    101.29
    """
    kept = require("tan_kept_kg_ha", tan_kept_kg_ha, 0, np.inf, "kg/ha")
    organic = require("organic_n_kg_ha", organic_n_kg_ha, 0, np.inf, "kg/ha")
    gone = require("early_gas_n_kg_ha", early_gas_n_kg_ha, 0, np.inf, "kg/ha")
    left = kept - gone
    if (left < 0).any():
        found, most = (float(np.broadcast_to(a, left.shape)[left < 0].flat[0]) for a in (gone, kept))
        raise ImpossibleValue("early_gas_n_kg_ha", f"{found:.6g}", 0, most, "kg/ha")
    return left * require("a_min_share", a_min_share, 0, 1) + organic * require("m1_share", m1_share, -1, 1)


@equation("total_n_kg_ha * available_share", unit="kg/ha", source="rb209", locator="available N as a share of total N")
def available_n_share(total_n_kg_ha: ArrayLike, available_share: ArrayLike) -> FloatArray:
    """Work out the available nitrogen as a share of the total, as guide tables and rules do.

    Parameters
    ----------
    total_n_kg_ha : array_like
        Total N brought [kg/ha], 0 or more.
    available_share : array_like
        Share that counts for the next crop [1], 0 to 1.

    Returns
    -------
    ndarray
        Available N [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Shares by country, slurry and way of spreading stand in ``nitrogen_available``.  They are means or
    figures of law and do not know the weather of the day.

    Examples
    --------
    >>> round(float(available_n_share(78, 0.40)), 1)
    31.2
    """
    total = require("total_n_kg_ha", total_n_kg_ha, 0, np.inf, "kg/ha")
    return total * require("available_share", available_share, 0, 1)


@equation(
    "maximum(minimum_share, ammoniacal_share)", unit="1", source="lwk_niedersachsen", locator="crediting of manures"
)
def counted_share_germany(minimum_share: ArrayLike, ammoniacal_share: ArrayLike) -> FloatArray:
    """Work out the share of total nitrogen to count in Germany.

    Parameters
    ----------
    minimum_share : array_like
        Least share by kind of manure [1], 0 to 1.
    ammoniacal_share : array_like
        Analysed ammoniacal N over total N [1], 0 to 1.

    Returns
    -------
    ndarray
        Share of total N [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a share lies outside 0 to 1.

    Notes
    -----
    The greater of the ordinance's least share (Anlage 3; ``nitrogen_available``) and the analysed share.
    A planning aid, not a ruling: check locally.

    Examples
    --------
    >>> round(float(counted_share_germany(0.70, 0.75)), 2)
    0.75
    """
    return np.maximum(
        require("minimum_share", minimum_share, 0, 1), require("ammoniacal_share", ammoniacal_share, 0, 1)
    )


@equation("minimum(available_n_kg_ha, need_kg_ha)", unit="kg/ha", source="choice")
def bought_n_replaced(available_n_kg_ha: ArrayLike, need_kg_ha: ArrayLike) -> FloatArray:
    """Work out the bought nitrogen that slurry saves, which is no more than the crop needs.

    Parameters
    ----------
    available_n_kg_ha : array_like
        Available N from slurry [kg/ha], 0 or more.
    need_kg_ha : array_like
        What the crop needs, or what the law allows if that is less [kg/ha], 0 or more.

    Returns
    -------
    ndarray
        Bought N saved [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value is negative.

    Notes
    -----
    Nitrogen beyond the need saves nothing; :func:`n_beyond_need` tells how much that is.

    Examples
    --------
    >>> round(float(bought_n_replaced(160, 138)), 1)
    138.0
    """
    available, need = _pair(available_n_kg_ha, need_kg_ha)
    return np.minimum(available, need)


@equation("maximum(need_kg_ha - available_n_kg_ha, 0)", unit="kg/ha", source="choice")
def bought_n_needed(available_n_kg_ha: ArrayLike, need_kg_ha: ArrayLike) -> FloatArray:
    """Work out the nitrogen still to be bought beside the slurry.

    Parameters
    ----------
    available_n_kg_ha : array_like
        Available N from slurry [kg/ha], 0 or more.
    need_kg_ha : array_like
        What the crop needs, or what the law allows if that is less [kg/ha], 0 or more.

    Returns
    -------
    ndarray
        N to buy [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value is negative.

    Notes
    -----
    Need less what slurry gives, and nothing where slurry gives more.

    Examples
    --------
    >>> round(float(bought_n_needed(101, 138)), 1)
    37.0
    """
    available, need = _pair(available_n_kg_ha, need_kg_ha)
    return np.maximum(need - available, 0)


@equation("maximum(available_n_kg_ha - need_kg_ha, 0)", unit="kg/ha", source="choice")
def n_beyond_need(available_n_kg_ha: ArrayLike, need_kg_ha: ArrayLike) -> FloatArray:
    """Work out the available slurry nitrogen that the crop does not need.

    Parameters
    ----------
    available_n_kg_ha : array_like
        Available N from slurry [kg/ha], 0 or more.
    need_kg_ha : array_like
        What the crop needs, or what the law allows if that is less [kg/ha], 0 or more.

    Returns
    -------
    ndarray
        N beyond the need [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value is negative.

    Notes
    -----
    Such nitrogen has no value for this crop and may leach.

    Examples
    --------
    >>> round(float(n_beyond_need(160, 138)), 1)
    22.0
    """
    available, need = _pair(available_n_kg_ha, need_kg_ha)
    return np.maximum(available - need, 0)


@equation("replaced_kg_ha * price_eur_kg", unit="EUR/ha", source="physics")
def value_of_n(replaced_kg_ha: ArrayLike, price_eur_kg: ArrayLike) -> FloatArray:
    """Work out what the saved bought nitrogen is worth.

    Parameters
    ----------
    replaced_kg_ha : array_like
        Bought N saved [kg/ha], 0 or more.
    price_eur_kg : array_like
        Price of bought N [EUR/kg N], 0 or more.

    Returns
    -------
    ndarray
        Value [EUR/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value is negative.

    Notes
    -----
    Amount times price per kg of nitrogen, not of fertiliser.  EUR stands for the one currency of the plan.

    Examples
    --------
    >>> round(float(value_of_n(14.3, 1.20)), 2)
    17.16
    """
    replaced = require("replaced_kg_ha", replaced_kg_ha, 0, np.inf, "kg/ha")
    return replaced * require("price_eur_kg", price_eur_kg, 0, np.inf, "EUR/kg")


def _pair(available_n_kg_ha: ArrayLike, need_kg_ha: ArrayLike) -> tuple[FloatArray, FloatArray]:
    return (
        require("available_n_kg_ha", available_n_kg_ha, 0, np.inf, "kg/ha"),
        require("need_kg_ha", need_kg_ha, 0, np.inf, "kg/ha"),
    )
