"""Which unit of a row machine makes which row of a plot, and where two of its passes meet."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.ranges import require

__all__ = ["RowUnit", "joins", "row_units"]


@dataclass(frozen=True)
class RowUnit:
    """Which unit of a machine makes a row.

    Attributes
    ----------
    row : int
        Row of the plot, from the left.
    run : int
        Pass of the machine over the plot, from the left.
    back : bool
        True where it comes back, from B to A.
    unit : int
        Unit of the machine, from the left seen forwards.
    """

    row: int
    run: int
    back: bool
    unit: int


def row_units(rows: int, units: int, first_back: bool = False) -> tuple[RowUnit, ...]:
    """Return which unit of a machine makes which row of a plot, out and back by turns.

    Parameters
    ----------
    rows : int
        Rows of the plot, from 1.
    units : int
        Row units of the machine, from 1.
    first_back : bool
        True where the first pass runs from B to A.

    Returns
    -------
    tuple of RowUnit
        One for each row, from the left.

    Notes
    -----
    On the way back the driver looks the other way, so the unit on the left makes the row on the right.  A unit that is set
    wrong therefore shows in other rows on the way back.

    Examples
    --------
    >>> [(one.row, one.unit) for one in row_units(12, 6)][3:8]
    [(4, 4), (5, 5), (6, 6), (7, 6), (8, 5)]
    """
    for name, value in (("rows", rows), ("units", units)):
        require(name, float(value), 1, 1000, "1")
    out = []
    for row in range(1, rows + 1):
        run, place = divmod(row - 1, units)
        back = bool(run % 2) != first_back
        out.append(RowUnit(row, run + 1, back, units - place if back else place + 1))
    return tuple(out)


def joins(rows: int, units: int) -> tuple[int, ...]:
    """Return the joins between passes of a row machine, each named by the row on its left.

    Examples
    --------
    >>> joins(16, 8), joins(24, 6)
    ((8,), (6, 12, 18))
    """
    return tuple(range(units, rows, units))
