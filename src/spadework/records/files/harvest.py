"""Weighed strips read from a CSV file or a workbook: a line for each load, every fault named at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray
from spadework.records.tables.columns import Allowed, Column
from spadework.records.tables.reader import Line, column_place, read_table
from spadework.reference import load

__all__ = ["SAMPLES", "WeighedStrips", "harvest_columns", "read_weighed", "weighed_template"]

SAMPLES: Final = 9
"""Most samples of a load."""
_LONGEST: Final = 40


@dataclass(frozen=True)
class WeighedStrips:
    """Strips that were weighed, as they were read.

    Attributes
    ----------
    file : str
        Where they were read.
    plots, systems, blocks : tuple of str
        Name, system and block of each plot, in the order of the file; empty where not said.
    length_m, width_m : FloatArray
        Net length and width harvested, plot by plot [m].
    load_plot : NDArray
        Place of the plot of each load.
    load_kg : FloatArray
        Mass of each load [kg].
    weighings : NDArray
        Weighings behind each: 2 for full less empty, 1 for a net mass.
    sample_load : NDArray
        Place of the load of each sample.
    sample_share : FloatArray
        Dry matter of each sample [1].
    grain : bool
        True where moistures were given, False for dry matters.
    remarks : tuple of str
        What is unusual or was left out, in sentences.
    """

    file: str
    plots: tuple[str, ...]
    systems: tuple[str, ...]
    blocks: tuple[str, ...]
    length_m: FloatArray
    width_m: FloatArray
    load_plot: NDArray[np.int64]
    load_kg: FloatArray
    weighings: NDArray[np.int64]
    sample_load: NDArray[np.int64]
    sample_share: FloatArray
    grain: bool
    remarks: tuple[str, ...]


@cache
def harvest_columns() -> tuple[Column, ...]:
    """Return the columns of a table of weighed strips, in order.

    Examples
    --------
    >>> [column.name for column in harvest_columns()][:5]
    ['plot', 'system', 'block', 'load', 'gross_kg']
    >>> harvest_columns()[7].allowed
    '1 to 5000 m'
    """

    def number(name: str, key: str, meaning: str, unit: str, *, needed: bool = False) -> Column:
        row = load("harvest_limits")[key]
        can = Allowed(row.entry("least").value, row.entry("most").value)
        usual = Allowed(row.entry("usual_from").value, row.entry("usual_to").value)
        return Column(name, meaning, "number", unit, can, usual, needed=needed)

    def text(name: str, meaning: str, *, needed: bool = False) -> Column:
        return Column(name, meaning, "text", needed=needed, filled=needed, longest=_LONGEST)

    counted = range(1, SAMPLES + 1)
    return (
        text("plot", "plot, as on its peg", needed=True),
        text("system", "system of the plot"),
        text("block", "block of the plot"),
        text("load", "number or name of the load, where a plot has several"),
        number("gross_kg", "gross_kg", "weighed full", "kg"),
        number("tare_kg", "tare_kg", "weighed empty", "kg"),
        number("net_kg", "net_kg", "mass harvested, where the scale shows it itself", "kg"),
        number("length_m", "length_m", "net length harvested; once for each plot", "m", needed=True),
        number("width_m", "width_m", "net width harvested; once for each plot", "m", needed=True),
        *(number(f"dm_{n}_pct", "dm_pct", f"dry matter of sample {n} of the load", "%") for n in counted),
        *(number(f"moisture_{n}_pct", "moisture_pct", f"moisture of sample {n} of the load", "%") for n in counted),
        text("note", "anything that was seen"),
    )


def weighed_template(*, grain: bool = False, samples: int = 3) -> str:
    """Return an empty table of weighed strips to fill in, as CSV.

    Examples
    --------
    >>> weighed_template(samples=2).splitlines()[-1]
    'plot;system;block;load;gross_kg;tare_kg;net_kg;length_m;width_m;dm_1_pct;dm_2_pct;note'
    """
    chosen = {f"{'moisture' if grain else 'dm'}_{n}_pct" for n in range(1, samples + 1)}
    kept = [c for c in harvest_columns() if not c.name.endswith("_pct") or c.name in chosen]
    head = [f"# {column.name}: {column.meaning}; {column.allowed}" for column in kept]
    return "\n".join([*head, ";".join(column.name for column in kept)]) + "\n"


def read_weighed(path: Path, *, sheet: str | None = None) -> WeighedStrips:
    """Read weighed strips.

    Parameters
    ----------
    path : Path
        CSV file or XLSX workbook with the columns of :func:`harvest_columns`.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.

    Returns
    -------
    WeighedStrips
        Plots, loads and samples.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    try:
        table = read_table(path, harvest_columns(), sheet=sheet, others=False)
    except PlanFaults as error:
        missing = {fault.key for fault in error.faults if "is missing" in fault.what}
        if missing >= {column_place(column.name) for column in harvest_columns() if column.needed}:
            what = "has none of the columns of weighed strips (spadework harvest --template FILE writes them); if it is the log "
            raise PlanFaults(
                [Fault("", what + "of a yield sensor, say with --columns what its columns are")], path.name
            ) from None
        raise
    faults = list(table.faults)
    lines = [line for line in table.lines if isinstance(line.values.get("plot"), str)]
    plots = tuple(dict.fromkeys(str(line.values["plot"]) for line in lines))
    for line in lines:
        faults += _mass_faults(line)
    faults += _twice(lines)
    of_plot = {name: [line for line in lines if line.values["plot"] == name] for name in plots}
    for name, mine in of_plot.items():
        faults += _plot_faults(name, mine)
    wet = any(_samples(line, "moisture") for line in lines)
    if wet and any(_samples(line, "dm") for line in lines):
        what = (
            "dry matters and moistures stand in one file; allowed: one of the two, so that none is taken for the other"
        )
        faults.append(Fault("columns dm_1_pct and moisture_1_pct", what))
    if not faults:
        faults += _too_much(of_plot)
    if faults:
        raise PlanFaults(faults, path.name)
    samples = [_samples(line, "moisture" if wet else "dm") for line in lines]
    shares = np.array([value for mine in samples for value in mine]) / 100
    return WeighedStrips(
        file=path.name,
        plots=plots,
        systems=tuple(_said(mine, "system") for mine in of_plot.values()),
        blocks=tuple(_said(mine, "block") for mine in of_plot.values()),
        length_m=np.array([_first(mine, "length_m") for mine in of_plot.values()]),
        width_m=np.array([_first(mine, "width_m") for mine in of_plot.values()]),
        load_plot=np.array([plots.index(str(line.values["plot"])) for line in lines], np.int64),
        load_kg=np.array([_mass(line) for line in lines]),
        weighings=np.array([1 if _figure(line, "net_kg") is not None else 2 for line in lines], np.int64),
        sample_load=np.repeat(np.arange(len(lines)), [len(mine) for mine in samples]).astype(np.int64),
        sample_share=1 - shares if wet else shares,
        grain=wet,
        remarks=tuple(_remarks(lines)),
    )


