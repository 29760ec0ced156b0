"""Plot widths that work for every machine, ranked, with what is left over and where it goes.

The planter sets the grid of rows.  Rows of a plot are counted from the left, looking along the heading from A to B.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence, Set
from dataclasses import dataclass

from spadework.layout.row_units import joins
from spadework.layout.runs import Runs, runs_over
from spadework.layout.tools import Outfit, repeat_of_rows
from spadework.ranges import require

__all__ = ["Fit", "PlotWidth", "Spraying", "plot_widths", "wheeled_rows"]


@dataclass(frozen=True)
class Fit:
    """How one outfit fits a plot.

    Attributes
    ----------
    outfit : Outfit
        The machines.
    runs : Runs
        Its passes over the plot.
    goes : str
        ``nothing``, ``guard`` or ``measured rows``: where that lies which they cover more than the plot.
    joins : tuple of int
        Joins between two passes inside the measured rows, each named by the row on its left.
    works : bool
        True where it leaves the measured rows alone.
    words : str
        The same for people.
    near : bool
        True where it comes from the neighbouring plot nearer to the measured rows than the guard rows that are asked for.
    """

    outfit: Outfit
    runs: Runs
    goes: str
    joins: tuple[int, ...]
    works: bool
    words: str
    near: bool = False

    @property
    def passes(self) -> int:
        """Passes over a plot."""
        return self.runs.count

    @property
    def over_m(self) -> float:
        """What the passes cover more than the plot is wide [m], both sides together."""
        return self.runs.over_m


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
    clear_rows : int
        Most rows side by side, between the guard rows asked for, that no join parts.
    """

    rows: int
    width_m: float
    first_row: int
    last_row: int
    header_passes: int
    fits: tuple[Fit, ...]
    spraying: Spraying | None = None
    clear_rows: int = 0

    @property
    def works(self) -> bool:
        """True where no machine works on the measured rows of another plot."""
        return all(fit.works for fit in self.fits)

    @property
    def joins(self) -> tuple[int, ...]:
        """Joins of any row machine inside the measured rows."""
        return tuple(sorted({join for fit in self.fits for join in fit.joins}))

    @property
    def near(self) -> bool:
        """True where a machine comes from the neighbouring plot nearer to the measured rows than the guard asked for."""
        return any(fit.near for fit in self.fits)

    @property
    def guard_m(self) -> float:
        """Width of the narrower side that is not measured [m]."""
        return min(self.left_guard, self.right_guard) * self.width_m / self.rows

    def reach_m(self, *places: str) -> float:
        """Return how far machines go over the border of a plot [m]; of those that place all of `places`."""
        mine = [fit.over_m for fit in self.fits if set(places) <= set(fit.outfit.places)]
        return max(mine, default=0.0) / 2

    @property
    def left_guard(self) -> int:
        """Rows on the left that are not measured."""
        return self.first_row - 1

    @property
    def right_guard(self) -> int:
        """Rows on the right that are not measured."""
        return self.rows - self.last_row


def wheeled_rows(rows: int, row_spacing_m: float, fit: Fit) -> tuple[int, ...]:
    """Return the rows of a plot that lie under a wheel of an outfit.

    Parameters
    ----------
    rows : int
        Rows of the plot.
    row_spacing_m : float
        Row to row [m].
    fit : Fit
        The outfit, and where its passes lie.
    """
    out: set[int] = set()
    for middle in fit.runs.middles_m:
        for track in fit.outfit.tracks:
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
        Those that work before those that do not; then by joins in the measured rows, machines that come near them from the
        neighbouring plot, plots with a tramline in them, and width, the narrower first.

    Raises
    ------
    ValueError
        If no outfit sows row by row, or the header is narrower than a row.

    Notes
    -----
    A plot is a whole number of passes of every planter.  The harvester takes whole widths of its header, none of them across the
    border of two plots.  What another machine covers more than the plot is wide lies half on each side, and must stay on guard
    rows of this plot and the next; where less of the neighbour's guard is left untouched than was asked for, it comes near.
    A row machine whose rows do not divide those of the plot would have to lift units.

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
        borders = {join for o in outfits if o.rows is not None for join in joins(rows, o.rows)}
        window = _window(rows, header_rows, guard_rows, borders)
        if window is None:
            continue
        first, last = window
        fits = tuple(_fit(outfit, _Span(rows, row_spacing_m, first, last, guard_rows)) for outfit in outfits)
        spraying = None
        if tramline_m is not None:
            spraying = _spraying(rows, row_spacing_m, first, last, plots, tramline_m, spray_gauge_m)
        out.append(
            PlotWidth(
                rows,
                rows * row_spacing_m,
                first,
                last,
                (last - first + 1) // header_rows,
                fits,
                spraying,
                _clear_rows(rows, guard_rows, borders),
            )
        )
    return tuple(sorted(out, key=_rank))


