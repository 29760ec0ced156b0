"""Dry matter of a strip from grab samples: several samples in a load, several loads, loads without a sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["LoadSamples", "sampled_dry_matter"]


@dataclass(frozen=True)
class LoadSamples:
    """Dry matter of a strip, as its samples have it.

    Attributes
    ----------
    dry_matter_share : float
        Mean over the loads, each counting by its mass [1].
    standard_error : float
        Of that mean [1]; not a number where no two samples can be held against one another.
    within_sd : float
        Standard deviation of samples inside a load [1]; of samples in all where no load has two.
    between_sd : float
        Standard deviation of loads beyond that [1]; 0 where it cannot be told from nought.
    samples : int
        Samples in all.
    loads_without : int
        Loads without a sample.
    """

    dry_matter_share: float
    standard_error: float
    within_sd: float
    between_sd: float
    samples: int
    loads_without: int


@equation(
    "mean of the load means, each weighted by the mass of its load; loads without a sample take the mean of the others, and "
    "add what loads differ by to the error",
    unit="1",
    source="choice",
    in_words=True,
)
def sampled_dry_matter(dry_matter_share: ArrayLike, sample_load: ArrayLike, load_mass_kg: ArrayLike) -> LoadSamples:
    """Mean dry matter of a strip from samples of its loads, with its standard error.

    Parameters
    ----------
    dry_matter_share : array_like
        Dry matter of every sample [1], 0 to 1; one row.
    sample_load : array_like
        Place of the load that each sample was taken from [1], counted from 0 to the number of loads less one.
    load_mass_kg : array_like
        Mass of every load [kg], more than 0.

    Returns
    -------
    LoadSamples
        Mean, standard error and its parts.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is no sample.
    ValueError
        If samples and loads are not rows that fit together.

    Notes
    -----
    With w the share of a load in the mass, s the standard deviation inside loads and n its samples, the
    variance of the mean is
    sum w^2 s^2 / n where every load was sampled.  The mass of loads without a sample is shared out over the
    sampled ones, and the variance
    between loads is added for both.  Where no load has two samples, s is that of all samples, so that loads count in it.

    Examples
    --------
    >>> found = sampled_dry_matter([0.33, 0.35, 0.31, 0.33], [0, 0, 1, 1], [2000, 1000])
    >>> round(found.dry_matter_share, 4), round(found.standard_error, 4)
    (0.3333, 0.0075)
    """
    values = require("dry_matter_share", dry_matter_share, 0, 1)
    mass = require("load_mass_kg", load_mass_kg, 0, 1e7, "kg", above=True)
    place = require("sample_load", sample_load, 0, max(mass.size - 1, 0)).astype(np.int64)
    if values.ndim != 1 or mass.ndim != 1 or place.shape != values.shape:
        raise ValueError("`dry_matter_share` and `sample_load` must be two rows of one length, `load_mass_kg` one row")
    require("number of samples", values.size, 1, np.inf)
    counts = np.bincount(place, minlength=mass.size).astype(np.float64)
    has = counts > 0
    means = np.bincount(place, values, minlength=mass.size)[has] / counts[has]
    weights = mass / mass.sum()
    without = float(weights[~has].sum())
    shared = weights[has] / weights[has].sum()
    mean = float(np.sum(shared * means))
    within, between = _variances(values, place, counts, has)
    variance = float(np.sum(shared**2 * within / counts[has]))
    if without > 0:
        variance += between * float(np.sum(weights[~has] ** 2) + without**2 * np.sum(shared**2))
    return LoadSamples(
        mean, float(np.sqrt(variance)), float(np.sqrt(within)), float(np.sqrt(between)), values.size, int((~has).sum())
    )


def _variances(values: FloatArray, place: np.ndarray, counts: FloatArray, has: np.ndarray) -> tuple[float, float]:
    """Return the variance of samples inside loads and that between loads."""
    loads, df = int(has.sum()), int(values.size - has.sum())
    if df == 0:
        return (float(values.var(ddof=1)) if values.size > 1 else float("nan")), 0.0
    sums = np.bincount(place, values, minlength=counts.size)
    means = np.divide(sums, counts, out=np.zeros_like(sums), where=has)
    within = float(np.sum((values - means[place]) ** 2)) / df
    if loads < 2:
        return within, 0.0
    n = counts[has]
    between_square = float(np.sum(n * (means[has] - values.mean()) ** 2)) / (loads - 1)
    typical = float((n.sum() - np.sum(n**2) / n.sum()) / (loads - 1))
    return within, max(0.0, (between_square - within) / typical)
