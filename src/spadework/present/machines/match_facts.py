"""What report and command say alike of tractor and pass: power by part, whether it is enough, and the rate of a plot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.chain import Chain, Step
from spadework.estimate.ways_out import SURE_SHARE, WaysOut, ways_out
from spadework.plan.outfits import kind_of
from spadework.present.wording import figure_text, interval_text, spread_of
from spadework.ranges import FloatArray
from spadework.reference import constants, load
from spadework.science.machinery import (
    lost_time,
    most_pull_ratio_brixius,
    motion_resistance_brixius,
    pull_ratio,
    runs,
    slip_for_pull_brixius,
    spread_time,
    turning_time,
    wheel_pull,
    work_rate,
    working_time,
)

__all__ = [
    "FUEL_COLUMNS",
    "POWER_PARTS",
    "TIGHT_LOAD",
    "TIGHT_SHARE",
    "TIME_PARTS",
    "PassFacts",
    "Verdict",
    "pass_facts",
    "plot_run_m",
    "row_values",
    "spread_text",
]

TIGHT_LOAD: Final = constants("tractor_grip").tight_load
"""Engine load above which a pass has no reserve [choice]."""
TIGHT_SHARE: Final = 1 - SURE_SHARE
"""Share of the draws that may lie above it before the pass is called tight."""
POWER_PARTS: Final = ("tools in the soil", "tanker or hose", "the tractor itself", "driven tools", "slurry pump")
TIME_PARTS: Final = {
    "working_time": "working",
    "turning_time": "turning",
    "lost_time": "resting, clearing",
    "refill_time": "refilling",
    "waiting_time": "waiting",
}
"""Figures that add up to the field time of a pass, with their names for people."""
FUEL_COLUMNS: Final = {
    "work_litres": "working",
    "pump_litres": "of it pumping",
    "turn_litres": "turning",
    "stand_litres": "standing",
    "road_litres": "on the road",
    "pass_fuel": "the pass",
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """A plain word on a pass, with the reason where it is not simply enough."""

    word: str
    why: str = ""

    @property
    def text(self) -> str:
        """Word and reason in one line."""
        return f"{self.word}: {self.why}" if self.why else self.word


@dataclass(frozen=True)
class PassFacts:
    """One pass of one system, and what is said of it.

    Attributes
    ----------
    row : int
        Of the pass, among those of all systems.
    number : int
        Of the pass in its system, from 1.
    step : Step
        The pass.
    match, efficiency : Verdict
        Whether the tractor is enough; how the field efficiency lies to the handbook's range.
    slip_advised, handbook : tuple of float
        Lowest and highest slip advised on this ground; the same of the handbook's field efficiency.
    ways : WaysOut
        What would be enough.
    power : tuple of FloatArray
        Power at the take-off by :data:`POWER_PARTS` [kW].
    field_rate, plot_rate : FloatArray
        Work rate with nothing fetched, in the field and on the runs of a plot [ha/h].
    """

    row: int
    number: int
    step: Step
    match: Verdict
    efficiency: Verdict
    slip_advised: tuple[float, float]
    handbook: tuple[float, float]
    ways: WaysOut
    power: tuple[FloatArray, ...]
    field_rate: FloatArray
    plot_rate: FloatArray

    @property
    def name(self) -> str:
        """Number and machine."""
        return f"{self.number} {self.step.worker.name}"

    @property
    def outfit(self) -> str:
        """What is coupled together, the machine that names the pass left out."""
        return " + ".join((self.step.tractor.name, *(m.name for m in self.step.machines if m is not self.step.worker)))

    def enough(self, planned_km_h: float) -> str:
        """Return what the tractor manages in nine draws of ten, in words, rounded down."""
        ways = self.ways
        if ways.speed_km_h is not None and ways.speed_km_h >= planned_km_h:
            return "as planned"
        told = [
            (ways.speed_km_h, 1, "km/h"),
            (ways.depth_cm, 0, "cm deep"),
            (ways.width_m, 1, "m wide"),
            (ways.rows, 0, "row" if ways.rows == 1 else "rows"),
        ]
        words = [f"{down}\N{NO-BREAK SPACE}{unit}" for v, p, unit in told if v is not None and (down := _down(v, p))]
        return " or ".join(words) if words else "only a larger tractor"


def pass_facts(estimate: Estimate, systems: Sequence[int]) -> dict[int, list[PassFacts]]:
    """Return the passes of each of the systems."""
    chain = Chain(estimate.read)
    return {s: [_facts(estimate, chain, row, n) for n, row in enumerate(chain.steps_of(s), 1)] for s in systems}


def plot_run_m() -> float:
    """Return the length of a run in a trial plot [m]."""
    return constants("field_work").plot_run_m


def row_values(estimate: Estimate, name: str, row: int) -> FloatArray:
    """Return the draws of a figure for one pass; of a figure without rows, its draws."""
    figure = estimate.sheet.figures[name]
    values: FloatArray = figure.values[row] if figure.over else figure.values
    return values


def spread_text(values: FloatArray, places: int, factor: float = 1.0) -> str:
    """Return median and range of draws; the median alone where the range is lost in rounding, 0 where all is nil.

    Examples
    --------
    >>> spread_text(np.array([0.718, 0.719, 0.7195]), 2), spread_text(np.zeros(3), 2)
    ('0.72', '0')
    """
    if not np.any(values):
        return "0"
    spread = spread_of(values)
    mid, low, high = (figure_text(v * factor, places) for v in (spread.mid, spread.low, spread.high))
    return mid if low == high else interval_text(spread, places, factor)


def _facts(estimate: Estimate, chain: Chain, row: int, number: int) -> PassFacts:
    step = chain.steps[row]
    ground = load("rolling")[chain.plan.field.surface].entry("slip_share")
    book = load("field_speed_efficiency")[kind_of(step.worker).text("efficiency_row")].entry("efficiency_share")
    field_rate, plot_rate = _rates(estimate, row)
    return PassFacts(
        row,
        number,
        step,
        _match(estimate, row, ground.low, ground.high),
        _efficiency(estimate, row, book.low, book.high),
        (ground.low, ground.high),
        (book.low, book.high),
        ways_out(estimate, row),
        _power_parts(estimate, row),
        field_rate,
        plot_rate,
    )


def _match(estimate: Estimate, row: int, slip_low: float, slip_high: float) -> Verdict:
    speed, managed, depth, load_, slip = (
        row_values(estimate, name, row) for name in ("speed", "work_speed", "depth_kept", "load", "slip")
    )
    short = float(np.mean((managed < speed) | (depth < 1)))
    if short >= 0.01:
        return Verdict(f"too small in {_of_draws(short)}")
    full = float(np.mean(load_ > TIGHT_LOAD))
    if full > TIGHT_SHARE:
        return Verdict("tight", f"over {100 * TIGHT_LOAD:.0f} % load in {_of_draws(full)}")
    if float(np.median(slip)) > slip_high:
        return Verdict("tight", f"slip above the {100 * slip_low:.0f} to {100 * slip_high:.0f} % advised")
    return Verdict("enough", "in over 99 % of draws" if short > 0 else "")


def _efficiency(estimate: Estimate, row: int, low: float, high: float) -> Verdict:
    middle = float(np.median(row_values(estimate, "pass_efficiency", row)))
    if middle > high:
        return Verdict("above")
    if middle >= low:
        return Verdict("within")
    part = {name: float(np.median(row_values(estimate, name, row))) for name in TIME_PARTS}
    speed, width = (float(np.median(row_values(estimate, name, row))) for name in ("work_speed", "width"))
    part["working_time"] -= 10 / (speed * width)  # what overlap and a narrow last run add to the full width's time
    largest = max(part, key=lambda name: part[name])
    words = {**TIME_PARTS, "working_time": "overlap and part runs", "waiting_time": "waiting for slurry"}
    return Verdict("below", words[largest])


def _power_parts(estimate: Estimate, row: int) -> tuple[FloatArray, ...]:
    """Return the power at the take-off as planned, by part.

    The power that drives is shared out by force: draft of the tools, pull of tanker or hose, and what the tractor takes
    to roll and climb; the loss by slip goes with them.
    """

    def of(name: str) -> FloatArray:
        return row_values(estimate, name, row)

    tools, drawn = of("soil_draft") / 1000, of("towed_draft") / 1000
    wheels = wheel_pull(1000 * (tools + drawn), *map(of, ("tractor_mass", "driven_share", "rolling", "slope")))
    load_, number = of("driven_load"), of("wheel_number")
    ratio = np.minimum(pull_ratio(wheels, load_), most_pull_ratio_brixius(number, of("slip_most")))
    slip = slip_for_pull_brixius(ratio, number)
    tractor = wheels - tools - drawn + load_ * motion_resistance_brixius(1.0, number, slip)
    rotary, pump = of("rotary_power"), of("planned_pump")
    per_force = (of("planned_power") - rotary - pump) / (tools + drawn + tractor)
    return per_force * tools, per_force * drawn, per_force * tractor, rotary, pump


def _rates(estimate: Estimate, row: int) -> tuple[FloatArray, FloatArray]:
    """Return the rate in the field and on runs of plot length side by side, nothing fetched in either."""
    width, speed, turn, lost = (
        row_values(estimate, name, row) for name in ("width_used", "work_speed", "turn", "lost_share")
    )
    run = plot_run_m()
    count = runs(run, width)
    area = count * width * run / 10_000
    working = working_time(count, run, 0, 0, speed, area)
    plot = spread_time(working, turning_time(count, 0, turn, area), lost_time(working, lost))
    return work_rate(row_values(estimate, "spread_time", row)), work_rate(plot)


def _of_draws(share: float) -> str:
    if share == 1:
        return "all draws"
    return f"{'under 1' if share < 0.01 else format(100 * share, '.0f')} % of draws"


def _down(value: float, places: int) -> str:
    """Return a number rounded down, empty where nothing is left."""
    cut = math.floor(value * 10**places + 0.001) / 10**places
    return figure_text(cut, places) if cut > 0 else ""