def _figure(line: Line, name: str) -> float | None:
    value = line.values.get(name)
    return value if isinstance(value, float) else None


def _samples(line: Line, kind: str) -> list[float]:
    found = (_figure(line, f"{kind}_{n}_pct") for n in range(1, SAMPLES + 1))
    return [value for value in found if value is not None]


def _mass(line: Line) -> float:
    net, gross, tare = (_figure(line, name) for name in ("net_kg", "gross_kg", "tare_kg"))
    return net if net is not None else (gross or 0.0) - (tare or 0.0)


def _mass_faults(line: Line) -> Iterable[Fault]:
    names = ("net_kg", "gross_kg", "tare_kg")
    if any(line.cells.get(name) and name not in line.values for name in names):
        return  # what cannot be read is told already
    net, gross, tare = (_figure(line, name) for name in names)
    place = "columns gross_kg, tare_kg and net_kg"
    if net is None and (gross is None or tare is None):
        yield Fault(place, "hold no mass; give gross and tare, or net", line.number)
    elif gross is not None and tare is not None and gross <= tare:
        what = f"full {gross:g} kg is no more than empty {tare:g} kg; allowed: more full than empty"
        yield Fault("columns gross_kg and tare_kg", what, line.number)
    elif net is not None and gross is not None and tare is not None and net != gross - tare:
        yield Fault(
            place, f"net {net:g} kg, but gross less tare is {gross - tare:g} kg; leave one of them out", line.number
        )
    elif net is not None and net <= 0:
        yield Fault(column_place("net_kg"), "is nought; allowed: more than 0 kg", line.number)


