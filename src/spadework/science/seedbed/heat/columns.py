"""Layers of soil, and the factors with which the warmth of many columns is stepped at once.

The soil is cut into layers, thin at the top and thicker below.  What flows between the middles of two layers goes with
the difference of their temperatures over the sum of the resistances between them, which is the harmonic mean of the
conductivities.  What one layer loses another gains, so the energy closes to rounding.

Time is stepped implicitly in two stages (Alexander 1977).  Fully implicit steps of an hour would lose some of the wave of
the day (they are of first order), and the rule of Crank and Nicolson rings for hours after a jump at the surface when layers
are thin.  The two stages are of second order, and both take the same factors, which are worked out once.  After a jump
they overshoot in thin layers, by less than a twentieth of the jump in even soil and by up to a sixth where the top layer
conducts far better than those below; in the step after it that is gone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "HeatColumns",
    "layer_edges",
]

_multiply, _add = np.multiply, np.add
_SPELLS_AND_LAYERS = 2
STAGE = 1 - np.sqrt(0.5)
"""Length of each stage over that of the step: makes two stages second-order, and damps what is quick."""


@equation(
    "layers of one thickness down to a depth, below it each thicker than the one above by the same factor, "
    "fitted so that the last ends at the bottom",
    unit="cm",
    source="physics",
    in_words=True,
)
def layer_edges(
    top_cm: float = 1.0, even_to_cm: float = 10.0, bottom_cm: float = 100.0, growth_ratio: float = 1.2
) -> FloatArray:
    """Cut the soil into layers, thin at the top.

    Parameters
    ----------
    top_cm : float
        Thickness of the layers at the top [cm], 0.05 to 20.
    even_to_cm : float
        Depth down to which layers are of that thickness [cm], 0 to the bottom.
    bottom_cm : float
        Depth of the bottom [cm], more than the top, to 2000.
    growth_ratio : float
        Thickness of a layer over the one above it, below that depth [1], 1 to 2; trimmed so that the layers fit.

    Returns
    -------
    ndarray
        Edges of the layers from the surface down [cm], one more than layers.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> layer_edges(2, 4, 20, 1.5).round(1).tolist()
    [0.0, 2.0, 4.0, 6.6, 10.0, 14.3, 20.0]
    """
    top = float(require("top_cm", top_cm, 0.05, 20, "cm"))
    bottom = float(require("bottom_cm", bottom_cm, top, 2000, "cm"))
    even = float(require("even_to_cm", even_to_cm, 0, bottom, "cm"))
    growth = float(require("growth_ratio", growth_ratio, 1, 2))
    edges = [0.0] + [top * (n + 1) for n in range(max(1, round(even / top)))]
    if edges[-1] >= bottom * (1 - 1e-9):
        return np.linspace(0, bottom, max(1, round(bottom / top)) + 1)
    rest = bottom - edges[-1]
    count = 1
    while top * _geometric(growth, count) < rest:
        count += 1
    low, high = 0.0, growth
    for _ in range(100):  # halve until the layers fit
        middle = (low + high) / 2
        low, high = (middle, high) if top * _geometric(middle, count) < rest else (low, middle)
    below = edges[-1] + np.cumsum(top * high ** np.arange(1, count + 1))
    below[-1] = bottom
    return np.concatenate([edges, below])


def _geometric(ratio: float, count: int) -> float:
    return float(np.sum(ratio ** np.arange(1, count + 1)))


def checked_edges(edges_cm: ArrayLike) -> FloatArray:
    """Return edges of layers, or raise if they do not go down from the surface."""
    edges = require("edges_cm", edges_cm, 0, 5000, "cm")
    if edges.ndim != 1 or len(edges) < 3 or edges[0] != 0:
        raise ImpossibleValue("edges_cm", f"{np.size(edges)} edges from {edges.flat[0]:.6g}", 0, 5000, "cm")
    if (np.diff(edges) <= 0).any():
        raise ImpossibleValue("edges_cm", f"{np.diff(edges).min():.6g} cm to the next", 0, 5000, "cm")
    return edges


class Spells:
    """Soil that stays as it is for a spell of steps, and then is another; the last spell goes on.

    Parameters
    ----------
    conductivity, heat : ndarray
        By column, then, where it changes, spell, then layer.
    steps : int or None
        Length of a spell in steps; None where the soil stays as it is.
    """

    def __init__(self, conductivity: FloatArray, heat: FloatArray, steps: int | None) -> None:
        if steps is None:
            conductivity, heat = conductivity[..., np.newaxis, :], heat[..., np.newaxis, :]
        elif min(conductivity.ndim, heat.ndim) < _SPELLS_AND_LAYERS:
            raise ImpossibleValue(
                "conductivity_w_m_k", "one axis", 2, np.inf, "axes, spells and layers, with spell_steps"
            )
        self.conductivity, self.heat = conductivity, heat
        self.number = max(conductivity.shape[-2], heat.shape[-2])
        """How many spells there are."""
        self.steps = None if steps is None else int(require("spell_steps", steps, 1, np.inf))

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the columns."""
        return np.broadcast_shapes(self.conductivity.shape[:-2], self.heat.shape[:-2])

    def at(self, step: int) -> int:
        """Return the spell of a step."""
        return 0 if self.steps is None else min(step // self.steps, self.number - 1)


def of_spell(part: FloatArray, spell: int, shape: tuple[int, ...], layers: int) -> FloatArray:
    """Return what is given by column, spell and layer for one spell, layers first and columns last."""
    one = part[..., min(spell, part.shape[-2] - 1), :]
    return np.ascontiguousarray(np.broadcast_to(one, (*shape, layers)).reshape(-1, layers).T)


class HeatColumns:
    """Columns of soil and the factors with which their temperatures are stepped.

    Parameters
    ----------
    edges_cm : ndarray
        Edges of the layers [cm], from 0 down; see :func:`layer_edges`.
    conductivity, heat : ndarray
        Conductivity [W/(m K)] and heat per volume and degree [J/(m3 K)] by layer and column.
    step_s : float
        Length of a step [s].
    held : bool
        Whether the base is held at a given temperature rather than closed.
    sideways : ndarray
        Heat lost sideways per degree [W/(m3 K)] by layer and column; nil where nothing leaves.

    Notes
    -----
    Everything is worked from the bottom up, so that the top layer is left with one equation: its temperature against
    the heat that comes in through the surface.  That is what a balance of energy at the surface needs.
    """

    def __init__(
        self,
        edges_cm: FloatArray,
        conductivity: FloatArray,
        heat: FloatArray,
        step_s: float,
        *,
        held: bool = False,
        sideways: FloatArray | None = None,
    ) -> None:
        self.thick = np.diff(edges_cm)[:, np.newaxis] / 100
        self.layers, self.columns = conductivity.shape
        half = self.thick / (2 * conductivity)
        self.top = half[0]
        """Resistance from the surface to the middle of the top layer [m2 K/W]."""
        self.between = 1 / (half[:-1] + half[1:])
        self.held = held
        self.foot = 1 / half[-1] if held else np.zeros(self.columns)
        self.stored = heat * self.thick
        self.step_s = step_s
        self.middles_cm = (edges_cm[1:] + edges_cm[:-1]) / 2
        self.lost = np.zeros_like(self.stored) if sideways is None else sideways * self.thick
        self._speed = self.stored / (STAGE * step_s)
        diagonal = self._speed + self.lost
        diagonal[:-1] += self.between
        diagonal[1:] += self.between
        diagonal[-1] += self.foot
        self._factor = np.empty_like(self.between)
        for layer in range(self.layers - 2, -1, -1):
            self._factor[layer] = self.between[layer] / diagonal[layer + 1]
            diagonal[layer] -= self._factor[layer] * self.between[layer]
        self.first = diagonal[0].copy()
        """What holds the top layer where it is, all layers below included [W/(m2 K)]."""
        self._inverse = 1 / diagonal
        self._factors_down = list(self._factor)
        self._factors_up = self._factors_down[::-1]
        self._spare = np.empty(self.columns)

    def up(self, start: FloatArray, base: FloatArray | float, right: FloatArray) -> None:
        """Fill `right` with the right-hand sides of a stage that starts at `start`, worked up from the bottom."""
        np.multiply(self._speed, start, out=right)
        if self.held:
            right[-1] += self.foot * base
        spare = self._spare
        rows = list(right)
        below = rows[-1]
        for factor, row in zip(self._factors_up, rows[-2::-1], strict=True):
            _multiply(factor, below, spare)
            _add(row, spare, row)
            below = row

    def down(self, top: FloatArray, right: FloatArray) -> None:
        """Turn right-hand sides into temperatures, from that of the top layer down."""
        np.multiply(right, self._inverse, out=right)
        right[0] = top
        spare = self._spare
        rows = list(right)
        above = rows[0]
        for factor, row in zip(self._factors_down, rows[1:], strict=True):
            _multiply(factor, above, spare)
            _add(row, spare, row)
            above = row

    def second(self, start: FloatArray, first: FloatArray) -> FloatArray:
        """Return what the second stage starts from, after the first stage has ended at `first`."""
        later = first - start
        later *= (1 - STAGE) / STAGE
        later += start
        return later


class Points:
    """Temperatures at depths, by straight lines between the surface, the middles of layers and the bottom."""

    def __init__(self, depths_cm: FloatArray, columns: HeatColumns) -> None:
        places = np.concatenate([[0.0], columns.middles_cm, [100 * float(columns.thick.sum())]])
        self._left = np.clip(np.searchsorted(places, depths_cm, side="right") - 1, 0, len(places) - 2)
        weight = (depths_cm - places[self._left]) / (places[self._left + 1] - places[self._left])
        self._weight = weight[:, np.newaxis]

    def show(self, whole: FloatArray, out: FloatArray) -> None:
        """Fill `out` from rows of the surface, the layers and the bottom."""
        left = whole[self._left]
        np.subtract(whole[self._left + 1], left, out=out)
        out *= self._weight
        out += left
