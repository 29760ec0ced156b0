"""What buckets caught and loads weighed, held against the setting: as plain text, with what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from spadework.plan import Fault, PlanFaults
from spadework.present.table import wrapped
from spadework.quantities import show
from spadework.ranges import FloatArray
from spadework.records.files.dose_files import LARGEST_FLOW_M3_MIN, Catches, Loads
from spadework.reference import constants
from spadework.science.machinery import dose_from_flow, flow_per_row, pump_flow, speed_for_dose
from spadework.science.machinery.dose.bucket import (
    blocked,
    catch_error,
    dose_of_open,
    off_median,
    outlet_flow,
    row_litres_from_outlet,
    variation,
)
from spadework.science.machinery.dose.windows import dose_from_weighed, off_target, weighed_error

if TYPE_CHECKING:
    from spadework.present.machines.dose_setting import Setting

__all__ = ["bucket_lines", "load_lines", "verdict"]

_K = constants("bucket_test")
_ODD: Final = "hard to believe"


def bucket_lines(one: Setting, catches: Catches) -> list[str]:
    """Return the judged bucket test as lines.

    Raises
    ------
    PlanFaults
        If more outlets were caught than the machine has, or more slurry than any pump gives.
    """
    flow = outlet_flow(catches.caught_l, catches.time_s)
    tested = len(catches.outlets)
    outlets = one.outlets or tested
    total = float(flow.mean()) * outlets
    _possible(one, catches, total)
    out = [
        f"Bucket test of {one.name}: {tested} of {outlets} outlets ({catches.file}); looked: one test, no replication"
    ]
    if one.outlets is None:
        out += wrapped("The plan does not say how many outlets there are; those tested are taken for all.", "  ")
    elif tested < outlets:
        out += wrapped("The outlets that were not tested are taken to give the mean of the others.", "  ")
    if not flow.any():
        return [*out, *wrapped("No outlet gives anything: is the pump running, the main valve open?", "  ")]
    shut = blocked(flow, _K.blocked_share) > 0
    off = off_median(flow) if np.median(flow) > 0 else None
    out.append(f"    {'outlet':<14}{'gives, L/min':>14}{'off by':>10}   judged")
    for i, name in enumerate(catches.outlets):
        word = "blocked" if shut[i] else "off" if off is not None and abs(off[i]) > _K.off_share else "right"
        apart = "-" if off is None else _percent(float(off[i]))
        out.append(f"    {name:<14}{_litres(float(flow[i]) * 1000):>14}{apart:>10}   {word}")
    return [*out, *_evenness(one, catches, flow, shut), *_dose_meant(one, total, outlets, shut), "  What to do",
            *_to_do(one, catches, flow, shut, off, total)]  # fmt: skip


def _possible(one: Setting, catches: Catches, total: float) -> None:
    what = ""
    if one.outlets is not None and len(catches.outlets) > one.outlets:
        what = (
            f"column outlet: {len(catches.outlets)} outlets, but the machine in the plan has {one.outlets}; "
            "check the plan, or give repeats of an outlet the same name"
        )
    elif total > LARGEST_FLOW_M3_MIN:
        what = (
            f"columns litres and seconds: all outlets together would give {show(total, 'm3/min')}; "
            f"allowed: up to {LARGEST_FLOW_M3_MIN:g} m3/min"
        )
    if what:
        raise PlanFaults([Fault("", what)], catches.file)


def _evenness(one: Setting, catches: Catches, flow: FloatArray, shut: np.ndarray) -> Iterator[str]:
    limit = _K.variation_limit_share
    text = f"Variation between outlets (CV) {_percent(float(variation(flow)), sign=False)}"
    if shut.any() and (~shut).sum() > 1:
        text += f", without those blocked {_percent(float(variation(flow[~shut])), sign=False)}"
    open_ = catches.caught_l > 0
    error = float(
        catch_error(catches.caught_l[open_], catches.time_s[open_], _K.reading_error_l, _K.clock_error_s)[
            flow[open_] >= np.median(flow[open_])
        ].max()
    )
    text += f"; at most {_percent(limit, sign=False)}. One catch is good to about +/-{100 * error:.1f} %."
    yield from wrapped(text, "  ")


def _dose_meant(one: Setting, total: float, outlets: int, shut: np.ndarray) -> Iterator[str]:
    speed, width, target = _mid(one.speed_km_h), _mid(one.width_m), _mid(one.dose_m3_ha)
    dose = float(dose_from_flow(total, width, speed))
    yield from wrapped(
        f"All together {show(total, 'm3/min')}: at {show(speed, 'km/h')} and {show(width, 'm')} that is "
        f"{show(dose, 'm3/ha')}, {_beside(float(off_target(dose, target)))} the target of {show(target, 'm3/ha')}.",
        "  ",
    )
    count = int(shut.sum())
    if 0 < count < outlets:
        open_dose = float(dose_of_open(target, outlets, count))
        text = (
            f"With {count} of {outlets} blocked and the pump keeping its flow, the others get "
            f"{show(open_dose, 'm3/ha')} ({_percent(float(off_target(open_dose, target)))})"
        )
        if one.in_rows:
            usual = float(row_litres_from_outlet(flow_per_row(pump_flow(target, width, speed), outlets), speed))
            fat = usual * open_dose / target
            text += f": {show(fat, 'L')} per metre of row instead of {show(usual, 'L')}, a fatter band"
        yield from wrapped(text + ".", "  ")


def _to_do(
    one: Setting, catches: Catches, flow: FloatArray, shut: np.ndarray, off: FloatArray | None, total: float
) -> Iterator[str]:
    if shut.any():
        names = [name for name, gone in zip(catches.outlets, shut, strict=True) if gone]
        text = f"stop: pump off, pressure off, engine off; clear {_named('outlet', names)}, then test again"
        if off is None:
            text += "; half the outlets or more give nothing, so look at the distributor and the supply as well"
        yield from wrapped(text, "    ", "- ")
        return
    wrong = (
        [] if off is None else [n for n, apart in zip(catches.outlets, off, strict=True) if abs(apart) > _K.off_share]
    )
    if wrong:
        yield from wrapped(
            f"look at {_named('outlet', wrong)} (kinks, stones, worn or loose hoses, the distributor), then test again",
            "    ",
            "- ",
        )
    elif variation(flow) > _K.variation_limit_share:
        yield from wrapped(
            "the outlets differ too much as a whole: look at the distributor, then test again", "    ", "- "
        )
    speed, width, target = _mid(one.speed_km_h), _mid(one.width_m), _mid(one.dose_m3_ha)
    apart = float(off_target(dose_from_flow(total, width, speed), target))
    if abs(apart) > _K.mean_tolerance_share:
        right, instead = float(pump_flow(target, width, speed)), float(speed_for_dose(total, width, target))
        how = "less" if apart > 0 else "more"
        yield from wrapped(
            f"set the pump to {how}, {show(right, 'm3/min')}; or, if the soil work allows, drive {show(instead, 'km/h')}",
            "    ",
            "- ",
        )
    elif not wrong:
        yield from wrapped("go; weigh the first loads to see what the field really got", "    ", "- ")


def load_lines(one: Setting, loads: Loads, density_t_m3: FloatArray, *, as_mass: bool) -> list[str]:
    """Return the dose that weighed loads gave, beside its target, as lines.

    Parameters
    ----------
    one : Setting
        Of the system that was spread.
    loads : Loads
        What was weighed.
    density_t_m3 : FloatArray
        Draws of the density.
    as_mass : bool
        True where the plan gives the dose as a mass: then an error of the density does not count.
    """
    low, density, high = (float(q) for q in np.quantile(density_t_m3, (0.1, 0.5, 0.9)))
    errors = (_K.weighing_error_t, _K.area_error_share, 0.0 if as_mass else (high - low) / 2 / density)
    target, count = _mid(one.dose_m3_ha), len(loads.loads)
    out = [f"Loads weighed, {one.name}: {count} ({loads.file}); looked: one day, no replication"]
    mass = loads.full_t - loads.empty_t
    singly = len(loads.area_ha) == count
    odd: list[str] = []
    if singly:
        doses = dose_from_weighed(loads.full_t, loads.empty_t, density, loads.area_ha)
        shares = weighed_error(mass, 1, *errors)
        out.append(f"    {'load':<14}{'slurry, t':>11}{'area, ha':>10}{'dose, m3/ha':>16}{'off by':>9}   judged")
        for name, t, area, dose, share in zip(loads.loads, mass, loads.area_ha, doses, shares, strict=True):
            apart = float(off_target(dose, target))
            word = verdict(apart, float(share) * (1 + apart), _K.dose_tolerance_share)
            odd += [name] if word == _ODD else []
            said = f"{dose:.1f} +/- {dose * share:.1f}"
            cells = f"    {name:<14}{t:>11.2f}{area:>10.3f}{said:>16}{_percent(apart):>9}"
            out.append(f"{cells}   {word}")
    else:
        out.append(f"    {'load':<14}{'slurry, t':>11}")
        out += [f"    {name:<14}{t:>11.2f}" for name, t in zip(loads.loads, mass, strict=True)]
    whole, area = float(mass.sum()), float(loads.area_ha.sum())
    dose = float(dose_from_weighed(loads.full_t.sum(), loads.empty_t.sum(), density, area))
    share = float(weighed_error(whole / count, count, *errors))
    apart = float(off_target(dose, target))
    word = verdict(apart, share * (1 + apart), _K.mean_tolerance_share)
    in_mass = f", {show(dose * density, 't/ha')}" if as_mass else ""
    out += wrapped(
        f"All together {show(whole, 't')} on {show(area, 'ha')}: {dose:.1f} +/- {dose * share:.1f} m3/ha"
        f"{in_mass}; {_beside(apart)} the target of {show(target, 'm3/ha')}: {word}.",
        "  ",
    )
    if count > 1:
        what, values = ("doses", doses) if singly else ("masses", mass)
        out += wrapped(
            f"Variation between loads (CV of their {what}) {_percent(float(variation(values)), sign=False)}.", "  "
        )
    return [*out, *_errors_said(errors), "  What to do", *wrapped(_after_loads(word, odd), "    ", "- ")]


def _errors_said(errors: Sequence[float]) -> list[str]:
    weighing, area, density = errors
    thick = f"{100 * density:.1f} % of the density" if density else "nothing for the density"
    text = (
        f"Counted, as +/- that holds 80 % of cases: {show(weighing, 't')} a weighing, {100 * area:.0f} % of the area, "
        f"{thick}. A load or plot is held to +/-{100 * _K.dose_tolerance_share:.0f} %, "
        f"the mean to +/-{100 * _K.mean_tolerance_share:.0f} %; in doubt is where the error reaches over the line."
    )
    return wrapped(text, "  ")


def _after_loads(word: str, odd: Sequence[str]) -> str:
    if odd or word == _ODD:
        which = f" of {_named('load', odd)}" if odd else ""
        return (
            f"look at area, weights and units{which} again: no setting is that far off; change nothing at the machine before "
            "the figures hold"
        )
    return {
        "right": "go on as set",
        "too little": "slow down or raise the flow, then weigh again; note the dose that the plots done so far really got",
        "too much": "speed up or lower the flow, then weigh again; note the dose that the plots done so far really got",
        "in doubt": "weigh more loads and measure length and width again before changing anything",
    }[word]


def verdict(apart: float, error: float, tolerance: float) -> str:
    """Return what a deviation means, given its error.

    Examples
    --------
    >>> verdict(0.02, 0.02, 0.05), verdict(0.04, 0.02, 0.05), verdict(-0.09, 0.02, 0.05), verdict(-0.99, 0, 0.05)
    ('right', 'in doubt', 'too little', 'hard to believe')
    """
    if not 1 / _K.odd_factor <= 1 + apart <= _K.odd_factor:
        return _ODD
    if abs(apart) + error <= tolerance:
        return "right"
    if abs(apart) - error > tolerance:
        return "too much" if apart > 0 else "too little"
    return "in doubt"


def _named(what: str, names: Sequence[str]) -> str:
    if len(names) == 1:
        return f"{what} {names[0]}"
    return f"{what}s {', '.join(names[:-1])} and {names[-1]}"


def _percent(share: float, *, sign: bool = True) -> str:
    text = f"{100 * share:+.0f} %" if sign else f"{100 * share:.0f} %"
    return "0 %" if text in {"+0 %", "-0 %"} else text


def _litres(flow: float) -> str:
    return f"{flow:.0f}" if flow >= 100 or flow == 0 else f"{flow:.1f}"


def _beside(share: float) -> str:
    text = f"{100 * abs(share):.0f} %"
    return "on" if text == "0 %" else f"{text} {'over' if share > 0 else 'under'}"


def _mid(values: FloatArray) -> float:
    return float(np.median(values))
