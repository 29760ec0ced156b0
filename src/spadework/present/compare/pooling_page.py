"""What several fields say together as a page, as a print and as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence

from spadework import __version__
from spadework.present.charts.spec import to_svg
from spadework.present.compare.pooling_chart import pooling_chart
from spadework.present.compare.pooling_table import (
    chances_sentence,
    doubts,
    figure,
    mean_sentence,
    new_field_sentence,
    places_of,
    reckoned,
    standing_said,
)
from spadework.present.digs.data import _plain
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Report, Section
from spadework.records.files.pooling import FieldDifferences
from spadework.statistics.fields.pooling import Pooled

__all__ = ["pooling_json", "pooling_report"]


def pooling_report(
    read: FieldDifferences, found: Pooled, without: Sequence[Pooled], *, unit: str, limit: float | None = None
) -> Report:
    """Return the content of page and print.

    Parameters
    ----------
    read : FieldDifferences
        The fields.
    found : Pooled
        All of them together.
    without : sequence of Pooled
        Without each in turn; empty below three fields.
    unit : str
        Unit of all figures.
    limit : float, optional
        Difference that pays.
    """
    places, standing = places_of(found), standing_said(read)
    values = read.difference, read.standard_error
    spec = pooling_chart(read.fields, *values, found, unit, standing=standing, limit=limit)
    said = (
        mean_sentence(found, unit),
        new_field_sentence(found, places, unit),
        chances_sentence(found, limit, unit),
    )
    together: list[Block] = [
        Items(tuple(("", text) for text in said)),
        Drawing("fields", to_svg(spec), spec["description"]),
        _fields(read, found, without, places, unit),
    ]
    care = [Items(tuple(("", text) for text in doubts(found, without, places)))]
    how = [Items(tuple(("", text) for text in reckoned(found, places, unit)))]
    sections = (
        Section("together", "What do they show together?", together),
        Section("care", "What to keep in mind", care),
        Section("how", "How was it reckoned?", how),
    )
    facts = (
        f"differences of {read.file}",
        f"intervals hold {100 * found.confidence_share:g} %",
        f"spadework {__version__}",
    )
    place = f"{found.fields} fields: {', '.join(read.fields)}"
    return Report("What do several fields say together?", place, standing, False, facts, sections)


def _fields(read: FieldDifferences, found: Pooled, without: Sequence[Pooled], places: int, unit: str) -> Grid:
    rows = []
    for i, name in enumerate(read.fields):
        left = figure(without[i].difference, places) if without else "-"
        cells = (
            name,
            figure(float(read.difference[i]), places),
            f"{float(read.standard_error[i]):.{places}f}",
            f"{100 * float(found.weights[i]):.0f} %",
            left,
            read.standings[i] or "not said",
        )
        rows.append(tuple(Cell(text) for text in cells))
    head = ("field", "difference", "standard error", "weighs", "mean without it", "standing")
    return Grid(f"Field by field, {unit}", head, tuple(rows))


def pooling_json(
    read: FieldDifferences, found: Pooled, without: Sequence[Pooled], *, unit: str, limit: float | None = None
) -> str:
    """Return every figure as JSON text; shares are fractions, what is not known is ``null``.  See :func:`pooling_report`."""
    about = {
        "spadework": __version__,
        "standing": standing_said(read),
        "unit": unit,
        "pays_from": limit,
        "fields": _plain(read),
        "together": _plain(found),
        "without_each": _plain(list(without)),
    }
    return json.dumps(about, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
