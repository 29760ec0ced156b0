"""How warmth moves down through layers of soil, hour by hour, for many columns at once.

The columns, and why they are stepped as they are, stand in :mod:`~spadework.science.seedbed.heat.columns`.  Where the surface
is given, it moves in straight lines between the given values, which takes 0.6 % off the wave of a day given by the hour.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.seedbed.heat.columns import STAGE, HeatColumns, Points, Spells, checked_edges, of_spell
from spadework.working import equation

__all__ = [
    "HeatCourse",
    "conduct_from_flow",
    "conduct_from_surface",
]


@dataclass(frozen=True)
class HeatCourse:
    """What a run of conduction gives; leading axes are those of the columns.

    Attributes
    ----------
    degc : ndarray
        Temperature at the asked depths [degC]; columns, then the ends of steps from the start on, then depths.
    profile_degc : ndarray
        Means of layers at the end [degC]; columns, then layers.
    flow_w_m2 : ndarray
        Heat into the soil through the surface, mean of each step [W/m2]; columns, then steps.
    base_w_m2 : ndarray
        Heat out through the base, mean of each step [W/m2]; columns, then steps.
    stored_j_m2 : ndarray
        Heat stored in the column since the start [J/m2]; columns, then ends of steps from the start on.
    """

    degc: FloatArray
    profile_degc: FloatArray
    flow_w_m2: FloatArray
    base_w_m2: FloatArray
    stored_j_m2: FloatArray


@equation(
    "finite volumes under a given surface temperature, stepped implicitly in two stages",
    unit="degC",
    source="alexander_1977",
    in_words=True,
)
def conduct_from_surface(
    start_degc: ArrayLike,
    surface_degc: ArrayLike,
    conductivity_w_m_k: ArrayLike,
    heat_j_m3_k: ArrayLike,
    edges_cm: ArrayLike,
    depth_cm: ArrayLike,
    *,
    base_degc: ArrayLike | None = None,
    step_h: float = 1.0,
    substeps: int = 1,
    spell_steps: int | None = None,
) -> HeatCourse:
    """Work out temperatures in the soil under a surface whose temperature is known.

    Parameters
    ----------
    start_degc : array_like
        Temperature of the layers at the start [degC], -60 to 100; columns, then layers, or one for all layers with a
        last axis of length one.
    surface_degc : array_like
        Temperature of the surface [degC], -60 to 100; columns, then the start and the ends of steps.
    conductivity_w_m_k : array_like
        Conductivity [W/(m K)], 0.001 to 100; columns, then layers (or one).
    heat_j_m3_k : array_like
        Heat per volume and degree [J/(m3 K)], 1e3 to 1e7; columns, then layers (or one).
    edges_cm : array_like
        Edges of the layers [cm], from 0 down; see :func:`~spadework.science.seedbed.heat.columns.layer_edges`.
    depth_cm : array_like
        Depths at which temperatures are wanted [cm], from the surface to the bottom.
    base_degc : array_like
        Temperature at the bottom [degC], like that of the surface; None closes the bottom.
    step_h : float
        Time between given values [h], more than 0, to 1e5.
    substeps : int
        Equal steps into which each of them is cut [1], 1 to 1000.
    spell_steps : int, optional
        Steps after which the soil changes [1], 1 or more; conductivity and heat then have an axis of spells before that of
        the layers, and the last spell goes on.  Left out: the soil stays as it is.

    Returns
    -------
    HeatCourse
        Temperatures at the depths, straight between the middles of layers, and what flowed.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the edges do not go down from 0.

    Notes
    -----
    Where the soil changes, temperatures go on: water that comes is as warm as the soil that it comes to.  Only heat
    conduction: no water that moves, no freezing.

    Examples
    --------
    >>> from spadework.science.seedbed.heat.columns import layer_edges
    >>> edges = layer_edges(1, 20, 100)
    >>> hours = np.arange(241)
    >>> wave = 10 + 6 * np.sin(2 * np.pi * hours / 24)
    >>> course = conduct_from_surface([10.0], wave, [1.0], [2e6], edges, [5])
    >>> round(float(np.ptp(course.degc[-25:, 0])) / 12, 3)  # exact: 0.653
    0.647
    """
    setup = ConductionSetup(
        start_degc, conductivity_w_m_k, heat_j_m3_k, edges_cm, depth_cm, step_h, substeps, spell_steps
    )
    return setup.run(surface=surface_degc, base=base_degc)


@equation(
    "finite volumes under a given flow of heat through the surface, stepped implicitly in two stages",
    unit="degC",
    source="alexander_1977",
    in_words=True,
)
def conduct_from_flow(
    start_degc: ArrayLike,
    flow_w_m2: ArrayLike,
    conductivity_w_m_k: ArrayLike,
    heat_j_m3_k: ArrayLike,
    edges_cm: ArrayLike,
    depth_cm: ArrayLike,
    *,
    base_degc: ArrayLike | None = None,
    step_h: float = 1.0,
    substeps: int = 1,
    spell_steps: int | None = None,
) -> HeatCourse:
    """Work out temperatures in the soil when the heat that goes in through its surface is known.

    Parameters
    ----------
    start_degc : array_like
        Temperature of the layers at the start [degC], -60 to 100; columns, then layers (or one).
    flow_w_m2 : array_like
        Heat into the soil, mean of each step [W/m2], -2000 to 2000; columns, then steps.
    conductivity_w_m_k : array_like
        Conductivity [W/(m K)], 0.001 to 100; columns, then layers (or one).
    heat_j_m3_k : array_like
        Heat per volume and degree [J/(m3 K)], 1e3 to 1e7; columns, then layers (or one).
    edges_cm : array_like
        Edges of the layers [cm], from 0 down.
    depth_cm : array_like
        Depths at which temperatures are wanted [cm]; above the middle of the top layer the slope is that of the flow.
    base_degc : array_like
        Temperature at the bottom [degC]; columns, then the start and the ends of steps; None closes the bottom.
    step_h : float
        Length of the steps [h], more than 0, to 1e5.
    substeps : int
        Equal steps into which each of them is cut [1], 1 to 1000.
    spell_steps : int, optional
        Steps after which the soil changes [1], 1 or more; conductivity and heat then have an axis of spells before that of
        the layers, and the last spell goes on.  Left out: the soil stays as it is.

    Returns
    -------
    HeatCourse
        Temperatures at the depths and what flowed.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the edges do not go down from 0.

    Examples
    --------
    >>> from spadework.science.seedbed.heat.columns import layer_edges
    >>> edges = layer_edges(1, 20, 200)
    >>> course = conduct_from_flow([0.0], np.full(6, 100.0), [1.0], [2e6], edges, [5], substeps=6)
    >>> round(float(course.degc[-1, 0]), 2)  # exact: 7.40
    7.41
    """
    setup = ConductionSetup(
        start_degc, conductivity_w_m_k, heat_j_m3_k, edges_cm, depth_cm, step_h, substeps, spell_steps
    )
    return setup.run(flow=flow_w_m2, base=base_degc)


class ConductionSetup:
    """Inputs of a run, checked and brought into one shape: layers first, columns last."""

    def __init__(
        self,
        start_degc: ArrayLike,
        conductivity_w_m_k: ArrayLike,
        heat_j_m3_k: ArrayLike,
        edges_cm: ArrayLike,
        depth_cm: ArrayLike,
        step_h: float,
        substeps: int,
        spell_steps: int | None = None,
    ) -> None:
        self.edges = checked_edges(edges_cm)
        self.start = np.atleast_1d(require("start_degc", start_degc, -60, 100, "degC"))
        self.soil = Spells(
            np.atleast_1d(require("conductivity_w_m_k", conductivity_w_m_k, 0.001, 100, "W/(m K)")),
            np.atleast_1d(require("heat_j_m3_k", heat_j_m3_k, 1e3, 1e7, "J/(m3 K)")),
            spell_steps,
        )
        self.depths = np.atleast_1d(require("depth_cm", depth_cm, 0, self.edges[-1], "cm"))
        self.sideways: FloatArray = np.zeros((1, 1))
        """Heat lost sideways per degree [W/(m3 K)], by column, spell and layer."""
        self.substeps = int(require("substeps", substeps, 1, 1000))
        self.step_s = 3600 * float(require("step_h", step_h, 0, 1e5, "h", above=True)) / self.substeps

    def run(
        self, *, surface: ArrayLike | None = None, flow: ArrayLike | None = None, base: ArrayLike | None = None
    ) -> HeatCourse:
        """Check what drives the columns and step them."""
        by_flow = surface is None
        driver = np.atleast_1d(
            require("flow_w_m2", np.asarray(flow), -2000, 2000, "W/m2")
            if by_flow
            else require("surface_degc", np.asarray(surface), -60, 100, "degC")
        )
        foot = None if base is None else np.atleast_1d(require("base_degc", base, -60, 100, "degC"))
        return self.step(driver, foot, by_flow=by_flow)

    def step(self, driver: FloatArray, foot: FloatArray | None, *, by_flow: bool) -> HeatCourse:
        """Step the columns under surface temperatures, or flows, that need no more checks."""
        steps = driver.shape[-1] - (not by_flow)
        held = foot is not None
        layers = len(self.edges) - 1
        parts = (self.start, driver, *(() if foot is None else (foot,)))
        shape = np.broadcast_shapes(self.soil.shape, self.sideways.shape[:-2], *(part.shape[:-1] for part in parts))
        size = int(np.prod(shape))

        def flat(part: FloatArray, last: int) -> FloatArray:
            return np.ascontiguousarray(np.broadcast_to(part, (*shape, last)).reshape(size, last).T)

        def of(spell: int) -> HeatColumns:
            conductivity, heat, sideways = (
                of_spell(part, spell, shape, layers) for part in (self.soil.conductivity, self.soil.heat, self.sideways)
            )
            return HeatColumns(self.edges, conductivity, heat, self.step_s, held=held, sideways=sideways)

        spell, columns = 0, of(0)
        drive = flat(driver, driver.shape[-1])
        below = np.zeros((steps + 1, size)) if foot is None else flat(foot, steps + 1)
        # one row above the layers for the surface, one below them for the base
        whole, other = np.empty((layers + 2, size)), np.empty((layers + 2, size))
        now, right = whole[1:-1], other[1:-1]
        now[:] = flat(self.start, layers)
        begun = np.einsum("lc,lc->c", columns.stored, now)
        at = Points(self.depths, columns)
        shown = np.empty((steps + 1, len(self.depths), size))
        flows, bases, stored = np.zeros((steps, size)), np.zeros((steps, size)), np.zeros((steps + 1, size))
        whole[0] = now[0] + drive[0] * columns.top if by_flow else drive[0]
        whole[-1] = below[0] if held else now[-1]
        at.show(whole, shown[0])
        inlet = 1 / columns.top
        reach = 1 / (columns.first + inlet)
        for step in range(steps):
            if (later := self.soil.at(step)) != spell:
                spell, before = later, np.einsum("lc,lc->c", columns.stored, now)
                columns = of(spell)
                begun += np.einsum("lc,lc->c", columns.stored, now) - before
                inlet = 1 / columns.top
                reach = 1 / (columns.first + inlet)
            for part in range(self.substeps):
                start = now
                for stage, weight in ((0, (1 - STAGE) / self.substeps), (1, STAGE / self.substeps)):
                    share = (part + (STAGE if stage == 0 else 1)) / self.substeps
                    base = below[step] + share * (below[step + 1] - below[step]) if held else 0.0
                    columns.up(start, base, right)
                    if by_flow:
                        top = (right[0] + drive[step]) / columns.first
                    else:
                        face = drive[step] + share * (drive[step + 1] - drive[step])
                        top = (right[0] + face * inlet) * reach
                        flows[step] += weight * (face - top) * inlet
                    columns.down(top, right)
                    if held:
                        bases[step] += weight * columns.foot * (right[-1] - base)
                    if stage == 0:
                        start = columns.second(now, right)
                    else:
                        whole, other = other, whole
                        now, right = right, now
            whole[0] = now[0] + drive[step] * columns.top if by_flow else drive[step + 1]
            whole[-1] = below[step + 1] if held else now[-1]
            at.show(whole, shown[step + 1])
            stored[step + 1] = np.einsum("lc,lc->c", columns.stored, now) - begun
        if by_flow:
            flows[:] = drive

        def back(rows: FloatArray) -> FloatArray:
            return np.moveaxis(rows, -1, 0).reshape(*shape, *rows.shape[:-1])

        return HeatCourse(back(shown), back(now), back(flows), back(bases), back(stored))
