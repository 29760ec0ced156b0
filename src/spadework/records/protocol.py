"""The protocol: plan, layout and seed as they were frozen, and every change since with who, when and why.

Each record carries the SHA-256 of what it holds and of the record before it, so that a change made by hand shows.  It shows
slips and quiet edits, not a forgery by somebody who computes all of it anew: for that, give the seal to somebody else.
"""

from __future__ import annotations

import datetime as dt
import difflib
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from spadework import __version__
from spadework.plan import Fault, PlanFaults, Read
from spadework.records.tables.columns import clip
from spadework.statistics.designs.randomise import Laid, lay

__all__ = ["PROTOCOL_FILE", "Verdict", "changed", "frozen", "protocol_text", "read_protocol", "verify"]

PROTOCOL_FILE: Final = "protocol.json"
_FORM: Final = 1
_LARGEST: Final = 50_000_000
Protocol = Mapping[str, Any]


@dataclass(frozen=True)
class Verdict:
    """What differs from a protocol.

    Attributes
    ----------
    broken : tuple of str
        Records whose seal does not fit what they hold.
    differs : tuple of str
        What of the plan and layout differs from the last record.
    changes : int
        Changes that were recorded since it was frozen.
    seal : str
        SHA-256 of the last record.
    """

    broken: tuple[str, ...]
    differs: tuple[str, ...]
    changes: int
    seal: str

    @property
    def holds(self) -> bool:
        """True where nothing is broken and nothing differs."""
        return not self.broken and not self.differs


def frozen(read: Read, *, when: dt.datetime, who: str) -> Protocol:
    """Return the protocol of a plan as it stands.

    Parameters
    ----------
    read : Read
        The plan.
    when : datetime
        The moment, with its time zone.
    who : str
        Who froze it.

    Raises
    ------
    PlanFaults
        If the plan has a layout but no seed: it could not be drawn again.
    """
    return {"form": _FORM, "records": [_record(read, when, who, "frozen", "", [])]}


def changed(protocol: Protocol, read: Read, *, when: dt.datetime, who: str, why: str) -> Protocol:
    """Return a protocol with a change more: the plan as it stands now, what differs, and why.

    Raises
    ------
    PlanFaults
        If the protocol is broken, nothing differs, no reason is given, or the moment lies before the last record.
    """
    verdict = verify(protocol, read)
    last = protocol["records"][-1]
    faults = [Fault("", f"{words}; a broken protocol is not carried on") for words in verdict.broken]
    if not verdict.broken and not verdict.differs:
        faults.append(Fault("", "the plan is as the protocol has it; there is nothing to record"))
    if not why.strip():
        faults.append(Fault("--why", "is empty; say why the plan was changed"))
    if when < dt.datetime.fromisoformat(last["when"]):
        faults.append(Fault("", f"the clock stands at {when.isoformat()}, before the last record ({last['when']})"))
    if faults:
        raise PlanFaults(faults, PROTOCOL_FILE)
    record = _record(read, when, who, " ".join(why.split()), last["seal"], list(verdict.differs))
    return {**protocol, "records": [*protocol["records"], record]}


def verify(protocol: Protocol, read: Read) -> Verdict:
    """Say whether a protocol is whole, and what of the plan differs from its last record."""
    broken, before = [], ""
    for number, record in enumerate(protocol["records"]):
        name = "the frozen plan" if not number else f"change {number}"
        if record["seal"] != _seal(record):
            broken.append(f"{name} was altered after it was written: its seal does not fit")
        elif record["after"] != before:
            broken.append(f"{name} does not follow on the record before it: one was taken out or put in")
        before = record["seal"]
    last = protocol["records"][-1]
    differs = _lines(last["plan_text"], read.text)
    now = _design(read)
    if now != last["design"]:
        differs += _plots(last["design"], now)
    return Verdict(tuple(broken), tuple(differs), len(protocol["records"]) - 1, last["seal"])


def protocol_text(protocol: Protocol) -> str:
    """Return a protocol as the text of its file."""
    return json.dumps(protocol, ensure_ascii=False, indent=1) + "\n"


