"""NMEA 0183: sentences RMC, GGA, VTG and ZDA of any talker, joined by their time of day.

Lines may carry a mark of the logger in front.  A sentence whose check sum is wrong is left out and counted.  A place is
degrees and minutes in one number.  The day comes from RMC or ZDA; where the time of day falls by more than half a day,
midnight has passed.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from dataclasses import dataclass
from functools import reduce
from operator import xor
from typing import Final

from spadework.exchange.position_points import Points
from spadework.plan import Fault, PlanFaults

__all__ = ["nmea_points"]

_SENTENCE = re.compile(r"\$([A-Z]{2})(RMC|GGA|VTG|ZDA),([^*$]*)(?:\*([0-9A-Fa-f]{2}))?\s*$")
_CLOCK = re.compile(r"(\d\d)(\d\d)(\d\d(?:\.\d*)?)")
_DATE = re.compile(r"(\d\d)(\d\d)(\d\d)")
_KNOT: Final = 1852 / 3600
_MODES: Final = {"N": 0, "A": 1, "D": 2, "P": 3, "R": 4, "F": 5, "E": 6, "M": 7, "S": 8}
_HALF_DAY: Final = 43_200.0
_DAY: Final = 86_400
_CENTURY: Final = 80
_LONGEST: Final = 1_000
_FIXES: Final = 8
_SBAS: Final = 9


@dataclass
class _Moment:
    """All sentences of one time of day."""

    clock: float
    date: dt.date | None = None
    place: tuple[float, float] | None = None
    exact: bool = False
    fix: int = -1
    speed: float = math.nan
    course: float = math.nan


def nmea_points(data: bytes, name: str) -> Points:
    """Return the positions of an NMEA log.

    Parameters
    ----------
    data : bytes
        Content of the file.
    name : str
        Its name, for messages.

    Raises
    ------
    PlanFaults
        If no sentence with a position can be read.
    """
    moments: list[_Moment] = []
    wrong = bare = 0
    for line in data.decode("latin-1").splitlines():
        found = _SENTENCE.search(line[:_LONGEST])
        if found is None:
            continue
        talker, kind, body, told = found.groups()
        if told is None:
            bare += 1
        elif reduce(xor, f"{talker}{kind},{body}".encode("latin-1"), 0) != int(told, 16):
            wrong += 1
            continue
        _take(kind, body.split(","), moments)
    points = Points()
    if wrong:
        points.remarks.append(f"{wrong} sentence{'s' * (wrong != 1)} left out: the check sum is wrong")
    if bare:
        points.remarks.append(f"{bare} sentence{'s' * (bare != 1)} without a check sum taken as they are")
    placed = [one for one in moments if one.place is not None]
    if not placed:
        what = "holds no position: no RMC or GGA sentence that can be read"
        what += f"; {wrong} have a wrong check sum" if wrong else ""
        raise PlanFaults([Fault("", what)], name)
    days, points.dated = _days(moments)
    for one, day in zip(moments, days, strict=True):
        if one.place is not None:
            points.add(day * _DAY + one.clock, *one.place, speed=one.speed, course=one.course, fix=one.fix)
    return points


def _take(kind: str, cells: list[str], moments: list[_Moment]) -> None:
    cells = [*cells, *[""] * 14]
    if kind == "VTG":  # has no time of its own: it belongs to the sentences before it
        if moments:
            here, speed, course = moments[-1], _number(cells[4]), _number(cells[0])
            here.speed = here.speed if math.isfinite(here.speed) else speed * _KNOT
            here.course = here.course if math.isfinite(here.course) else course
        return
    clock = _clock(cells[0])
    if clock is None:
        return
    if not moments or moments[-1].clock != clock:
        moments.append(_Moment(clock))
    here = moments[-1]
    if kind == "GGA":
        here.place, here.exact = _place(cells[1:5]) or here.place, True
        fix = _number(cells[5])
        if math.isfinite(fix):
            here.fix = int(fix) if 0 <= fix <= _FIXES else 2 if fix == _SBAS else -1
    elif kind == "RMC":
        here.date = _date(cells[8]) or here.date
        void = cells[1].strip().upper() == "V"
        if not here.exact:
            here.place = _place(cells[2:6]) or here.place
            here.fix = 0 if void else _MODES.get(cells[11].strip().upper(), -1)
        elif void and here.fix < 0:
            here.fix = 0
        speed, course = _number(cells[6]), _number(cells[7])
        here.speed = speed * _KNOT if math.isfinite(speed) else here.speed
        here.course = course if math.isfinite(course) else here.course
    else:
        here.date = _day(cells[3], cells[2], cells[1]) or here.date


def _days(moments: list[_Moment]) -> tuple[list[int], bool]:
    """Return the day of every moment since 1970, and whether the log says any; else from the first one."""
    epoch = dt.date(1970, 1, 1)
    known = [None if one.date is None else (one.date - epoch).days for one in moments]
    first = next((k for k, day in enumerate(known) if day is not None), None)
    days = [0] * len(moments)
    start = first or 0
    days[start] = known[start] or 0
    for k in range(start + 1, len(moments)):
        over = moments[k - 1].clock - moments[k].clock > _HALF_DAY
        said = known[k]
        days[k] = days[k - 1] + over if said is None else said
    for k in range(start - 1, -1, -1):
        days[k] = days[k + 1] - (moments[k].clock - moments[k + 1].clock > _HALF_DAY)
    return days, first is not None


def _clock(text: str) -> float | None:
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        return None
    hours, minutes, seconds = int(found[1]), int(found[2]), float(found[3])
    return 3600 * hours + 60 * minutes + seconds if hours < 24 and minutes < 60 and seconds < 61 else None


def _date(text: str) -> dt.date | None:
    found = _DATE.fullmatch(text.strip())
    if found is None:
        return None
    day, month, year = (int(one) for one in found.groups())
    return _day(str(year + (1900 if year >= _CENTURY else 2000)), str(month), str(day))


def _day(year: str, month: str, day: str) -> dt.date | None:
    try:
        return dt.date(int(year), int(month), int(day))
    except ValueError:
        return None


def _place(cells: list[str]) -> tuple[float, float] | None:
    latitude = _degrees(cells[0], cells[1], "NS", 90)
    longitude = _degrees(cells[2], cells[3], "EW", 180)
    return None if latitude is None or longitude is None else (latitude, longitude)


def _degrees(text: str, side: str, sides: str, most: int) -> float | None:
    value, letter = _number(text), side.strip().upper()
    if not math.isfinite(value) or value < 0 or len(letter) != 1 or letter not in sides:
        return None
    degrees, minutes = divmod(value, 100)
    found = degrees + minutes / 60
    if minutes >= 60 or found > most:
        return None
    return -found if letter == sides[1] else found


def _number(text: str) -> float:
    try:
        value = float(text.strip())
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan
