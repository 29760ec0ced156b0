"""Position logs as receivers, terminals and phones write them: GPX 1.1, NMEA 0183, or a CSV whose columns are declared.

What a file is, shows in its content.  Nothing is sent anywhere.  What a log does not say is not a number.
"""

from __future__ import annotations

import datetime as dt
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.exchange.position_points import Points
from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray
from spadework.records.tables.columns import clip

__all__ = ["GOOD_FIXES", "PLAIN_FIX", "PositionLog", "read_position_log"]

GOOD_FIXES: Final = (2, 3, 4, 5)
"""Kinds of fix with corrections: differential, precise, fixed and floating."""
PLAIN_FIX: Final = 1
"""A fix from satellites alone, metres off."""
_NO_FIX: Final = {0: "no fix", 6: "dead reckoning", 7: "typed in by hand", 8: "simulated"}
_LARGEST: Final = 60_000_000
_MOST: Final = 500_000
_LATITUDE: Final = 85.0
_OLD: Final = 2010  # receivers that lost count of the weeks show dates 1024 weeks back


@dataclass(frozen=True)
class PositionLog:
    """A position log in the order of time, one place of every array for each position.

    Attributes
    ----------
    file, kind : str
        Name of the file, and ``"GPX"``, ``"NMEA"`` or ``"CSV"``.
    began : datetime or None
        Time of the first position, UTC; None where the log has no date.
    time_s : FloatArray
        Seconds since then.
    latitude_deg, longitude_deg : FloatArray
        Degrees, north and east positive.
    speed_m_s, course_deg : FloatArray or None
        As the receiver says them; None where it never does.
    fix : NDArray
        Kind of fix: 1 satellites alone, 2 differential, 3 precise, 4 fixed, 5 floating; -1 where the log does not say.
    tools_down : FloatArray or None
        1 where the tools are down, else 0; None where the log does not say.
    piece : NDArray
        Part of the log that each belongs to, rising.
    remarks : tuple of str
        What was left out or taken for granted, in sentences.
    """

    file: str
    kind: str
    began: dt.datetime | None
    time_s: FloatArray
    latitude_deg: FloatArray
    longitude_deg: FloatArray
    speed_m_s: FloatArray | None
    course_deg: FloatArray | None
    fix: NDArray[np.int_]
    tools_down: FloatArray | None
    piece: NDArray[np.int_]
    remarks: tuple[str, ...]

    @property
    def plain(self) -> bool:
        """True where the positions come from satellites alone, or the log does not say where from."""
        return not bool(np.isin(self.fix, GOOD_FIXES).mean() > 0.5)


def read_position_log(path: Path, columns: Path | None = None) -> PositionLog:
    """Read a position log.

    Parameters
    ----------
    path : Path
        The file.
    columns : Path, optional
        TOML file that says what the columns of a CSV are.

    Returns
    -------
    PositionLog
        Positions with a fix, in the order of time.

    Raises
    ------
    PlanFaults
        If the file cannot be read or holds fewer than two positions that can be used; with every fault found.
    """
    data = _content(path)
    begin = data.removeprefix(b"\xef\xbb\xbf").lstrip()[:20_000]
    if begin.startswith((b"<", b"\xff\xfe", b"\xfe\xff")):
        from spadework.exchange.position_gpx import gpx_points

        kind, points = "GPX", gpx_points(data, path.name)
    elif columns is None and b"$" in begin:
        from spadework.exchange.position_nmea import nmea_points

        kind, points = "NMEA", nmea_points(data, path.name)
    elif columns is None:
        what = "is neither GPX nor NMEA; if it is a CSV, say with --columns what its columns are"
        raise PlanFaults([Fault("", what)], path.name)
    else:
        from spadework.exchange.position_csv import csv_points

        kind, points = "CSV", csv_points(data, path.name, columns)
    if kind != "CSV" and columns is not None:
        points.remarks.append(f"--columns was not needed: this is {kind}")
    return _arranged(path.name, kind, points)


def _content(path: Path) -> bytes:
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            what = "is no file; name a GPX, NMEA or CSV file"
        elif about.st_size > _LARGEST:
            what = f"is too large; allowed: up to {_LARGEST // 1_000_000} MB; cut it by field"
        elif about.st_size == 0:
            what = "holds nothing; copy it from the receiver again"
        else:
            return path.read_bytes()
    except FileNotFoundError:
        what = "there is no such file"
    except (OSError, ValueError) as error:
        what = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    raise PlanFaults([Fault("", what)], clip(str(path)))


