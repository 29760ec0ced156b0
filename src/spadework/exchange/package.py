"""A store of readings as an open data package: a folder of CSV tables, described in JSON, with checksums.

The package follows Data Package and Table Schema 2.0.  The same store gives the same bytes.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
import uuid
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from sqlalchemy import select

from spadework import __version__
from spadework.exchange.package_fields import (
    WIDE,
    kind_fields,
    kind_row,
    table_fields,
    table_schema,
    type_of,
    wide_fields,
    wide_schema,
)
from spadework.exchange.package_words import readme
from spadework.plan import Fault, PlanFaults
from spadework.records.kinds import records
from spadework.records.reading_row import Reading, utc_of
from spadework.records.store.disk import to_disk, tree_to_disk
from spadework.records.store.faults import store_fault, telling
from spadework.records.store.opening import NEWEST
from spadework.records.store.photos import checksum, keep_file, photos_of
from spadework.records.store.schema_sql import COMPARISON, KEPT, READING
from spadework.records.store.store import Store
from spadework.records.store.transactions import reading_from
from spadework.records.tables.columns import clip
from spadework.records.tables.plain_cells import GUARD, guarded

__all__ = ["DESCRIPTION", "SUMS", "cell_text", "write_package"]

DESCRIPTION: Final = "datapackage.json"
SUMS: Final = "SHA256SUMS"
"""Checksums of all other files, as ``sha256sum -c`` reads them."""
_README: Final = "README.md"
_CHUNK: Final = 2_000
_CSV: Final = {"delimiter": ",", "lineTerminator": "\r\n", "header": True}


def write_package(
    store: Store,
    folder: Path,
    *,
    plots: Sequence[tuple[str, str, str]] = (),
    more: Mapping[str, bytes] | None = None,
    licence: str = "",
) -> Path:
    """Write a store as a data package.

    Parameters
    ----------
    store : Store
        What to write; others may go on adding to it.
    folder : Path
        Folder that is not there yet.
    plots : sequence of (str, str, str)
        Plot, block and system of every plot, from the layout.
    more : Mapping, optional
        Further files by name, such as the layout as GeoPackage; they come under ``layout``.
    licence : str
        Name of the licence that the owner of the data gives, such as ``CC-BY-4.0``; none if empty.

    Returns
    -------
    Path
        The folder: a table for everything that the store keeps, a table of what counts now for every record, the kinds of
        readings, photos, a description, a README and checksums.

    Raises
    ------
    PlanFaults
        If the folder is there already, a photo is gone, or it cannot be written whole; then there is none.
    """
    _free(folder)
    part = folder.with_name(f".{folder.name}.part-{uuid.uuid4().hex[:8]}")
    with telling(clip(folder.name)):
        folder.parent.mkdir(parents=True, exist_ok=True)
        try:
            part.mkdir()
            resources = [*_tables(store, part), _kinds(store, part), *_plots(part, plots), *_wide(store, part)]
            photos = _photos(store, part)
            resources += [_file(part, name, "layout") for name in _more(part, more or {})]
            about = {
                "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
                "name": f"readings-{store.comparison.id}",
                "id": store.comparison.id,
                "title": store.comparison.question,
                "description": _description(store, photos),
                **({"licenses": [{"name": licence}]} if licence else {}),
                "resources": resources,
                "spadework": {"version": __version__, "tables": NEWEST, "invented": bool(store.comparison.invented)},
                "guard": f"a text cell that a spreadsheet would take for a formula has {GUARD} in front",
            }
            _write(part / DESCRIPTION, json.dumps(about, indent=1, ensure_ascii=False) + "\n")
            _write(part / _README, readme(store, resources, photos, licence=licence))
            _sums(part)
            tree_to_disk(part)
            _free(folder)
            os.rename(part, folder)
            to_disk(folder.parent)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    return folder


def cell_text(value: Any) -> str:
    """Return a value as a cell: figures so that they are read back as they were, text harmless to spreadsheets.

    Examples
    --------
    >>> cell_text(0.1), cell_text(None), cell_text(True), cell_text("=1+1")
    ('0.1', '', 'true', "'=1+1")
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return guarded(value) if isinstance(value, str) else repr(value)


def _tables(store: Store, part: Path) -> list[dict[str, Any]]:
    out = []
    with reading_from(store.engine) as connection:  # all of them as of one moment
        for table in KEPT:
            own = table.c.id if table is COMPARISON else table.c.comparison
            asked = select(table).where(own == store.comparison.id).order_by(table.c.id)
            found = connection.execute(asked.execution_options(yield_per=_CHUNK))
            flags = [place for place, column in enumerate(table.columns) if type_of(table, column.name) == "boolean"]
            rows = (_typed(row, flags) for row in found)
            count = _write_csv(part / f"data/{table.name}.csv", table_fields(table), rows)
            title = f"{table.name.replace('_', ' ')}, as the store keeps it"
            out.append(_described(part, f"data/{table.name}.csv", title, table_schema(table), count))
    return out


def _typed(row: Any, flags: Sequence[int]) -> Sequence[Any]:
    """Return the cells of a row; some databases keep true and false as numbers."""
    cells = list(row)
    for place in flags:
        cells[place] = bool(cells[place])
    return cells


def _kinds(store: Store, part: Path) -> dict[str, Any]:
    fields = kind_fields()
    count = _write_csv(part / "data/kinds.csv", fields, (kind_row(kind) for kind in store.kinds.values()))
    schema = {"fields": fields, "missingValues": [""], "primaryKey": ["record", "field"]}
    return _described(part, "data/kinds.csv", "kinds of readings: unit, range, how many", schema, count)