def _rank(one: PlotWidth) -> tuple[bool, int, bool, int, float]:
    hit = one.spraying.hit if one.spraying is not None else 0
    return not one.works, len(one.joins), one.near, hit, one.width_m


def _clear_rows(rows: int, guard_rows: int, borders: Set[int]) -> int:
    """Return the most rows between the guards that no join parts."""
    edges = [guard_rows, *sorted(join for join in borders if guard_rows < join < rows - guard_rows), rows - guard_rows]
    return max(right - left for left, right in itertools.pairwise(edges))


def _window(rows: int, header_rows: int, guard_rows: int, borders: Set[int]) -> tuple[int, int] | None:
    """Return the measured rows: fewest joins inside, then most rows, then nearest to the middle."""
    found = []
    for passes in range(1, (rows - 2 * guard_rows) // header_rows + 1):
        length = passes * header_rows
        for first in range(guard_rows + 1, rows - guard_rows - length + 2):
            last = first + length - 1
            inside = sum(first <= join < last for join in borders)
            found.append((inside, -length, abs(first + last - rows - 1), first, last))
    return min(found)[3:] if found else None


@dataclass(frozen=True)
class _Span:
    """Rows of a plot, those that are measured from and to, and the guard rows that were asked for."""

    rows: int
    spacing_m: float
    first: int
    last: int
    asked: int

    @property
    def width_m(self) -> float:
        return self.rows * self.spacing_m

    @property
    def guard_m(self) -> float:
        return min(self.first - 1, self.rows - self.last) * self.spacing_m


def _fit(outfit: Outfit, plot: _Span) -> Fit:
    runs = runs_over(outfit, plot.width_m, plot.guard_m)
    times = f"{runs.count} pass{'' if runs.count == 1 else 'es'}"
    if outfit.rows is not None:
        inside = tuple(join for join in joins(plot.rows, outfit.rows) if plot.first <= join < plot.last)
        if runs.over_m:
            lifted = runs.count * outfit.rows - plot.rows
            words = f"{times}; {lifted} unit{'' if lifted == 1 else 's'} would have to be lifted on the last"
            return Fit(outfit, runs, "measured rows", inside, False, words)
        said = ", join inside the measured rows after row " + ", ".join(map(str, inside)) if inside else ""
        return Fit(outfit, runs, "nothing", inside, True, f"{times}, nothing left over{said}")
    more = _twice_words(outfit, runs, plot) + ("; ridge and last furrow on the borders" if outfit.plough else "")
    if runs.short_m:
        words = f"{times}, {runs.short_m / 2:.2f} m not worked at each border, on guard rows"
        return Fit(outfit, runs, "nothing", (), True, words + more)
    if not runs.over_m:
        return Fit(outfit, runs, "nothing", (), True, f"{times}, nothing left over{more}")
    side = runs.over_m / 2
    words = f"{times}, {runs.over_m:.2f} m too wide: {side:.2f} m over each border, "
    if side > plot.guard_m + 1e-9:
        words += f"but the guard has {plot.guard_m:.2f} m"
        return Fit(outfit, runs, "measured rows", (), False, words)
    near = side > plot.guard_m - plot.asked * plot.spacing_m + 1e-9
    free = f", {plot.guard_m - side:.2f} m short of the measured ones" if near else ""
    return Fit(outfit, runs, "guard", (), True, f"{words}on guard rows{free}{more}", near)


def _twice_words(outfit: Outfit, runs: Runs, plot: _Span) -> str:
    if not runs.twice:
        return ""
    low, high = (plot.first - 1) * plot.spacing_m, plot.last * plot.spacing_m
    inside = sum(left < high and right > low for left, right in runs.twice)
    joined = f"{len(runs.twice)} join{'' if len(runs.twice) == 1 else 's'}"
    return f"; {outfit.overlap_m:.2f} m worked twice at {joined}, {inside or 'none'} of them in the measured rows"


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
