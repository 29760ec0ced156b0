"""The commands ``spadework records ...``: readings into the store, one by one or from sheets, and what the store holds."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from spadework.app import records_copies
from spadework.app.records_open import PlanArgument, PlotOption, StoreOption, called, opened, plots_of, seen_plan, stop

if TYPE_CHECKING:
    from collections.abc import Sequence

    from spadework.plan import Fault
    from spadework.records.kinds import Kinds
    from spadework.records.reading_row import Reading
    from spadework.records.store.store import Store

__all__ = ["records"]

records = typer.Typer(
    name="records",
    help="Keep the readings: take in sheets, correct, look up, copy, hand on.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)

PersonOption = Annotated[str, typer.Option("--person", help="Initials of who measured, corrected or takes in.")]
RecordArgument = Annotated[str, typer.Argument(help="What the reading belongs to, e.g. harvest.", show_default=False)]
FieldArgument = Annotated[str, typer.Argument(help="What was measured, e.g. dry_matter_pct.", show_default=False)]


@records.command(short_help="Make the store of a comparison, next to its plan.")
def start(
    plan: PlanArgument,
    zone: Annotated[str, typer.Option("--zone", help="Time zone of the field, e.g. Europe/Copenhagen.")],
    store: StoreOption = None,
) -> None:
    """Make an empty store for the readings of a plan; times without an offset will be those of the zone."""
    from spadework.app.records_open import store_path
    from spadework.records.store.opening import create_store

    seen = seen_plan(plan)
    place = store_path(plan, store)
    with create_store(place, seen.plan.question, zone, invented=seen.plan.invented):
        typer.echo(f"wrote {place}")
    typer.echo(f"Empty sheets to fill in: spadework sheets {plan} FOLDER")
    typer.echo(f"A filled sheet: {called('take-in', plan, 'SHEET', store=store)}")


@records.command(short_help="Add one reading by hand, or correct one.")
def add(
    plan: PlanArgument,
    record: RecordArgument,
    field: FieldArgument,
    value: Annotated[
        str, typer.Argument(help='A figure; missing, "not measured" or unreadable; or "< 0.5".', show_default=False)
    ],
    plot: PlotOption,
    time: Annotated[str, typer.Option("--time", help='When: 2026-05-04 or "2026-05-04 09:30".')],
    person: PersonOption,
    place: Annotated[str | None, typer.Option("--place", help="Where in the plot: row, layer, pass.")] = None,
    sample: Annotated[
        int | None, typer.Option("--sample", help="Number of the reading in this place; 1 if left out.", min=1)
    ] = None,
    instrument: Annotated[str | None, typer.Option("--instrument", help="With what.")] = None,
    note: Annotated[str | None, typer.Option("--note", help="Anything else.")] = None,
    keep: Annotated[str, typer.Option("--keep", help="Why an unusual figure is right.")] = "",
    corrects: Annotated[
        str, typer.Option("--corrects", help="Id of the reading that this one stands in for; history names it.")
    ] = "",
    why: Annotated[str, typer.Option("--why", help="Reason of the correction.")] = "",
    store: StoreOption = None,
) -> None:
    """Add one reading by hand; an unusual figure asks for --keep. With --corrects and --why it stands in for another.

    A correction is of the same place and sample, and by the same instrument, where none is given.
    """
    from dataclasses import replace

    from spadework.plan import Fault, PlanFaults
    from spadework.records.reading_row import new_reading
    from spadework.records.sheets.sheet_readings import figure_of, local_time
    from spadework.records.tables.columns import WrongCell

    with opened(plan, store) as kept:
        kind = kept.kinds.get((record, field))
        faults = []
        figure: float | str = "not measured"
        limit = None
        taken_at = time
        faults += _no_plot(plan, plot)
        try:
            taken_at = local_time(" ".join(time.split()), str(kept.comparison.zone))
        except WrongCell as wrong:
            faults.append(Fault("--time", str(wrong)))
        if unknown := _unknown(kept.kinds, record, field):
            faults.append(unknown)
        if kind is not None:
            try:
                figure, limit = figure_of(value.strip(), kind)
            except WrongCell as wrong:
                faults.append(Fault(f"{record} {field}", str(wrong)))
        if faults:
            raise PlanFaults(faults, "the reading")
        said = {"place": place, "sample": sample, "instrument": instrument, "note": note}
        same = kept.get(corrects) if corrects else None
        more = {name: getattr(same, name) if word is None and same else word for name, word in said.items()}
        one = new_reading(
            record, field, figure, plot=plot, taken_at=taken_at, person=person, kinds=kept.kinds, kept=keep, limit=limit,
            **{name: word for name, word in more.items() if word is not None},
        )  # fmt: skip
        if corrects or why:
            one = replace(one, corrects=corrects, reason=" ".join(why.split()))
        if odd := _unlikely_beside(kept, one, plan):
            raise PlanFaults(odd, "the reading")
        kept.add([one])
    typer.echo(f"added {one.said}, plot {one.plot}, {record} {field}, {one.taken_at}; id {one.id}")
    if not corrects:
        typer.echo(f"If it was wrong: {_to_correct(plan, one, store)}")


@records.command("take-in", short_help="Show what a filled sheet would add; --take adds it.")
def take_in(
    plan: PlanArgument,
    file: Annotated[Path, typer.Argument(help="Filled sheet, CSV or XLSX.", show_default=False)],
    record: Annotated[
        str, typer.Option("--record", help="What its readings belong to; found by the columns if left out.")
    ] = "",
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Sheet of the workbook; the first that is shown if left out.")
    ] = None,
    keep: Annotated[
        list[str] | None,
        typer.Option("--keep", help='Why unusual figures of a line are right, "7: why"; may be repeated.'),
    ] = None,
    take: Annotated[bool, typer.Option("--take", help="Take it in; without it nothing is written.")] = False,
    person: Annotated[str, typer.Option("--person", help="Initials of who takes it in; needed with --take.")] = "",
    why: Annotated[str, typer.Option("--why", help="Reason, where the sheet differs from the store.")] = "",
    store: StoreOption = None,
) -> None:
    """Show what a filled sheet would add: new, known, different, all faults at once. With --take, add it: all or nothing."""
    from spadework.plan import PlanFaults
    from spadework.present.sheets.take_in_words import preview_text
    from spadework.records.store import take_in as taking
    from spadework.records.store.combined import given_by

    reasons = _reasons(keep or [])
    given = given_by(seen_plan(plan).plan)
    with opened(plan, store) as kept:
        found = taking.preview(
            kept, file, record=record, plots=tuple(plots_of(plan)), keep=reasons, sheet=sheet, given=given
        )
        typer.echo(preview_text(found))
        if not take:
            if found.faults:
                raise PlanFaults(found.faults, found.sheet.file)
            why_too = ("--why", "REASON") if found.differing else ()
            words = (*_said_again(record, sheet, keep), "--take", "--person", "XX", *why_too)
            again = called("take-in", plan, file, *words, store=store)
            there = found.new or found.differing
            typer.echo(f"Nothing is written yet. To take it in: {again}" if there else "Nothing to take in.")
            return
        added = taking.take_in(kept, found, person=person, why=why)
        typer.echo(
            f"taken in: {added.new} new rows, {len(found.differing)} of them corrections; {added.known} were known"
        )
    typer.echo(f"What is still missing, and what does not go together: {called('complete', plan, store=store)}")
    typer.echo(f"Onto another drive, every evening: {called('backup', plan, 'FOLDER', store=store)}")


@records.command("read-back", short_help="Compare two files typed from the same paper sheet.")
def read_back(
    plan: PlanArgument,
    first: Annotated[Path, typer.Argument(help="The sheet as one person typed it.", show_default=False)],
    second: Annotated[Path, typer.Argument(help="The same sheet, typed by somebody else.", show_default=False)],
    record: Annotated[
        str, typer.Option("--record", help="What its readings belong to; found by the columns if left out.")
    ] = "",
    store: StoreOption = None,
) -> None:
    """Compare two files that were typed from the same paper sheet, cell by cell; ends with code 1 where they differ."""
    from spadework.plan import Fault, PlanFaults
    from spadework.present.sheets.take_in_words import read_back_text
    from spadework.records.sheets.read_back import read_back as compared
    from spadework.records.sheets.sheet_readings import read_sheet

    plots = tuple(plots_of(plan))
    with opened(plan, store) as kept:
        comparison, zone = str(kept.comparison.id), str(kept.comparison.zone)
        one = read_sheet(first, comparison=comparison, zone=zone, record=record, plots=plots, kinds=kept.kinds)
        other = read_sheet(second, comparison=comparison, zone=zone, record=one.record, plots=plots, kinds=kept.kinds)
    faults = [Fault(f"{each.file}, {f.key}", f.what, f.line) for each in (one, other) for f in each.faults]
    if faults:
        raise PlanFaults(faults, "the two files")
    apart = compared(one, other)
    typer.echo(read_back_text(one, other, apart))
    if apart:
        raise typer.Exit(1)
    typer.echo(f"Take in one of them: {called('take-in', plan, first, store=store)}")


@records.command(short_help="Print every value that a reading of a plot ever had.")
def history(
    plan: PlanArgument, record: RecordArgument, field: FieldArgument, plot: PlotOption, store: StoreOption = None
) -> None:
    """Print the readings of a plot and kind with all corrections, reasons and ids."""
    from spadework.plan import PlanFaults
    from spadework.present.sheets.take_in_words import history_text

    with opened(plan, store) as kept:
        if unknown := _unknown(kept.kinds, record, field):
            raise PlanFaults([unknown], "the command")
        chains = kept.history(plot, record, field)
        if not chains:
            raise stop(kept.name, f"holds no reading of {record} {field} for plot {plot[:60]}")
        lines = [[*chain.lines(), f"id of what counts: {chain.current.id}"] for chain in chains]
        typer.echo(history_text(lines, f"Plot {plot}, {record} {field}"))
        current = chains[0].current
    typer.echo(f"To correct {'it' if len(chains) == 1 else 'the first'}: {_to_correct(plan, current, store)}")


@records.command(short_help="Say which plots lack a reading, and what does not go together.")
def complete(
    plan: PlanArgument,
    record: Annotated[
        str, typer.Option("--record", help="Only what belongs to it; everything that was begun if left out.")
    ] = "",
    store: StoreOption = None,
) -> None:
    """Say of every reading how many plots have it, name those that lack it, and readings that do not go together."""
    from spadework.plan.faults import nearest
    from spadework.present.sheets.take_in_words import stock_text
    from spadework.records.kinds import records as known
    from spadework.records.store.stock import stock_of

    with opened(plan, store) as kept:
        names = known(kept.kinds)
        if record and record not in names:
            near = nearest(record, names) or f"; there are: {', '.join(names)}"
            raise stop("the command", f'"{record[:60]}" is no kind of record{near}', "--record")
        typer.echo(stock_text(stock_of(kept, seen_plan(plan), record)))


@records.command(short_help="Keep a photo beside the store, under its checksum.")
def photo(
    plan: PlanArgument,
    file: Annotated[Path, typer.Argument(help="JPEG, PNG, WebP or HEIC.", show_default=False)],
    plot: PlotOption,
    time: Annotated[str, typer.Option("--time", help='When: 2026-05-04 or "2026-05-04 09:30".')],
    person: PersonOption,
    note: Annotated[str, typer.Option("--note", help="What it shows.")] = "",
    reading: Annotated[str | None, typer.Option("--reading", help="Id of the reading that it belongs to.")] = None,
    store: StoreOption = None,
) -> None:
    """Copy a photo to the store; the file itself stays where it is."""
    from spadework.plan import PlanFaults
    from spadework.records.sheets.sheet_readings import local_time
    from spadework.records.store.photos import add_photo
    from spadework.records.tables.columns import WrongCell

    with opened(plan, store) as kept:
        try:
            taken_at = local_time(" ".join(time.split()), str(kept.comparison.zone))
        except WrongCell as wrong:
            raise stop("the photo", str(wrong), "--time") from None
        if strange := _no_plot(plan, plot):
            raise PlanFaults(strange, "the photo")
        ident = add_photo(kept, file, plot=plot, taken_at=taken_at, person=person, reading=reading, note=note)
    typer.echo(f"kept {os.path.basename(file)} for plot {plot}; id {ident}")


def _unlikely_beside(kept: Store, one: Reading, plan: Path) -> list[Fault]:
    """Return faults for what would follow from a reading and those of the store, and is unlikely."""
    from spadework.plan import Fault
    from spadework.records.store.combined import given_by
    from spadework.records.store.take_in import unlikely_with

    odd = unlikely_with(kept, [one], [one.corrects] if one.corrects else [], given_by(seen_plan(plan).plan))
    ask = "; mend it, or say why it is kept with --keep"
    return [Fault(f"{one.record} {one.field}", each.said + ("" if each.cannot else ask)) for each in odd]


def _to_correct(plan: Path, one: Reading, store: str | None) -> str:
    """Return the command that corrects a reading."""
    when = one.taken_at[:16].replace("T", " ")
    return called("add", plan, one.record, one.field, "FIGURE", "--plot", one.plot, "--time", when, "--person", "XX",
                  "--corrects", one.id, "--why", "REASON", store=store)  # fmt: skip


def _said_again(record: str, sheet: str | None, keep: Sequence[str] | None) -> list[str]:
    """Return the options of a preview that taking in needs as well."""
    out = ["--record", record] if record else []
    out += ["--sheet", sheet] if sheet is not None else []
    return [*out, *(word for reason in keep or () for word in ("--keep", reason))]


def _reasons(said: Sequence[str]) -> dict[int, str]:
    """Return reasons by line of ``7: why``."""
    from spadework.plan import Fault, PlanFaults

    out, faults = {}, []
    for text in said:
        number, mark, why = text.partition(":")
        if not mark or not number.strip().isdecimal() or not why.strip() or len(number) > 6:
            faults.append(Fault("--keep", f'"{text[:60]}" is no line and reason; write it as "7: wheel track"'))
        else:
            out[int(number)] = why.strip()
    if faults:
        raise PlanFaults(faults, "the command")
    return out


def _no_plot(plan: Path, plot: str) -> list[Fault]:
    """Return a fault where a plot is not of the layout."""
    from spadework.plan import Fault
    from spadework.plan.faults import nearest
    from spadework.records.sheets.sheet_readings import in_layout
    from spadework.records.tables.columns import clip

    known = plots_of(plan)
    if in_layout(plot.strip(), known):
        return []
    near = nearest(plot, known) or f"; there are: {', '.join(known)}"
    return [Fault("--plot", f'"{clip(plot)}" is no plot of the layout{near}')]


def _unknown(kinds: Kinds, record: str, field: str) -> Fault | None:
    from spadework.plan import Fault
    from spadework.plan.faults import nearest
    from spadework.records.tables.columns import clip

    if (record, field) in kinds:
        return None
    names = [f"{one} {other}" for one, other in kinds]
    near = nearest(f"{record} {field}", names) or "; there are: " + ", ".join(names)
    return Fault("", f'"{clip(f"{record} {field}")}" is no kind of reading{near}')


records_copies.put_under(records)
