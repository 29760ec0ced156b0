"""Digs across the row: what is written down of each, as arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.ranges import FloatArray

__all__ = ["Digs"]


@dataclass(frozen=True)
class Digs:
    """Digs in the order of their file, one place of every array for each.

    A depth is from the surface that `measured_from` names; it is not a number (NaN) where it was not measured.

    Attributes
    ----------
    file : str
        Where they were read.
    lines : NDArray
        Line of each in the file.
    names : tuple of str
        Number or name of each dig, as written.
    plots, passes : tuple of str
        Plot and pass, as written; empty where not said.
    units : NDArray
        Row unit, counted on the machine from the left, seen forwards; 1 or more.
    directions : tuple of str
        ``"out"``, ``"back"``, or empty where not said.
    places : tuple of str
        ``"body"``, ``"headland"``, or empty where not said.
    behind_wheel : NDArray
        1 where the row was dug behind a wheel of tractor or machine, 0 where not, NaN where not said.
    settings : NDArray
        Number of the setting of the machine, 1 before it was first changed.
    measured_from : tuple of str
        ``"track"`` (press-wheel track), ``"crest"`` (of the fresh berm) or ``"undisturbed"`` surface.
    band_found : NDArray
        False where no band was there to be measured.
    seed_cm, top_cm, bottom_cm : FloatArray
        Depth of the seed, of the top and of the bottom of the band [cm].
    width_cm : FloatArray
        Width of the band [cm].
    offset_cm : FloatArray
        Centre of the band right of the seed row, seen forwards [cm]; negative where it lies left.
    surface_share : FloatArray
        Share of the row's length over the dig with slurry on the surface [1].
    """

    file: str
    lines: NDArray[np.int64]
    names: tuple[str, ...]
    plots: tuple[str, ...]
    passes: tuple[str, ...]
    units: NDArray[np.int64]
    directions: tuple[str, ...]
    places: tuple[str, ...]
    behind_wheel: FloatArray
    settings: NDArray[np.int64]
    measured_from: tuple[str, ...]
    band_found: NDArray[np.bool_]
    seed_cm: FloatArray
    top_cm: FloatArray
    bottom_cm: FloatArray
    width_cm: FloatArray
    offset_cm: FloatArray
    surface_share: FloatArray
