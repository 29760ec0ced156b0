"""The calendar of a season as an iCalendar file (RFC 5545), which calendars on telephones and desks take in."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from typing import Final

from spadework import __version__
from spadework.records.season import Calendar, Planned

__all__ = ["icalendar_text"]

_LONGEST: Final = 75  # octets of a line, its end not counted
_END: Final = "\r\n"
_OWN: Final = uuid.UUID("6f3b2c52-6d3a-5b7c-9a54-1d6f7e0a9c31")  # name space of our events; drawn once


def icalendar_text(calendar: Calendar, *, name: str, made: dt.datetime, invented: bool = False) -> str:
    """Return a calendar as the text of an iCalendar file.

    Parameters
    ----------
    calendar : Calendar
        From :func:`spadework.records.season.calendar_of`.
    name : str
        What the comparison is called.  An event keeps its identity as long as this stays, so that a calendar moves it
        when the day of sowing moves and the file is taken in again.
    made : datetime
        When it was made, with its time zone.
    invented : bool
        True where the plan is made up; every event then says so.

    Raises
    ------
    ValueError
        If `made` has no time zone.

    Notes
    -----
    Tasks are events of whole days; their end is the day after the last, as RFC 5545 has it.  They leave a person free.
    """
    if made.tzinfo is None:
        raise ValueError("made needs a time zone")
    stamp = made.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//Spadework//spadework {__version__}//EN",
        "CALSCALE:GREGORIAN",
    ]
    for task in calendar.tasks:
        lines += _event(task, name, stamp, invented)
    lines.append("END:VCALENDAR")
    return _END.join(part for line in lines for part in _folded(line)) + _END


def _event(task: Planned, name: str, stamp: str, invented: bool) -> list[str]:
    said = [task.about] if task.about else []
    said.append(f"Who: {', '.join(task.who)}")
    if task.sheets:
        said.append(f"Sheets: {', '.join(task.sheets)}")
    if task.kit:
        said.append(f"Kit: {', '.join(task.kit)}")
    said.append(f"Day {task.from_day} to {task.to_day} from sowing. {name}")
    if invented:
        said.insert(0, "INVENTED: the plan behind this is made up to show the tool.")
    return [
        "BEGIN:VEVENT",
        "UID:" + str(uuid.uuid5(_OWN, name + chr(10) + task.key)),
        f"DTSTAMP:{stamp}",
        f"DTSTART;VALUE=DATE:{_day(task.first)}",
        f"DTEND;VALUE=DATE:{_day(task.last + dt.timedelta(days=1))}",
        f"SUMMARY:{_escaped(task.label)}",
        f"DESCRIPTION:{_escaped(chr(10).join(said))}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]


def _day(day: dt.date) -> str:
    return f"{day.year:04d}{day.month:02d}{day.day:02d}"


def _escaped(text: str) -> str:
    """Return a text with what would end or part a value made harmless (RFC 5545, 3.3.11)."""
    text = re.sub(r"([\\;,])", r"\\\1", text)
    text = re.sub(r"\r\n|\r|\n", r"\\n", text)
    return "".join(one if one.isprintable() else " " if one.isspace() else "" for one in text)


def _folded(line: str) -> list[str]:
    """Return a line in parts of at most 75 octets, none of which breaks a character (RFC 5545, 3.1)."""
    parts, part, length = [], "", 0
    for character in line:
        octets = len(character.encode("utf-8"))
        if length + octets > _LONGEST:
            parts.append(part)
            part, length = " ", 1
        part, length = part + character, length + octets
    return [*parts, part]
