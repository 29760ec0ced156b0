"""One reading as it is kept: made where it was taken, with an id of its own, and never changed afterwards."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import math
import re
import secrets
import threading
import time
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from operator import attrgetter
from typing import Final

from spadework.plan import Fault
from spadework.plan.faults import nearest
from spadework.records.kinds import BELOW_DETECTION, NOTHING, Kinds, reading_kinds, records, same_nothing
from spadework.records.tables.columns import clip

__all__ = ["CONTENT", "Reading", "faults_of", "name_id", "new_id", "new_reading", "now", "place_of", "utc_of"]

_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_LONGEST: Final = {
    "plot": 60,
    "place": 60,
    "person": 40,
    "instrument": 60,
    "note": 200,
    "kept": 200,
    "reason": 200,
    "source_file": 200,
}
_MOST_SAMPLE: Final = 100_000
_MOST_LINE: Final = 10_000_000
_lock = threading.Lock()
_last = (0, 0)


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured value, or why there is none.

    Attributes
    ----------
    id : str
        Made at the source by :func:`new_id`; sending it twice changes nothing.
    record, field : str
        Kind of reading, as in :func:`spadework.records.kinds.reading_kinds`.
    plot, place : str
        Plot as on its peg, and where in it: row, layer, part, load; place may be empty.
    sample : int
        Number of the reading in this place, from 1.
    unit : str
        Unit of value and limit.
    value : float or None
        The figure.
    nothing : str
        Why there is no figure: one of the four kinds of nothing; empty where there is one.
    limit : float or None
        Least that the method can find, where the reading lies below it.
    taken_at : str
        When: a day, or a date and time with its offset, such as ``2026-05-04T09:30:00+02:00``.
    person, instrument, note : str
        Who measured, with what, and anything else.
    kept : str
        Why a figure beyond what is usual is right.
    corrects : str
        Id of the reading that this one stands in for; empty for a first reading.
    reason : str
        Why it was corrected.
    made_at : str
        When this row was written down, in UTC.
    source_file, source_line
        Where it was read, if it was read from a file.  How it came here is no part of what was measured.
    """

    id: str
    record: str
    field: str
    plot: str
    unit: str
    taken_at: str
    person: str
    made_at: str
    value: float | None = None
    nothing: str = ""
    limit: float | None = None
    place: str = ""
    sample: int = 1
    instrument: str = ""
    note: str = ""
    kept: str = ""
    corrects: str = ""
    reason: str = ""
    source_file: str = ""
    source_line: int | None = None

    @property
    def digest(self) -> str:
        """SHA-256 of what was measured; equal for two rows that say the same."""
        return hashlib.sha256(_JSON.encode(_CONTENT_OF(self)).encode()).hexdigest()

    @property
    def said(self) -> str:
        """The figure with its unit, or why there is none, in words.

        Examples
        --------
        >>> new_reading("soil", "nitrate_n_mg_kg", "below detection", plot="101", taken_at="2026-04-02", person="AB",
        ...     limit=0.5).said
        'below detection (less than 0.5 mg/kg)'
        """
        unit = "" if self.unit == "1" else f" {self.unit}"
        if self.value is not None:
            return f"{self.value:g}{unit}"
        return f"{self.nothing} (less than {self.limit:g}{unit})" if self.limit is not None else self.nothing


CONTENT: Final = tuple(one.name for one in fields(Reading) if not one.name.startswith("source_"))
"""Names of what belongs to the reading itself."""
_SHORTEST: Final = min(_LONGEST.values())
_TEXTS_OF: Final = attrgetter(*_LONGEST)
_CONTENT_OF: Final = attrgetter(*CONTENT)
_JSON: Final = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))


def new_id() -> str:
    """Return an id that nobody else makes, without asking anybody; later ones sort after earlier ones.

    Notes
    -----
    A UUID of version 7 (RFC 9562, section 5.7): milliseconds since 1970 in 48 bits, then 12 bits that count up within a
    millisecond, then 62 bits by chance.

    Examples
    --------
    >>> first, second = new_id(), new_id()
    >>> first < second, first[14]
    (True, '7')
    """
    global _last
    with _lock:
        moment, count = time.time_ns() // 1_000_000, 0
        if moment <= _last[0]:  # the same millisecond, or a clock that was set back
            moment, count = _last[0], _last[1] + 1
            if count > 0xFFF:
                moment, count = moment + 1, 0
        _last = (moment, count)
    number = moment << 80 | 7 << 76 | count << 64 | 2 << 62 | secrets.randbits(62)
    return _written_id(number)


