"""The cut across half a row on which the nitrogen of a band spreads: its cells, and the modes in which it fades.

The cut is half a row wide: the band lies under the row at one side, and the neighbouring band mirrors it at the other.
Nothing crosses the sides, the surface or the bottom.  The cut is divided into square cells, and what flows between two
cells goes with the difference of their concentrations (finite volumes).  On such a grid the flow between cells has
waves of cosines as its own modes, each of which fades by itself; so time is stepped exactly, however long the step,
nothing is lost, and many draws share one grid.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require

__all__ = ["Grid"]

_STRIPS = 32  # into which a cell is cut to find how much of it lies in the band


@dataclass(frozen=True)
class Grid:
    """The grid: sides, cells and the rates [1/cm2] at which its cosine modes fade."""

    width_cm: float
    depth_cm: float
    columns: int
    layers: int
    across_rates: FloatArray
    down_rates: FloatArray

    @classmethod
    def made(cls, row_spacing_m: float, section_depth_cm: float, cell_cm: float) -> Grid:
        """Return the grid of half a row spacing, its cells as near to square as both sides allow."""
        width = 50 * float(require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True))
        depth = float(require("section_depth_cm", section_depth_cm, 0, 1000, "cm", above=True))
        cell = float(require("cell_cm", cell_cm, max(width, depth) / 1000, min(width, depth) / 2, "cm"))
        columns, layers = round(width / cell), round(depth / cell)
        return cls(width, depth, columns, layers, _rates(columns, width), _rates(layers, depth))

    def band(self, centre_depth_cm: float, half_height_cm: float, half_width_cm: float, *, layer: bool) -> FloatArray:
        """Return the modes of the fresh band, whose cells sum exactly to its area."""
        from scipy.fft import dctn

        a = float(require("half_width_cm", half_width_cm, 0, self.width_cm, "cm", above=True))
        centre = float(require("centre_depth_cm", centre_depth_cm, 0, self.depth_cm, "cm"))
        most = min(centre, self.depth_cm - centre)
        b = float(require("half_height_cm", half_height_cm, 0, most, "cm", above=True))
        reached = min(self.columns, int(np.ceil(a * self.columns / self.width_cm)))
        strips = (np.arange(reached * _STRIPS) + 0.5) * self.width_cm / (self.columns * _STRIPS)
        ellipse = b * np.sqrt(np.maximum(1 - (strips / a) ** 2, 0))
        chord = np.where(strips < a, b, 0.0) if layer else ellipse
        if not chord.any():
            raise ImpossibleValue(
                "half_width_cm", f"{a:.6g}", self.width_cm / self.columns / _STRIPS, self.width_cm, "cm"
            )
        edges = np.linspace(0, self.depth_cm, self.layers + 1)[:, np.newaxis]
        filled = np.diff(np.clip(edges, centre - chord, centre + chord), axis=0) * self.layers / self.depth_cm
        share = np.zeros((self.layers, self.columns))
        share[:, :reached] = filled.reshape(self.layers, reached, _STRIPS).mean(axis=-1)
        area = 2 * a * b if layer else np.pi * a * b / 2
        share *= area / (share.sum() * self.width_cm * self.depth_cm / (self.columns * self.layers))
        return np.asarray(dctn(share, norm="ortho"), dtype=np.float64)

    def nitrate(self, modes: FloatArray, steps: Iterable[tuple[float, float, float, float]]) -> Iterator[FloatArray]:
        """Yield the modes of the nitrate at the end of each step: its days, both diffusions and the rate."""
        rates = self.down_rates[:, np.newaxis] + self.across_rates
        held, made = modes, np.zeros_like(modes)
        for days, ammonium, nitrate, rate in steps:
            fast, slow = days * nitrate * rates, days * (ammonium * rates - rate)
            made = made * np.exp(fast) + days * rate * held * _between(fast, slow)
            held = held * np.exp(slow)
            yield made

    def points(self, depth_cm: ArrayLike, across_cm: ArrayLike) -> tuple[FloatArray, FloatArray, tuple[int, ...]]:
        """Return the modes at each point, down and across, and the shape of the points."""
        down, across = np.broadcast_arrays(
            require("depth_cm", depth_cm, 0, self.depth_cm, "cm"),
            require("across_cm", across_cm, 0, self.width_cm, "cm"),
        )
        return (
            _modes_at(down.ravel() / self.depth_cm * self.layers, self.layers),
            _modes_at(across.ravel() / self.width_cm * self.columns, self.columns),
            down.shape,
        )


def _rates(cells: int, side_cm: float) -> FloatArray:
    return np.asarray(-4 * (cells / side_cm) ** 2 * np.sin(np.arange(cells) * np.pi / (2 * cells)) ** 2)


def _modes_at(place: FloatArray, cells: int) -> FloatArray:
    """Return the cosine modes at places counted in cells, by straight lines between the middles of cells."""
    inner = np.minimum(np.maximum(place - 0.5, 0), cells - 1)  # flat in the outer half cells: closed sides
    left = np.minimum(np.floor(inner), cells - 2)
    weight = (inner - left)[:, np.newaxis]
    wave = np.arange(cells) * np.pi / cells
    size = np.where(np.arange(cells) == 0, np.sqrt(1 / cells), np.sqrt(2 / cells))
    at = [np.cos(np.multiply.outer(left + offset, wave)) for offset in (0.5, 1.5)]
    return np.asarray(size * ((1 - weight) * at[0] + weight * at[1]))


def _between(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the mean of e to the power of all numbers from `first` to `second`."""
    half = np.abs(first - second)
    slope = np.divide(-np.expm1(-half), half, out=np.ones_like(half), where=half > 0)
    mean: FloatArray = np.exp(np.maximum(first, second)) * slope
    return mean
