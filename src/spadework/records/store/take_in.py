"""Filled sheets into the store: first a preview of what is new, known and different, then all of it or nothing.

Taking in the same sheet again changes nothing.  A figure that differs from the store goes in as a correction with a reason.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from spadework.plan import Fault, PlanFaults
from spadework.records.kinds import Kinds
from spadework.records.reading_row import Reading, faults_of, name_id, now
from spadework.records.sheets.sheet_readings import Sheet, Slot, content_id, read_sheet, slot_of
from spadework.records.store.chains import Chain, chains_of, newest
from spadework.records.store.combined import Given, Unlikely, reading_checks, unlikely
from spadework.records.store.faults import telling
from spadework.records.store.schema_sql import READING
from spadework.records.store.store import Added, Batch, Store, reading_of
from spadework.records.store.transactions import reading_from
from spadework.records.tables.reader import column_place

__all__ = ["Differing", "Preview", "held_against", "preview", "take_in", "unlikely_with"]

_SAID = ("value", "nothing", "limit", "person", "instrument", "note")
_WORDS = {"person": "person", "instrument": "instrument", "note": "note"}


@dataclass(frozen=True, slots=True)
class Differing:
    """A reading that the sheet gives otherwise than the store: what counts now, what the sheet says, and in what they differ."""

    old: Reading
    new: Reading
    what: str


@dataclass(frozen=True)
class Preview:
    """What taking in a sheet would do.

    Attributes
    ----------
    sheet : Sheet
        As it was read.
    new : tuple of Reading
        Not in the store yet.
    known : int
        In the store as they stand in the sheet.
    since_corrected : tuple of Differing
        In the store as they stand in the sheet, but corrected since; the correction stays.
    differing : tuple of Differing
        In the store, but otherwise; they go in as corrections and need a reason.
    asked : tuple of Fault
        Unusual figures among the new and the differing that need a reason to be kept.
    gone : tuple of Reading
        Taken in from a file of this name before and no longer in it; they stay in the store.
    cannot : tuple of Fault
        What follows from several readings and cannot be.
    """

    sheet: Sheet
    new: tuple[Reading, ...]
    known: int
    since_corrected: tuple[Differing, ...]
    differing: tuple[Differing, ...]
    asked: tuple[Fault, ...]
    gone: tuple[Reading, ...]
    cannot: tuple[Fault, ...] = ()

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Everything that stands in the way, questions included."""
        return (*self.sheet.faults, *self.cannot, *self.asked)


def preview(
    store: Store,
    path: Path,
    *,
    record: str = "",
    plots: Collection[str] = (),
    keep: Mapping[int, str] | None = None,
    sheet: str | None = None,
    given: Given | None = None,
) -> Preview:
    """Hold a filled sheet against the store; nothing is written.

    Parameters
    ----------
    store : Store
        Where it would go.
    path : Path
        CSV file or workbook.
    record : str
        What its readings belong to; found by the columns if left out.
    plots : collection of str
        Plots that there are; any if empty.
    keep : Mapping, optional
        By line, why its unusual figures are right.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.
    given : Mapping, optional
        Figures of the plan, from :func:`spadework.records.store.combined.given_by`.

    Returns
    -------
    Preview
        With all faults at once.

    Raises
    ------
    PlanFaults
        If the file cannot be read as a table, or its columns are wrong.
    """
    read = read_sheet(
        path,
        comparison=str(store.comparison.id),
        zone=str(store.comparison.zone),
        record=record,
        plots=plots,
        keep=keep,
        sheet=sheet,
        kinds=store.kinds,
    )
    return held_against(store, read, given)


def held_against(store: Store, read: Sheet, given: Given | None = None) -> Preview:
    """Hold a sheet that was read against the store; nothing is written."""
    chains = _chains(store, read)
    by_slot: dict[Slot, list[Chain]] = {}
    for chain in chains:
        for slot in {slot_of(one) for one in chain.readings}:
            by_slot.setdefault(slot, []).append(chain)
    new: list[Reading] = []
    since: list[Differing] = []
    differing: list[Differing] = []
    known = 0
    for one in read.readings:
        there = by_slot.get(slot_of(one), [])
        if not there:
            new.append(one)
        elif any(_same(one, chain.current) for chain in there):
            known += 1
        elif told := next((chain for chain in there if any(_same(one, row) for row in chain.readings)), None):
            since.append(Differing(told.current, one, _what(told.current, one)))
        else:
            last = newest([chain.current for chain in there])
            differing.append(Differing(last, one, _what(last, one)))
    fresh = [*new, *(one.new for one in differing)]
    odd = unlikely_with(store, fresh, {one.old.id for one in differing}, given)
    asked = [*_asked(fresh, store.kinds), *_asked_together(odd, fresh)]
    cannot = tuple(_placed(one, fresh, "") for one in odd if one.cannot)
    here = {slot_of(one) for one in read.readings}
    gone = [
        chain.current
        for chain in chains
        if all(one.source_file == read.file for one in chain.readings)
        and not any(slot_of(one) in here for one in chain.readings)
    ]
    return Preview(read, tuple(new), known, tuple(since), tuple(differing), tuple(asked), tuple(gone), cannot)