def read_protocol(path: Path) -> Protocol:
    """Read a protocol.

    Raises
    ------
    PlanFaults
        If there is none, or the file is no protocol.
    """
    try:
        if path.stat().st_size > _LARGEST:
            raise _stop(path, f"has more than {_LARGEST // 1_000_000} MB; a protocol has less")
        found = json.loads(path.read_text("utf-8"))
        _hold(found)
    except FileNotFoundError:
        raise _stop(path, "is not there; `spadework freeze PLAN` writes it") from None
    except OSError as error:
        raise _stop(path, f"cannot be read ({error.strerror})") from None
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        if isinstance(error, PlanFaults):
            raise
        raise _stop(path, "is no protocol of this program, or was damaged; take it from a backup") from None
    return found  # type: ignore[no-any-return]


def _hold(found: Any) -> None:
    """Raise where a file does not have the shape of a protocol."""
    if found["form"] != _FORM or not found["records"]:
        raise ValueError("form")
    for record in found["records"]:
        for key in ("when", "who", "why", "plan_text", "plan_sha256", "program", "after", "seal"):
            if not isinstance(record[key], str):
                raise TypeError(key)
        if dt.datetime.fromisoformat(record["when"]).tzinfo is None or not isinstance(record["differs"], list):
            raise ValueError("when")
        if record["design"] is not None:
            _by_plot(record["design"])


def _record(read: Read, when: dt.datetime, who: str, why: str, after: str, differs: list[str]) -> dict[str, Any]:
    if when.tzinfo is None:
        raise ValueError("when needs a time zone")
    record = {
        "when": when.isoformat(timespec="seconds"),
        "who": " ".join(who.split()),
        "why": why,
        "differs": differs,
        "plan_text": read.text,
        "plan_sha256": hashlib.sha256(read.text.encode("utf-8")).hexdigest(),
        "design": _design(read),
        "program": f"spadework {__version__}",
        "after": after,
    }
    return {**record, "seal": _seal(record)}


def _seal(record: Mapping[str, Any]) -> str:
    """Return the SHA-256 of a record without its seal, written with its keys in order and no blanks."""
    held = {key: value for key, value in record.items() if key != "seal"}
    text = json.dumps(held, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _design(read: Read) -> dict[str, Any] | None:
    from spadework.plan.agreement.design import asked_of

    asked, said = asked_of(read.plan), read.plan.design
    if asked is None or said is None:
        return None
    if said.seed is None and not asked.restrictions.order:
        what = "is needed, or the layout could not be drawn again; `spadework blocks` draws one and names it"
        raise PlanFaults([read.fault(what, "design", "seed")], read.name)
    laid: Laid = lay(asked, said.seed or 0)
    names = [factor.name for factor in asked.factors]
    plots = [
        {"plot": plot.number, "block": plot.block, **dict(zip(names, plot.labels, strict=True))} for plot in laid.rows
    ]
    return {
        "kind": said.kind,
        "seed": laid.seed,
        "generator": laid.generator,
        "standing": laid.standing,
        "plots": plots,
    }


def _by_plot(design: Mapping[str, Any] | None) -> dict[int, str]:
    if design is None:
        return {}
    return {
        plot["plot"]: ", ".join(str(value) for key, value in plot.items() if key not in ("plot", "block"))
        for plot in design["plots"]
    }


def _plots(was: Mapping[str, Any] | None, now: Mapping[str, Any] | None) -> list[str]:
    before, after = _by_plot(was), _by_plot(now)
    said = [
        f"plot {plot}: was {before.get(plot, 'not there')}, is {after.get(plot, 'not there')}"
        for plot in sorted(before.keys() | after.keys())
        if before.get(plot) != after.get(plot)
    ]
    return said or ["the layout: kind, seed or standing differ, the plots are the same"]


def _lines(was: str, now: str) -> list[str]:
    old, new = was.splitlines(), now.splitlines()
    said = []
    for what, a, b, c, d in difflib.SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what == "equal":
            continue
        for place in range(max(b - a, d - c)):
            before = old[a + place] if a + place < b else None
            after = new[c + place] if c + place < d else None
            said.append(_line(a + place + 1, c + place + 1, before, after))
    if not said and was != now:
        said.append("ends of lines or the end of the file differ; the words are the same")
    return said


def _line(old: int, new: int, before: str | None, after: str | None) -> str:
    if before is None:
        return f"line {new} is new: {clip((after or '').strip()) or '(empty)'}"
    if after is None:
        return f"line {old} was taken out: {clip(before.strip()) or '(empty)'}"
    return f"line {new}: was {clip(before.strip()) or '(empty)'}, is {clip(after.strip()) or '(empty)'}"


def _stop(path: Path, what: str) -> PlanFaults:
    return PlanFaults([Fault("", what)], path.name)
