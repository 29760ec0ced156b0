"""Commands under ``spadework records`` that copy, hand on and look over: merge, backup, restore, export, import and more."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from spadework.app.records_open import PlanArgument, StoreOption, called, opened, plots_of, seen_plan, stop

if TYPE_CHECKING:
    from spadework.estimate import Estimate
    from spadework.findings.measured import Measured

__all__ = ["found_beside", "put_under"]


def put_under(group: typer.Typer) -> None:
    """Put the commands of this module under a group."""
    group.command(short_help="Add all readings of a helper's store.")(merge)
    group.command(short_help="Copy the store and its photos, with checksums.")(backup)
    group.command(short_help="Make a store anew from a backup.")(restore)
    group.command(short_help="Write the readings as an open data package.")(export)
    group.command("import", short_help="Make a new store of a data package.")(import_)
    group.command(short_help="Say whether the store and its photos are whole.")(check)
    group.command(short_help="Hold what was measured against plan and estimate.")(beside)


def merge(
    plan: PlanArgument,
    other: Annotated[
        Path, typer.Argument(help="Store of a helper, of the same comparison; or a backup of it.", show_default=False)
    ],
    store: StoreOption = None,
) -> None:
    """Add all readings and photos of a helper's store; what is there already stays. Doing it twice changes nothing."""
    import os
    import tempfile

    from spadework.records.store.copies import restore, take_in
    from spadework.records.store.opening import open_store

    with tempfile.TemporaryDirectory() as aside, opened(plan, store) as kept:
        if kept.file is not None and other.exists() and os.path.samefile(other, kept.file):
            raise stop(other.name, "is the store itself; name that of the helper")
        question = kept.comparison.question
        beside = Path(aside) / "readings.db"
        with restore(other, beside, question) if other.is_dir() else open_store(other, question) as theirs:
            added = take_in(kept, theirs)
        twice = kept.corrected_twice()
    typer.echo(f"added {added.new} rows; {added.known} were there already")
    for chain in twice:
        typer.echo(f"- corrected side by side, the last one counts: plot {chain.current.plot}, {chain.current.field}, "
                   f"{chain.current.said}")  # fmt: skip
    typer.echo(f"What stands there twice or does not go together: {called('complete', plan, store=store)}")


def backup(
    plan: PlanArgument,
    folder: Annotated[Path, typer.Argument(help="Folder that is not there yet, on another drive.", show_default=False)],
    store: StoreOption = None,
) -> None:
    """Copy the store and its photos into a new folder, with checksums; others may go on writing."""
    from spadework.records.store import copies as store_copies

    with opened(plan, store) as kept:
        typer.echo(f"wrote {store_copies.backup(kept, folder)}")
    typer.echo(f"Try once whether it comes back: {called('restore', folder, 'NEW-FILE')}")


def restore(
    folder: Annotated[Path, typer.Argument(help="The backup.", show_default=False)],
    store: Annotated[
        str, typer.Argument(help="File that is not there yet, or the address of a database.", show_default=False)
    ],
    photos: Annotated[
        Path | None,
        typer.Option(
            "--photos", help="Folder for photos; beside the file if left out. For a database: beside the plan."
        ),
    ] = None,
) -> None:
    """Make a store anew from a backup, after every checksum was held against its file; nothing is written over."""
    from spadework.records.store import copies as store_copies

    place = store if "://" in store else Path(store)
    with store_copies.restore(folder, place, photos=photos) as made:
        typer.echo(f"wrote {made.name}: {made.count()} rows")
    typer.echo(f"Look it over: {called('check', 'PLAN', store=store)}")