def _arranged(name: str, kind: str, points: Points) -> PositionLog:
    remarks = list(points.remarks)
    time, latitude, longitude = (np.array(v, np.float64) for v in (points.time, points.latitude, points.longitude))
    fix, piece = np.array(points.fix, np.int_), np.array(points.piece, np.int_)
    if time.size > _MOST:
        what = f"holds {time.size} positions; allowed: up to {_MOST}; cut it by field"
        raise PlanFaults([Fault("", what)], name)
    good = np.isfinite(time) & np.isfinite(latitude) & np.isfinite(longitude)
    good &= (np.abs(latitude) <= _LATITUDE) & (np.abs(longitude) <= 180)
    _told(remarks, good.size - int(good.sum()), "have no time, or a place that cannot be")
    nil = good & (latitude == 0) & (longitude == 0)
    _told(remarks, int(nil.sum()), "lie at latitude and longitude nought, as receivers write before they have a fix")
    good &= ~nil
    for code, words in _NO_FIX.items():
        _told(remarks, int((good & (fix == code)).sum()), f"have no fix to rely on ({words})")
        good &= fix != code
    corrected = np.isin(fix, GOOD_FIXES)
    if (good & corrected).sum() > good.sum() / 2:
        plain = good & (fix == PLAIN_FIX)
        _told(remarks, int(plain.sum()), "are from satellites alone, while most are corrected")
        good &= ~plain
    kept = np.flatnonzero(good)
    if kept.size < 2:
        told = "; ".join(remarks)
        what = f"holds {kept.size or 'no'} position{'s' * (kept.size != 1)} with time and fix; needed: two or more"
        raise PlanFaults([Fault("", what + (f" ({told})" if told else ""))], name)
    order = kept[np.argsort(time[kept], kind="stable")]
    back = int((np.diff(time[kept]) < 0).sum())
    if back:
        remarks.append(f"time goes back {back} time{'s' * (back != 1)}; the positions were put in order")
    again = np.concatenate([[False], np.diff(time[order]) <= 0])
    _told(remarks, int(again.sum()), "have the time of another")
    order = order[~again]
    if order.size < 2:
        raise PlanFaults([Fault("", "holds positions of one moment only; needed: a track over time")], name)
    began = _moment(float(time[order[0]])) if points.dated else None
    if points.dated and began is not None and began.year < _OLD:
        remarks.append(
            f"the date is {began.date().isoformat()}; some old receivers are 1024 weeks behind; durations are not touched by it"
        )
    if not points.dated:
        remarks.append("the log has no date; times count from its first position")
    # positions that the time has put in order keep the piece that is never below the one before
    return PositionLog(
        name, kind, began, time[order] - time[order[0]], latitude[order], longitude[order],
        _or_none(points.speed, order), _or_none(points.course, order), fix[order], _tools(points.tools, order, remarks),
        np.maximum.accumulate(piece[order]), tuple(remarks),
    )  # fmt: skip


def _told(remarks: list[str], count: int, words: str) -> None:
    if count:
        remarks.append(f"{count} position{'s' * (count != 1)} left out: they {words}")


def _or_none(values: Sequence[float], order: NDArray[np.int_]) -> FloatArray | None:
    found = np.array(values, np.float64)[order]
    return found if np.isfinite(found).any() else None


def _tools(values: Sequence[float], order: NDArray[np.int_], remarks: list[str]) -> FloatArray | None:
    """Return the state of the tools; the last one said holds on where a record does not say it."""
    found = np.array(values, np.float64)[order]
    said = np.isfinite(found)
    if not said.any():
        return None
    last = np.maximum.accumulate(np.where(said, np.arange(found.size), -1))
    filled = np.where(last >= 0, found[np.maximum(last, 0)], 0.0)
    if filled.min() == filled.max():
        remarks.append("the tools never change in the log; runs are taken from the course instead")
        return None
    return filled


def _moment(seconds: float) -> dt.datetime | None:
    try:
        return dt.datetime.fromtimestamp(seconds, dt.UTC)
    except (OverflowError, OSError, ValueError):
        return None
