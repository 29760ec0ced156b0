"""The pull of a pass and the power it needs, at any speed and at shares of its planned depth and width.

A pass is driven at a speed v, at a share d of its planned depth and a share w of its planned width.  Its draft is

    w (d (deep_0 + deep_1 v + deep_2 v^2) + other_0 + other_1 v + other_2 v^2)

where `deep` stands for the tools that go as deep as the pass and `other` for coulters, discs and packers with a depth of
their own.  Slip follows from pull, load and ground; power follows from slip.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.science.machinery.pull import grip
from spadework.working import equation

__all__ = ["Pass", "gather", "needed_at", "pass_draft"]

# lowest, highest, unit, whether the lowest is itself impossible
_POSSIBLE: Mapping[str, tuple[float, float, str, bool]] = {
    "speed_km_h": (0, 30, "km/h", True),
    "depth_share": (0, 1, "", False),
    "width_share": (0, 1, "", False),
    "deep_0_n": (0, 1e6, "N", False),
    "deep_1_n_h_km": (0, 1e6, "N h/km", False),
    "deep_2_n_h2_km2": (0, 1e6, "N h2/km2", False),
    "other_0_n": (0, 1e6, "N", False),
    "other_1_n_h_km": (0, 1e6, "N h/km", False),
    "other_2_n_h2_km2": (0, 1e6, "N h2/km2", False),
    "towed_n": (-1e6, 1e6, "N", False),
    "pump_kw": (0, 3000, "kW", False),
    "rotary_kw": (0, 3000, "kW", False),
    "tractor_t": (0, 60, "t", True),
    "driven_share": (0, 1, "", True),
    "hitch_t": (0, 40, "t", False),
    "rolling_coefficient": (0, 1, "", False),
    "slope_share": (-1, 1, "", False),
    "wheel_number": (0, 1000, "", True),
    "axle_per_pto": (0, 1, "", True),
    "rated_pto_kw": (0, 2000, "kW", True),
    "slip_most_share": (0, 0.95, "", True),
}


@dataclass(frozen=True, slots=True)
class Pass:
    """A pass and its tractor as planned: arrays of one flat shape, named as the arguments are."""

    speed_km_h: FloatArray
    deep_0_n: FloatArray
    deep_1_n_h_km: FloatArray
    deep_2_n_h2_km2: FloatArray
    other_0_n: FloatArray
    other_1_n_h_km: FloatArray
    other_2_n_h2_km2: FloatArray
    towed_n: FloatArray
    pump_kw: FloatArray
    rotary_kw: FloatArray
    tractor_t: FloatArray
    driven_share: FloatArray
    hitch_t: FloatArray
    rolling_coefficient: FloatArray
    slope_share: FloatArray
    wheel_number: FloatArray
    axle_per_pto: FloatArray

    def only(self, chosen: NDArray[np.intp] | slice) -> Pass:
        """Return the chosen elements."""
        return Pass(*(getattr(self, f.name)[chosen] for f in fields(self)))

    def tools_n(self, v: FloatArray, d: FloatArray, w: FloatArray) -> FloatArray:
        """Return the draft of the tools."""
        deep = self.deep_0_n, self.deep_1_n_h_km, self.deep_2_n_h2_km2
        return _draft(v, d, w, *deep, self.other_0_n, self.other_1_n_h_km, self.other_2_n_h2_km2)

    def ratio(self, v: FloatArray, d: FloatArray, w: FloatArray) -> FloatArray:
        """Return the pull per load on the driven wheels."""
        pull = self.tools_n(v, d, w) + self.towed_n
        wheels = grip.wheel_pull(pull, self.tractor_t, self.driven_share, self.rolling_coefficient, self.slope_share)
        return grip.pull_ratio(wheels, grip.driven_load(self.tractor_t, self.driven_share, self.hitch_t))

    def needed_kw(self, ratio: FloatArray, v: FloatArray, w: FloatArray) -> FloatArray:
        """Return the power at the take-off: the pump goes with speed and width, driven tools with width alone."""
        slip = grip.slip_for_pull_brixius(ratio, self.wheel_number)
        load = grip.driven_load(self.tractor_t, self.driven_share, self.hitch_t)
        axle = grip.axle_power_brixius(load, self.wheel_number, slip, v)
        drive = grip.pto_power_for_axle(axle, self.axle_per_pto)
        return drive + w * (self.pump_kw * v / self.speed_km_h + self.rotary_kw)


def _draft(v: FloatArray, d: FloatArray, w: FloatArray, *parts: FloatArray) -> FloatArray:
    deep_0, deep_1, deep_2, other_0, other_1, other_2 = parts
    return w * (d * (deep_0 + v * (deep_1 + v * deep_2)) + other_0 + v * (other_1 + v * other_2))


def _checked(given: Mapping[str, ArrayLike]) -> list[FloatArray]:
    """Return the arguments as arrays, each within what is possible for its name."""
    found = []
    for name, value in given.items():
        low, high, unit, above = _POSSIBLE[name]
        found.append(require(name, value, low, high, unit, above=above))
    return found


def gather(given: Mapping[str, ArrayLike]) -> tuple[Pass, dict[str, FloatArray], tuple[int, ...]]:
    """Check the arguments of a solver; return them in one flat shape, and the shape they came in."""
    arrays = np.broadcast_arrays(*_checked(given))
    flat = {name: array.ravel() for name, array in zip(given, arrays, strict=True)}
    return Pass(**{f.name: flat[f.name] for f in fields(Pass)}), flat, arrays[0].shape


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
    return _draft(*_checked(dict(locals())))


@equation(
    "power at the take-off behind the axle power at the slip that gives the pull of pass_draft, towed_n and the "
    "tractor itself, plus width_share times pump_kw and rotary_kw",
    unit="kW",
    source="brixius_1987",
    locator="solved for the slip",
    in_words=True,
)
def needed_at(
    speed_km_h: ArrayLike,
    depth_share: ArrayLike,
    width_share: ArrayLike,
    deep_0_n: ArrayLike,
    deep_1_n_h_km: ArrayLike,
    deep_2_n_h2_km2: ArrayLike,
    other_0_n: ArrayLike,
    other_1_n_h_km: ArrayLike,
    other_2_n_h2_km2: ArrayLike,
    towed_n: ArrayLike,
    pump_kw: ArrayLike,
    rotary_kw: ArrayLike,
    tractor_t: ArrayLike,
    driven_share: ArrayLike,
    hitch_t: ArrayLike,
    rolling_coefficient: ArrayLike,
    slope_share: ArrayLike,
    wheel_number: ArrayLike,
    axle_per_pto: ArrayLike,
) -> FloatArray:
    """Power that a pass needs at the power take-off.

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
    towed_n : array_like
        Pull of drawn machines and hoses, at any speed, depth and width [N], -1e6 to 1e6.
    pump_kw : array_like
        Power of pumps at this speed and full width [kW], 0 to 3000.
    rotary_kw : array_like
        Power of driven tools at full width [kW], 0 to 3000; taken to be the same at every speed and depth.
    tractor_t : array_like
        Mass of the tractor with ballast and mounted implements [t], above 0 to 60.
    driven_share : array_like
        Share of that mass on the driven wheels [1], above 0 to 1.
    hitch_t : array_like
        Mass of a drawn machine that rests on the hitch [t], 0 to 40.
    rolling_coefficient : array_like
        Motion resistance per load of wheels that are not driven [1], 0 to 1.
    slope_share : array_like
        Rise per distance on the level, uphill positive [1], -1 to 1.
    wheel_number : array_like
        Mobility number of wheel and ground [1], above 0 to 1000.
    axle_per_pto : array_like
        Axle power per power at the power take-off [1], above 0 to 1.

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
    :mod:`spadework.science.machinery.pull.grip` has the steps and their sources.  Downhill it is an upper estimate.

    Examples
    --------
    A plough of 30 kN behind a tractor of 8 t on firm soil:

    >>> needed_at(7, 1, 1, 22000, 0, 160, 0, 0, 0, 0, 0, 0, 8, 1, 0, 0.058, 0, 55, 0.96).round(1).item()
    76.9
    """
    planned, given, shape = gather(dict(locals()))
    at = planned.speed_km_h, given["depth_share"], given["width_share"]
    return planned.needed_kw(planned.ratio(*at), at[0], at[2]).reshape(shape)
