"""Cleaning a yield log in named steps, every removed point with its reason.

The steps are published; most of their limits are ours and stand in the table ``yield_log``.  Every step looks at one strip,
or one pass, alone.  No step looks at what the comparison hopes to find.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.reference import constants
from spadework.science.harvest.log_delay import shifted_flow
from spadework.science.harvest.log_neighbours import local_moran
from spadework.science.harvest.log_place import numbered_passes
from spadework.science.harvest.log_rate import point_area, strip_means, times_between
from spadework.working import equation

__all__ = ["CROPS", "STEPS", "Cleaned", "Step", "clean_log"]

_K = constants("yield_log")
CROPS: Final = ("forage", "grain")
"""What is harvested; it sets the limits of moisture and yield."""
STEPS: Final = (
    "header up",
    "start of a pass",
    "end of a pass",
    "no flow at the later time",
    "speed",
    "change of speed",
    "moisture",
    "biological limits",
    "far from the mean of the strip",
    "neighbours in the strip",
    "short segment",
    "same place twice",
)
"""Steps in their order; the reason of a point is its place in this list, counted from 1."""


@dataclass(frozen=True)
class Step:
    """What one step did.

    Attributes
    ----------
    name : str
        One of :data:`STEPS`.
    before, removed : int
        Points that came in, and those that it removed.
    mean_before, mean_after : float
        Mass over area of all points that are left before and after [t/ha]; not a number where there are none.
    """

    name: str
    before: int
    removed: int
    mean_before: float
    mean_after: float


@dataclass(frozen=True)
class Cleaned:
    """A cleaned log.

    Attributes
    ----------
    reason : NDArray
        0 for a point that is kept, else the step that removed it, counted from 1.
    steps : tuple of Step
        What every step did, in order.
    yield_t_ha : FloatArray
        Fresh yield of every point, its delay taken out [t/ha]; not a number where it cannot be told.
    mass_kg, area_m2 : FloatArray
        What each point stands for [kg], [m2]; the area is 0 where the header is up.
    pass_number : NDArray
        Pass of each point from 0 on; -1 where the header is up.
    strips : tuple of str
        Names of the strips, sorted.
    lost_share : FloatArray
        Share of the points of each strip that was removed, those with the header up not counted [1].
    strip_before, strip_after : FloatArray
        Mass over area of each strip before any step, header down, and after all of them [t/ha].
    warnings : tuple of str
        What a reader must be told.
    """

    reason: NDArray[np.int64]
    steps: tuple[Step, ...]
    yield_t_ha: FloatArray
    mass_kg: FloatArray
    area_m2: FloatArray
    pass_number: NDArray[np.int64]
    strips: tuple[str, ...]
    lost_share: FloatArray
    strip_before: FloatArray
    strip_after: FloatArray
    warnings: tuple[str, ...]

    @property
    def kept(self) -> NDArray[np.bool_]:
        """Points that are left."""
        return np.asarray(self.reason == 0)

    @property
    def removed_share(self) -> float:
        """Share of the points with the header down that was removed [1]."""
        down = int(np.sum(self.reason != 1))
        return float(np.sum(self.reason > 1) / down) if down else float("nan")


@equation(
    "each point is removed by the first step that asks for it; steps are those of the list, inside one strip or one pass",
    unit="1",
    source="simbahan_2004",
    in_words=True,
)
def clean_log(
    time_s: ArrayLike,
    east_m: ArrayLike,
    north_m: ArrayLike,
    flow_kg_s: ArrayLike,
    speed_m_s: ArrayLike,
    width_m: ArrayLike,
    moisture_share: ArrayLike,
    header_down: ArrayLike,
    strip: ArrayLike,
    *,
    delay_s: float,
    crop: str = "forage",
) -> Cleaned:
    """Remove what a log cannot know, step by step, inside each strip.

    Parameters
    ----------
    time_s : array_like
        Time of each record [s], rising; one row.
    east_m : array_like
        Metres east [m].
    north_m : array_like
        Metres north [m].
    flow_kg_s : array_like
        Flow at the sensor [kg/s], 0 to 200.
    speed_m_s : array_like
        Speed [m/s], 0 to 15.
    width_m : array_like
        Width that was cut in truth [m], more than 0, to 30.
    moisture_share : array_like
        Moisture [1], 0 to 1; not a number where the log has none, and then no step looks at it.
    header_down : array_like
        1 where the header is down, else 0 [1].
    strip : array_like
        Name of the strip of each record [any]; records outside all strips are best left with the header up.
    delay_s : float
        Time from header to sensor [s], 0 to 120.
    crop : str
        One of :data:`CROPS`.

    Returns
    -------
    Cleaned
        Reasons, steps, yields and warnings.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the crop is not known.

    Notes
    -----
    Steps 1 to 6, 11 and 12 know nothing of the yield.  Steps 8 to 10 do, and so can move a mean: look at the
    shift that is reported beside
    each.  The limit of the biological step is the smaller of a cap and 1.5 times the 99th percentile of the strip.

    Examples
    --------
    >>> t = np.arange(40.0)
    >>> log = clean_log(t, 2 * t, 0 * t, 15 + 0 * t, 2 + 0 * t, 3 + 0 * t, 0.67 + 0 * t, (t < 36) * 1.0, ["a"] * 40, delay_s=2)
    >>> [(step.name, step.removed) for step in log.steps if step.removed]
    [('header up', 4), ('start of a pass', 6), ('end of a pass', 4)]
    >>> round(float(log.strip_after[0]), 2)
    25.0
    """
    if crop not in CROPS:
        raise ValueError(f'`crop` is "{crop}"; allowed: {", ".join(CROPS)}')
    time = require("time_s", time_s, -1e12, 1e12, "s")
    east, north = require("east_m", east_m, -1e7, 1e7, "m"), require("north_m", north_m, -1e7, 1e7, "m")
    names = np.asarray(strip).astype(str)
    speed = require("speed_m_s", speed_m_s, 0, 15, "m/s")
    moisture = np.broadcast_to(np.asarray(moisture_share, np.float64), time.shape)
    require("moisture_share", np.where(np.isnan(moisture), 0.0, moisture), 0, 1)
    number = numbered_passes(time, header_down, names, _K.gap_s)
    down = number >= 0
    held = times_between(time, _K.gap_s)
    area = np.where(down, point_area(speed, held, width_m), 0.0)
    flow = shifted_flow(time, flow_kg_s, delay_s, _K.gap_s)
    mass = np.where(down & np.isfinite(flow), flow * held, 0.0)
    moving = (area > 0) & np.isfinite(flow)
    yields = np.divide(10 * mass, area, out=np.full(time.size, np.nan), where=moving)
    work = _Work(np.zeros(time.size, np.int64), mass, area, [])

    work.step(~down)
    since, left = _from_ends(time, number)
    work.step(since < _K.start_pass_s)
    work.step(left < _K.end_pass_s)
    work.step(~np.isfinite(flow))
    middle = _by_group(speed, number, work.kept, np.median)
    work.step((speed < _K.speed_low * middle) | (speed > _K.speed_high * middle) | (speed <= 0))
    work.step(_jumps(speed, number) > _K.speed_change)
    work.step(_odd_moisture(moisture, names, work.kept, crop))
    work.step(_impossible_yield(yields, names, work.kept, crop))
    work.step(_far(yields, names, work.kept, _K.strip_sd))
    kept = np.flatnonzero(work.kept)
    apart = np.zeros(time.size, np.bool_)
    if kept.size:
        seen = local_moran(yields[kept], east[kept], north[kept], names[kept], _K.neighbour_m)
        with np.errstate(invalid="ignore"):
            apart[kept] = (seen.measure < 0) & (seen.p < _K.neighbour_p)
    work.step(apart)
    work.step(_short(number, work.kept))
    work.step(_twice(east, north, work.kept))
    return _gathered(work, yields, names, number)


@dataclass
class _Work:
    """Reasons so far, and the steps that gave them."""

    reason: NDArray[np.int64]
    mass: FloatArray
    area: FloatArray
    steps: list[Step]

    @property
    def kept(self) -> NDArray[np.bool_]:
        return np.asarray(self.reason == 0)

    def mean(self) -> float:
        area = float(self.area[self.kept].sum())
        return float(10 * self.mass[self.kept].sum() / area) if area > 0 else float("nan")

    def step(self, remove: NDArray[np.bool_]) -> None:
        """Remove what is still there of these points."""
        came, mean = int(self.kept.sum()), self.mean()
        taken = self.kept & remove
        self.reason[taken] = len(self.steps) + 1
        self.steps.append(Step(STEPS[len(self.steps)], came, int(taken.sum()), mean, self.mean()))


def _from_ends(time: FloatArray, number: NDArray[np.int64]) -> tuple[FloatArray, FloatArray]:
    """Return the time since the pass began and the time until it ends."""
    since, left = np.full(time.size, np.inf), np.full(time.size, np.inf)
    down = number >= 0
    if down.any():
        first, last = np.full(number.max() + 1, np.inf), np.full(number.max() + 1, -np.inf)
        np.minimum.at(first, number[down], time[down])
        np.maximum.at(last, number[down], time[down])
        since[down], left[down] = time[down] - first[number[down]], last[number[down]] - time[down]
    return since, left


def _by_group(
    values: FloatArray, group: np.ndarray, kept: NDArray[np.bool_], how: Callable[[FloatArray], Any]
) -> FloatArray:
    """Return a figure of the kept values of each group, at every point of it."""
    found = np.full(values.size, np.nan)
    for one in np.unique(group[kept]):
        mine = group == one
        found[mine] = how(values[mine & kept])
    return found


def _jumps(speed: FloatArray, number: NDArray[np.int64]) -> FloatArray:
    """Return the change of speed since the record before in the same pass, as a share of that."""
    found = np.zeros(speed.size)
    if speed.size > 1:
        same = (number[1:] == number[:-1]) & (number[1:] >= 0) & (speed[:-1] > 0)
        found[1:] = np.divide(np.abs(np.diff(speed)), speed[:-1], out=np.zeros(speed.size - 1), where=same)
    return found


def _odd_moisture(moisture: FloatArray, names: np.ndarray, kept: NDArray[np.bool_], crop: str) -> NDArray[np.bool_]:
    known = np.isfinite(moisture)
    low, high = (_K[f"{crop}_moisture_{end}"].value for end in ("low", "high"))
    with np.errstate(invalid="ignore"):
        outside = known & ((moisture < low) | (moisture > high))
    return outside | _far(moisture, names, kept & known & ~outside, _K.moisture_sd)


def _impossible_yield(yields: FloatArray, names: np.ndarray, kept: NDArray[np.bool_], crop: str) -> NDArray[np.bool_]:
    top = _by_group(yields, names, kept, lambda mine: np.quantile(mine, _K.yield_quantile))
    high = np.minimum(_K[f"{crop}_cap_t_ha"].value, _K.yield_times * top)
    with np.errstate(invalid="ignore"):
        return np.asarray((yields < _K.yield_low_t_ha) | (yields > high))


def _far(values: FloatArray, names: np.ndarray, kept: NDArray[np.bool_], times: float) -> NDArray[np.bool_]:
    """Tell what lies too many standard deviations off the mean of its strip."""
    mean, sd = _by_group(values, names, kept, np.mean), _by_group(values, names, kept, np.std)
    with np.errstate(invalid="ignore"):
        return np.asarray(kept & (np.abs(values - mean) > times * sd + 1e-9 * np.abs(mean)))


def _short(number: NDArray[np.int64], kept: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell what is left of a pass in pieces that are too short."""
    found = np.zeros(number.size, np.bool_)
    at = np.flatnonzero(kept)
    if at.size:
        breaks = np.flatnonzero((np.diff(at) > 1) | (np.diff(number[at]) != 0)) + 1
        for piece in np.split(at, breaks):
            found[piece] = piece.size < _K.short_points
    return found


