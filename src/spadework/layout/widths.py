"""Plot widths that work for every machine, ranked, with what is left over and where it goes.

The planter sets the grid of rows.  Rows of a plot are counted from the left, looking along the heading from A to B.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from spadework.layout.tools import Outfit, repeat_of_rows
from spadework.ranges import require

__all__ = ["Fit", "PlotWidth", "RowUnit", "Spraying", "joins", "plot_widths", "row_units", "wheeled_rows"]

_CLOSE_M = 0.005


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


@dataclass(frozen=True)
class Fit:
    """How one outfit fits a plot.

    Attributes
    ----------
    outfit : Outfit
        The machines.
    passes : int
        Passes over a plot.
    over_m : float
        What they cover more than the plot is wide [m]; 0 where they fit.
    goes : str
        ``nothing``, ``guard`` or ``measured rows``: where that lies.
    joins : tuple of int
        Joins between two passes inside the measured rows, each named by the row on its left.
    works : bool
        True where it leaves the measured rows alone.
    words : str
        The same for people.
    """

    outfit: Outfit
    passes: int
    over_m: float
    goes: str
    joins: tuple[int, ...]
    works: bool
    words: str


@dataclass(frozen=True)
class Spraying:
    """Where tramlines lie over a block of plots.

    Attributes
    ----------
    first_m : float
        Middle of the first tramline from the left edge of the block [m].
    hit : int
        Plots of the block in whose measured rows a wheel of the sprayer runs.
    """

    first_m: float
    hit: int


@dataclass(frozen=True)
class PlotWidth:
    """A plot width and how everything fits it.

    Attributes
    ----------
    rows : int
        Rows of a plot.
    width_m : float
        Its width [m].
    first_row, last_row : int
        Rows that are measured, from and to.
    header_passes : int
        Passes of the harvester that are weighed.
    fits : tuple of Fit
        Of every outfit.
    spraying : Spraying or None
        Tramlines; None where there are none.
    """

    rows: int
    width_m: float
    first_row: int
    last_row: int
    header_passes: int
    fits: tuple[Fit, ...]
    spraying: Spraying | None = None

    @property
    def works(self) -> bool:
        """True where no machine works on the measured rows of another plot."""
        return all(fit.works for fit in self.fits)

    @property
    def joins(self) -> tuple[int, ...]:
        """Joins of any row machine inside the measured rows."""
        return tuple(sorted({join for fit in self.fits for join in fit.joins}))

    @property
    def over_m(self) -> float:
        """What all machines together cover more than the plot is wide [m]."""
        return sum(fit.over_m for fit in self.fits)

    @property
    def left_guard(self) -> int:
        """Rows on the left that are not measured."""
        return self.first_row - 1

    @property
    def right_guard(self) -> int:
        """Rows on the right that are not measured."""
        return self.rows - self.last_row


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


def wheeled_rows(rows: int, row_spacing_m: float, outfit: Outfit, over_m: float = 0.0) -> tuple[int, ...]:
    """Return the rows of a plot that lie under a wheel of an outfit.

    Parameters
    ----------
    rows : int
        Rows of the plot.
    row_spacing_m : float
        Row to row [m].
    outfit : Outfit
        The machines.
    over_m : float
        What its passes cover more than the plot is wide [m]; half of it lies on each side.
    """
    passes = max(1, round((rows * row_spacing_m + over_m) / outfit.width_m))
    out: set[int] = set()
    for run in range(passes):
        middle = (run + 0.5) * outfit.width_m - over_m / 2
        for track in outfit.tracks:
            first = math.ceil((middle + track.left_m) / row_spacing_m + 0.5)
            last = math.floor((middle + track.right_m) / row_spacing_m + 0.5)
            out.update(range(max(first, 1), min(last, rows) + 1))
    return tuple(sorted(out))


def plot_widths(
    outfits: Sequence[Outfit],
    row_spacing_m: float,
    header_m: float,
    *,
    guard_rows: int,
    most_m: float,
    tramline_m: float | None = None,
    spray_gauge_m: float = 0.0,
    plots: int = 1,
) -> tuple[PlotWidth, ...]:
    """Return plot widths, best first.

    Parameters
    ----------
    outfits : sequence of Outfit
        All outfits; one of them at least places seed row by row.
    row_spacing_m : float
        Row to row [m], above 0.
    header_m : float
        Working width of the harvester [m].
    guard_rows : int
        Rows at each side that are not measured, 0 or more.
    most_m : float
        Widest plot that is looked at [m].
    tramline_m : float, optional
        Tramline to tramline [m].
    spray_gauge_m : float
        Middle to middle of the sprayer's wheels [m].
    plots : int
        Plots side by side in a block, for the tramlines.

    Returns
    -------
    tuple of PlotWidth
        Those that work before those that do not; then by joins in the measured rows, plots with a tramline in them, and width,
        the narrower first.

    Raises
    ------
    ValueError
        If no outfit sows row by row, or the header is narrower than a row.

    Notes
    -----
    A plot is a whole number of passes of every planter.  The harvester takes whole widths of its header, none of them across the
    border of two plots.  What another machine covers more than the plot is wide lies half on each side, and must stay on guard
    rows of this plot and the next.  A row machine whose rows do not divide those of the plot would have to lift units.

    Examples
    --------
    >>> planter = Outfit("planter", "tractor", ("planter",), "row planter", 6.0, 8, ("seed",))
    >>> found = plot_widths([planter], 0.75, 6.0, guard_rows=2, most_m=30)
    >>> [(one.width_m, one.first_row, one.last_row, one.joins) for one in found][:2]
    [(18.0, 9, 16, ()), (24.0, 9, 16, ())]
    """
    require("row_spacing_m", row_spacing_m, 0, 5, "m", above=True)
    sown = tuple(o.rows for o in outfits if "seed" in o.places and o.rows is not None)
    if not sown:
        raise ValueError("no outfit sows row by row; the planter sets the rows of a plot")
    header_rows = math.floor(header_m / row_spacing_m + 1e-9)
    if header_rows < 1:
        raise ValueError(f"`header_m` is {header_m:g} m; allowed: one row of {row_spacing_m:g} m or more")
    step = repeat_of_rows(sown)
    out = []
    for rows in range(step, math.floor(most_m / row_spacing_m + 1e-9) + 1, step):
        window = _window(rows, header_rows, guard_rows, tuple(o.rows for o in outfits if o.rows is not None))
        if window is None:
            continue
        first, last = window
        fits = tuple(_fit(outfit, rows, row_spacing_m, first, last) for outfit in outfits)
        spraying = None
        if tramline_m is not None:
            spraying = _spraying(rows, row_spacing_m, first, last, plots, tramline_m, spray_gauge_m)
        out.append(
            PlotWidth(rows, rows * row_spacing_m, first, last, (last - first + 1) // header_rows, fits, spraying)
        )
    return tuple(sorted(out, key=_rank))


def _rank(one: PlotWidth) -> tuple[bool, int, int, float]:
    hit = one.spraying.hit if one.spraying is not None else 0
    return not one.works, len(one.joins), hit, one.width_m


def _window(rows: int, header_rows: int, guard_rows: int, units: Sequence[int]) -> tuple[int, int] | None:
    """Return the measured rows: fewest joins inside, then most rows, then nearest to the middle."""
    borders = {join for count in units for join in joins(rows, count)}
    found = []
    for passes in range(1, (rows - 2 * guard_rows) // header_rows + 1):
        length = passes * header_rows
        for first in range(guard_rows + 1, rows - guard_rows - length + 2):
            last = first + length - 1
            inside = sum(first <= join < last for join in borders)
            found.append((inside, -length, abs(first + last - rows - 1), first, last))
    return min(found)[3:] if found else None


def _fit(outfit: Outfit, rows: int, row_spacing_m: float, first: int, last: int) -> Fit:
    width = rows * row_spacing_m
    passes = max(1, math.ceil((width - _CLOSE_M) / outfit.width_m))
    over = passes * outfit.width_m - width
    over = 0.0 if abs(over) < _CLOSE_M else over
    guard_m = min(first - 1, rows - last) * row_spacing_m
    inside: tuple[int, ...] = ()
    times = f"{passes} pass{'' if passes == 1 else 'es'}"
    if outfit.rows is not None:
        inside = tuple(join for join in joins(rows, outfit.rows) if first <= join < last)
        if over:
            lifted = passes * outfit.rows - rows
            words = f"{times}; {lifted} unit{'' if lifted == 1 else 's'} would have to be lifted on the last"
            return Fit(outfit, passes, over, "measured rows", inside, False, words)
        said = ", join inside the measured rows after row " + ", ".join(map(str, inside)) if inside else ""
        return Fit(outfit, passes, 0.0, "nothing", inside, True, f"{times}, nothing left over{said}")
    if not over:
        more = "; ridge and last furrow on the borders" if outfit.plough else ""
        return Fit(outfit, passes, 0.0, "nothing", (), True, f"{times}, nothing left over{more}")
    side = over / 2
    if side <= guard_m + 1e-9:
        words = f"{times}, {over:.2f} m too wide: {side:.2f} m over each border, on guard rows"
        return Fit(outfit, passes, over, "guard", (), True, words)
    words = f"{times}, {over:.2f} m too wide: {side:.2f} m over each border, but the guard has {guard_m:.2f} m"
    return Fit(outfit, passes, over, "measured rows", (), False, words)


def _spraying(
    rows: int, row_spacing_m: float, first: int, last: int, plots: int, tramline_m: float, gauge_m: float
) -> Spraying:
    """Return the tramlines that run over the fewest measured rows, tried every half row."""
    width, found = rows * row_spacing_m, []
    low, high = (first - 1) * row_spacing_m, last * row_spacing_m
    for half_rows in range(math.ceil(2 * tramline_m / row_spacing_m)):
        start = half_rows * row_spacing_m / 2
        wheels = [
            start + line * tramline_m + side * gauge_m / 2
            for line in range(-1, math.ceil(plots * width / tramline_m) + 1)
            for side in (-1, 1)
        ]
        hit = sum(any(p * width + low < wheel < p * width + high for wheel in wheels) for p in range(plots))
        found.append((hit, start))
    hit, start = min(found)
    return Spraying(start, hit)
