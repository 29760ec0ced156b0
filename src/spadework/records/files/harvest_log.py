"""Points of a yield log read from a CSV file, as declared; every fault named at once."""

from __future__ import annotations

import csv
import io
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

import numpy as np

from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.ranges import FloatArray, collecting
from spadework.records.files.harvest_columns import CANONICAL, CLOCK, LogColumn, LogColumns, LogPlot
from spadework.records.tables.columns import clip
from spadework.records.tables.reader import column_place
from spadework.reference import constants
from spadework.science.harvest import metres_from_middle

__all__ = ["NO_PLOT", "HarvestLog", "read_log"]

NO_PLOT: Final = ""
"""Name of the ground outside all plots."""
_LARGEST: Final = 60_000_000
_MOST_LINES: Final = 500_000
_MOST_FAULTS: Final = 8
_CAN: Final = {
    "latitude": (-85.0, 85.0),
    "longitude": (-180.0, 180.0),
    "east": (-1e7, 1e7),
    "north": (-1e7, 1e7),
    "flow": (0.0, 200.0),
    "speed": (0.0, 15.0),
    "width": (0.0, 30.0),
    "moisture": (0.0, 1.0),
    "dry_matter": (0.0, 1.0),
}
_MAY_BE_EMPTY: Final = ("moisture", "dry_matter")


@dataclass(frozen=True)
class HarvestLog:
    """Points of a yield log, in the order of time, one place of every array for each.

    Attributes
    ----------
    file : str
        Where they were read.
    time_s : FloatArray
        Time since the first record [s].
    east_m, north_m : FloatArray
        Metres from the middle of the field, or as the log gives them [m].
    flow_kg_s, speed_m_s, width_m : FloatArray
        Flow at the sensor [kg/s], speed [m/s], width [m].
    moisture_share : FloatArray
        Moisture [1]; not a number where the log has none.
    header_down : FloatArray
        1 where the header is down, else 0 [1].
    plot : tuple of str
        Plot of each point; :data:`NO_PLOT` outside all.
    plots : tuple of LogPlot
        Plots with system and block.
    remarks : tuple of str
        What was left out or taken for granted, in sentences.
    """

    file: str
    time_s: FloatArray
    east_m: FloatArray
    north_m: FloatArray
    flow_kg_s: FloatArray
    speed_m_s: FloatArray
    width_m: FloatArray
    moisture_share: FloatArray
    header_down: FloatArray
    plot: tuple[str, ...]
    plots: tuple[LogPlot, ...]
    remarks: tuple[str, ...]


def read_log(path: Path, said: LogColumns) -> HarvestLog:
    """Read the points of a yield log.

    Parameters
    ----------
    path : Path
        CSV file, UTF-8, its cells parted by semicolons, tabs or commas; the first line names the columns.
    said : LogColumns
        What the columns are, from :func:`spadework.records.files.harvest_columns.read_log_columns`.

    Returns
    -------
    HarvestLog
        The points in canonical units.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.

    Notes
    -----
    A record with an empty time, place, flow, speed or width is left out and counted.  Records at the time of
    the one before are left out too.
    """
    numbers, rows, head, comma = _cut(path)
    faults = [
        Fault(column_place(clip(one.name)), f"for {what} is not there{nearest(one.name, head)}", numbers[0])
        for what, one in said.columns.items()
        if one.name not in head
    ]
    faults += [
        Fault(column_place(clip(n)), "stands twice; allowed: once", numbers[0]) for n in set(head) if head.count(n) > 1
    ]
    if faults:
        raise PlanFaults(faults, path.name)
    cells = {what: [row[head.index(one.name)].strip() for row in rows] for what, one in said.columns.items()}
    lines = numbers[1:]
    found: dict[str, FloatArray] = {}
    for what, one in said.columns.items():
        if what not in ("plot", "header"):
            found[what], wrong = _numbers(what, one, cells[what], lines, comma)
            faults += wrong
    time = found.get("time", np.empty(0))
    whole = np.ones(len(rows), np.bool_)
    for what, values in found.items():
        if what not in _MAY_BE_EMPTY:
            whole &= np.isfinite(values)
    kept = np.flatnonzero(whole)
    if not faults:
        back = kept[1:][np.diff(time[kept]) < 0]
        faults += [
            Fault(column_place("time"), "goes back; sort the log by time", lines[i]) for i in back[:_MOST_FAULTS]
        ]
    if not faults and kept.size < 2:
        faults.append(Fault("", "holds fewer than two whole records"))
    if faults:
        raise PlanFaults(faults, path.name)
    new = np.concatenate([[True], np.diff(time[kept]) > 0])
    remarks = []
    if gone := len(rows) - kept.size:
        remarks.append(f"{gone} of {len(rows)} records left out: time, place, flow, speed or width is empty")
    if again := int((~new).sum()):
        remarks.append(f"{again} records left out: they have the time of the record before")
    kept = kept[new]
    step = float(np.median(np.diff(time[kept]))) if kept.size > 1 else 0.0
    longest = constants("yield_log").gap_s
    if not 0 < step <= longest:
        what = f"records lie {step:g} s apart; allowed: up to {longest:g} s, else the delay cannot be taken out"
        raise PlanFaults([Fault(column_place(said.columns["time"].name), what)], path.name)
    return _arranged(path.name, said, {what: v[kept] for what, v in found.items()}, cells, kept, remarks)


