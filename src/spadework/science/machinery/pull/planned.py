"""A pass as planned and the tractor before it: what the solvers of speed, depth, width and power are asked about.

Both hold arrays and are checked once, when they are made.  Their parts may have any shapes that broadcast together, so
that one tractor stands before many passes, or one pass behind many tractors.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require

__all__ = ["Pass", "Tractor", "possible", "reshaped"]

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
_Thing = TypeVar("_Thing", "Pass", "Tractor")


def possible(name: str, value: ArrayLike) -> FloatArray:
    """Return what a pass or its tractor is given under this name as an array, or raise where it cannot be."""
    low, high, unit, above = _POSSIBLE[name]
    return require(name, value, low, high, unit, above=above)


def _nil() -> FloatArray:
    return np.zeros(())


@dataclass(frozen=True, slots=True, eq=False)
class Pass:
    """A pass as planned: its speed, and what its tools and machines ask of a tractor at full depth and width.

    The draft is a polynomial of the speed: one for the tools that go as deep as the pass (`deep`), one for coulters,
    discs and packers with a depth of their own (`other`).

    Parameters
    ----------
    speed_km_h : array_like
        Speed planned [km/h], above 0 to 30.
    deep_0_n, other_0_n : array_like
        Draft of the tools as deep as the pass, and of the other tools: part without speed [N], 0 to 1e6.
    deep_1_n_h_km, other_1_n_h_km : array_like
        The same, part by speed [N h/km], 0 to 1e6.
    deep_2_n_h2_km2, other_2_n_h2_km2 : array_like
        The same, part by the square of speed [N h2/km2], 0 to 1e6.
    towed_n : array_like
        Pull of drawn machines and hoses, at any speed, depth and width [N], -1e6 to 1e6; negative where they push.
    pump_kw : array_like
        Power of pumps at the speed planned and full width [kW], 0 to 3000; it goes with speed and width.
    rotary_kw : array_like
        Power of driven tools at full width [kW], 0 to 3000; taken to be the same at every speed and depth.
    hitch_t : array_like
        Mass of a drawn machine that rests on the hitch of the tractor [t], 0 to 40.

    Raises
    ------
    ImpossibleValue
        If a part lies outside its range.
    ValueError
        If the shapes do not broadcast together.

    Notes
    -----
    Each part but the speed is nil where it is not given.

    Examples
    --------
    A plough whose draft grows with the square of the speed:

    >>> plough = Pass(speed_km_h=[5, 7], deep_0_n=22000, deep_2_n_h2_km2=160)
    >>> plough.draft_n(plough.speed_km_h, 1, 1).tolist()
    [26000.0, 29840.0]
    """

    speed_km_h: FloatArray
    deep_0_n: FloatArray = field(default_factory=_nil)
    deep_1_n_h_km: FloatArray = field(default_factory=_nil)
    deep_2_n_h2_km2: FloatArray = field(default_factory=_nil)
    other_0_n: FloatArray = field(default_factory=_nil)
    other_1_n_h_km: FloatArray = field(default_factory=_nil)
    other_2_n_h2_km2: FloatArray = field(default_factory=_nil)
    towed_n: FloatArray = field(default_factory=_nil)
    pump_kw: FloatArray = field(default_factory=_nil)
    rotary_kw: FloatArray = field(default_factory=_nil)
    hitch_t: FloatArray = field(default_factory=_nil)

    def __post_init__(self) -> None:
        _settle(self)

    @property
    def lifts(self) -> NDArray[np.bool_]:
        """Where the pass has tools that follow its depth and can be lifted."""
        deep = np.broadcast_arrays(self.deep_0_n, self.deep_1_n_h_km, self.deep_2_n_h2_km2)
        return np.asarray(np.any(np.stack(deep) > 0, axis=0))

    def slower(self, share: ArrayLike) -> Pass:
        """Return the pass planned at a share of its speed; its pumps go slower with it."""
        part = np.asarray(share, dtype=np.float64)
        return replace(self, speed_km_h=part * self.speed_km_h, pump_kw=part * self.pump_kw)

    def shallower(self, share: ArrayLike) -> Pass:
        """Return the pass planned at a share of its depth, to which the draft of the deep tools is in proportion."""
        part = possible("depth_share", share)
        return replace(
            self,
            deep_0_n=part * self.deep_0_n,
            deep_1_n_h_km=part * self.deep_1_n_h_km,
            deep_2_n_h2_km2=part * self.deep_2_n_h2_km2,
        )

    def draft_n(self, speed_km_h: ArrayLike, depth_share: ArrayLike, width_share: ArrayLike) -> FloatArray:
        """Return the draft of the tools at a speed and at shares of the planned depth and width [N]."""
        v, d, w = (np.asarray(value, dtype=np.float64) for value in (speed_km_h, depth_share, width_share))
        deep = self.deep_0_n + v * (self.deep_1_n_h_km + v * self.deep_2_n_h2_km2)
        other = self.other_0_n + v * (self.other_1_n_h_km + v * self.other_2_n_h2_km2)
        return w * (d * deep + other)


@dataclass(frozen=True, slots=True, eq=False)
class Tractor:
    """A tractor on its ground: what it weighs, how its wheels hold, and how far one would drive it.

    Parameters
    ----------
    tractor_t : array_like
        Mass of the tractor with ballast and mounted implements [t], above 0 to 60.
    driven_share : array_like
        Share of that mass on the driven wheels [1], above 0 to 1; table ``tractor_grip``.
    rolling_coefficient : array_like
        Motion resistance per load of wheels that are not driven [1], 0 to 1.
    slope_share : array_like
        Rise per distance on the level, uphill positive [1], -1 to 1.
    wheel_number : array_like
        Mobility number of wheel and ground [1], above 0 to 1000; table ``rolling``.
    axle_per_pto : array_like
        Axle power per power at the power take-off [1], above 0 to 1; table ``tractor_grip``.
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.
    slip_most_share : array_like
        Largest slip that one still works with [1], above 0 to 0.95; table ``tractor_grip``.

    Raises
    ------
    ImpossibleValue
        If a part lies outside its range.
    ValueError
        If the shapes do not broadcast together.

    Examples
    --------
    >>> Tractor(8, 1, 0.058, 0, 55, 0.96, rated_pto_kw=[100, 60], slip_most_share=0.25).rated_pto_kw.tolist()
    [100.0, 60.0]
    """

    tractor_t: FloatArray
    driven_share: FloatArray
    rolling_coefficient: FloatArray
    slope_share: FloatArray
    wheel_number: FloatArray
    axle_per_pto: FloatArray
    rated_pto_kw: FloatArray
    slip_most_share: FloatArray

    def __post_init__(self) -> None:
        _settle(self)


def _settle(thing: Pass | Tractor) -> None:
    """Make the parts arrays, each within what is possible for its name, and see that their shapes fit together."""
    for part in fields(thing):
        object.__setattr__(thing, part.name, possible(part.name, getattr(thing, part.name)))
    np.broadcast_shapes(*(getattr(thing, part.name).shape for part in fields(thing)))


def reshaped(thing: _Thing, change: Callable[[FloatArray], FloatArray]) -> _Thing:
    """Return `thing` with the same `change` of shape made to every part; the values were checked when it was made."""
    made = object.__new__(type(thing))
    for part in fields(thing):
        object.__setattr__(made, part.name, change(getattr(thing, part.name)))
    return made
