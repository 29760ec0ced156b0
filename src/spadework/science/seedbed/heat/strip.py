"""Warmth in a cut across strips and the ground between them.

The cut is half a row wide, from the middle of a strip to the middle between strips; nothing crosses its sides.  Across, the
surface is a sum of cosines, and where the soil is alike from strip to strip every cosine goes down by itself, like a column
that also loses heat sideways.  So a cut is as many columns as cosines, stepped together as in
:mod:`~spadework.science.seedbed.heat.conduction`, and exact across but for the cosines left out, which die out within
the first centimetre.

Soil in the strip that conducts or holds heat differently from that between is not in here; the difference lies in the surface.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.seedbed.heat.conduction import ConductionSetup, HeatCourse
from spadework.science.seedbed.residue.cover import tilled_share
from spadework.working import equation

__all__ = [
    "StripCourse",
    "blend_weight",
    "strip_from_flow",
    "strip_from_surface",
    "strip_weight",
]

_TERMS = 2000
_FADED = 40  # e to the minus forty is nil to rounding


@dataclass(frozen=True)
class StripCourse:
    """Temperatures in a cut [degC]; columns, then ends of steps from the start on, then points.

    Attributes
    ----------
    degc : ndarray
        At the points.
    strip_degc, between_degc : ndarray
        Mean over the width of the strip, and between strips, at the depths of the points; not a number where there is
        no ground between.
    """

    degc: FloatArray
    strip_degc: FloatArray
    between_degc: FloatArray


@equation(
    "finite volumes down and cosines across under surface temperatures that differ between strip and the ground between",
    unit="degC",
    source="physics",
    locator="conduction, two dimensions",
    in_words=True,
)
def strip_from_surface(
    start_degc: ArrayLike,
    strip_surface_degc: ArrayLike,
    between_surface_degc: ArrayLike,
    conductivity_w_m_k: ArrayLike,
    heat_j_m3_k: ArrayLike,
    edges_cm: ArrayLike,
    across_cm: ArrayLike,
    depth_cm: ArrayLike,
    *,
    strip_width_m: float,
    row_spacing_m: float,
    base_degc: ArrayLike | None = None,
    step_h: float = 1.0,
    substeps: int = 1,
    waves: int = 48,
    spell_steps: int | None = None,
) -> StripCourse:
    """Work out temperatures around a strip from those of the surfaces.

    Parameters
    ----------
    start_degc : array_like
        Temperature of the layers at the start, alike across [degC], -60 to 100; columns, then layers (or one).
    strip_surface_degc, between_surface_degc : array_like
        Surface in the strip and between strips [degC], -60 to 100; columns, then the start and the ends of steps.
    conductivity_w_m_k : array_like
        Conductivity, alike across [W/(m K)], 0.001 to 100; columns, then layers (or one).
    heat_j_m3_k : array_like
        Heat per volume and degree, alike across [J/(m3 K)], 1e3 to 1e7; columns, then layers (or one).
    edges_cm : array_like
        Edges of the layers [cm], from 0 down.
    across_cm, depth_cm : array_like
        Points: distance from the middle of the strip and depth [cm]; 1 cm deep or more.
    strip_width_m, row_spacing_m : float
        Width of the strip and distance between strips [m], more than 0, to 10.
    base_degc : array_like
        Temperature at the bottom [degC]; columns, then the start and the ends of steps; None closes the bottom.
    step_h : float
        Time between given values [h], more than 0, to 1e5.
    substeps : int
        Equal steps into which each of them is cut [1], 1 to 1000.
    waves : int
        Cosines across [1], 2 to 500.
    spell_steps : int, optional
        Steps after which the soil changes [1], 1 or more; conductivity and heat then have an axis of spells before that of
        the layers, and the last spell goes on.  Left out: the soil stays as it is.

    Returns
    -------
    StripCourse
        Temperatures at the points, and means over strip and ground between at their depths.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the strip is wider than the row spacing.

    Examples
    --------
    >>> from spadework.science.seedbed.heat.columns import layer_edges
    >>> hours = np.arange(241)
    >>> day = np.sin(2 * np.pi * hours / 24)
    >>> size = {"strip_width_m": 0.2, "row_spacing_m": 0.75}
    >>> cut = strip_from_surface([12.0], 12 + 8 * day, 12 + 4 * day, [1.0], [2e6], layer_edges(), [0], [5], **size)
    >>> round(float(np.ptp(cut.degc[-25:, 0]) / 2), 2)  # between 2.6 and 5.2
    4.92
    """
    driver = [
        np.atleast_1d(require("strip_surface_degc", strip_surface_degc, -60, 100, "degC")),
        np.atleast_1d(require("between_surface_degc", between_surface_degc, -60, 100, "degC")),
    ]
    setup = ConductionSetup(
        start_degc, conductivity_w_m_k, heat_j_m3_k, edges_cm, depth_cm, step_h, substeps, spell_steps
    )
    return _cut(
        setup, driver[0], driver[1], base_degc, across_cm, depth_cm, strip_width_m, row_spacing_m, waves, by_flow=False
    )


@equation(
    "finite volumes down and cosines across under flows of heat that differ between strip and the ground between",
    unit="degC",
    source="physics",
    locator="conduction, two dimensions",
    in_words=True,
)
def strip_from_flow(
    start_degc: ArrayLike,
    strip_flow_w_m2: ArrayLike,
    between_flow_w_m2: ArrayLike,
    conductivity_w_m_k: ArrayLike,
    heat_j_m3_k: ArrayLike,
    edges_cm: ArrayLike,
    across_cm: ArrayLike,
    depth_cm: ArrayLike,
    *,
    strip_width_m: float,
    row_spacing_m: float,
    base_degc: ArrayLike | None = None,
    step_h: float = 1.0,
    substeps: int = 1,
    waves: int = 48,
    spell_steps: int | None = None,
) -> StripCourse:
    """Work out temperatures around a strip from the heat that goes into the surfaces.

    Parameters
    ----------
    start_degc : array_like
        Temperature of the layers at the start, alike across [degC], -60 to 100; columns, then layers (or one).
    strip_flow_w_m2, between_flow_w_m2 : array_like
        Heat into the strip and into the ground between [W/m2], -2000 to 2000; columns, then steps.
    conductivity_w_m_k : array_like
        Conductivity, alike across [W/(m K)], 0.001 to 100; columns, then layers (or one).
    heat_j_m3_k : array_like
        Heat per volume and degree, alike across [J/(m3 K)], 1e3 to 1e7; columns, then layers (or one).
    edges_cm : array_like
        Edges of the layers [cm], from 0 down.
    across_cm, depth_cm : array_like
        Points: distance from the middle of the strip and depth [cm].
    strip_width_m, row_spacing_m : float
        Width of the strip and distance between strips [m], more than 0, to 10.
    base_degc : array_like
        Temperature at the bottom [degC]; columns, then the start and the ends of steps; None closes the bottom.
    step_h : float
        Length of the steps [h], more than 0, to 1e5.
    substeps : int
        Equal steps into which each of them is cut [1], 1 to 1000.
    waves : int
        Cosines across [1], 2 to 500.
    spell_steps : int, optional
        Steps after which the soil changes [1], 1 or more; conductivity and heat then have an axis of spells before that of
        the layers, and the last spell goes on.  Left out: the soil stays as it is.

    Returns
    -------
    StripCourse
        Temperatures at the points, and means over strip and ground between at their depths.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the strip is wider than the row spacing.

    Examples
    --------
    >>> from spadework.science.seedbed.heat.columns import layer_edges
    >>> size = {"strip_width_m": 0.2, "row_spacing_m": 0.75}
    >>> more, less = np.full(6, 100.0), np.full(6, 50.0)
    >>> cut = strip_from_flow([10.0], more, less, [1.0], [2e6], layer_edges(), [0, 37.5], [5, 5], **size)
    >>> cut.degc[-1].round(1).tolist()
    [16.4, 13.8]
    """
    driver = [
        np.atleast_1d(require("strip_flow_w_m2", strip_flow_w_m2, -2000, 2000, "W/m2")),
        np.atleast_1d(require("between_flow_w_m2", between_flow_w_m2, -2000, 2000, "W/m2")),
    ]
    setup = ConductionSetup(
        start_degc, conductivity_w_m_k, heat_j_m3_k, edges_cm, depth_cm, step_h, substeps, spell_steps
    )
    return _cut(
        setup, driver[0], driver[1], base_degc, across_cm, depth_cm, strip_width_m, row_spacing_m, waves, by_flow=True
    )


@equation("1 - exp(-100 * strip_width_m / (2 * damping_cm))", unit="1", source="choice")
def blend_weight(strip_width_m: ArrayLike, damping_cm: ArrayLike) -> FloatArray:
    """Guess how much of a strip's contrast arrives below it, from its width alone.

    Parameters
    ----------
    strip_width_m : array_like
        Width of the strip [m], 0 to 10.
    damping_cm : array_like
        Damping depth [cm], more than 0, to 1000.

    Returns
    -------
    ndarray
        Share of the contrast between a column all strip and a column all between [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A rule of thumb of ours that knows no depth; :func:`strip_weight` is exact for uniform soil and as quick.  In rows of
    75 cm and for strips of 10 to 30 cm the rule is too low at 5 cm, by up to 0.25 for the wave of the day and by up to
    0.11 for means of many days; at 10 cm it is too high for such means, by up to 0.12.

    Examples
    --------
    >>> round(float(blend_weight(0.2, 12)), 2)
    0.57
    """
    width = require("strip_width_m", strip_width_m, 0, 10, "m")
    return np.asarray(-np.expm1(-100 * width / (2 * require("damping_cm", damping_cm, 0, 1000, "cm", above=True))))


@equation(
    "sum over cosines across of their share of the strip, each fading downward by its own rate against that of the wave "
    "of a whole field",
    unit="1",
    source="physics",
    locator="conduction, two dimensions, sine wave in time",
    in_words=True,
)
def strip_weight(
    depth_cm: ArrayLike, strip_width_m: ArrayLike, row_spacing_m: ArrayLike, damping_cm: ArrayLike
) -> FloatArray:
    """Work out how much of a strip's contrast arrives below it, as a mean over its width.

    Parameters
    ----------
    depth_cm : array_like
        Depth under the surface [cm], 0 to 1000.
    strip_width_m, row_spacing_m : array_like
        Width of the strip and distance between strips [m], more than 0, to 10.
    damping_cm : array_like
        Damping depth of the wave [cm], more than 0, to 1e9; very large for means of many days.

    Returns
    -------
    ndarray
        Contrast in the strip over that between a field all strip and a field all between [1], at that depth: the height of
        the wave; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the strip is wider than the row spacing.

    Notes
    -----
    W = f + sum over k of 2 sin2(k pi f) / ((k pi)2 f) exp(-z (sqrt(q2 + 2i/D2) - sqrt(2i)/D)), f the tilled share and q =
    2 k pi / spacing; its modulus is returned.  Exact for soil that is alike everywhere.  One at the surface.

    Examples
    --------
    >>> strip_weight([2, 5, 10], 0.2, 0.75, 12).round(2).tolist()
    [0.87, 0.78, 0.68]
    """
    depth = require("depth_cm", depth_cm, 0, 1000, "cm")
    share = tilled_share(strip_width_m, row_spacing_m)
    require("strip_width_m", strip_width_m, 0, 10, "m", above=True)
    spacing = 100 * np.asarray(row_spacing_m, dtype=np.float64)
    damping = require("damping_cm", damping_cm, 0, 1e9, "cm", above=True)
    turning = 2j / damping**2
    flat = np.sqrt(turning)
    shape = np.broadcast_shapes(depth.shape, share.shape, damping.shape)
    found = np.zeros(shape, dtype=complex) + share
    below = depth[depth > 0]
    slowest = 2 * np.pi * below.min(initial=np.inf) / spacing.max() if below.size else np.inf
    for k in range(1, _TERMS + 1):
        size = 2 * np.sin(k * np.pi * share) ** 2 / ((k * np.pi) ** 2 * share)
        found = found + size * np.exp(-depth * (np.sqrt((2 * np.pi * k / spacing) ** 2 + turning) - flat))
        if k * slowest > _FADED:
            break
    at_surface = depth == 0
    return np.asarray(np.where(at_surface, 1.0, np.abs(found)))


def _cut(
    setup: ConductionSetup,
    strip: FloatArray,
    between: FloatArray,
    base_degc: ArrayLike | None,
    across_cm: ArrayLike,
    depth_cm: ArrayLike,
    strip_width_m: float,
    row_spacing_m: float,
    waves: int,
    *,
    by_flow: bool,
) -> StripCourse:
    share = float(tilled_share(strip_width_m, row_spacing_m))
    half_m = row_spacing_m / 2
    number = np.arange(int(require("waves", waves, 2, 500)))
    across, depths = np.broadcast_arrays(
        require("across_cm", across_cm, 0, 100 * half_m, "cm"), np.atleast_1d(np.asarray(depth_cm, dtype=np.float64))
    )
    setup.depths = require("depth_cm", depths, 0, setup.edges[-1], "cm")
    size = np.where(number == 0, share, 2 * share * np.sinc(number * share))[:, np.newaxis]
    contrast = (strip - between)[..., np.newaxis, :]
    driver = contrast * size
    driver[..., 0, :] += np.broadcast_to(between, driver[..., 0, :].shape)
    first = (number == 0)[:, np.newaxis]
    setup.start = setup.start[..., np.newaxis, :] * first
    conductivity = setup.soil.conductivity[..., np.newaxis, :, :]
    setup.sideways = conductivity * ((number * np.pi / half_m) ** 2)[:, np.newaxis, np.newaxis]
    setup.soil.conductivity, setup.soil.heat = conductivity, setup.soil.heat[..., np.newaxis, :, :]
    foot = None
    if base_degc is not None:
        foot = np.atleast_1d(require("base_degc", base_degc, -60, 100, "degC"))[..., np.newaxis, :] * first
    course: HeatCourse = setup.step(driver, foot, by_flow=by_flow)
    at = np.cos(np.multiply.outer(number * np.pi / (100 * half_m), across))
    in_strip = np.sinc(number * share)
    outside = np.where(number == 0, 1.0, -in_strip * share / (1 - share)) if share < 1 else np.full(len(number), np.nan)
    return StripCourse(
        np.asarray(np.einsum("...ktp,kp->...tp", course.degc, at)),
        np.asarray(np.einsum("...ktp,k->...tp", course.degc, in_strip)),
        np.asarray(np.einsum("...ktp,k->...tp", course.degc, outside)),
    )