def _twice(lines: Sequence[Line]) -> Iterable[Fault]:
    seen: dict[tuple[object, object], int] = {}
    for line in lines:
        key = line.values["plot"], line.values.get("load")
        if key in seen:
            said = f"load {key[1]} of plot {key[0]}" if key[1] else f"plot {key[0]} without a load"
            what = f"{said} stands in line {seen[key]} already; allowed: each load once, with a name of its own"
            yield Fault("columns plot and load", what, line.number)
        seen.setdefault(key, line.number)


def _plot_faults(name: str, mine: Sequence[Line]) -> Iterable[Fault]:
    for column in ("length_m", "width_m"):
        found = {value for line in mine if (value := _figure(line, column)) is not None}
        unread = any(line.cells.get(column) and column not in line.values for line in mine)
        if not found and not unread:
            yield Fault(column_place(column), f"plot {name} has none; give it once for the plot", mine[0].number)
        if len(found) > 1:
            said = " and ".join(f"{value:g}" for value in sorted(found))
            yield Fault(column_place(column), f"plot {name} has {said} m; allowed: one for the plot", mine[-1].number)
    for column in ("system", "block"):
        words = {str(line.values[column]) for line in mine if line.values.get(column)}
        if len(words) > 1:
            what = f"plot {name} is said to be {' and '.join(sorted(words))}; allowed: one"
            yield Fault(column_place(column), what, mine[-1].number)
    columns = [f"{kind}_{n}_pct" for kind in ("dm", "moisture") for n in range(1, SAMPLES + 1)]
    if not any(line.cells.get(column) for line in mine for column in columns):
        what = f"plot {name} has no sample; a yield of dry matter needs one at least, three or more are better"
        yield Fault("columns dm_1_pct to dm_9_pct, or moisture_1_pct to moisture_9_pct", what, mine[0].number)


def _too_much(of_plot: Mapping[str, Sequence[Line]]) -> Iterable[Fault]:
    most = load("harvest_limits")["fresh_t_ha"].entry("most").value
    for name, mine in of_plot.items():
        area = _first(mine, "length_m") * _first(mine, "width_m")
        fresh = 10 * sum(_mass(line) for line in mine) / area
        if fresh > most:
            what = f"plot {name} yields {fresh:.0f} t/ha, which cannot be; allowed: up to {most:g} t/ha; check mass and area"
            yield Fault("columns length_m, width_m and the masses", what, mine[0].number)


def _first(lines: Sequence[Line], name: str) -> float:
    return next(value for line in lines if (value := _figure(line, name)) is not None)


def _said(lines: Sequence[Line], name: str) -> str:
    return next((str(line.values[name]) for line in lines if line.values.get(name)), "")


def _remarks(lines: Sequence[Line]) -> Iterable[str]:
    for column in harvest_columns():
        if column.soft is None:
            continue
        odd = [n.number for n in lines if (v := _figure(n, column.name)) is not None and not column.soft.holds(v)]
        if odd:
            where = ", ".join(map(str, odd[:6])) + (f" and {len(odd) - 6} more" if len(odd) > 6 else "")
            usual = f"{column.soft} {column.unit}"
            yield f"{column.name}: line{'s' if len(odd) > 1 else ''} {where} outside the usual {usual}; kept as written"
    for line in lines:
        if line.values.get("note"):
            yield f"plot {line.values['plot']}, line {line.number}, noted: {line.values['note']}"
