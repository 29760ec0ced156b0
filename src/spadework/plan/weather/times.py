"""Times as weather files write them: patterns, zones, the hours that summer time skips and doubles."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from zoneinfo import ZoneInfo, available_timezones

from spadework.plan.faults import nearest

__all__ = ["AS_ISO", "in_utc", "time_reader", "zone_of"]

AS_ISO = ""
"""The pattern of a time that is written after ISO 8601."""

_SIGNS = {
    "YYYY": r"(?P<year>\d{4})",
    "MM": r"(?P<month>\d{#})",
    "DD": r"(?P<day>\d{#})",
    "hh": r"(?P<hour>\d{#})",
    "mm": r"(?P<minute>\d{#})",
    "ss": r"(?P<second>\d{#})",
    "AM": r"(?P<half>[AaPp]\.?[Mm]\.?)",
}
_SIGN = re.compile("|".join(_SIGNS))
_FIXED = re.compile(r"UTC(?:([+-])(\d{1,2})(?::?([0-5]\d))?)?")
_EPOCH = dt.datetime(1970, 1, 1)
_EPOCH_UTC = _EPOCH.replace(tzinfo=dt.UTC)
_SECOND = dt.timedelta(seconds=1)


def zone_of(text: str) -> dt.tzinfo:
    """Return the zone that a text names: a place as Europe/Berlin, or a fixed distance as UTC+1.

    Raises
    ------
    ValueError
        Where no such zone is known.

    Examples
    --------
    >>> zone_of("UTC+5:30").utcoffset(None)
    datetime.timedelta(seconds=19800)
    """
    if match := _FIXED.fullmatch(text):
        sign, hours, minutes = match.groups()
        offset = dt.timedelta(hours=int(hours or 0), minutes=int(minutes or 0))
        if offset > dt.timedelta(hours=14):
            raise ValueError(f'"{text}" lies beyond every zone in use; the furthest are UTC-12 and UTC+14')
        return dt.timezone(-offset if sign == "-" else offset)
    try:
        return ZoneInfo(text)
    except (LookupError, ValueError, OSError):
        hint = nearest(text, available_timezones()) or '; write a place as "Europe/Berlin", or "UTC+1"'
        raise ValueError(f'"{text[:60]}" is no time zone that is known here{hint}') from None


def time_reader(pattern: str) -> Callable[[str], dt.datetime]:
    """Return what turns a cell into a time, with a zone where the cell has one.

    Parameters
    ----------
    pattern : str
        :data:`AS_ISO`, or the order of the parts with the signs YYYY, MM, DD, hh, mm, ss and AM (for AM or PM).

    Raises
    ------
    ValueError
        Where the pattern does not say year, month, day and hour; and, of what is returned, where a cell is no time.

    Examples
    --------
    >>> time_reader("DD.MM.YYYY hh:mm")("17.4.2013 24:00").isoformat()
    '2013-04-18T00:00:00'
    """
    if pattern == AS_ISO:
        return _iso
    shape = _shape(pattern)
    match_all, order = shape.fullmatch, shape.groupindex
    year, month, day, hour = (order[part] - 1 for part in ("year", "month", "day", "hour"))
    finer = [order[part] - 1 for part in ("minute", "second") if part in order]
    half = order["half"] - 1 if "half" in order else None

    def by_pattern(cell: str) -> dt.datetime:
        match = match_all(cell.strip())
        if match is None:
            raise ValueError(f'"{cell[:60]}" is no time written as {pattern}')
        parts = match.groups()
        try:
            h = int(parts[hour]) if half is None else _hour(int(parts[hour]), parts[half])
            m = int(parts[finer[0]]) if finer else 0
            s = int(parts[finer[1]]) if len(finer) > 1 else 0
            if h == 24 and not m and not s:
                return dt.datetime(int(parts[year]), int(parts[month]), int(parts[day])) + dt.timedelta(days=1)
            return dt.datetime(int(parts[year]), int(parts[month]), int(parts[day]), h, m, s)
        except (ValueError, OverflowError):
            raise ValueError(f'"{cell[:60]}" is no time that there is, read as {pattern}') from None

    return by_pattern


def _hour(hour: int, half: str) -> int:
    if not 1 <= hour <= 12:
        raise ValueError("no such hour")
    return hour % 12 + (12 if half[0] in "Pp" else 0)


def _iso(cell: str) -> dt.datetime:
    try:
        return dt.datetime.fromisoformat(cell.strip())
    except ValueError:
        raise ValueError(f'"{cell[:60]}" is no time such as 2026-04-20T09:00:00+02:00') from None


def _shape(pattern: str) -> re.Pattern[str]:
    """Return the pattern as an expression; parts that touch another have all their digits, others may lack a nought."""
    signs = list(_SIGN.finditer(pattern))
    names = [sign[0] for sign in signs]
    said, end = "", 0
    for place, sign in enumerate(signs):
        between = pattern[end : sign.start()]
        touched = (place > 0 and not between) or (place + 1 < len(signs) and signs[place + 1].start() == sign.end())
        said += re.escape(between) + _SIGNS[sign[0]].replace("#", "2" if touched else "1,2")
        end = sign.end()
    left_over = re.sub("[T]", "", _SIGN.sub("", pattern))
    if (
        not {"YYYY", "MM", "DD", "hh"} <= set(names)
        or ("ss" in names and "mm" not in names)
        or len(set(names)) < len(names)
        or re.search(r"\w", left_over)
    ):
        raise ValueError(
            f'"{pattern}" does not say how a time is written; use YYYY, MM, DD, hh and, where they stand, mm, ss and AM, '
            'e.g. "DD.MM.YYYY hh:mm"'
        )
    return re.compile(said + re.escape(pattern[end:]))


def in_utc(times: Sequence[dt.datetime], zone: dt.tzinfo | None) -> tuple[list[int], dict[int, str]]:
    """Count times, in the order of their lines, in seconds from the start of 1970 in UTC.

    Parameters
    ----------
    times : sequence of datetime
        As the file has them.  Where one carries a zone of its own, that one counts.
    zone : tzinfo or None
        Zone of the others.

    Returns
    -------
    list of int
        Seconds, 0 where there is something wrong.
    dict
        What is wrong, by place in `times`.

    Notes
    -----
    When summer time ends, an hour of the clock comes twice; the first line that has it is the earlier hour, in a file
    that runs backwards the later one.  When it begins, an hour of the clock is left out; a line that has it is wrong.
    """
    seconds: list[int] = []
    wrong: dict[int, str] = {}
    seen: set[dt.datetime] = set()
    naive = [time for time in (*times[:1], *times[-1:]) if time.tzinfo is None]
    backwards = len(naive) == 2 and naive[0] > naive[1]
    steady: dict[int, dt.timedelta | None] = {}
    for place, time in enumerate(times):
        if time.tzinfo is not None:
            seconds.append((time - _EPOCH_UTC) // _SECOND)
            continue
        if zone is None:
            wrong[place] = f'the time "{time.isoformat()}" has no zone, such as +02:00'
            seconds.append(0)
            continue
        day = time.toordinal()
        if day not in steady:
            steady[day] = _steady(zone, time)
        if (offset := steady[day]) is not None:
            seconds.append((time - _EPOCH - offset) // _SECOND)
            continue
        early, late = zone.utcoffset(time), zone.utcoffset(time.replace(fold=1))
        assert early is not None and late is not None  # noqa: S101, PT018 (every zone here knows its distance)
        if early < late:
            wrong[place] = (
                f"the clock of {zone} left out {time:%H:%M} on {time:%Y-%m-%d}, when summer time began; where the file "
                'keeps one time all the year, say so, e.g. zone = "UTC+1"'
            )
        elif early > late:
            if (time in seen) != backwards:
                early = late
            seen.add(time)
        seconds.append((time - _EPOCH - early) // _SECOND)
    return seconds, wrong


def _steady(zone: dt.tzinfo, time: dt.datetime) -> dt.timedelta | None:
    """Return how far the zone is ahead of UTC on the day of a time, or None where that changes within the day."""
    first = zone.utcoffset(time.replace(hour=0, minute=0, second=0, microsecond=0))
    last = zone.utcoffset(time.replace(hour=23, minute=59, second=59, fold=1))
    return first if first == last else None
