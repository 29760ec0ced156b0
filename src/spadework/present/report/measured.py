"""What was measured beside what was planned and estimated: as plain text, as a section of the report, and as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from spadework import __version__
from spadework.findings.measured import ALL_SYSTEMS, Measured, Row
from spadework.present.compare.words import STANDINGS, figure
from spadework.present.digs.data import _plain
from spadework.present.document.blocks import Block, Cell, Grid, Items, Report, Section, Text
from spadework.present.table import wrapped
from spadework.present.wording import place_line

if TYPE_CHECKING:
    from spadework.estimate import Estimate

__all__ = ["measured_json", "measured_report", "measured_section", "measured_text"]

TITLE: Final = "What was measured beside what was estimated?"
_INTRO: Final = (
    "Estimated: middle of the draws, and the range that holds 80 % of them. Planned: a figure of the plan, such as the dose "
    "that was meant. Measured: mean of the plots, and its 95 % interval from their scatter where there are two plots or "
    "more. An interval says nothing of differences between systems; spadework compare does."
)
_DIESEL: Final = (
    "The estimate of a pass counts turning, filling, standing and the road as well; a meter read on the plot alone leaves "
    "them out."
)
_NAME: Final = 24
_REASON: Final = "reason: ______________________________"
_OFF: Final = "Off is measured less estimated or planned; outside is a mean beyond the range of the draws."


def measured_text(found: Measured, *, invented: bool = False) -> str:
    """Return measured beside estimated as plain text of at most 100 columns.

    Parameters
    ----------
    found : Measured
        From :func:`spadework.findings.measured.measured_beside`.
    invented : bool
        True where plan or readings are made up; said at the top.
    """
    out = [TITLE]
    if invented:
        out.append("INVENTED: farm and readings are made up to show the tool; nothing here is advice.")
    out += ["", *wrapped(f"Standing: {STANDINGS[found.standing]}."), *wrapped(_INTRO)]
    if not found.rows:
        out += ["", "Nothing that the estimate holds has been measured yet."]
    for group in _groups(found.rows):
        first = group[0]
        places = _places(group)
        unit = f", {first.unit}" if first.unit != "1" else ""
        said = wrapped(_DIESEL, "    ") if first.quantity == "diesel" else []
        out += ["", f"{_capital(first.label)}{unit}"]
        out.append(f"  {'system':<{_NAME}} {'measured':>22} {'n':>3}  {_origin(first):>22} {'off':>8}")
        for row in group:
            off = figure(row.off, places, sign=True)
            line = f"  {_short(_named(row)):<{_NAME}} {_measured(row, places):>22} {row.plots:>3}"
            out.append(f"{line}  {_drawn(row, places):>22} {off:>8}  {_range(row)}".rstrip())
            if row.reason or row.inside is False:
                out += wrapped(f"reason: {row.reason}" if row.reason else _REASON, "    ")
            out += [line for text in row.kept for line in wrapped(f"kept: {text}", "    ")]
            if row.without_figure:
                out += wrapped(_without(row), "    ")
        out += said
    if found.rows:
        out += ["", *wrapped(_OFF)]
    if found.remarks:
        out += ["", "What was left out"]
        out += [line for text in found.remarks for line in wrapped(text, "  ", "- ")]
    return "\n".join(out)


def measured_section(found: Measured) -> Section:
    """Return measured beside estimated as a section of the report."""
    blocks: list[Block] = [Text(f"Standing: {STANDINGS[found.standing]}."), Text(_INTRO)]
    for group in _groups(found.rows):
        first, places = group[0], _places(group)
        unit = f", {first.unit}" if first.unit != "1" else ""
        head = ("system", "measured", "n", _origin(first), "off by", "the range", "reason")
        rows = []
        for row in group:
            mark = Cell(figure(row.off, places, sign=True), mark="warning" if row.inside is False else "")
            said = "; ".join([*([row.reason] if row.reason else []), *(f"kept: {text}" for text in row.kept)])
            where = Cell(_range(row) or "no range")
            rows.append(
                (Cell(_named(row)), Cell(_measured(row, places)), Cell(f"{row.plots}"), Cell(_drawn(row, places)), mark, where,
                 Cell(said))
            )  # fmt: skip
        told = [f"{_named(row)}: {_without(row)}" for row in group if row.without_figure]
        note = " ".join([*told, *([_DIESEL] if first.quantity == "diesel" else [])])
        widths = (1.7, 1.6, 0.4, 1.6, 0.8, 0.9, 2.0)
        blocks.append(Grid(f"{_capital(first.label)}{unit}", head, tuple(rows), widths, note=note))
    if not found.rows:
        blocks.append(Text("Nothing that the estimate holds has been measured yet."))
    else:
        blocks.append(Text(_OFF, "small"))
    if found.remarks:
        blocks += [Text("What was left out", "title"), Items(tuple(("", text) for text in found.remarks))]
    return Section("measured", TITLE, blocks)


def measured_report(found: Measured, estimate: Estimate) -> Report:
    """Return a report that holds nothing but this section, for a page or a print of its own."""
    plan = estimate.plan
    facts = (f"{estimate.draws} draws, seed {estimate.seed}", f"spadework {__version__}")
    sections = (measured_section(found),)
    return Report(plan.question, place_line(estimate), STANDINGS[found.standing], plan.invented, facts, sections)


def measured_json(found: Measured, *, invented: bool) -> str:
    """Return measured beside estimated as JSON text; the same readings give the same text.

    Figures are in the unit of their row; what is not known is ``null``; ``reason`` is empty where nobody gave one.

    Parameters
    ----------
    found : Measured
        From :func:`spadework.findings.measured.measured_beside`.
    invented : bool
        True where plan or readings are made up.
    """
    about = {
        "standing": found.standing,
        "spadework": __version__,
        "invented": invented,
        "rows": _plain(list(found.rows)),
        "remarks": list(found.remarks),
    }
    return json.dumps(about, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _groups(rows: Sequence[Row]) -> list[list[Row]]:
    out: dict[str, list[Row]] = {}
    for row in rows:
        out.setdefault(row.quantity, []).append(row)
    return list(out.values())


def _places(group: Sequence[Row]) -> int:
    """Return how many decimals tell the figures of a group apart."""
    largest = max(abs(row.estimated) for row in group)
    return 0 if largest >= 100 else 1 if largest >= 10 else 2


def _measured(row: Row, places: int) -> str:
    mean = figure(row.measured, places)
    return f"{mean} ({figure(row.low, places)} to {figure(row.high, places)})" if math.isfinite(row.low) else mean


def _drawn(row: Row, places: int) -> str:
    middle = figure(row.estimated, places)
    if row.least == row.most:
        return middle
    return f"{middle} ({figure(row.least, places)} to {figure(row.most, places)})"


def _range(row: Row) -> str:
    return "" if row.inside is None else "inside" if row.inside else "outside"


def _without(row: Row) -> str:
    count = row.without_figure
    return f"{count} reading{'' if count == 1 else 's'} without a figure left out."


def _origin(row: Row) -> str:
    return "planned" if row.origin == "plan" else "estimated"


def _named(row: Row) -> str:
    system = "all systems" if row.system == ALL_SYSTEMS else row.system
    return f"{system}, {row.part}" if row.part else system


def _short(name: str) -> str:
    return name if len(name) <= _NAME else name[: _NAME - 1] + "."


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
