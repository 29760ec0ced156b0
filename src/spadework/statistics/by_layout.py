"""The rule of the house: which analysis a layout gets.

A layout in which everything meets evenly is judged by its table of strata; any other by restricted likelihood with
Kenward and Roger's test.  Where no variance comes out below nought the two give the same F.  Where one does, the table
keeps each stratum's own scatter, as the layout was drawn; the restricted likelihood holds that variance at nought and
pools, which gives another F.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from numpy.typing import ArrayLike

from spadework.statistics.models.model import Model, fit_model
from spadework.statistics.models.small_sample import Combined, combine
from spadework.statistics.strata.analysis import Strata, strata_table
from spadework.statistics.strata.layout import NotBalanced
from spadework.working import equation

__all__ = ["combine_any", "fit_or_strata"]


@equation(
    "the table of strata where everything meets evenly, else restricted likelihood with Kenward and Roger's tests",
    unit="",
    source="kenward_roger_1997",
    in_words=True,
)
def fit_or_strata(
    data: Mapping[str, ArrayLike],
    response: str,
    fixed: str,
    random: Sequence[str] = (),
    residual: str | None = None,
) -> Strata | Model:
    """Analyse a layout by the rule of the house.

    Parameters
    ----------
    data : mapping
        Columns by name, one place for each reading.
    response : str
        Column of the readings [any]; an empty one (NaN) is left out and told.
    fixed : str
        Fixed terms, such as ``"system * nitrogen"``.
    random : sequence of str
        Random terms, such as ``["block", "block:system"]``.
    residual : str, optional
        Column whose labels have residual variances of their own.

    Returns
    -------
    Strata or Model
        Both have ``test``, ``tests``, ``means``, ``residuals`` and ``notes``; :func:`combine_any` takes differences of
        either.  The notes of a model say why it has no table of strata.

    Raises
    ------
    UnclearModel
        If the data cannot carry the terms.

    Notes
    -----
    The rule: where everything meets evenly, and all readings scatter alike, the table of strata; else restricted
    likelihood with Kenward and Roger's test.  It looks at the layout only, never at the readings, so that no one can
    choose the kinder answer.  The table is what the drawing of lots bears out; a variance that comes out below nought
    stays in its stratum and is told.

    Examples
    --------
    >>> yields = {"block": [1, 1, 2, 2, 3, 3], "system": ["plough", "strip"] * 3, "dm_t_ha": [15.1, 15.9, 14.2, 14.8, 16, 16.4]}
    >>> type(fit_or_strata(yields, "dm_t_ha", "system", ["block"])).__name__
    'Strata'
    >>> yields["dm_t_ha"][3] = float("nan")
    >>> type(fit_or_strata(yields, "dm_t_ha", "system", ["block"])).__name__
    'Model'
    """
    if residual is None:
        try:
            return strata_table(data, response, fixed, random)
        except NotBalanced as reason:
            model = fit_model(data, response, fixed, random)
            return replace(model, notes=(*model.notes, f"no table of strata: {reason}"))
    return fit_model(data, response, fixed, random, residual)


def combine_any(found: Strata | Model, weights: ArrayLike) -> Combined:
    """Combine the means of either analysis, by the weights that its own means carry.

    Parameters
    ----------
    found : Strata or Model
        As :func:`fit_or_strata` returns it.
    weights : array_like
        Rows of weights [1], such as differences of the weights of its means.

    Returns
    -------
    Combined
        Estimates with standard errors and degrees of freedom.

    Examples
    --------
    >>> yields = {"block": [1, 1, 2, 2, 3, 3], "system": ["plough", "strip"] * 3, "dm_t_ha": [15.1, 15.9, 14.2, 14.8, 16, 16.4]}
    >>> found = fit_or_strata(yields, "dm_t_ha", "system", ["block"])
    >>> rows = found.means("system").weights
    >>> gain = combine_any(found, [rows[1] - rows[0]])
    >>> round(float(gain.estimate[0]), 3), round(float(gain.half_width(0.95)[0]), 3)  # the least significant difference
    (0.6, 0.497)
    """
    return found.combine(weights) if isinstance(found, Strata) else combine(found.fitted, weights)