def _plots(part: Path, plots: Sequence[tuple[str, str, str]]) -> list[dict[str, Any]]:
    if not plots:
        return []
    fields = [{"name": name, "type": "string", "title": name} for name in ("plot", "block", "system")]
    count = _write_csv(part / "data/plots.csv", fields, plots)
    schema = {"fields": fields, "missingValues": [""], "primaryKey": ["plot"]}
    return [_described(part, "data/plots.csv", "plots: block and system", schema, count)]


def _wide(store: Store, part: Path) -> list[dict[str, Any]]:
    out = []
    for record, plots in _begun(store).items():
        name = f"now/{record}.csv"
        fields = wide_fields(record, store.kinds)
        names = [field["name"] for field in fields]
        lines = (line for plot in plots for line in _lines(store.current(record, plot=plot), names))
        count = _write_csv(part / name, fields, lines)
        title = f"{record}: what counts now, a column for each kind of reading; made from reading"
        out.append(_described(part, name, title, wide_schema(record, store.kinds), count))
    return out


def _begun(store: Store) -> dict[str, list[str]]:
    """Return the plots of every record of which something is there, in order; plot by plot a large store fits anywhere."""
    mine = READING.c.comparison == store.comparison.id
    asked = select(READING.c.record, READING.c.plot).where(mine).distinct()
    with reading_from(store.engine) as connection:
        pairs = {(row.record, row.plot) for row in connection.execute(asked)}
    found: dict[str, list[str]] = {}
    for record in records(store.kinds):
        if plots := sorted(plot for one, plot in pairs if one == record):
            found[record] = plots
    return found


def _lines(current: Iterable[Reading], names: Sequence[str]) -> list[list[Any]]:
    """Return readings of one place, time and person side by side; a second one of the same kind begins a line of its own."""
    lines: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    for one in current:
        here = (one.plot, one.place, one.sample, utc_of(one.taken_at), one.person, one.instrument)
        there = lines.setdefault(here, [])
        if all(one.field in line for line in there):
            said = (one.plot, one.place, one.sample, one.taken_at, one.person, one.instrument, "")
            there.append(dict(zip(WIDE, said, strict=True)))
        line = next(line for line in there if one.field not in line)
        line[one.field] = one.nothing if one.value is None else one.value
        if one.note and one.note not in line["note"].split("; "):
            line["note"] = f"{line['note']}; {one.note}" if line["note"] else one.note
    return [[line.get(name) for name in names] for here in sorted(lines) for line in lines[here]]


def _photos(store: Store, part: Path) -> int:
    kept = 0
    for row, file in photos_of(store):
        if not file.is_file():
            raise store_fault(
                store.name, f"photo {clip(row.name)} of plot {clip(row.plot)} is gone; nothing was written"
            )
        target = part / "photos" / file.parent.name / file.name
        kept += not target.exists()
        keep_file(file, target, row.sha256)
    return kept


def _more(part: Path, more: Mapping[str, bytes]) -> list[str]:
    for name, content in more.items():
        if name != Path(name).name or name.startswith("."):
            raise ValueError(f"{name} is no plain name of a file")
        (part / "layout").mkdir(exist_ok=True)
        (part / "layout" / name).write_bytes(content)
    return [f"layout/{name}" for name in sorted(more)]


def _description(store: Store, photos: int) -> str:
    made = "INVENTED readings, to show or to practise. " if store.comparison.invented else ""
    pictures = f" {photos} photo{'' if photos == 1 else 's'} under photos." if photos else ""
    return f"{made}Readings as they were taken, with every correction; nothing here is analysed.{pictures}"


def _described(part: Path, name: str, title: str, schema: Mapping[str, Any], count: int) -> dict[str, Any]:
    stem = name.removeprefix("data/").removesuffix(".csv").replace("/", "-").replace(" ", "-")
    return {
        "name": stem,
        "type": "table",
        "path": name,
        "title": title,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": _CSV,
        "rows": count,
        **_held(part / name),
        "schema": schema,
    }


def _file(part: Path, name: str, title: str) -> dict[str, Any]:
    plain = "".join(c if c.isalnum() else "-" for c in name.lower())
    return {"name": plain, "path": name, "title": title, **_held(part / name)}


def _held(file: Path) -> dict[str, Any]:
    return {"bytes": file.stat().st_size, "hash": f"sha256:{checksum(file)}"}


def _write_csv(path: Path, fields: Sequence[Mapping[str, Any]], rows: Iterable[Sequence[Any]]) -> int:
    path.parent.mkdir(parents=True, exist_ok=True)
    count = 0
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerow([field["name"] for field in fields])
        for row in rows:
            writer.writerow([cell_text(value) for value in row])
            count += 1
        out.flush()
        os.fsync(out.fileno())
    return count


def _write(path: Path, text: str) -> None:
    with path.open("w", encoding="utf-8", newline="") as out:
        out.write(text)
        out.flush()
        os.fsync(out.fileno())


def _sums(part: Path) -> None:
    files = sorted(file.relative_to(part).as_posix() for file in part.rglob("*") if file.is_file())
    _write(part / SUMS, "".join(f"{checksum(part / name)}  {name}\n" for name in files))


def _free(folder: Path) -> None:
    if os.path.lexists(folder):
        raise PlanFaults([Fault("", "is there already and is not written over; give another name")], clip(folder.name))
