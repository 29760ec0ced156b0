"""GPX 1.1: tracks of points with place and time.  Files that define entities or a document type are refused."""

from __future__ import annotations

import datetime as dt
import io
import math
from typing import TYPE_CHECKING, Final

from spadework.exchange.position_points import Points
from spadework.plan import Fault, PlanFaults

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

__all__ = ["gpx_points"]

_FIXES: Final = {"none": 0, "2d": 1, "3d": 1, "dgps": 2, "pps": 3}
_DEEPEST: Final = 40


def gpx_points(data: bytes, name: str) -> Points:
    """Return the track points of a GPX file; every segment is a piece of its own.

    Parameters
    ----------
    data : bytes
        Content of the file.
    name : str
        Its name, for messages.

    Raises
    ------
    PlanFaults
        If it is no XML, is cut off, defines entities, is no GPX, or has no track with times.
    """
    from xml.etree.ElementTree import ParseError

    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import iterparse

    points = Points()
    piece, depth, root, untimed, routes = 0, 0, "", 0, 0
    what = ""
    try:
        for event, part in iterparse(io.BytesIO(data), events=("start", "end"), forbid_dtd=True):
            tag = _local(part.tag)
            if event == "start":
                root = root or tag
                depth += 1
                if depth > _DEEPEST:
                    what = f"has parts nested more than {_DEEPEST} deep, which no track has"
                    break
                continue
            depth -= 1
            if tag == "trkpt":
                untimed += not _keep(part, points, piece)
            elif tag == "trkseg":
                piece += 1
            elif tag in ("rtept", "wpt"):
                routes += 1
            if tag in ("trkpt", "trkseg", "wpt", "rtept"):
                part.clear()
    except DefusedXmlException:
        what = "defines entities or a document type, which no track needs and which can do harm; it was not read"
    except ParseError as error:
        line = error.position[0] if getattr(error, "position", None) else None
        raise PlanFaults(
            [Fault("", "is broken or cut off: what stands here is no XML; copy it from the receiver again", line)], name
        ) from None
    except (ValueError, LookupError, UnicodeError) as error:
        what = f"cannot be read as XML ({' '.join(str(error).split())[:60]})"
    if not what and root != "gpx":
        what = f"is XML, but no GPX: it begins with <{root[:40]}>"
    if not what and not points.time:
        what = "holds no track with times"
        if untimed:
            what += f"; its {untimed} track points have no time, so nothing can be timed"
        elif routes:
            what += "; it holds only places or a planned route, not a track that was driven"
    if what:
        raise PlanFaults([Fault("", what)], name)
    if untimed:
        points.remarks.append(
            f"{untimed} track point{'s' * (untimed != 1)} left out: no place or time that can be read"
        )
    return points


def _local(tag: object) -> str:
    return str(tag).rsplit("}", 1)[-1]


def _keep(part: Element, points: Points, piece: int) -> bool:
    held: dict[str, str] = {}
    for inner in part.iter():
        held.setdefault(_local(inner.tag), inner.text or "")
    place = [_number(part.get(key)) for key in ("lat", "lon")]
    time = _time(held.get("time", ""))
    if time is None or any(math.isnan(one) for one in place):
        return False
    fix = _FIXES.get(held.get("fix", "").strip().lower(), -1)
    speed, course = (_number(held.get(key)) for key in ("speed", "course"))
    points.add(time, place[0], place[1], speed=speed, course=course, fix=fix, piece=piece)
    return True


def _number(text: str | None) -> float:
    try:
        value = float((text or "").strip())
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan


def _time(text: str) -> float | None:
    try:
        read = dt.datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    try:
        return (read if read.tzinfo else read.replace(tzinfo=dt.UTC)).timestamp()
    except (OverflowError, ValueError):
        return None