def _cut(path: Path) -> tuple[list[int], list[list[str]], list[str], bool]:
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            what = "is no file that holds text; name a CSV file"
        elif about.st_size > _LARGEST:
            what = f"is too large; allowed: up to {_LARGEST // 1_000_000} MB; cut it by field"
        else:
            return _cells(path.read_bytes().decode("utf-8-sig"), path.name)
    except FileNotFoundError:
        what = "there is no such file"
    except UnicodeDecodeError:
        what = "is not UTF-8 text; save it as CSV in UTF-8"
    except (OSError, ValueError) as error:
        if isinstance(error, PlanFaults):
            raise
        what = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    raise PlanFaults([Fault("", what)], clip(str(path)))


def _cells(text: str, name: str) -> tuple[list[int], list[list[str]], list[str], bool]:
    body = [
        (n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(' \t;,"') and not line.startswith("#")
    ]
    if len(body) < 2:
        raise PlanFaults([Fault("", "holds no records; allowed: a line of columns and records under it")], name)
    if len(body) > _MOST_LINES:
        raise PlanFaults([Fault("", f"has {len(body)} lines; allowed: up to {_MOST_LINES}; cut it by field")], name)
    mark = next((m for m in ";\t" if m in body[0][1]), ",")
    try:
        rows = list(csv.reader(io.StringIO("\n".join(line for _, line in body)), delimiter=mark, strict=True))
    except csv.Error as error:
        raise PlanFaults([Fault("", f"cannot be cut into cells ({error})")], name) from None
    if len(rows) != len(body):
        raise PlanFaults(
            [Fault("", "has a quoted cell that runs over several lines; allowed: each record on a line")], name
        )
    head = [cell.strip().lower() for cell in rows[0]]
    numbers = [n for n, _ in body]
    short = [n for n, row in zip(numbers, rows, strict=True) if len(row) != len(head)]
    if short:
        what = f"has another number of cells than the {len(head)} columns"
        raise PlanFaults([Fault("", what, n) for n in short[:_MOST_FAULTS]], name)
    return numbers, rows[1:], head, mark != ","


def _numbers(
    what: str, one: LogColumn, cells: Sequence[str], lines: Sequence[int], comma: bool
) -> tuple[FloatArray, list[Fault]]:
    found, wrong = np.full(len(cells), np.nan), []
    for i, cell in enumerate(cells):
        if not cell:
            continue
        try:
            found[i] = _clock(cell) if one.unit == CLOCK else float(cell.replace(",", ".") if comma else cell)
        except ValueError:
            wrong.append((i, f'"{clip(cell)}" is no {"date and time" if one.unit == CLOCK else "number"}'))
    found *= one.factor
    if what in _CAN:
        low, high = _CAN[what]
        with np.errstate(invalid="ignore"):
            outside = np.flatnonzero(np.isinf(found) | (found < low) | (found > high))
        unit = f" {CANONICAL[what]}" if len(CANONICAL[what]) > 1 or CANONICAL[what] == "m" else ""
        wrong += [(int(i), f"{found[i]:g}{unit} cannot be; allowed: {low:g} to {high:g}{unit}") for i in outside]
    faults = [Fault(column_place(one.name), text, lines[i]) for i, text in wrong[:_MOST_FAULTS]]
    if len(wrong) > _MOST_FAULTS:
        faults.append(Fault(column_place(one.name), f"and {len(wrong) - _MOST_FAULTS} more like these"))
    return found, faults


def _clock(cell: str) -> float:
    read = datetime.fromisoformat(cell)
    return (read if read.tzinfo else read.replace(tzinfo=UTC)).timestamp()


def _arranged(
    name: str,
    said: LogColumns,
    found: dict[str, FloatArray],
    cells: dict[str, list[str]],
    kept: np.ndarray,
    remarks: list[str],
) -> HarvestLog:
    places = [(plot.start, plot.end) for plot in said.plots]
    corners = np.array([end for pair in places for end in pair if end is not None], float).reshape(-1, 2)
    if said.on_earth:
        latitude, longitude = found["latitude"], found["longitude"]
        middle = float(np.median(latitude)), float(np.median(longitude))
        with collecting() as notes:
            east, north = metres_from_middle(latitude, longitude, *middle)
            if corners.size:
                corners = metres_from_middle(corners[:, 0], corners[:, 1], *middle).T
        if notes:
            remarks.append(
                "the log reaches farther than 2 km from its middle; distances there are off by more than half a metre"
            )
    else:
        east, north = found["east"], found["north"]
    size = east.size
    wet = found["moisture"] if "moisture" in found else 1 - found.get("dry_matter", np.full(size, np.nan))
    if not np.isfinite(wet).any():
        remarks.append("the log has no moisture: weigh and sample the strips, or give --moisture")
    if "header" in said.columns:
        word = said.columns["header"].down
        down = np.array([cells["header"][i].lower() == word for i in kept], float)
        if not down.any():
            fault = Fault(column_place(said.columns["header"].name), f'never says "{clip(word)}", the word for down')
            raise PlanFaults([fault], name)
    else:
        down = np.ones(size)
        remarks.append("the log does not say whether the header is down; every point inside a plot counts as down")
    if "plot" in said.columns:
        plot = np.array([cells["plot"][i][:40] for i in kept], dtype=object)
    else:
        plot = _inside(east, north, said.plots, corners)
    remarks += [f"no record lies in plot {one.name}" for one in said.plots if not np.any(plot == one.name)]
    width = found["width"] if "width" in found else np.full(size, float(said.width_m or 0))
    if (nil := width <= 0).any():
        down = np.where(nil, 0.0, down)
        width = np.where(nil, 1.0, width)
        remarks.append(f"{int(nil.sum())} records have no width and count as header up")
    outside = plot == NO_PLOT
    return HarvestLog(
        name,
        found["time"] - found["time"][0],
        east,
        north,
        found["flow"],
        found["speed"],
        width,
        wet,
        np.where(outside, 0.0, down),
        tuple(str(one) for one in plot),
        said.plots,
        tuple(remarks),
    )


def _inside(east: FloatArray, north: FloatArray, plots: Sequence[LogPlot], corners: FloatArray) -> np.ndarray:
    """Return the plot that each place lies in."""
    found = np.full(east.size, NO_PLOT, dtype=object)
    for number, plot in enumerate(plots):
        (x0, y0), (x1, y1) = corners[2 * number], corners[2 * number + 1]
        long = float(np.hypot(x1 - x0, y1 - y0))
        if long <= 0:
            continue
        along = ((east - x0) * (x1 - x0) + (north - y0) * (y1 - y0)) / long
        aside = ((north - y0) * (x1 - x0) - (east - x0) * (y1 - y0)) / long
        mine = (along >= plot.trim_m) & (along <= long - plot.trim_m) & (np.abs(aside) <= plot.width_m / 2)
        found[mine] = plot.name
    return found
