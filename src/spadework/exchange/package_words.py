"""The README of a data package: what is in it, in words, for somebody who has nothing but the folder."""

from __future__ import annotations

import html
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from spadework.records.kinds import NOTHING
from spadework.records.tables.plain_cells import GUARD

if TYPE_CHECKING:
    from spadework.records.store.store import Store

__all__ = ["readme"]


def readme(store: Store, resources: Sequence[Mapping[str, Any]], photos: int, *, licence: str = "") -> str:
    """Return the text of the README.

    Parameters
    ----------
    store : Store
        What the package holds.
    resources : sequence of Mapping
        Its files, as the description names them.
    photos : int
        How many photos lie in it.
    licence : str
        Licence that the owner gives; empty for none.
    """
    about = store.comparison
    made = ["**INVENTED readings, to show or to practise. Nobody measured them.**", ""] if about.invented else []
    terms = (
        f"Licence, as the owner of the data says: {html.escape(licence)}."
        if licence
        else "No licence is given. Ask the owner of the data before you use them for anything else."
    )
    lines = [
        "# Readings of a field comparison",
        "",
        f"> {html.escape(about.question, quote=False)}",
        "",
        *made,
        "These are readings as they were taken, with every correction. Nothing here is analysed: what the systems did",
        "differently, and how surely, is for an analysis to say that knows the layout.",
        "",
        "| file | what | rows |",
        "|---|---|---|",
        *(f"| {one['path']} | {one['title']} | {one.get('rows', '')} |" for one in resources),
        *([f"| photos/ | {photos} photo{'' if photos == 1 else 's'}, each under its SHA-256 | |"] if photos else []),
        "",
        "- `datapackage.json` describes every column: type, meaning, unit, range (Data Package and Table Schema 2.0;",
        "  `unit` and `unitColumn` are properties of our own). `data/kinds.csv` has unit and range of every kind of reading.",
        "- Tables under `data/` are what the store keeps, and can be read back. Tables under `now/` are made from them for",
        "  reading: what counts now, a column for each kind.",
        f"- Where there is no figure, `why_none` says why: {', '.join(NOTHING)}. They are four different things, and none of",
        "  them is nil.",
        "- A correction is a row of its own: `corrects` names the row that it stands in for, `reason` says why. The old row",
        "  stays. What counts is the last of a chain.",
        "- An unusual figure that is right has its reason in `kept`.",
        f"- Times have their offset; local times are those of {about.zone}. Decimal sign: point.",
        f"- A text that a spreadsheet would take for a formula has a {GUARD} in front; take it off when you read it.",
        "- `sha256sum -c SHA256SUMS` tells whether every file is as it was written.",
        "",
        "Names of people are in the column `person`. Think of them before you publish the folder.",
        "",
        terms,
        "",
    ]
    return "\n".join(lines)
