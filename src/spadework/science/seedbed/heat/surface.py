"""Temperatures in the soil of a zone from the weather: the balance at its surface, solved with the heat below it.

What the balance knows and leaves out stands in :mod:`~spadework.science.seedbed.heat.surface_balance`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.seedbed.heat.columns import STAGE, HeatColumns, Points, Spells, checked_edges, of_spell
from spadework.science.seedbed.heat.surface_balance import Balance, Skin, Zone
from spadework.science.seedbed.water.vapour import air_pressure, psychrometric
from spadework.working import equation

__all__ = [
    "SurfaceCourse",
    "run_surface",
]


@dataclass(frozen=True)
class SurfaceCourse:
    """What a run gives; columns, then steps.  Flows are means of the steps.

    Attributes
    ----------
    degc : ndarray
        Soil at the asked depths [degC]; columns, then ends of steps from the start on, then depths.
    surface_degc : ndarray
        Surface of the soil, bare and under residue by cover, at the ends of steps [degC].
    profile_degc : ndarray
        Means of layers at the end [degC]; columns, then layers.
    sun_w_m2 : ndarray
        Light taken up [W/m2].
    sky_w_m2 : ndarray
        Long waves taken up from the sky [W/m2].
    sent_w_m2 : ndarray
        Long waves sent out, away from the surface [W/m2].
    air_w_m2 : ndarray
        Heat given to the air [W/m2].
    vapour_w_m2 : ndarray
        Heat that went into evaporation; less than nothing where dew falls [W/m2].
    soil_w_m2 : ndarray
        Heat into the soil [W/m2].
    stored_j_m2 : ndarray
        Heat stored in the soil since the start [J/m2]; columns, then ends of steps from the start on.
    rounds : int
        Most rounds that any step took.
    """

    degc: FloatArray
    surface_degc: FloatArray
    profile_degc: FloatArray
    sun_w_m2: FloatArray
    sky_w_m2: FloatArray
    sent_w_m2: FloatArray
    air_w_m2: FloatArray
    vapour_w_m2: FloatArray
    soil_w_m2: FloatArray
    stored_j_m2: FloatArray
    rounds: int


@equation(
    "light taken up + long waves from the sky - long waves sent out - heat to the air - evaporation = heat into the "
    "soil, bare and under residue by cover, solved with the layers below in every step",
    unit="degC",
    source="horton_surface_1996",
    in_words=True,
)
def run_surface(
    start_degc: ArrayLike,
    air_degc: ArrayLike,
    light_w_m2: ArrayLike,
    vapour_kpa: ArrayLike,
    wind_m_s: ArrayLike,
    sky_w_m2: ArrayLike,
    conductivity_w_m_k: ArrayLike,
    heat_j_m3_k: ArrayLike,
    edges_cm: ArrayLike,
    depth_cm: ArrayLike,
    *,
    ground: Zone,
    altitude_m: float = 0.0,
    step_h: float = 1.0,
    wet_share: ArrayLike = 1.0,
    spell_steps: int | None = None,
) -> SurfaceCourse:
    """Work out temperatures in the soil of a zone from the weather.

    Parameters
    ----------
    start_degc : array_like
        Temperature of the layers at the start [degC], -60 to 80; columns, then layers (or one).
    air_degc : array_like
        Air, mean of each step [degC], -40 to 60; columns, then steps.
    light_w_m2 : array_like
        Sunlight on a level surface, mean of each step [W/m2], 0 to 1500; columns, then steps.
    vapour_kpa : array_like
        Vapour in the air [kPa], more than 0, to 10; columns, then steps.
    wind_m_s : array_like
        Wind at the height of the table [m/s], more than 0, to 60; columns, then steps.
    sky_w_m2 : array_like
        Long waves from the sky [W/m2], 50 to 600; columns, then steps; see ``sky_long_wave``.
    conductivity_w_m_k : array_like
        Conductivity [W/(m K)], 0.001 to 100; columns, then layers (or one).
    heat_j_m3_k : array_like
        Heat per volume and degree [J/(m3 K)], 1e3 to 1e7; columns, then layers (or one).
    edges_cm : array_like
        Edges of the layers [cm], from 0 down.
    depth_cm : array_like
        Depths at which temperatures are wanted [cm].
    ground : Zone
        Surface of the zone [1], by column.
    altitude_m : float
        Height above the sea [m], -430 to 6000.
    step_h : float
        Length of the steps [h], more than 0, to 24.
    wet_share : array_like
        Share of the full rate at which the ground gives off vapour [1], 0 to 1; columns, and with spells columns, then spells.
    spell_steps : int, optional
        Steps after which the soil changes [1], 1 or more; conductivity and heat then have an axis of spells before that of
        the layers, and the last spell goes on.  Left out: the soil stays as it is.

    Returns
    -------
    SurfaceCourse
        Temperatures and every term of the balance.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    RuntimeError
        If a step does not settle.

    Notes
    -----
    The bottom is closed: take it deep enough for the length of the run.  Both stages of a step see its mean weather.

    Examples
    --------
    >>> from spadework.science.seedbed.heat import columns, surface_balance, surface_weather
    >>> hour = np.arange(240) % 24
    >>> air, light = 13 + 5 * np.cos((hour - 15) * np.pi / 12), 700 * np.maximum(np.cos((hour - 12.5) * np.pi / 14), 0)
    >>> light = np.where(abs(hour - 12.5) < 7, light, 0)
    >>> ground = surface_balance.Zone.of("bare_strip")
    >>> sky = surface_weather.sky_long_wave(air, 1.0)
    >>> course = run_surface(
    ...     [13.0], air, light, 1.0, 2.0, sky, [1.0], [2e6], columns.layer_edges(), [5], ground=ground
    ... )
    >>> course.degc.shape
    (241, 1)
    """
    edges = checked_edges(edges_cm)
    start = np.atleast_1d(require("start_degc", start_degc, -60, 80, "degC"))
    weather = np.broadcast_arrays(
        np.atleast_1d(require("air_degc", air_degc, -40, 60, "degC")),
        require("light_w_m2", light_w_m2, 0, 1500, "W/m2"),
        require("vapour_kpa", vapour_kpa, 0, 10, "kPa", above=True),
        require("wind_m_s", wind_m_s, 0, 60, "m/s", above=True),
        require("sky_w_m2", sky_w_m2, 50, 600, "W/m2"),
    )
    soil = Spells(
        np.atleast_1d(require("conductivity_w_m_k", conductivity_w_m_k, 0.001, 100, "W/(m K)")),
        np.atleast_1d(require("heat_j_m3_k", heat_j_m3_k, 1e3, 1e7, "J/(m3 K)")),
        spell_steps,
    )
    wet = require("wet_share", wet_share, 0, 1)
    wet = (wet if spell_steps is not None and wet.ndim else wet[..., np.newaxis])[..., np.newaxis]
    soil.number = max(soil.number, wet.shape[-2])
    depths = np.atleast_1d(require("depth_cm", depth_cm, 0, edges[-1], "cm"))
    step_s = 3600 * float(require("step_h", step_h, 0, 24, "h", above=True))
    skin = Skin.checked(ground)
    shape = np.broadcast_shapes(start.shape[:-1], soil.shape, wet.shape[:-2], weather[0].shape[:-1], skin.shape)
    size, layers, steps = int(np.prod(shape)), len(edges) - 1, weather[0].shape[-1]

    def flat(part: FloatArray, last: int) -> FloatArray:
        return np.ascontiguousarray(np.broadcast_to(part, (*shape, last)).reshape(size, last).T)

    def of(spell: int) -> tuple[HeatColumns, FloatArray]:
        conductivity, held = (of_spell(part, spell, shape, layers) for part in (soil.conductivity, soil.heat))
        return HeatColumns(edges, conductivity, held, step_s), of_spell(wet, spell, shape, 1)[0]

    spell, (columns, allowed) = 0, of(0)
    skin = skin.spread(shape)
    gamma = float(psychrometric(air_pressure(altitude_m)))
    by_step = [flat(part, steps) for part in weather]
    whole, other = np.empty((layers + 2, size)), np.empty((layers + 2, size))
    now, right = whole[1:-1], other[1:-1]
    now[:] = flat(start, layers)
    begun = np.einsum("lc,lc->c", columns.stored, now)
    at = Points(depths, columns)
    shown = np.empty((steps + 1, len(depths), size))
    faces, stored = np.empty((steps, size)), np.zeros((steps + 1, size))
    terms = np.zeros((6, steps, size))
    whole[0], whole[-1] = now[0], now[-1]
    at.show(whole, shown[0])
    bare, under, cap = now[0].copy(), now[0].copy(), now[0].copy()
    most = 0
    for step in range(steps):
        if (later := soil.at(step)) != spell:
            spell, before = later, np.einsum("lc,lc->c", columns.stored, now)
            columns, allowed = of(spell)
            begun += np.einsum("lc,lc->c", columns.stored, now) - before
        balance = Balance(skin, columns, gamma, allowed, *(part[step] for part in by_step))
        begin = now
        for stage, weight in ((0, 1 - STAGE), (1, STAGE)):
            columns.up(begin, 0.0, right)
            bare, under, cap, top, rounds = balance.solve(bare, under, cap, right[0])
            most = max(most, rounds)
            balance.count(bare, under, cap, top, weight, terms[:, step])
            columns.down(top, right)
            if stage == 0:
                begin = columns.second(now, right)
            else:
                whole, other = other, whole
                now, right = right, now
        whole[0] = faces[step] = (1 - skin.cover) * bare + skin.cover * under
        whole[-1] = now[-1]
        at.show(whole, shown[step + 1])
        stored[step + 1] = np.einsum("lc,lc->c", columns.stored, now) - begun

    def back(rows: FloatArray) -> FloatArray:
        return np.moveaxis(rows, -1, 0).reshape(*shape, *rows.shape[:-1])

    sun, sky, sent, to_air, to_vapour, to_soil = (back(term) for term in terms)
    course = (back(shown), back(faces), back(now), sun, sky, sent, to_air, to_vapour, to_soil, back(stored))
    return SurfaceCourse(*course, rounds=most)
