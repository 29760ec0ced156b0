"""What looks odd in an analysis of slurry: ratios of its contents, held against what is usual."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["OddRatio", "expected_density", "odd_ratios"]

_DENSITY = reference.constants("slurry_density_line")
_KINDS = ("cattle", "pig", "digestate")


@equation(
    "density_wet_t_m3 + density_rise_t_m3 * dry_matter_share",
    unit="t/m3",
    source="choice",
    constants=(_DENSITY,),
)
def expected_density(dry_matter_share: ArrayLike) -> FloatArray:
    """Say which density a dry matter lets expect, to hold a measured one against.

    Parameters
    ----------
    dry_matter_share : array_like
        Dry matter of the fresh slurry [1], 0 to 0.3.

    Returns
    -------
    ndarray
        Density [t/m3], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the dry matter lies outside its range.

    Notes
    -----
    A straight line on a recollection (table ``slurry_density_line``).  Never turned round into dry matter or nutrients.

    Examples
    --------
    >>> round(float(expected_density(0.06)), 3)
    1.024
    """
    dry = require("dry_matter_share", dry_matter_share, 0, 0.3)
    return _DENSITY.density_wet_t_m3 + _DENSITY.density_rise_t_m3 * dry


@dataclass(frozen=True, slots=True)
class OddRatio:
    """A ratio of contents of which at least one value lies outside what is usual.

    Attributes
    ----------
    key : str
        Row of table ``slurry_plausible``.
    label : str
        The ratio in words.
    ratio : ndarray
        What was found.
    low, high : float
        What is usual.
    """

    key: str
    label: str
    ratio: FloatArray
    low: float
    high: float

    @property
    def odd(self) -> NDArray[np.bool_]:
        """Tell which values lie outside."""
        return (self.ratio < self.low) | (self.ratio > self.high)


@equation(
    "ratios of the contents to total N, of total N to dry matter, and density less the expected one, each held "
    "against its row of slurry_plausible",
    unit="1",
    source="choice",
    in_words=True,
)
def odd_ratios(
    kind: str,
    total_n_kg_t: ArrayLike,
    ammoniacal_n_kg_t: ArrayLike | None = None,
    p2o5_kg_t: ArrayLike | None = None,
    k2o_kg_t: ArrayLike | None = None,
    dry_matter_share: ArrayLike | None = None,
    density_t_m3: ArrayLike | None = None,
) -> tuple[OddRatio, ...]:
    """Find which ratios of an analysis look odd, so that someone looks again.

    Parameters
    ----------
    kind : str
        One of cattle, pig, digestate [any].
    total_n_kg_t : array_like
        Total N of fresh slurry [kg/t], above 0, up to 100.
    ammoniacal_n_kg_t : array_like, optional
        Ammoniacal N [kg/t], 0 to 100.
    p2o5_kg_t : array_like, optional
        Phosphate [kg/t], 0 to 100.
    k2o_kg_t : array_like, optional
        Potash [kg/t], 0 to 100.
    dry_matter_share : array_like, optional
        Dry matter [1], above 0, up to 0.3.
    density_t_m3 : array_like, optional
        Density measured [t/m3], 0.8 to 1.3; wants the dry matter too.

    Returns
    -------
    tuple of OddRatio
        Those with a value outside; empty where nothing is odd.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.
    ValueError
        If the kind is none of these.

    Notes
    -----
    A phosphorus given as P, a content of dry matter taken for one of fresh slurry, sediment of the store and a
    slip of the pen all show here.  An odd ratio may be true: it is told, never mended, and no content is worked out
    from another.

    Examples
    --------
    >>> [odd.key for odd in odd_ratios("pig", 5.5, 3.3, 1.2 / 2.29)]
    ['pig_p2o5']
    """
    if kind not in _KINDS:
        raise ValueError(f"`kind` is {kind!r}; allowed: {', '.join(_KINDS)}")
    total = require("total_n_kg_t", total_n_kg_t, 0, 100, "kg/t", above=True)
    found: dict[str, FloatArray] = {}
    for key, name, content in (
        ("tan", "ammoniacal_n_kg_t", ammoniacal_n_kg_t),
        ("p2o5", "p2o5_kg_t", p2o5_kg_t),
        ("k2o", "k2o_kg_t", k2o_kg_t),
    ):
        if content is not None:
            found[f"{kind}_{key}"] = require(name, content, 0, 100, "kg/t") / total
    if dry_matter_share is not None:
        dry = require("dry_matter_share", dry_matter_share, 0, 0.3, above=True)
        found[f"{kind}_n_of_dry_matter"] = total / (1000 * dry)
        if density_t_m3 is not None:
            density = require("density_t_m3", density_t_m3, 0.8, 1.3, "t/m3")
            found["density_off"] = density - expected_density(dry)
    rows = reference.load("slurry_plausible")
    notes = [
        OddRatio(key, rows[key].label, ratio, rows[key].entry("low").value, rows[key].entry("high").value)
        for key, ratio in found.items()
    ]
    return tuple(note for note in notes if note.odd.any())
