"""The dose on the day as plain text: what to set, what buckets caught, what weighed loads gave, and what to do."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Final

import numpy as np

from spadework import __version__
from spadework.estimate import Estimate
from spadework.plan import Fault, PlanFaults
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.machines.dose_found import bucket_lines, load_lines
from spadework.present.machines.dose_setting import Setting, settings
from spadework.present.table import WIDTH, wrapped
from spadework.present.wording import STANDING_LONG, interval_text, place_line, spread_of
from spadework.quantities import show
from spadework.ranges import FloatArray
from spadework.records.files.dose_files import Catches, Loads
from spadework.reference import constants
from spadework.science.machinery import flow_per_row, pump_flow
from spadework.science.machinery.dose.bucket import bucket_litres, dose_of_open, row_litres_from_outlet, seconds_for
from spadework.science.machinery.dose.windows import dose_error_from_speed, flow_window, speed_window

__all__ = [
    "dose_card",
]

_K = constants("bucket_test")
_LABEL: Final = 30
_LONGEST_S: Final = 600
_CARE_FOR: Final = ("Gas when slurry is stirred", "Turning shafts and moving parts", "Hoses under pressure")
_BUCKET_CARE: Final = (
    "Never reach under a raised machine: engine off, key out, machine let down or on stands. With the pump at rest, lead the "
    "hoses into tubs beside the machine; everybody away before the pump starts, and back only after it has stopped. "
    "Water does for the first test. A full tub is heavy: read it where it stands. Hydrogen sulphide comes out when "
    "slurry is stirred and when a lid is opened: stand upwind, never lean over an opening."
)


def dose_card(
    estimate: Estimate,
    system: str | None = None,
    seconds: float | None = None,
    catches: Catches | None = None,
    loads: Loads | None = None,
) -> str:
    """Return what to set, and what was found, as plain text of at most 100 columns.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    system : str, optional
        The one that is meant; needed for catches and loads where several place slurry.
    seconds : float, optional
        How long a bucket stands under an outlet [s]; left out: as the table has it.
    catches : Catches, optional
        What the buckets caught.
    loads : Loads, optional
        What the loads weighed.

    Raises
    ------
    PlanFaults
        If the system is not there or not said, or what was caught cannot be.
    """
    chosen = settings(estimate, system)
    if len(chosen) > 1 and (catches is not None or loads is not None):
        names = ", ".join(one.name for one in chosen)
        what = f'several systems place slurry; say which one was measured, e.g. --system "{chosen[0].name}" ({names})'
        raise PlanFaults([Fault("--system", what)], estimate.read.name)
    seconds = _K.bucket_time_s if seconds is None else seconds
    out = ["Dose on the day", *wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += [
        "",
        f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}. Where the plan gives a spread: middle (80 % of draws).",
    ]
    for one in chosen:
        out += ["", *wrapped(f"{one.name}: {one.outfit}")]
        for label, text in _lines(estimate, one, seconds):
            out += textwrap.wrap(
                text, WIDTH, initial_indent=f"  {label:<{_LABEL}}", subsequent_indent=" " * (_LABEL + 2)
            )
    if catches is not None:
        out += ["", *bucket_lines(chosen[0], catches)]
    if loads is not None:
        as_mass = estimate.plan.slurry.dose.unit == "t/ha"
        out += ["", *load_lines(chosen[0], loads, estimate.values("density", 0), as_mass=as_mass)]
    out += ["", *_care(), "", f"spadework {__version__}"]
    return "\n".join(line.rstrip() for line in out).replace("−", "-").replace("\N{NARROW NO-BREAK SPACE}", " ")


def _lines(estimate: Estimate, one: Setting, seconds: float) -> Iterator[tuple[str, str]]:
    tolerance = _K.dose_tolerance_share
    within = f"for the dose +/-{100 * tolerance:.0f} %"
    written = estimate.plan.slurry.dose.text
    yield "dose", f"{_said(one.dose_m3_ha, 'm3/ha')} (in the plan: {written})"
    slow, fast = speed_window(_mid(one.dose_m3_ha), _mid(one.width_m), _mid(one.flow_m3_min), tolerance)
    speed = _mid(one.speed_km_h)
    yield "speed", f"{_said(one.speed_km_h, 'km/h')}; {_range(slow, fast, 'km/h')} {within}"
    lost = float(dose_error_from_speed(1 / speed))
    yield "1 km/h too fast", f"takes {-100 * lost:.0f} % off the dose, unless the pump follows the speed"
    yield "width", _said(one.width_m, "m")
    least, most = flow_window(_mid(one.dose_m3_ha), _mid(one.width_m), speed, tolerance)
    yield "flow of the pump", f"{_said(one.flow_m3_min, 'm3/min')}; {_range(least, most, 'm3/min')} {within}"
    yield "the same by the hour", _said(one.flow_m3_min * 60, "m3/h")
    yield from _outlet_lines(one, seconds)
    if one.load_m3 is None:
        yield "loads", "none carried: judge the dose by meter and area"
        return
    system = estimate.systems.index(one.name)
    run, runs, loads = (estimate.values(name, system) for name in ("load_run", "runs_per_load", "field_loads"))
    yield "slurry in a load", _said(one.load_m3, "m3")
    yield "a load lasts", f"{_said(run, 'm')}, {_said(runs, '')} runs between the headlands"
    yield "loads for this field", _whole(loads)


def _outlet_lines(one: Setting, seconds: float) -> Iterator[tuple[str, str]]:
    if one.outlets is None:
        yield (
            "outlets",
            "not in the plan: give the placing machine tools = (how many outlets) to get the bucket figures",
        )
        return
    yield "outlets", f"{one.outlets} {one.outlet_word}"
    each = float(flow_per_row(pump_flow(_mid(one.dose_m3_ha), _mid(one.width_m), _mid(one.speed_km_h)), one.outlets))
    yield "each outlet", _said(flow_per_row(one.flow_m3_min, one.outlets) * 1000, "L/min")
    right, tolerance = float(bucket_litres(each, seconds)), _K.dose_tolerance_share
    around = _range(right * (1 - tolerance), right * (1 + tolerance), "L")
    yield f"in the bucket after {seconds:g} s", f"{show(right, 'L')}; {around} for the dose +/-{100 * tolerance:.0f} %"
    shortest = float(np.ceil(seconds_for(each, _K.wanted_error_share, _K.reading_error_l, _K.clock_error_s)))
    if shortest <= _LONGEST_S:
        small = show(float(bucket_litres(each, shortest)), "L", 2)
        wanted = f"for +/-{100 * _K.wanted_error_share:.0f} % of one catch; the bucket then holds {small}"
        yield "shortest time of use", f"{shortest:.0f} s {wanted}"
    else:
        yield "shortest time of use", "too little comes out of each outlet for a bucket test"
    if one.in_rows:
        rows = row_litres_from_outlet(flow_per_row(one.flow_m3_min, one.outlets), one.speed_km_h)
        yield "slurry per metre of row", _said(rows, "L/m")
        if one.outlets > 1:
            more = _mid(dose_of_open(one.dose_m3_ha, one.outlets, 1) / one.dose_m3_ha)
            text = f"{show(_mid(rows) * more, 'L/m')} in the others ({100 * (more - 1):+.0f} %), if the pump keeps its flow"
            yield "should one row block", text


def _care() -> list[str]:
    out = ["Take care", *wrapped("Bucket test. " + _BUCKET_CARE, "  ", "- ")]
    for caution in CAUTIONS:
        if caution.title in _CARE_FOR:
            out += wrapped(f"{caution.title}. {caution.text}", "  ", "- ")
    return [*out, *wrapped(DEFER, "  ")]


def _mid(values: FloatArray) -> float:
    return float(np.median(values))


def _said(values: FloatArray, unit: str) -> str:
    spread = spread_of(values)
    if spread.low == spread.high:
        return show(spread.mid, unit)
    return f"{interval_text(spread)} {unit}".rstrip()


def _whole(counts: FloatArray) -> str:
    """Return a number of things that come whole, with the range of the draws."""
    spread = spread_of(counts)
    low, mid, high = (f"{value:.0f}" for value in (spread.low, spread.mid, spread.high))
    return mid if low == high else f"{mid} ({low} to {high})"


def _range(low: float, high: float, unit: str) -> str:
    return f"{show(low, '')} to {show(high, unit)}"
