"""Empty tables of readings to fill in, plot by plot as the layout has them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from spadework.records.files.readings import WORDS_MISSING
from spadework.records.tables.columns import Column
from spadework.records.tables.sheet import Sheet, SheetLine, csv_text, xlsx_book
from spadework.statistics.designs.randomise import Laid

__all__ = ["USUAL", "readings_csv", "readings_xlsx"]

USUAL: Final = ("dm_yield [t/ha]", "stand [plants/m2]", "residue_cover [%]", "fuel [L/ha]")
"""Quantities of an empty table where none are asked for."""
_PLACES: Final = ("block", "row", "column", "whole_plot", "strip_along", "strip_across")
_LONGEST_LABEL: Final = 60
_LONGEST_FIGURE: Final = 30
_LONGEST_NOTE: Final = 200
_HOW: Final = (
    ("One line", "for each plot. Several readings of one plot: a line for each, numbered in a column sample."),
    ("A figure", "without its unit; the unit stands behind the name of the column, in brackets."),
    ("No figure", f"an empty cell, or one of the words {', '.join(WORDS_MISSING)}."),
    ("left_out", "the reason why a plot is not to count. The result with it is printed as well."),
    ("A further quantity", "a column more, such as gap [cm]."),
)


def readings_csv(laid: Laid, quantities: Sequence[str] = USUAL) -> str:
    """Return a table of readings to fill in, as CSV with semicolons.

    Parameters
    ----------
    laid : Laid
        From :func:`spadework.statistics.designs.randomise.lay`.
    quantities : sequence of str
        Columns to fill in, each with its unit in brackets.

    Examples
    --------
    >>> from spadework.statistics.designs.layouts import Asked, Factor
    >>> from spadework.statistics.designs.randomise import lay
    >>> laid = lay(Asked("complete blocks", (Factor("system", ("plough", "strip")),), 5), seed=1)
    >>> print(readings_csv(laid, ["dm_yield [t/ha]"]).splitlines()[0])
    plot;block;row;column;system;dm_yield [t/ha];left_out;note
    """
    return csv_text(_sheet(laid, quantities))


def readings_xlsx(laid: Laid, quantities: Sequence[str] = USUAL) -> bytes:
    """Return the same table as an XLSX workbook, with a sheet that says how it is filled in."""
    return xlsx_book(_sheet(laid, quantities))


def _sheet(laid: Laid, quantities: Sequence[str]) -> Sheet:
    factors = [factor.name for factor in laid.asked.factors]
    # A place that has one label says nothing, except for the block, which a finding looks for.
    places = [p for p in _PLACES if p in laid.data and (p == "block" or len(set(laid.data[p].tolist())) > 1)]
    begun = ["plot", *places, *factors]
    columns = (
        *(Column(name, "as the layout has it", "text", longest=_LONGEST_LABEL) for name in begun),
        *(Column(name, "a figure, or why there is none", "number", longest=_LONGEST_FIGURE) for name in quantities),
        Column("left_out", "why the plot is not to count", "text", longest=_LONGEST_NOTE),
        Column("note", "anything else", "text", longest=_LONGEST_NOTE),
    )
    lines = tuple(
        SheetLine({name: str(laid.data[name][place]) for name in begun if str(laid.data[name][place])})
        for place in range(len(laid.rows))
    )
    return Sheet("readings", "Readings of plots", "readings", columns, lines, _HOW, units_under=False)