def export(
    plan: PlanArgument,
    folder: Annotated[Path, typer.Argument(help="Folder that is not there yet.", show_default=False)],
    layout: Annotated[
        list[Path] | None,
        typer.Option("--layout", help="File of the layout to put in, e.g. GeoPackage; may be repeated."),
    ] = None,
    licence: Annotated[str, typer.Option("--licence", help="Licence that the owner of the data gives.")] = "",
    store: StoreOption = None,
) -> None:
    """Write the readings as an open data package: CSV tables, their description, a README, photos, checksums."""
    from spadework.exchange.package import write_package

    more: dict[str, bytes] = {}
    for file in layout or []:
        if file.name in more or file.name.startswith(".") or not file.name.isprintable():
            raise stop(str(file), "is hidden, or has the name of another one; give it a name of its own", "--layout")
        try:
            more[file.name] = file.read_bytes()
        except OSError as error:
            raise stop(str(file), f"cannot be read ({error.strerror})", "--layout") from None
    plots = [(plot, *where) for plot, where in plots_of(plan).items()]
    with opened(plan, store) as kept:
        made = write_package(kept, folder, plots=plots, more=more, licence=licence)
    typer.echo(f"wrote {made}")
    typer.echo("The column person names people. Think of them before you publish the folder.")
    typer.echo(f"Whoever gets it reads it back: {called('import', folder, 'NEW-FILE')}")


def import_(
    package: Annotated[Path, typer.Argument(help="Folder of the data package.", show_default=False)],
    store: Annotated[Path, typer.Argument(help="File of the new store, not there yet.", show_default=False)],
) -> None:
    """Make a new store of a data package, after every checksum and every row was looked at."""
    from spadework.exchange.package_read import read_package

    with read_package(package, store) as made:
        typer.echo(f"wrote {store}: {made.count()} rows")
    typer.echo(f"Look it over: {called('check', 'PLAN', store=str(store))}")


def check(plan: PlanArgument, store: StoreOption = None) -> None:
    """Hold every reading and photo against its checksum, and every correction against what it corrects."""
    from spadework.plan import Fault, PlanFaults
    from spadework.records.store.copies import look_over

    with opened(plan, store) as kept:
        wrong, count = look_over(kept), kept.count()
    if wrong:
        raise PlanFaults([Fault("", said) for said in wrong], kept.name)
    typer.echo(f"{kept.name}: {count} rows, all as they were added")


def beside(
    plan: PlanArgument,
    reasons: Annotated[
        Path | None, typer.Option("--reasons", help="Table with columns quantity, system, reason: why a figure is off.")
    ] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write the page.")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write the print.")] = None,
    json: Annotated[Path | None, typer.Option("--json", help="Write all figures to this file.")] = None,
    draws: Annotated[
        int, typer.Option("--draws", help="How many draws of the uncertain inputs.", min=1, max=1_000_000)
    ] = 2_000,
    seed: Annotated[int, typer.Option("--seed", help="Same plan, draws and seed give the same numbers.", min=0)] = 1,
    store: StoreOption = None,
) -> None:
    """Hold what was measured against plan and estimate: same unit, by system, how far off, and room for the reason."""
    from spadework.estimate import estimate
    from spadework.present.document.written import write_pages
    from spadework.present.files import write_text
    from spadework.present.report.measured import measured_json, measured_report, measured_text

    made = estimate(seen_plan(plan), draws=draws, seed=seed)
    found = found_beside(plan, made, store, reasons)
    invented = made.plan.invented
    typer.echo(measured_text(found, invented=invented))
    for path in write_pages(measured_report(found, made), html, pdf):
        typer.echo(f"wrote {path}")
    if json is not None:
        typer.echo(f"wrote {write_text(json, measured_json(found, invented=invented))}")


def found_beside(plan: Path, made: Estimate, store: str | None, reasons: Path | None) -> Measured:
    """Return the readings of a store held against an estimate."""
    from spadework.findings.measured import measured_beside, read_reasons
    from spadework.records.sheets.field_sheets import laid_out

    said = read_reasons(reasons, made) if reasons is not None else {}
    plots = {plot: system for plot, (_, system) in plots_of(plan).items()}
    standing = laid_out(made.read).standing if plots else "looked"
    with opened(plan, store) as kept:
        return measured_beside(kept.current(), made, plots, standing=standing, reasons=said)