def name_id(*parts: str) -> str:
    """Return an id that is the same wherever it is made of the same parts.

    Notes
    -----
    A UUID of version 8 (RFC 9562, section 5.8): SHA-256 of the parts, cut to length.

    Examples
    --------
    >>> name_id("a", "b") == name_id("a", "b"), name_id("a", "b") == name_id("ab", ""), name_id("a", "b")[14]
    (True, False, '8')
    """
    text = json.dumps(parts, ensure_ascii=False)
    number = int.from_bytes(hashlib.sha256(text.encode()).digest()[:16])
    number = number & ~(0xF << 76) & ~(3 << 62) | 8 << 76 | 2 << 62
    return _written_id(number)


def now() -> str:
    """Return this moment in UTC, as rows write it."""
    return dt.datetime.now(dt.UTC).isoformat(timespec="microseconds")


def new_reading(
    record: str,
    field: str,
    value: float | str,
    *,
    plot: str,
    taken_at: str | dt.datetime | dt.date,
    person: str,
    kinds: Kinds | None = None,
    **more: object,
) -> Reading:
    """Return a reading with an id and the unit of its kind.

    Parameters
    ----------
    record, field : str
        Kind of reading.
    value : float or str
        The figure, or one of the four kinds of nothing.
    plot : str
        Plot as on its peg.
    taken_at : str, datetime or date
        When; a time needs its offset.
    person : str
        Who measured.
    kinds : Kinds, optional
        Kinds of readings; those of the reference table if left out.
    **more
        Any other attribute of :class:`Reading`.

    Returns
    -------
    Reading
        Not checked; see :func:`faults_of`.

    Examples
    --------
    >>> one = new_reading("band", "gap_cm", 6.5, plot="101", taken_at="2026-05-04T09:30+02:00", person="AB", place="row 3")
    >>> one.said, one.taken_at, list(faults_of(one))
    ('6.5 cm', '2026-05-04T09:30:00+02:00', [])
    """
    kind = (kinds or reading_kinds()).get((record, field))
    text = {name: _tidy(said) if isinstance(said, str) else said for name, said in more.items()}
    figure = None if isinstance(value, str) else float(value) + 0.0  # minus nought becomes nought
    if isinstance(limit := text.get("limit"), int):
        text["limit"] = float(limit)
    one = Reading(
        id=new_id(),
        record=record,
        field=field,
        plot=_tidy(plot),
        unit=kind.unit if kind else "",
        taken_at=_written(taken_at),
        person=_tidy(person),
        made_at=now(),
        value=figure,
        nothing=same_nothing(value) if isinstance(value, str) else "",
    )
    return replace(one, **text)  # type: ignore[arg-type]


@lru_cache(maxsize=8_192)
def utc_of(taken_at: str) -> str:
    """Return a time in UTC that sorts as text; a day stays a day.

    Raises
    ------
    ValueError
        If it is no day and no time with an offset.

    Examples
    --------
    >>> utc_of("2026-05-04T09:30:00+02:00"), utc_of("2026-05-04")
    ('2026-05-04T07:30:00.000000+00:00', '2026-05-04')
    """
    if _DAY.fullmatch(taken_at):
        return dt.date.fromisoformat(taken_at).isoformat()
    moment = dt.datetime.fromisoformat(taken_at)
    if moment.tzinfo is None:
        raise ValueError("has no offset")
    return moment.astimezone(dt.UTC).isoformat(timespec="microseconds")


def faults_of(reading: Reading, kinds: Kinds | None = None) -> Iterator[Fault]:
    """Yield what is wrong with a reading: what cannot be, and what is unusual without a reason.

    Parameters
    ----------
    reading : Reading
        The one to check.
    kinds : Kinds, optional
        Kinds of readings; those of the reference table if left out.

    Examples
    --------
    >>> deep = new_reading("seed", "depth_cm", 9, plot="101", taken_at="2026-05-04", person="AB")
    >>> for fault in faults_of(deep):
    ...     print(fault)
    plot 101, seed depth_cm: 9 cm lies outside the usual 3 to 7 cm; mend it, or say why it is kept
    >>> from dataclasses import replace
    >>> list(faults_of(replace(deep, kept="coulters ran in an old wheel track")))
    []
    """
    there = kinds if kinds is not None else reading_kinds()
    for what in (*_of_kind(reading, there), *_of_figure(reading, there), *_of_words(reading), *_of_chain(reading)):
        yield Fault(place_of(reading), what, reading.source_line)


def place_of(reading: Reading) -> str:
    """Return how a message names a reading."""
    return f"plot {clip(reading.plot)}, {clip(reading.record)} {clip(reading.field)}"


