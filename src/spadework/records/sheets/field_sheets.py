"""The sheets of a comparison: every kind of reading, with a line for each plot, layer, pass or load of its plan and layout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from spadework.plan import Fault, PlanFaults, Read
from spadework.records.kinds import Kind, columns_of, reading_kinds
from spadework.records.sheets.marks import Mark, layout_mark, mark_text
from spadework.records.tables.sheet import Sheet, SheetLine
from spadework.records.tables.workbooks import MOST_LINES
from spadework.reference import Row, load
from spadework.statistics.designs.randomise import Laid, lay

__all__ = ["SHEETS", "field_sheet", "laid_out", "places_in_plots", "sheet_keys"]

SHEETS: Final = "sheets"
"""Table of the sheets."""
_FIRST_LETTER: Final = {"load": "L", "set-up": "U", "day": "D", "field": "F"}
_MOST_MARKED: Final = 99


@dataclass(frozen=True, slots=True)
class _Taken:
    """One thing that readings are taken of: its name, its place in a mark, what is printed under it, places in it."""

    name: str
    short: str
    under: str
    places: tuple[str, ...]


def sheet_keys() -> tuple[str, ...]:
    """Return the keys of all sheets, in order.

    Examples
    --------
    >>> sheet_keys()[:3]
    ('plot_size', 'soil_layers', 'soil_places')
    """
    return tuple(load(SHEETS))


def laid_out(read: Read) -> Laid:
    """Return the layout that a plan asks for, drawn from the seed in it.

    Raises
    ------
    PlanFaults
        If the plan says nothing of the layout, or names no seed: what is printed today must be true tomorrow.
    """
    from spadework.plan.agreement.design import asked_of

    asked, said = asked_of(read.plan), read.plan.design
    if asked is None or said is None:
        what = 'says nothing of the layout; write [design] with kind = "complete blocks", blocks = 4 and a seed'
        raise PlanFaults([Fault("design", what)], read.name)
    if said.seed is None and not asked.restrictions.order:
        what = "is needed, so that every print shows the same layout; `spadework blocks` draws one and names it"
        raise PlanFaults([read.fault(what, "design", "seed")], read.name)
    return lay(asked, said.seed or 0)


def field_sheet(key: str, read: Read, laid: Laid, *, samples: int | None = None) -> Sheet:
    """Return one sheet of a comparison.

    Parameters
    ----------
    key : str
        One of :func:`sheet_keys`.
    read : Read
        The plan.
    laid : Laid
        Its layout, from :func:`laid_out`.
    samples : int, optional
        Readings in each place; what the trade takes if left out.

    Raises
    ------
    PlanFaults
        If it would have more lines than a table may have, or the plan has nothing that it could be taken of.
    """
    row = load(SHEETS)[key]
    record, per = row.text("record"), row.text("per")
    kinds = [kind for kind in reading_kinds().values() if (kind.record, kind.per) == (record, per)]
    own = {kind.field for kind in kinds}
    others = {kind.field for kind in reading_kinds().values() if kind.record == record} - own
    columns = tuple(column for column in columns_of(record) if column.name not in others)
    lines = tuple(_lines(row, kinds, read, laid, samples))
    if not lines:
        what = f'cannot be prepared for "{key}": no system of this plan places a band of slurry under rows'
        raise PlanFaults([Fault("sheet", what)], read.name)
    if len(lines) > MOST_LINES - 2:
        what = f'"{key}" would have {len(lines)} lines; a table may have {MOST_LINES}. Take fewer with --samples'
        raise PlanFaults([Fault("sheet", what)], read.name)
    how = (
        ("When", row.text("when")),
        ("How", row.text("how")),
        ("One line", "for each reading. A cell with a pattern need not be filled in; further lines may be added."),
        (
            "No figure",
            "missing where it was taken and lost, not measured, or unreadable; <0.5 where it lies below the least that can be "
            "found, here 0.5. An empty cell was not measured. Nothing found is 0.",
        ),
        ("Unusual", "What is usual stands beside each column. Keep what you read, and write kept: and why into note."),
        ("Time and person", "in every line of the file, the time as 2026-05-04 09:30."),
    )
    return Sheet(key, row.label, record, columns, lines, how, row.text("care"))


def places_in_plots(read: Read) -> dict[tuple[str, str], dict[str, tuple[str, ...]]]:
    """Return where in a plot the sheets ask for readings: by record and what they are taken in, then by system.

    Under an empty system stands what holds for every system.  What is taken of loads, set-ups, days or the field is left out.

    Raises
    ------
    PlanFaults
        If the passes of the plan do not fit its machines.
    """
    return {
        (row.text("record"), row.text("per")): {
            system: tuple(place for place in places if place) for system, places in _places(row, read).items()
        }
        for row in load(SHEETS).values()
        if row.text("taken_of") == "plots"
    }


def _lines(row: Row, kinds: list[Kind], read: Read, laid: Laid, samples: int | None) -> Iterator[SheetLine]:
    layout = layout_mark(laid)
    largest = max(kind.count for kind in kinds)
    most = samples or largest
    labels = int(row.text("labels") or 0)
    for taken in _taken_of(row, read, laid):
        whole = mark_text(Mark(layout, taken.short, row.key))
        number = 0
        for place in taken.places:
            for sample in range(1, most + 1):
                number += 1
                given: dict[str, str | int] = {"plot": taken.name, **({"place": place} if place else {})}
                if most > 1:
                    given["sample"] = sample
                marked = sample <= labels and number <= _MOST_MARKED
                own = mark_text(Mark(layout, taken.short, row.key, number)) if marked else ""
                idle = frozenset(kind.field for kind in kinds if kind.count < min(sample, largest))
                yield SheetLine(given, idle, whole, own, taken.under)


def _taken_of(row: Row, read: Read, laid: Laid) -> Iterator[_Taken]:
    of = row.text("taken_of")
    if of != "plots":
        for number in range(1, int(row.text("lines")) + 1):
            yield _Taken(f"{of} {number}", f"{_FIRST_LETTER[of]}{number:02d}", "", ("",))
        return
    places = _places(row, read)
    for plot in laid.rows:
        there = places.get(plot.labels[0], places.get("", ()))
        if there:
            yield _Taken(str(plot.number), str(plot.number), f"block {plot.block}", there)


def _places(row: Row, read: Read) -> dict[str, tuple[str, ...]]:
    """Return the places in a plot by system; under an empty name those of every system."""
    text = row.text("places")
    if text == "passes":
        return {
            system.name: tuple(f"pass {number}" for number in range(1, len(system.passes) + 1))
            for system in read.plan.systems
        }
    if text == "units":
        return {name: tuple(f"unit {unit}" for unit in range(1, rows + 1)) for name, rows in _rows(read).items()}
    return {"": tuple(text.split("|")) if text else ("",)}


def _rows(read: Read) -> dict[str, int]:
    """Return the row units of the machine that places bands, by system that has one."""
    from spadework.estimate.chain import Chain

    chain = Chain(read)
    found = {}
    for number, system in enumerate(read.plan.systems):
        step = chain.placing_step(number)
        placer = None if step is None else chain.steps[step].placer
        if placer is not None and placer.rows is not None:
            found[system.name] = placer.rows
    return found
