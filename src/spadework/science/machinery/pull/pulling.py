"""The pull of a pass and the power it needs, at any speed and at shares of its planned depth and width.

A pass is driven at a speed v, at a share d of its planned depth and a share w of its planned width.  Its draft is

    w (d (deep_0 + deep_1 v + deep_2 v^2) + other_0 + other_1 v + other_2 v^2)

where `deep` stands for the tools that go as deep as the pass and `other` for coulters, discs and packers with a depth of
their own.  Slip follows from pull, load and ground; power follows from slip.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.science.machinery.pull import grip
from spadework.science.machinery.pull.planned import Pass, Tractor, possible, reshaped
from spadework.working import equation

__all__ = ["Pull", "gather", "needed_at", "pass_draft"]


@dataclass(frozen=True, slots=True)
class Pull:
    """A pass behind its tractor, every part of both in one flat shape."""

    planned: Pass
    tractor: Tractor

    def only(self, chosen: NDArray[np.intp] | slice) -> Pull:
        """Return the chosen elements."""
        return Pull(reshaped(self.planned, lambda a: a[chosen]), reshaped(self.tractor, lambda a: a[chosen]))

    def load_kn(self) -> FloatArray:
        """Return the load on the driven wheels."""
        return grip.driven_load(self.tractor.tractor_t, self.tractor.driven_share, self.planned.hitch_t)

    def ratio(self, v: FloatArray, d: FloatArray, w: FloatArray) -> FloatArray:
        """Return the pull per load on the driven wheels."""
        one, pull = self.tractor, self.planned.draft_n(v, d, w) + self.planned.towed_n
        wheels = grip.wheel_pull(pull, one.tractor_t, one.driven_share, one.rolling_coefficient, one.slope_share)
        return grip.pull_ratio(wheels, self.load_kn())

    def most_ratio(self) -> FloatArray:
        """Return the largest pull per load within the slip that one still works with."""
        return grip.most_pull_ratio_brixius(self.tractor.wheel_number, self.tractor.slip_most_share)

    def needed_kw(self, ratio: FloatArray, v: FloatArray, w: FloatArray) -> FloatArray:
        """Return the power at the take-off: the pump goes with speed and width, driven tools with width alone."""
        slip = grip.slip_for_pull_brixius(ratio, self.tractor.wheel_number)
        axle = grip.axle_power_brixius(self.load_kn(), self.tractor.wheel_number, slip, v)
        drive = grip.pto_power_for_axle(axle, self.tractor.axle_per_pto)
        return drive + w * (self.planned.pump_kw * v / self.planned.speed_km_h + self.planned.rotary_kw)


def gather(planned: Pass, tractor: Tractor, *more: FloatArray) -> tuple[Pull, tuple[FloatArray, ...], tuple[int, ...]]:
    """Return pass, tractor and `more` in one flat shape, and the shape in which they belong together."""
    parts = [getattr(thing, name) for thing in (planned, tractor) for name in type(thing).__slots__]
    shape = np.broadcast_shapes(*(array.shape for array in (*parts, *more)))

    def flat(array: FloatArray) -> FloatArray:
        return np.broadcast_to(array, shape).ravel()

    return Pull(reshaped(planned, flat), reshaped(tractor, flat)), tuple(flat(array) for array in more), shape


@equation(
    "width_share * (depth_share * (deep_0_n + deep_1_n_h_km * speed_km_h + deep_2_n_h2_km2 * speed_km_h**2)"
    " + other_0_n + other_1_n_h_km * speed_km_h + other_2_n_h2_km2 * speed_km_h**2)",
    unit="N",
    source="asae_d497",
    locator="clause 4.1, by power of the speed",
)
def pass_draft(
    speed_km_h: ArrayLike,
    depth_share: ArrayLike,
    width_share: ArrayLike,
    deep_0_n: ArrayLike,
    deep_1_n_h_km: ArrayLike,
    deep_2_n_h2_km2: ArrayLike,
    other_0_n: ArrayLike,
    other_1_n_h_km: ArrayLike,
    other_2_n_h2_km2: ArrayLike,
) -> FloatArray:
    """Draft of the tools of a pass at a share of the depth and width planned.

    Parameters
    ----------
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 30.
    depth_share, width_share : array_like
        Depth and width, per depth and width planned [1], 0 to 1.
    deep_0_n, other_0_n : array_like
        Draft of the tools as deep as the pass, and of the other tools, as planned: part without speed [N], 0 to 1e6.
    deep_1_n_h_km, other_1_n_h_km : array_like
        The same, part by speed [N h/km], 0 to 1e6.
    deep_2_n_h2_km2, other_2_n_h2_km2 : array_like
        The same, part by the square of speed [N h2/km2], 0 to 1e6.

    Returns
    -------
    FloatArray
        Draft [N], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The draft of ASAE D497.7 with soil factor, tools and planned depth multiplied into its parameters A, B and C.

    Examples
    --------
    >>> float(round(pass_draft(7, 0.8, 1, 20000, 0, 200, 3000, 100, 0), 1))
    27540.0
    """
    v, d, w = (
        possible("speed_km_h", speed_km_h),
        possible("depth_share", depth_share),
        possible("width_share", width_share),
    )
    parts = {
        "deep_0_n": deep_0_n,
        "deep_1_n_h_km": deep_1_n_h_km,
        "deep_2_n_h2_km2": deep_2_n_h2_km2,
        "other_0_n": other_0_n,
        "other_1_n_h_km": other_1_n_h_km,
        "other_2_n_h2_km2": other_2_n_h2_km2,
    }
    return Pass(v, **{name: possible(name, value) for name, value in parts.items()}).draft_n(v, d, w)


@equation(
    "power at the take-off behind the axle power at the slip that gives the pull of pass_draft, towed_n and the "
    "tractor itself, plus width_share times rotary_kw and pump_kw in proportion to the speed",
    unit="kW",
    source="brixius_1987",
    locator="solved for the slip",
    in_words=True,
    takes={"planned": Pass, "tractor": Tractor},
)
def needed_at(
    planned: Pass,
    tractor: Tractor,
    at_speed_km_h: ArrayLike,
    depth_share: ArrayLike = 1.0,
    width_share: ArrayLike = 1.0,
) -> FloatArray:
    """Power that a pass needs at the power take-off.

    Parameters
    ----------
    planned : Pass
        What the pass asks for as planned.
    tractor : Tractor
        What pulls it; its rated power and its largest slip set no limit here.
    at_speed_km_h : array_like
        Speed at work [km/h], above 0 to 30.
    depth_share, width_share : array_like
        Depth and width, per depth and width planned [1], 0 to 1.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    NoGrip
        If the ground does not give the pull at any slip.
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    :mod:`spadework.science.machinery.pull.grip` has the steps and their sources.  Pumps go with speed and width, driven
    tools with width alone.  Downhill it is an upper estimate.

    Examples
    --------
    A plough of 30 kN behind a tractor of 8 t on firm soil:

    >>> plough, tractor = Pass(7, 22000, 0, 160), Tractor(8, 1, 0.058, 0, 55, 0.96, 100, 0.25)
    >>> needed_at(plough, tractor, [7, 5]).round(1).tolist()
    [76.9, 48.1]
    """
    at = (
        require("at_speed_km_h", at_speed_km_h, 0, 30, "km/h", above=True),
        possible("depth_share", depth_share),
        possible("width_share", width_share),
    )
    pull, (v, d, w), shape = gather(planned, tractor, *at)
    return pull.needed_kw(pull.ratio(v, d, w), v, w).reshape(shape)
