"""What taking in a sheet would do, and what a store lacks, in words for the screen: lines of at most 100 columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from spadework.present.table import wrapped

if TYPE_CHECKING:
    from spadework.records.reading_row import Reading
    from spadework.records.sheets.read_back import Apart
    from spadework.records.sheets.sheet_readings import Sheet
    from spadework.records.store.stock import Stock
    from spadework.records.store.take_in import Differing, Preview

__all__ = ["history_text", "preview_text", "read_back_text", "stock_text", "where"]

_MOST: Final = 20


def preview_text(found: Preview) -> str:
    """Return what a preview found as plain text; faults are told apart from it.

    Parameters
    ----------
    found : Preview
        From :func:`spadework.records.store.take_in.preview`.
    """
    sheet = found.sheet
    out = [f"{sheet.file}: {_count(len(sheet.readings), 'reading')} of {sheet.record}"]
    out.append(f"- new: {len(found.new)}")
    out.append(f"- in the store as they stand here: {found.known}")
    if found.since_corrected:
        out.append(
            f"- in the store as they stand here, but corrected since; the correction stays: {len(found.since_corrected)}"
        )
        out += _listed(_differing(found.since_corrected))
    out.append(f"- in the store, but otherwise: {len(found.differing)}")
    out += _listed(_differing(found.differing))
    if found.asked:
        out.append(f"- unusual, and without a reason to keep them: {len(found.asked)}")
    if found.cannot:
        out.append(f"- cannot be beside one another: {len(found.cannot)}")
    if found.gone:
        out.append(f"- taken in from a file of this name before, and no longer in it; they stay: {len(found.gone)}")
        out += _listed(f"{where(one)}: {one.said}" for one in found.gone)
    if sheet.empty:
        out.append(f"- cells left empty: {sheet.empty}; an empty cell makes no reading")
    out += [line for text in sheet.remarks for line in wrapped(text, "", "- ")]
    return "\n".join(out)


def history_text(chains: Sequence[Sequence[str]], title: str) -> str:
    """Return the history of readings: for each the first row, then its corrections.

    Parameters
    ----------
    chains : sequence of sequence of str
        Lines of every chain.
    title : str
        Plot and kind.
    """
    out = [title]
    for lines in chains:
        for number, line in enumerate(lines):
            out += wrapped(line, "  " if number else "", "- ")
    return "\n".join(out)


def read_back_text(first: Sheet, second: Sheet, apart: Sequence[Apart]) -> str:
    """Return in which cells two files typed from one paper differ.

    Parameters
    ----------
    first, second : Sheet
        The two files.
    apart : sequence of Apart
        From :func:`spadework.records.sheets.read_back.read_back`.
    """
    counts = f"{_count(len(first.readings), 'reading')} and {_count(len(second.readings), 'reading')} of {first.record}"
    head = f"{first.file} and {second.file}: {counts}"
    if not apart:
        return f"{head}; they agree in every cell"
    out = [f"{head}; {_count(len(apart), 'cell')} apart"]
    for one in apart:
        a, b = (f" (line {line})" if line else "" for line in (one.first_line, one.second_line))
        out += wrapped(
            f"{one.where}, {one.column}: {one.first} in {first.file}{a}, {one.second} in {second.file}{b}", "  ", "- "
        )
    out += wrapped("Look at the paper, mend the file that is wrong, and read back again. What the paper says though it is "
                   "strange stays, with kept: and the reason in the note of both.")  # fmt: skip
    return "\n".join(out)


def stock_text(found: Stock) -> str:
    """Return what a store has of what is wanted as plain text.

    Parameters
    ----------
    found : Stock
        From :func:`spadework.records.store.stock.stock_of`.
    """
    out: list[str] = []
    record = ""
    for one in found.found:
        if one.kind.record != record:
            record = one.kind.record
            out += ["", record[0].upper() + record[1:]] if out else [record[0].upper() + record[1:]]
        out += wrapped(one.said(), "  ", "- " if one.whole else "! ")
    if not found.found:
        out.append("No reading of a plot is there yet.")
    if found.not_begun:
        out += ["", *wrapped(f"Not begun: {', '.join(found.not_begun)}.")]
    if found.together:
        out += ["", "What does not go together"]
        out += [line for text in found.together for line in wrapped(text, "  ", "- ")]
    if found.doubled:
        out += ["", "There twice"]
        out += [line for text in found.doubled for line in wrapped(text, "  ", "- ")]
    if found.twice:
        out += ["", "Corrected by two people side by side"]
        out += [line for text in found.twice for line in wrapped(text, "  ", "- ")]
    return "\n".join(out)


def where(one: Reading) -> str:
    """Return where a reading belongs, in a few words."""
    place = f", {one.place}" if one.place else ""
    sample = f", sample {one.sample}" if one.sample > 1 else ""
    return f"plot {one.plot}{place}{sample}, {one.field}, {one.taken_at[:16].replace('T', ' ')}"


def _differing(found: Iterable[Differing]) -> Iterable[str]:
    return (f"line {one.new.source_line}, {where(one.new)}: {one.what}" for one in found)


def _listed(lines: Iterable[str]) -> list[str]:
    every = list(lines)
    out = [line for text in every[:_MOST] for line in wrapped(text, "    ")]
    return [*out, f"    and {len(every) - _MOST} more"] if len(every) > _MOST else out


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
