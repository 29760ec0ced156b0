"""Changes of a layout that people write into a table: two plots exchanged, or a block moved, each with its reason."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from spadework.layout.changes import moved, swapped
from spadework.layout.place import CannotPlace, Placed
from spadework.plan import Fault, PlanFaults
from spadework.records.tables.columns import Allowed, Column
from spadework.records.tables.reader import read_table

__all__ = ["CHANGE_COLUMNS", "changed"]

_PLOTS: Final = Allowed(101, 99_999)
_STEP: Final = Allowed(-2_000, 2_000)
CHANGE_COLUMNS: Final = (
    Column("plot", "number of a plot", "whole", hard=_PLOTS),
    Column("with_plot", "the plot of the same block that it is exchanged with", "whole", hard=_PLOTS),
    Column("block", "number of a block that is moved", "whole", hard=Allowed(1, 60)),
    Column("right_m", "to the right, looking from A to B", "number", "m", _STEP),
    Column("ahead_m", "ahead, from A to B", "number", "m", _STEP),
    Column("reason", "why, in words", "text", needed=True, filled=True, longest=200),
)
"""Columns of a table of changes; a line fills either the first two, or the next three."""


def changed(placed: Placed, path: Path) -> Placed:
    """Return a layout with the changes of a table, line by line.

    Parameters
    ----------
    placed : Placed
        The layout as it was drawn and placed.
    path : Path
        CSV or XLSX with the columns of :data:`CHANGE_COLUMNS`.

    Returns
    -------
    Placed
        With every change and its reason written down; its standing may be less than it was.

    Raises
    ------
    PlanFaults
        With every line that cannot be; nothing is then changed.
    """
    if not os.path.lexists(path):
        names = ", ".join(column.name for column in CHANGE_COLUMNS)
        raise PlanFaults([Fault("", f"there is no such file; write a table with the columns {names}")], path.name)
    table = read_table(path, CHANGE_COLUMNS, others=False)
    faults = list(table.faults)
    if faults:
        raise PlanFaults(faults, path.name)
    out = placed
    for line in table.lines:
        value = line.values
        plot, other, block = (value.get(name) for name in ("plot", "with_plot", "block"))
        right, ahead = (value.get(name) for name in ("right_m", "ahead_m"))
        reason = str(value["reason"])
        try:
            if (
                isinstance(plot, float)
                and isinstance(other, float)
                and block is None
                and right is None
                and ahead is None
            ):
                out = swapped(out, int(plot), int(other), reason)
            elif (
                isinstance(block, float) and plot is None and other is None and (right is not None or ahead is not None)
            ):
                to_right, to_front = (step if isinstance(step, float) else 0.0 for step in (right, ahead))
                out = moved(out, int(block), to_right, to_front, reason)
            else:
                what = "fill in plot and with_plot to exchange two, or block with right_m and ahead_m to move one"
                faults.append(Fault("", what, line.number))
        except CannotPlace as cannot:
            faults.append(Fault("", str(cannot), line.number))
    if faults:
        raise PlanFaults(faults, path.name)
    return out