def _twice(east: FloatArray, north: FloatArray, kept: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell what lies where a kept point of earlier lies already."""
    from scipy.spatial import cKDTree

    found = np.zeros(east.size, np.bool_)
    at = np.flatnonzero(kept)
    if at.size > 1:
        tree = cKDTree(np.column_stack([east[at], north[at]]))
        pairs = np.sort(tree.query_pairs(_K.colocated_m, output_type="ndarray"), axis=1)
        for early, late in pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]:
            found[at[late]] |= not found[at[early]]
    return found


def _gathered(work: _Work, yields: FloatArray, names: np.ndarray, number: NDArray[np.int64]) -> Cleaned:
    down = number >= 0
    before = strip_means(work.mass[down], work.area[down], names[down])
    place = np.searchsorted(before.strips, names[down])
    size = before.strips.size
    lost = np.bincount(place, work.reason[down] > 0, minlength=size) / np.maximum(before.points, 1)
    mass = np.bincount(place, np.where(work.kept[down], work.mass[down], 0.0), minlength=size)
    area = np.bincount(place, np.where(work.kept[down], work.area[down], 0.0), minlength=size)
    after = np.divide(10 * mass, area, out=np.full(size, np.nan), where=area > 0)
    strips = tuple(str(name) for name in before.strips)
    found = Cleaned(
        work.reason, tuple(work.steps), yields, work.mass, work.area, number, strips, lost, before.yield_t_ha, after, ()
    )
    warnings = []
    if found.removed_share > _K.removed_warn:
        warnings.append(
            f"{100 * found.removed_share:.0f} % of the points with the header down were removed, more than "
            f"{100 * _K.removed_warn:.0f} %: look at the log before trusting its means"
        )
    for i, name in enumerate(strips):
        others = np.delete(lost, i)
        if others.size and lost[i] - others.mean() > _K.removed_apart_warn:
            warnings.append(
                f"strip {name} lost {100 * lost[i]:.0f} % of its points, the others {100 * others.mean():.0f} % on average: "
                "what is left of it may be another ground than what was sown"
            )
        if np.isnan(after[i]):
            warnings.append(f"nothing is left of strip {name}")
    return Cleaned(**{**found.__dict__, "warnings": tuple(warnings)})