def _of_kind(one: Reading, kinds: Kinds) -> Iterator[str]:
    kind = kinds.get((one.record, one.field))
    if kind is None:
        names = [field for record, field in kinds if record == one.record]
        if names:
            yield f'"{clip(one.field)}" is not measured there{nearest(one.field, names)}; there are: {", ".join(names)}'
        else:
            known = records(kinds)
            yield f'"{clip(one.record)}" is no kind of record{nearest(one.record, known)}; there are: {", ".join(known)}'
    elif one.unit != kind.unit:
        yield f'its unit is "{clip(one.unit)}"; allowed: {kind.unit}'


def _of_figure(one: Reading, kinds: Kinds) -> Iterator[str]:
    if (one.value is None) == (not one.nothing):
        yield f"needs a figure or one of the words {', '.join(NOTHING)}, and not both"
        return
    if one.value is None:
        yield from _of_nothing(one)
        return
    if one.limit is not None:
        yield f'gives a limit beside a figure; a limit belongs to "{BELOW_DETECTION}"'
    if isinstance(one.value, bool) or not isinstance(one.value, float) or not math.isfinite(one.value):
        yield f"{clip(str(one.value))} is no figure"
        return
    if (kind := kinds.get((one.record, one.field))) is None:
        return
    unit = kind.said_unit
    if not kind.hard.holds(one.value):
        yield f"{one.value:g}{unit} cannot be; allowed: {kind.hard}{unit}"
    elif kind.whole and one.value != int(one.value):
        yield f"{one.value:g} is no whole number"
    elif one.kept or kind.usual(one.value):
        return
    elif kind.looks_like_share(one.value):
        what = f"{one.value:g} % looks like a share; {100 * one.value:g} % would be usual"
        yield f"{what}; mend it, or say why it is kept"
    else:
        yield f"{one.value:g}{unit} lies outside the usual {kind.soft}{unit}; mend it, or say why it is kept"


def _of_nothing(one: Reading) -> Iterator[str]:
    if one.nothing not in NOTHING:
        yield f'"{clip(one.nothing)}" is no word for nothing; allowed: {", ".join(NOTHING)}'
    elif one.nothing == BELOW_DETECTION:
        limit = one.limit
        if not isinstance(limit, float) or not math.isfinite(limit) or limit < 0:
            yield f'"{BELOW_DETECTION}" needs the least that the method can find, as its limit'
    elif one.limit is not None:
        yield f'gives a limit; a limit belongs to "{BELOW_DETECTION}"'


def _of_words(one: Reading) -> Iterator[str]:
    for name in ("plot", "person"):
        if not getattr(one, name):
            yield f"says no {name}; every reading needs it"
    texts = _TEXTS_OF(one)
    together = "".join(texts)
    if len(together) > _SHORTEST or not together.isprintable():  # else none of them can be wrong
        for (name, longest), said in zip(_LONGEST.items(), texts, strict=True):
            if len(said) > longest or not said.isprintable():
                yield f"{name} is too long or cannot be printed; allowed: up to {longest} characters"
    if isinstance(one.sample, bool) or not isinstance(one.sample, int) or not 1 <= one.sample <= _MOST_SAMPLE:
        yield f"sample is {clip(str(one.sample))}; allowed: 1 to {_MOST_SAMPLE}, whole"
    if one.source_line is not None and not 1 <= one.source_line <= _MOST_LINE:
        yield f"line is {one.source_line}; allowed: 1 to {_MOST_LINE}"
    for name in ("taken_at", "made_at"):
        try:
            utc_of(getattr(one, name))
        except ValueError:
            what = f'{name} is "{clip(getattr(one, name))}"'
            yield f"{what}; allowed: a day, 2026-05-04, or a time with its offset, 2026-05-04T09:30+02:00"


def _of_chain(one: Reading) -> Iterator[str]:
    if not _ID.fullmatch(one.id):
        yield f'its id "{clip(one.id)}" is none; ids are made by the program'
    if one.corrects and not one.reason:
        yield "corrects another reading without a reason; say why"
    if one.reason and not one.corrects:
        yield "gives a reason for a correction, but not which reading it corrects"
    if one.corrects == one.id:
        yield "corrects itself"


def _written_id(number: int) -> str:
    text = f"{number:032x}"
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"


def _tidy(text: str) -> str:
    return unicodedata.normalize("NFC", text.strip())


def _written(when: str | dt.datetime | dt.date) -> str:
    if isinstance(when, dt.datetime | dt.date):
        return when.isoformat()
    text = when.strip()
    if _DAY.fullmatch(text):
        return text
    try:
        return dt.datetime.fromisoformat(text).isoformat()
    except ValueError:
        return text