def unlikely_with(
    store: Store, fresh: Sequence[Reading], replaced: Collection[str] = (), given: Given | None = None
) -> tuple[Unlikely, ...]:
    """Return what would be unlikely if readings were added, and follows from at least one of them.

    Parameters
    ----------
    store : Store
        Where they would go.
    fresh : sequence of Reading
        Those to add.
    replaced : collection of str
        Ids of the readings that they stand in for.
    given : Mapping, optional
        Figures of the plan.
    """
    of = {(one.record, one.field) for one in fresh}
    checks = [check for check in reading_checks() if of & set(check.fields.values())]
    plots = {one.plot for one in fresh}
    fields = sorted({field for check in checks for field in check.fields.values()})
    there = [one for field in fields for one in store.current(*field, plot=plots) if one.id not in replaced]
    mine = {one.id: one for one in fresh}
    found = unlikely([*there, *fresh], given, checks)
    return tuple(
        one
        for one in found
        if (new := [mine[used.id] for used in one.readings if used.id in mine])
        and (one.cannot or not any(used.kept for used in new))
    )


def take_in(store: Store, found: Preview, *, person: str, why: str = "") -> Added:
    """Add what a preview found: all of it or, where anything is wrong, nothing.

    Parameters
    ----------
    store : Store
        The one that the preview was made with.
    found : Preview
        From :func:`preview`.
    person : str
        Who takes it in.
    why : str
        Reason of the corrections; needed where the sheet differs from the store.

    Returns
    -------
    Added
        How many rows are new, and how many readings were known.

    Raises
    ------
    PlanFaults
        If the sheet has faults, unusual figures have no reason, or corrections have none.
    """
    faults = list(found.faults)
    if found.differing and not why.strip():
        faults += [
            Fault(
                column_place(one.new.field),
                f"{one.what}; give the reason of the correction with --why",
                one.new.source_line,
            )
            for one in found.differing
        ]
    if not person.strip():
        faults.append(Fault("--person", "is empty; say who takes the sheet in"))
    if faults:
        raise PlanFaults(faults, found.sheet.file)
    comparison = str(store.comparison.id)
    corrections = []
    for one in found.differing:
        row = replace(one.new, corrects=one.old.id, reason=" ".join(why.split()), made_at=now())
        corrections.append(replace(row, id=content_id(row, comparison)))
    known = found.known + len(found.since_corrected)
    rows = [*found.new, *corrections]
    if not rows:
        return Added(0, known)
    read = found.sheet
    batch = Batch(
        name_id("batch", comparison, read.record, read.sha256), read.record, read.file, read.sha256, person.strip()
    )
    added = store.add(rows, batch=batch)
    return Added(added.new, known + added.known)


def _chains(store: Store, read: Sheet) -> tuple[Chain, ...]:
    """Return the chains of the store that the sheet may speak of: those of its plots, and those from a file of its name."""
    from sqlalchemy import func, or_, select

    plots = {one.plot for one in read.readings}
    mine = (READING.c.comparison == store.comparison.id, READING.c.record == read.record)
    first = func.coalesce(READING.c.root, READING.c.id)
    roots = select(first).where(*mine, or_(READING.c.plot.in_(plots), READING.c.source_file == read.file))
    asked = select(READING).where(*mine, or_(READING.c.id.in_(roots), READING.c.root.in_(roots)))
    with telling(store.name), reading_from(store.engine) as connection:
        return chains_of(reading_of(row) for row in connection.execute(asked))


def _same(a: Reading, b: Reading) -> bool:
    return all(getattr(a, name) == getattr(b, name) for name in _SAID)


def _what(old: Reading, new: Reading) -> str:
    """Return in what two readings differ, in words."""
    parts = []
    if old.said != new.said or (old.value, old.limit) != (new.value, new.limit):
        parts.append(f"{new.said} here, {old.said} in the store")
    for name, word in _WORDS.items():
        a, b = getattr(old, name), getattr(new, name)
        if a != b:
            parts.append(f'{word} "{b}" here, "{a}" in the store')
    return "; ".join(parts)


def _asked(readings: Iterable[Reading], kinds: Kinds) -> list[Fault]:
    return [
        Fault(
            column_place(one.field),
            fault.what + _how_to_keep(one),
            one.source_line,
        )
        for one in readings
        for fault in faults_of(one, kinds)
    ]


def _asked_together(odd: Iterable[Unlikely], fresh: Sequence[Reading]) -> list[Fault]:
    return [_placed(one, fresh, "; mend it, or say why it is kept") for one in odd if not one.cannot]


def _placed(odd: Unlikely, fresh: Sequence[Reading], ask: str) -> Fault:
    """Return a fault at the first line of a sheet that an unlikely figure follows from."""
    mine = {one.id for one in fresh}
    first = next(one for one in odd.readings if one.id in mine)
    what = f"{odd.said}{ask}{_how_to_keep(first) if ask else ''}"
    return Fault(column_place(first.field), what, first.source_line)


def _how_to_keep(one: Reading) -> str:
    return f' (--keep "{one.source_line}: why", or kept: why in the note)'
