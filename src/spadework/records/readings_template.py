"""Empty tables of readings to fill in, plot by plot as the layout has them."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any, Final

from spadework.records.readings import WORDS_MISSING
from spadework.statistics.randomise import Laid

__all__ = ["USUAL", "readings_csv", "readings_xlsx"]

USUAL: Final = ("dm_yield [t/ha]", "stand [plants/m2]", "residue_cover [%]", "fuel [L/ha]")
"""Quantities of an empty table where none are asked for."""
_PLACES: Final = ("block", "row", "column", "whole_plot", "strip_along", "strip_across")


def _columns(laid: Laid, quantities: Sequence[str]) -> tuple[list[str], list[list[str]]]:
    factors = [factor.name for factor in laid.asked.factors]
    # A place that has one label says nothing, except for the block, which a finding looks for.
    places = [p for p in _PLACES if p in laid.data and (p == "block" or len(set(laid.data[p].tolist())) > 1)]
    head = ["plot", *places, *factors, *quantities, "left_out", "note"]
    lines = []
    for place in range(len(laid.rows)):
        begun = [str(laid.data[name][place]) for name in ("plot", *places, *factors)]
        lines.append([*begun, *("" for _ in range(len(head) - len(begun)))])
    return head, lines


def readings_csv(laid: Laid, quantities: Sequence[str] = USUAL) -> str:
    """Return a table of readings to fill in, as CSV with semicolons.

    Parameters
    ----------
    laid : Laid
        From :func:`spadework.statistics.randomise.lay`.
    quantities : sequence of str
        Columns to fill in, each with its unit in brackets.

    Examples
    --------
    >>> from spadework.statistics.designs import Asked, Factor
    >>> from spadework.statistics.randomise import lay
    >>> laid = lay(Asked("complete blocks", (Factor("system", ("plough", "strip")),), 5), seed=1)
    >>> print(readings_csv(laid, ["dm_yield [t/ha]"]).splitlines()[0])
    plot;block;row;column;system;dm_yield [t/ha];left_out;note
    """
    head, lines = _columns(laid, quantities)
    return "\n".join(";".join(line) for line in [head, *lines]) + "\n"


def readings_xlsx(laid: Laid, quantities: Sequence[str] = USUAL) -> bytes:
    """Return the same table as an XLSX workbook, with a sheet that says how it is filled in."""
    import xlsxwriter

    out = io.BytesIO()
    plain = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(out, plain) as book:
        book.set_properties({"title": "Readings of plots"})
        _readings_sheet(book, *_columns(laid, quantities), len(quantities))
        _how_sheet(book)
    return out.getvalue()


def _readings_sheet(book: Any, head: list[str], lines: list[list[str]], wanted: int) -> None:
    sheet = book.add_worksheet("readings")
    bold = book.add_format({"bold": True, "bottom": 2, "bg_color": "#E6E1D8"})
    begun = book.add_format({"bg_color": "#F4F2EE", "border": 4})
    fill = book.add_format({"border": 4})
    first = len(head) - wanted - 2
    for place, name in enumerate(head):
        sheet.set_column(place, place, 30 if name in ("left_out", "note") else max(9, len(name) + 2))
        sheet.write_string(0, place, name, bold)
        for number, line in enumerate(lines, 1):
            if place < first:
                sheet.write_string(number, place, line[place], begun)
            else:
                sheet.write_blank(number, place, None, fill)
    sheet.freeze_panes(1, 1)
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)


def _how_sheet(book: Any) -> None:
    sheet = book.add_worksheet("how")
    wrap = book.add_format({"text_wrap": True, "valign": "top"})
    bold = book.add_format({"bold": True, "valign": "top"})
    sheet.set_column(0, 0, 18)
    sheet.set_column(1, 1, 70)
    said = (
        ("One line", "for each plot. Several readings of one plot: a line for each, numbered in a column sample."),
        ("A figure", "without its unit; the unit stands behind the name of the column, in brackets."),
        ("No figure", f"an empty cell, or one of the words {', '.join(WORDS_MISSING)}."),
        ("left_out", "the reason why a plot is not to count. The result with it is printed as well."),
        ("A further quantity", "a column more, such as gap [cm]."),
    )
    for line, (title, text) in enumerate(said):
        sheet.write_string(line, 0, title, bold)
        sheet.write_string(line, 1, text, wrap)
