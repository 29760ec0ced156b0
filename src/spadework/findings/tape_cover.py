"""Residue cover from tapes: of every plot and system, how sure it is, which tapes the rows may fool, and what more it takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.records.sheets.tape_counts import GROUNDS, Tape
from spadework.science.seedbed.residue.cover import area_weighted_cover
from spadework.science.seedbed.residue.tape import aliased, phase_drift, points_needed, points_per_row
from spadework.science.seedbed.residue.transect import (
    binomial_se,
    design_effect,
    lines_half_width,
    normal_quantile,
    wilson_high,
    wilson_low,
)
from spadework.science.seedbed.residue.two_grounds import stratified_high, stratified_low, stratified_se

__all__ = ["Cover", "GroundOf", "PlotCover", "SystemCover", "TapeCover", "cover_of_tapes"]

_MOST_TAPES: Final = 1_000
_INNER: Final = 0.001  # covers nearer to nil or all than this say nothing of patches


@dataclass(frozen=True)
class GroundOf:
    """How the ground of a system was worked.

    Attributes
    ----------
    row_m : float or None
        Row spacing [m]; None where nobody said it.
    strip_m : float or None
        Width of a strip [m]; None where the whole ground was worked alike, or nobody said it.
    even : bool
        True where a plan says that the whole ground was worked alike, so that no rows can fool a tape.
    """

    row_m: float | None = None
    strip_m: float | None = None
    even: bool = False

    @property
    def tilled_share(self) -> float | None:
        """Share of the field inside the strips [1]; None without strips."""
        return None if self.row_m is None or self.strip_m is None else self.strip_m / self.row_m


@dataclass(frozen=True)
class Cover:
    """A cover with its interval [1]; both ends lie within 0 to 1."""

    cover: float
    low: float
    high: float


@dataclass(frozen=True)
class PlotCover:
    """Cover of one plot.

    Attributes
    ----------
    plot, system : str
        Which.
    tapes, hits, points : int
        What was counted in all.
    whole : Cover
        Of the plot.
    grounds : Mapping
        Of strips and ground between, where they were counted apart; else empty.
    patchiness : float
        How much more tapes scatter than independent marks would [1], a ratio of variances; NaN where tapes are too few to say.
    """

    plot: str
    system: str
    tapes: int
    hits: int
    points: int
    whole: Cover
    grounds: Mapping[str, Cover]
    patchiness: float


@dataclass(frozen=True)
class SystemCover:
    """Cover of one system over its plots.

    Attributes
    ----------
    system : str
        Empty where the table names none.
    plots : tuple of PlotCover
        In order.
    whole : Cover
        Mean of the plots; its interval from the scatter of the plots where there are two or more, else that of the plot.
    spread : float
        Standard deviation between the tapes of a plot [1], pooled over plots; NaN where no plot has two alike.
    marks_needed : int
        Independent marks for the half width that is wanted: in all, or on each ground where the two were counted apart; 0
        where nothing or everything was hit, which says nothing of it.
    tapes_needed : int or None
        Tapes like these in a plot for it, by their own scatter; None where that is not known, or more than 1000.
    """

    system: str
    plots: tuple[PlotCover, ...]
    whole: Cover
    spread: float
    marks_needed: int
    tapes_needed: int | None

    @property
    def points(self) -> int:
        """Marks that were counted in all its plots."""
        return sum(plot.points for plot in self.plots)

    @property
    def hits(self) -> int:
        """Marks on residue in all its plots."""
        return sum(plot.hits for plot in self.plots)


@dataclass(frozen=True)
class TapeCover:
    """What tapes say.

    Attributes
    ----------
    systems : tuple of SystemCover
        In the order of the table.
    half_width, confidence : float
        Half width that is wanted, and confidence of all intervals [1].
    fooled : tuple of Tape
        Tapes whose marks keep step with the rows.
    unknown : tuple of Tape
        Tapes across rows of which nobody can tell, for row spacing, marks or angle are not known.
    unsplit : tuple of str
        Systems worked in strips of which a tape crossed strips and ground between.
    """

    systems: tuple[SystemCover, ...]
    half_width: float
    confidence: float
    fooled: tuple[Tape, ...]
    unknown: tuple[Tape, ...]
    unsplit: tuple[str, ...]


def cover_of_tapes(
    tapes: Sequence[Tape], ground_of: Callable[[str], GroundOf], half_width: float, confidence: float = 0.95
) -> TapeCover:
    """Find the cover of every plot and system.

    Parameters
    ----------
    tapes : sequence of Tape
        As they were counted.
    ground_of : callable
        Returns for a system how its ground was worked.
    half_width : float
        Half width of the interval that is wanted [1], 0.001 to 0.5.
    confidence : float
        Of the intervals [1], 0.5 to 0.9999.

    Raises
    ------
    ValueError
        If a plot has tapes of strips or of the ground between and not of both, or some that crossed both; or if nobody said how
        wide strips and rows are.
    """
    systems = []
    for system in dict.fromkeys(tape.system for tape in tapes):
        own = [tape for tape in tapes if tape.system == system]
        plots = tuple(
            _plot([tape for tape in own if tape.plot == plot], ground_of(system), confidence)
            for plot in dict.fromkeys(tape.plot for tape in own)
        )
        systems.append(_system(plots, own, ground_of(system).tilled_share, half_width, confidence))
    across = [tape for tape in tapes if not tape.ground]
    told = [(tape, _keeps_step(tape, ground_of(tape.system))) for tape in across]
    return TapeCover(
        systems=tuple(systems),
        half_width=half_width,
        confidence=confidence,
        fooled=tuple(tape for tape, fooled in told if fooled),
        unknown=tuple(tape for tape, fooled in told if fooled is None),
        unsplit=tuple(
            dict.fromkeys(tape.system for tape in across if ground_of(tape.system).strip_m is not None)
        ),
    )  # fmt: skip


def _plot(tapes: Sequence[Tape], ground: GroundOf, confidence: float) -> PlotCover:
    by_ground = {name: [tape for tape in tapes if tape.ground == name] for name in ("", *GROUNDS)}
    there = [name for name, own in by_ground.items() if own]
    if there == [""]:
        whole, grounds = _of_tapes(tapes, confidence), {}
    else:
        share = ground.tilled_share
        if there != list(GROUNDS):
            said = ", ".join(name or "across both" for name in there)
            raise ValueError(f"plot {tapes[0].plot} has tapes only in: {said}; allowed: strip and between, or neither")
        if share is None:
            raise ValueError(
                f"plot {tapes[0].plot}{f' ({tapes[0].system})' if tapes[0].system else ''} has strip and ground between counted "
                "apart, and neither plan nor command says how wide its strips and rows are; "
                'give --strip "20 cm" and --rows "75 cm"'
            )
        grounds = {name: _of_tapes(by_ground[name], confidence) for name in GROUNDS}
        strip, between = (grounds[name] for name in GROUNDS)
        ends = (
            (strip.cover, strip.low, between.cover, between.low),
            (strip.cover, strip.high, between.cover, between.high),
        )
        whole = Cover(
            float(area_weighted_cover(strip.cover, between.cover, share)),
            float(stratified_low(share, *ends[0])),
            float(stratified_high(share, *ends[1])),
        )
    return PlotCover(
        plot=tapes[0].plot,
        system=tapes[0].system,
        tapes=len(tapes),
        hits=sum(tape.hits for tape in tapes),
        points=sum(tape.points for tape in tapes),
        whole=whole,
        grounds=grounds,
        patchiness=_patchiness([own for own in by_ground.values() if len(own) > 1]),
    )


def _of_tapes(tapes: Sequence[Tape], confidence: float) -> Cover:
    """Return the cover of one kind of ground: the wider of what the marks and what the scatter of the tapes allow."""
    z = float(normal_quantile(confidence))
    hits, points = sum(tape.hits for tape in tapes), sum(tape.points for tape in tapes)
    low, high = float(wilson_low(hits, points, z)), float(wilson_high(hits, points, z))
    covers = [tape.hits / tape.points for tape in tapes]
    cover = float(np.mean(covers))
    if len(tapes) > 1:
        half = float(lines_half_width(min(1.0, float(np.std(covers, ddof=1))), len(tapes), confidence))
        low, high = min(low, max(0.0, cover - half)), max(high, min(1.0, cover + half))
    return Cover(cover, min(low, cover), max(high, cover))


def _system(
    plots: tuple[PlotCover, ...], tapes: Sequence[Tape], tilled: float | None, half_width: float, confidence: float
) -> SystemCover:
    covers = [plot.whole.cover for plot in plots]
    mean = float(np.mean(covers))
    whole = plots[0].whole
    if len(plots) > 1:
        half = float(lines_half_width(min(1.0, float(np.std(covers, ddof=1))), len(plots), confidence))
        within = math.sqrt(sum((plot.whole.cover - plot.whole.low) ** 2 for plot in plots)) / len(plots)
        above = math.sqrt(sum((plot.whole.high - plot.whole.cover) ** 2 for plot in plots)) / len(plots)
        whole = Cover(mean, max(0.0, mean - max(half, within)), min(1.0, mean + max(half, above)))
    spread = _spread(plots, tapes)
    return SystemCover(
        system=plots[0].system,
        plots=plots,
        whole=whole,
        spread=spread,
        marks_needed=_marks_needed(plots, tilled, half_width, confidence),
        tapes_needed=None if math.isnan(spread) else _tapes_needed(spread, half_width, confidence),
    )


def _marks_needed(plots: Sequence[PlotCover], tilled: float | None, half_width: float, confidence: float) -> int:
    z = float(normal_quantile(confidence))
    if tilled is None or not all(plot.grounds for plot in plots):
        return int(points_needed(float(np.mean([plot.whole.cover for plot in plots])), half_width, z))
    covers = [float(np.mean([plot.grounds[name].cover for plot in plots])) for name in GROUNDS]
    error = stratified_se(tilled, *(binomial_se(cover, 1) for cover in covers))  # of one mark on each ground
    return math.ceil((z * float(error) / half_width) ** 2)


def _spread(plots: Sequence[PlotCover], tapes: Sequence[Tape]) -> float:
    squares, degrees = 0.0, 0
    for plot in plots:
        for ground in ("", *GROUNDS):
            covers = [t.hits / t.points for t in tapes if (t.plot, t.ground) == (plot.plot, ground)]
            if len(covers) > 1:
                squares += float(np.sum((np.array(covers) - np.mean(covers)) ** 2))
                degrees += len(covers) - 1
    return math.sqrt(squares / degrees) if degrees else math.nan


def _tapes_needed(spread: float, half_width: float, confidence: float) -> int | None:
    """Return the fewest tapes whose interval is as narrow as that; it narrows with every tape more."""
    if float(lines_half_width(spread, _MOST_TAPES, confidence)) > half_width:
        return None
    many = np.arange(2, _MOST_TAPES + 1)
    return int(many[np.argmax(lines_half_width(spread, many, confidence) <= half_width)])


def _patchiness(groups: Sequence[Sequence[Tape]]) -> float:
    """Return how much more tapes scatter than marks by chance, mean over kinds of ground by their degrees of freedom."""
    found, degrees = 0.0, 0
    for tapes in groups:
        cover = sum(tape.hits for tape in tapes) / sum(tape.points for tape in tapes)
        if not _INNER <= cover <= 1 - _INNER:
            continue
        marks = len(tapes) / sum(1 / tape.points for tape in tapes)
        sd = min(1.0, float(np.std([tape.hits / tape.points for tape in tapes], ddof=1)))
        found += (len(tapes) - 1) * float(design_effect(sd, cover, marks))
        degrees += len(tapes) - 1
    return found / degrees if degrees else math.nan


def _keeps_step(tape: Tape, ground: GroundOf) -> bool | None:
    if ground.even:
        return False
    if ground.row_m is None or tape.marks_m is None or tape.angle_deg is None:
        return None
    return bool(aliased(phase_drift(points_per_row(ground.row_m, tape.marks_m, tape.angle_deg), tape.points)))
