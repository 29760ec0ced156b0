"""Readings of the store beside the figures of plan and estimate: same unit, by system, how far off, and why.

A reading is averaged within its plot first, so that a plot with many samples does not count for more.  Work rates and times
of plots stay out: on short plots more time goes into turning, and they are no rate of a farm.  Diesel is held against that of
its pass; a reading that names no pass says nothing that could be compared.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from spadework.estimate.result import SHARE_PRINTED, Spread
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.quantities import parse
from spadework.records.files.readings import PLAIN_UNIT
from spadework.records.kinds import reading_kinds
from spadework.records.tables.columns import Column, clip
from spadework.records.tables.reader import column_place, read_table

if TYPE_CHECKING:
    from spadework.estimate import Estimate
    from spadework.records.reading_row import Reading

__all__ = ["ALL_PASSES", "ALL_SYSTEMS", "QUANTITIES", "Measured", "Quantity", "Row", "measured_beside", "read_reasons"]

ALL_SYSTEMS: Final = "all"
"""Stands for the system of a reading that speaks for every system, such as an analysis of the slurry."""
ALL_PASSES: Final = "all passes"
"""Part of a row that adds up the passes of plots in which every pass has a reading."""
_PERCENT: Final = 100.0
_DOSE: Final = "m3/ha"
_SURE_SHARE: Final = 0.95
_NUMBERED: Final = "pass "

Way = Literal["plots", "passes", "share", "loads"]
Reasons = Mapping[tuple[str, str, str], str]
"""Why a quantity of a system is off, by key of the quantity, system and part; an empty part stands for all of them."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity that both readings and the estimate hold.

    Attributes
    ----------
    key : str
        Short name; stands in tables of reasons.
    label : str
        What it is, in trade words.
    record, field : str
        Kind of reading.
    figure : str
        Figure of the estimate.
    origin : str
        ``"plan"`` where the figure is a choice or an analysis of the plan, ``"estimate"`` where it was worked out.
    way : str
        ``"plots"``: means of plots; ``"passes"``: pass by pass; ``"share"``: of points in a plot; ``"loads"``: means of
        loads, for all systems alike.
    of : str
        For a share, the field that it is a share of.
    unit : str
        Of the row; that of the reading if empty.
    total : str
        Figure of the estimate for all passes together, where they can be added up.
    """

    key: str
    label: str
    record: str
    field: str
    figure: str
    origin: Literal["plan", "estimate"]
    way: Way = "plots"
    of: str = ""
    unit: str = ""
    total: str = ""


QUANTITIES: Final = (
    Quantity("dose", "slurry spread", "dose", "rate_m3_ha", "dose", "plan"),
    Quantity("slurry_dry_matter", "dry matter of the slurry", "slurry", "dry_matter_pct", "dry_matter", "plan", "loads"),
    Quantity("slurry_total_n", "total N of the slurry", "slurry", "total_n_kg_m3", "total_n", "plan", "loads"),
    Quantity("slurry_ammonium_n", "ammoniacal N of the slurry", "slurry", "ammonium_n_kg_m3", "ammoniacal_n", "plan", "loads"),
    Quantity("slurry_density", "density of the slurry", "slurry", "density_kg_l", "density", "plan", "loads"),
    Quantity("diesel", "diesel", "machine", "fuel_l_ha", "pass_fuel", "estimate", "passes", total="passes_fuel"),
    Quantity("speed", "forward speed", "machine", "speed_km_h", "work_speed", "estimate", "passes"),
    Quantity("residue_cover", "residue cover", "residue", "hits", "cover", "estimate", "share", "points", "%"),
    Quantity("seed_depth", "depth of the seed", "seed", "depth_cm", "seed_depth", "plan"),
    Quantity("gap", "from the seed down to the band", "band", "gap_cm", "gap", "estimate"),
    Quantity("band_top", "depth of the top of the band", "band", "top_cm", "band_top", "estimate"),
    Quantity("yield_dm", "yield of dry matter", "harvest", "yield_dm_t_ha", "expected_yield", "plan"),
)  # fmt: skip
"""Quantities that are held against one another; a figure of origin ``plan`` says what was meant, not what was foretold."""


@dataclass(frozen=True, slots=True)
class Row:
    """A quantity of one system, measured and estimated, in one unit.

    Attributes
    ----------
    quantity, label, unit, origin : str
        As in :class:`Quantity`.
    system : str
        Its name, or :data:`ALL_SYSTEMS`.
    part : str
        ``pass 1`` and so on, or :data:`ALL_PASSES`; empty where there are no parts.
    measured : float
        Mean of the plots or loads.
    low, high : float
        95 % interval of that mean, from the scatter between plots or loads; NaN where there is one only.
    plots, readings : int
        Plots or loads, and readings in them.
    without_figure : int
        Readings without a figure, which are left out.
    estimated, least, most : float
        Middle of the draws, and the range that holds 80 % of them.
    off : float
        Measured less estimated.
    inside : bool or None
        Whether the measured mean lies in that range; None where the plan gives one figure and no range.
    reason : str
        Why it is off, as a person says; empty where nobody said.
    kept : tuple of str
        Why unusual readings among them were kept.
    """

    quantity: str
    label: str
    unit: str
    origin: str
    system: str
    part: str
    measured: float
    low: float
    high: float
    plots: int
    readings: int
    without_figure: int
    estimated: float
    least: float
    most: float
    off: float
    inside: bool | None
    reason: str = ""
    kept: tuple[str, ...] = ()


@dataclass(frozen=True)
class Measured:
    """Everything that was held against the estimate.

    Attributes
    ----------
    rows : tuple of Row
        By quantity, then by system in the order of the plan.
    standing : str
        ``looked``, ``strips`` or ``replicated``: that of the layout, ``looked`` where no system has two plots measured.
    remarks : tuple of str
        What was left out, and why.
    """

    rows: tuple[Row, ...]
    standing: str
    remarks: tuple[str, ...]


def measured_beside(
    readings: Iterable[Reading],
    estimate: Estimate,
    plots: Mapping[str, str],
    *,
    standing: str = "looked",
    reasons: Reasons | None = None,
) -> Measured:
    """Hold the readings of a store against the figures of plan and estimate.

    Parameters
    ----------
    readings : iterable of Reading
        What counts now, from :meth:`spadework.records.store.store.Store.current`.
    estimate : Estimate
        Of the same plan.
    plots : Mapping
        System of every plot.
    standing : str
        Of the layout.
    reasons : Mapping, optional
        Why a quantity of a system is off, from :func:`read_reasons`.

    Returns
    -------
    Measured
        Rows for what both hold; everything else is left out in silence, plots without a system are told.
    """
    by_kind: dict[tuple[str, str], list[Reading]] = {}
    for one in readings:
        by_kind.setdefault((one.record, one.field), []).append(one)
    rows: list[Row] = []
    remarks: list[str] = []
    most = 0
    for asked in QUANTITIES:
        found = by_kind.get((asked.record, asked.field), [])
        strange = {one.plot for one in found} - set(plots) if asked.way != "loads" else set()
        if strange:
            named = ", ".join(clip(one) for one in sorted(strange)[:5])
            remarks.append(f"{asked.label}: readings of {named} are left out; the layout has no such plot")
        systems = [ALL_SYSTEMS] if asked.way == "loads" else list(estimate.systems)
        for system in systems:
            there = [one for one in found if asked.way == "loads" or plots.get(one.plot) == system]
            made, said = _rows(asked, system, there, by_kind, estimate)
            remarks += said
            if asked.way != "loads":
                most = max([most, *(row.plots for row in made)])
            rows += [_with_reason(row, reasons or {}) for row in made]
    return Measured(tuple(rows), standing if most > 1 else "looked", tuple(remarks))


def read_reasons(path: Path, estimate: Estimate, *, sheet: str | None = None) -> dict[tuple[str, str, str], str]:
    """Read a table of reasons: columns ``quantity``, ``system``, ``reason`` and, where it is needed, ``part``.

    Raises
    ------
    PlanFaults
        With every fault: unknown quantities and systems, a line that stands twice.
    """
    keys, systems = [one.key for one in QUANTITIES], [*estimate.systems, ALL_SYSTEMS]
    columns = (
        Column("quantity", "short name of the quantity", "text", needed=True, filled=True, longest=60),
        Column("system", "its system, or all", "text", needed=True, filled=True, longest=80),
        Column("part", "pass 1, or all passes; all parts if empty", "text", longest=20),
        Column("reason", "why it is off", "text", needed=True, longest=300),
    )
    table = read_table(path, columns, sheet=sheet, others=False)
    faults = list(table.faults)
    out: dict[tuple[str, str, str], str] = {}
    for line in table.lines:
        quantity, system, part = (str(line.values.get(name) or "") for name in ("quantity", "system", "part"))
        for name, said, known in (("quantity", quantity, keys), ("system", system, systems)):
            if said and said not in known:
                near = nearest(said, known) or f"; there are: {', '.join(known)}"
                faults.append(Fault(column_place(name), f'"{clip(said)}" is not known{near}', line.number))
        if (quantity, system, part) in out:
            faults.append(Fault("", f"{clip(quantity)} of {clip(system)} stands twice; allowed: once", line.number))
        out[quantity, system, part] = str(line.values.get("reason") or "")
    if faults:
        raise PlanFaults(faults, path.name)
    return {which: reason for which, reason in out.items() if reason}


def _rows(
    asked: Quantity,
    system: str,
    found: Sequence[Reading],
    by_kind: Mapping[tuple[str, str], Sequence[Reading]],
    estimate: Estimate,
) -> tuple[list[Row], list[str]]:
    place = 0 if system == ALL_SYSTEMS else estimate.systems.index(system)
    if asked.way == "passes":
        return _of_passes(asked, system, found, estimate, place)
    spreads = _spreads(asked, asked.figure, estimate, place)
    if len(spreads) != 1:
        return [], []
    values: list[float] = []
    used: list[Reading] = []
    remarks: list[str] = []
    for plot, there in _by_plot(found).items():
        value = (
            _share(plot, there, by_kind.get((asked.record, asked.of), ())) if asked.way == "share" else _nested(there)
        )
        if value is None:
            what = f"{asked.of} are missing for some {asked.field}, or nil"
            remarks.append(f"{asked.label}, {system}: plot {clip(plot)} is left out; {what}")
            continue
        values.append(value)
        used += there
    without = sum(one.value is None for one in found)
    return ([_row(asked, system, "", values, used, without, spreads[0])] if values else []), remarks


def _of_passes(
    asked: Quantity, system: str, found: Sequence[Reading], estimate: Estimate, place: int
) -> tuple[list[Row], list[str]]:
    """Return a row for each pass, and one for all of them where plots have a reading of every pass."""
    spreads = _spreads(asked, asked.figure, estimate, place)
    names = [f"{_NUMBERED}{number}" for number in range(1, len(spreads) + 1)]
    rows = []
    for name, spread in zip(names, spreads, strict=True):
        here = [one for one in found if one.place == name]
        by_plot = _by_plot(here)
        if by_plot:
            used = [one for there in by_plot.values() for one in there]
            without = sum(one.value is None for one in here)
            rows.append(
                _row(asked, system, name, [_nested(there) for there in by_plot.values()], used, without, spread)
            )
    strange = sorted({one.plot for one in found if one.place not in names})
    told = ", ".join(clip(plot) for plot in strange[:5])
    what = f"readings of {told} name no pass of the system; write pass 1 and so on into the place"
    whole = {plot: there for plot, there in _by_plot(found).items() if {one.place for one in there} == set(names)}
    totals = _spreads(asked, asked.total, estimate, place) if asked.total else []
    if whole and len(totals) == 1 and len(names) > 1:
        added = [sum(_nested(_at(there, name)) for name in names) for there in whole.values()]
        used = [one for there in whole.values() for one in there]
        rows.append(_row(asked, system, ALL_PASSES, added, used, 0, totals[0]))
    return rows, [f"{asked.label}, {system}: {what}"] if strange else []


def _row(
    asked: Quantity,
    system: str,
    part: str,
    values: Sequence[float],
    used: Sequence[Reading],
    without: int,
    spread: Spread,
) -> Row:
    mean, low, high = _mean(values)
    kept = tuple(dict.fromkeys(one.kept for one in used if one.kept))
    inside = spread.low <= mean <= spread.high if spread.low < spread.high else None
    return Row(
        asked.key, asked.label, _unit(asked), asked.origin, system, part, mean, low, high, len(values), len(used), without,
        spread.mid, spread.low, spread.high, mean - spread.mid, inside, "", kept,
    )  # fmt: skip


def _by_plot(readings: Iterable[Reading]) -> dict[str, list[Reading]]:
    """Return readings with a figure by plot, in the order of the plots."""
    out: dict[str, list[Reading]] = {}
    for one in readings:
        if one.value is not None:
            out.setdefault(one.plot, []).append(one)
    return dict(sorted(out.items()))


def _at(readings: Iterable[Reading], place: str) -> list[Reading]:
    return [one for one in readings if one.place == place]


def _nested(readings: Sequence[Reading]) -> float:
    """Return the mean over places of the means over their samples."""
    by_place: dict[str, list[float]] = {}
    for one in readings:
        if one.value is not None:
            by_place.setdefault(one.place, []).append(one.value)
    return float(np.mean([np.mean(values) for values in by_place.values()]))


def _share(plot: str, hits: Sequence[Reading], points: Sequence[Reading]) -> float | None:
    def where(one: Reading) -> tuple[str, int, str]:
        return (one.place, one.sample, one.taken_at)

    looked = {where(one): one.value for one in points if one.plot == plot and one.value is not None}
    if any(where(one) not in looked for one in hits):
        return None
    total = sum(looked[where(one)] or 0.0 for one in hits)
    return _PERCENT * sum(one.value or 0.0 for one in hits) / total if total > 0 else None


def _mean(values: Sequence[float]) -> tuple[float, float, float]:
    mean = float(np.mean(values))
    if len(values) < 2:
        return mean, math.nan, math.nan
    from scipy.stats import t

    half = float(t.ppf((1 + _SURE_SHARE) / 2, len(values) - 1) * np.std(values, ddof=1) / math.sqrt(len(values)))
    return mean, mean - half, mean + half


def _spreads(asked: Quantity, figure: str, estimate: Estimate, system: int) -> list[Spread]:
    """Return the figure of the estimate in the unit of the readings, pass by pass where it is one of passes."""
    if figure == "dose":
        tails = ((1 - SHARE_PRINTED) / 2, 0.5, (1 + SHARE_PRINTED) / 2)
        low, mid, high = (float(one) for one in np.quantile(estimate.dose(system), tails))
        found, unit = ([Spread(mid, low, high)] if high > 0 else []), _DOSE
    elif figure in estimate.sheet.figures:
        found, unit = estimate.rows(figure, system), estimate.sheet.figures[figure].unit
    else:
        return []
    wanted = _unit(asked)
    size = _PERCENT if unit == PLAIN_UNIT and wanted == "%" else float(parse(f"1 {unit}", wanted).value)
    return [Spread(one.mid * size, one.low * size, one.high * size) for one in found]


def _unit(asked: Quantity) -> str:
    return asked.unit or reading_kinds()[asked.record, asked.field].unit


def _with_reason(row: Row, reasons: Reasons) -> Row:
    whole = reasons.get((row.quantity, row.system, ""), "")
    return replace(row, reason=reasons.get((row.quantity, row.system, row.part), whole))
