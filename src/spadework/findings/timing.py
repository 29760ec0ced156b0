"""What a position log says about an outfit: times, passes, turns, its rate there, and its rate on a field that counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from spadework import reference
from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray, ImpossibleValue, collecting
from spadework.science.harvest import metres_from_middle
from spadework.science.machinery.log.passes import MeasuredPass, passes_of
from spadework.science.machinery.log.sums import (
    efficiency_of_parts,
    rate_on_field,
    time_efficiency,
    width_use,
)
from spadework.science.machinery.log.time_study import STATES, NoRuns, Work, find_work, times_of_states, track_of

if TYPE_CHECKING:
    from spadework.exchange.position_logs import PositionLog

__all__ = ["Elsewhere", "Other", "Spread", "Timing", "standard_field", "time_log"]

_K = reference.constants("time_study")
_DRAWS: Final = 2_000
_FEW: Final = 3
_LOW, _HIGH = 0.1, 0.9
_FAR_M: Final = 2_000.0
_NINE_IN_TEN: Final = 1.645  # standard deviations to either side that hold nine in ten


@dataclass(frozen=True)
class Other:
    """A field that the rate is worked out for: its name, length, area, shape and headlands."""

    name: str
    length_m: float
    area_ha: float
    shape_share: float = 1.0
    headland_m: float = 0.0


@dataclass(frozen=True)
class Spread:
    """Count, mean, standard deviation, middle, 90th percentile, and standard error of the mean of some times."""

    count: int
    mean: float
    sd: float
    middle: float
    p90: float
    se: float


@dataclass(frozen=True)
class Elsewhere:
    """The rate on another field, and from where to where it lies with a chance of 80 % as turns and passes varied.

    Low and high are not numbers where there were too few of them; the rate neither where no turn could be timed.
    """

    field: Other
    rate_ha_h: float
    low_ha_h: float
    high_ha_h: float


@dataclass(frozen=True)
class Timing:
    """A time study.

    Attributes
    ----------
    log : PositionLog
        What was read.
    work : Work
        Runs, turns and spells.
    passes : tuple of MeasuredPass
        In the order of time.
    states_s : FloatArray
        Time of every state from the first to the last run, in the order of the states.
    whole_s : FloatArray
        The same for the whole log.
    field_s : float
        Field time: work, turns, stops, filling and other; without the road and what was not logged.
    way_m, ground_ha : float
        Way at work, and ground covered, what was worked twice counted once.
    speed_km_h, speed_se : float
        Mean speed at work and its standard error from pass to pass.
    turns : Spread or None
        Turns between two runs along the field without a stop; None where there are none.
    turn_doubt_s : float
        How far errors of the positions can put the mean turn off, in nine logs of ten; nil where the log tells the tools.
    apart_m : float
        Middle distance between passes side by side; not a number where there are none, or the fix is too coarse.
    width_used_m : float
        Width by which a pass takes the work forward.
    rate_ha_h, rate_with_road_ha_h : float
        Rate there, by field time, and with the road between the first and the last run.
    time_share, width_share, efficiency_share : float
        Time efficiency, use of the width, field efficiency.
    lost_share, refill_h_ha : float
        Stops and other per time at work; filling and waiting per area.
    elsewhere : Elsewhere
        The rate on a field that counts.
    remarks : tuple of str
        What to know before a figure is used.
    """

    log: PositionLog
    work: Work
    passes: tuple[MeasuredPass, ...]
    states_s: FloatArray
    whole_s: FloatArray
    field_s: float
    way_m: float
    ground_ha: float
    speed_km_h: float
    speed_se: float
    turns: Spread | None
    turn_doubt_s: float
    apart_m: float
    width_used_m: float
    rate_ha_h: float
    rate_with_road_ha_h: float
    time_share: float
    width_share: float
    efficiency_share: float
    lost_share: float
    refill_h_ha: float
    elsewhere: Elsewhere
    remarks: tuple[str, ...]

    @property
    def turn_error_s(self) -> float:
        """Standard error of the mean turn, from turn to turn and by errors of the positions; not a number for one turn."""
        return float("nan") if self.turns is None else float(np.hypot(self.turns.se, self.turn_doubt_s / _NINE_IN_TEN))


def standard_field() -> Other:
    """Return the field that rates are given for where none is named."""
    length, breadth = _K.field_length_m, _K.field_breadth_m
    return Other(f"a rectangle of {length:g} x {breadth:g} m", length, length * breadth / 10_000)


def time_log(
    log: PositionLog, width_m: float, other: Other | None = None, *, corrected: bool = False, seed: int = 1
) -> Timing:
    """Work out a time study from a position log.

    Parameters
    ----------
    log : PositionLog
        What was read.
    width_m : float
        Working width.
    other : Other, optional
        Field that the rate is wanted for; a standard rectangle if left out.
    corrected : bool
        True where the positions are known to be corrected to centimetres, though the log does not say so.
    seed : int
        The same seed gives the same interval.

    Returns
    -------
    Timing
        Times, passes, turns and rates.

    Raises
    ------
    PlanFaults
        If the log shows no work, or the width cannot be.
    """
    remarks = list(log.remarks)
    try:
        with collecting() as notes:
            middle = float(np.median(log.latitude_deg)), float(np.median(log.longitude_deg))
            east, north = metres_from_middle(log.latitude_deg, log.longitude_deg, *middle)
            work = find_work(track_of(log.time_s, east, north, log.piece, log.tools_down), width_m)
            timing = _summed(log, work, other or standard_field(), remarks, fine=corrected or not log.plain, seed=seed)
    except NoRuns as error:
        raise PlanFaults([Fault("", f"{error}")], log.file) from None
    except ImpossibleValue as error:
        raise PlanFaults([Fault("", f"cannot be worked on: {error}")], log.file) from None
    del notes  # the road may lead far away; the field itself does not reach so far
    return timing


def _summed(log: PositionLog, work: Work, other: Other, remarks: list[str], *, fine: bool, seed: int) -> Timing:
    passes = passes_of(work)
    states = times_of_states(work, work.begin_s, work.end_s)
    whole = times_of_states(work, float(work.track.at_s[0]), float(work.track.at_s[-1]))
    of = dict(zip(STATES, states.tolist(), strict=True))
    field_s = sum(of[state] for state in ("working", "turning", "stopped", "filling", "other"))
    way = sum(one.length_m for one in passes)
    apart = np.array([one.apart_m for one in passes if not np.isnan(one.apart_m)])
    told = apart.size > 0 and fine
    used = min(float(np.median(apart)), work.width_m) if told else work.width_m
    ground = sum(one.length_m * (one.new_m if told else work.width_m) for one in passes) / 10_000
    speeds = np.array([one.speed_km_h for one in passes])
    speed = 3.6 * way / of["working"]
    turns = np.array([turn.moving_s for turn in work.turns if turn.plain])
    lost = (of["stopped"] + of["other"]) / of["working"]
    refill = of["filling"] / 3600 / ground
    time_share = float(time_efficiency(of["working"] / 3600, field_s / 3600))
    width_share = float(width_use(ground, way, work.width_m))
    doubt = _K.turn_doubt_s_m * work.track.scatter_m if work.track.tools is None else 0.0
    _remarked(remarks, log, work, turns, apart, doubt, fine=fine)
    elsewhere = _elsewhere(other, passes, turns, doubt, used, lost, refill, seed)
    return Timing(
        log, work, passes, states, whole, field_s, way, ground, speed,
        float(speeds.std(ddof=1) / np.sqrt(speeds.size)) if speeds.size > 1 else float("nan"),
        _spread(turns), doubt, float(np.median(apart)) if told else float("nan"), used,
        3600 * ground / field_s, 3600 * ground / (field_s + of["transport"]),
        time_share, width_share, float(efficiency_of_parts(time_share, min(width_share, 1.0))), lost, refill,
        elsewhere, tuple(remarks),
    )  # fmt: skip


def _spread(values: FloatArray) -> Spread | None:
    if not values.size:
        return None
    sd = float(values.std(ddof=1)) if values.size > 1 else float("nan")
    middle, p90 = np.quantile(values, [0.5, 0.9])
    return Spread(values.size, float(values.mean()), sd, float(middle), float(p90), sd / float(np.sqrt(values.size)))


def _elsewhere(
    other: Other,
    passes: tuple[MeasuredPass, ...],
    turns: FloatArray,
    doubt: float,
    used: float,
    lost: float,
    refill: float,
    seed: int,
) -> Elsewhere:
    """Work out the rate on another field; passes, turns and errors are drawn again and again for its interval."""
    nan = float("nan")
    if not turns.size:
        return Elsewhere(other, nan, nan, nan)
    lengths, times = (np.array([getattr(one, key) for one in passes]) for key in ("length_m", "time_s"))
    field = (
        used,
        min(lost, 5.0),
        min(refill, 100.0),
        other.length_m,
        other.area_ha,
        other.shape_share,
        other.headland_m,
    )
    rate = float(rate_on_field(3.6 * lengths.sum() / times.sum(), min(turns.mean(), 3600.0), *field))
    if turns.size < _FEW or len(passes) < _FEW:
        return Elsewhere(other, rate, nan, nan)
    random = np.random.default_rng(seed)
    drawn = random.integers(0, lengths.size, (_DRAWS, lengths.size))
    speeds = 3.6 * lengths[drawn].sum(axis=1) / times[drawn].sum(axis=1)
    turning = turns[random.integers(0, turns.size, (_DRAWS, turns.size))].mean(axis=1)
    # a turn takes no less than nothing, however far off the positions are
    turning = np.maximum(turning + random.normal(0, doubt / _NINE_IN_TEN, _DRAWS), 0.0)
    low, high = np.quantile(rate_on_field(speeds, turning, *field), [_LOW, _HIGH])
    return Elsewhere(other, rate, float(low), float(high))


def _remarked(
    remarks: list[str], log: PositionLog, work: Work, turns: FloatArray, apart: FloatArray, doubt: float, *, fine: bool
) -> None:
    track = work.track
    if track.left_out:
        remarks.append(f"{track.left_out} positions left out: they jump out of the track")
    usual = 3.6 * float(np.median([run.length_m / run.time_s for run in work.runs]))
    if usual > _K.doubted_km_h:
        remarks.append(f"the runs were driven at {usual:.0f} km/h: is this work, or the road?")
    if work.strength < _K.strength_least:
        remarks.append(
            "the courses hardly agree on one direction: curved or mixed runs; check the picture before using it"
        )
    if not fine:
        remarks.append(
            "the fix is from satellites alone, or the log does not say. It may be metres off: distances between passes and "
            "overlap are not told, and the ground counts as way times width. If it was corrected, say so with --corrected"
        )
    elif not apart.size:
        remarks.append("no two passes lie side by side; the ground counts as way times width")
    if apart.size and fine and float(np.median(apart)) > work.width_m:
        remarks.append("passes lie farther apart than the working width: is the width right, or was ground left out?")
    if log.tools_down is None:
        remarks.append(
            "the log does not say when the tools are down. A turn begins where the course leaves the run; a straight piece with "
            "the tools already out counts as work"
        )
    if doubt >= _K.turn_doubt_told_s and turns.size:
        remarks.append(
            f"single positions scatter by {track.scatter_m:.1f} m, so the mean turn may be {doubt:.0f} s off either way; "
            "a switch on the hitch or a corrected fix tells it to the second"
        )
    if track.spacing_s > 2 * _K.step_s:
        remarks.append(f"positions lie {track.spacing_s:g} s apart; turns are no surer than that")
    if 0 < turns.size < _FEW:
        remarks.append(f"only {turns.size} turn{'s' * (turns.size != 1)} could be timed; time ten or more")
    reach = np.hypot(track.east_m, track.north_m)
    inside = [(track.at_s >= run.begin_s) & (track.at_s <= run.end_s) for run in work.runs]
    if float(reach[np.any(inside, axis=0)].max(initial=0.0)) > _FAR_M:
        remarks.append(
            "the runs reach farther than 2 km from the middle of the log; lengths there are off by up to a thousandth"
        )
