"""What is there and what is missing: of every reading that is wanted, how many plots have it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from spadework.plan.agreement.design import asked_of
from spadework.records.kinds import BELOW_DETECTION, Kind
from spadework.records.reading_row import Reading

if TYPE_CHECKING:
    from spadework.plan import Plan
    from spadework.statistics.designs.randomise import Laid

__all__ = ["Completeness", "Places", "Wanted", "completeness", "plots_of"]

Places = Mapping[tuple[str, str], Mapping[str, tuple[str, ...]]]
"""Places in a plot by record and what a reading is taken in, then by system; under an empty system those of every one."""
_PER_BLOCK: Final = 100
_SHOWN: Final = 8


@dataclass(frozen=True, slots=True)
class Wanted:
    """A plot that readings are wanted of; `system` is empty where it is not known which one lies there."""

    plot: str
    system: str = ""


@dataclass(frozen=True, slots=True)
class Completeness:
    """How complete one kind of reading is.

    Attributes
    ----------
    kind : Kind
        What is measured.
    wanted : tuple of str
        Plots that it is wanted of.
    have : tuple of str
        Plots with at least one figure; one below detection counts as one.
    few : tuple of str
        Of these, plots with fewer readings than are wanted.
    nothing : tuple of (str, str)
        Plots where nothing but the reason is there, with the reason.
    missing : tuple of str
        Plots of which nothing was heard.
    others : tuple of str
        Plots that are not of the layout.
    partly : tuple of (str, tuple of str)
        Places of which nothing was heard though the plot has other readings, with the plots.
    """

    kind: Kind
    wanted: tuple[str, ...]
    have: tuple[str, ...]
    few: tuple[str, ...]
    nothing: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    others: tuple[str, ...]
    partly: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def whole(self) -> bool:
        """True where every plot has all of its readings."""
        return len(self.have) == len(self.wanted) and not self.few and not self.partly

    def said(self) -> str:
        """Return it in a sentence."""
        text = f"{len(self.have)} of {len(self.wanted)} plots have {self.kind.label}"
        text += f"; nothing from {_some(self.missing)}" if self.missing else ""
        text += f"; no figure from {_some([f'{plot} ({why})' for plot, why in self.nothing])}" if self.nothing else ""
        text += f"; fewer than {self.kind.count} readings from {_some(self.few)}" if self.few else ""
        text += "".join(f"; nothing at {place} from {_some(plots)}" for place, plots in self.partly)
        return text + (f"; not of the layout: {_some(self.others)}" if self.others else "")


def plots_of(plan: Plan, laid: Laid | None = None) -> tuple[Wanted, ...]:
    """Return the plots of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.
    laid : Laid, optional
        Its layout.  Left out: drawn from the seed of the plan; without a seed as many plots as the design has systems in
        its blocks, whose systems are not known; without a design one plot a system.

    Returns
    -------
    tuple of Wanted
        In the order of their numbers: block times hundred and position.
    """
    from spadework.statistics.designs.randomise import lay

    said, asked = plan.design, asked_of(plan)
    if laid is None and asked is not None and said is not None and said.seed is not None:
        laid = lay(asked, said.seed)
    if laid is not None:
        return tuple(Wanted(str(plot.number), plot.labels[0]) for plot in laid.rows)
    if asked is not None:  # how many plots there are does not depend on the draw
        return tuple(Wanted(str(plot.number)) for plot in lay(asked, 0).rows)
    return tuple(Wanted(str(_PER_BLOCK + place), system.name) for place, system in enumerate(plan.systems, 1))


def completeness(
    readings: Iterable[Reading], plots: Sequence[Wanted], kinds: Sequence[Kind], places: Places | None = None
) -> tuple[Completeness, ...]:
    """Return how complete each kind of reading is.

    Parameters
    ----------
    readings : iterable of Reading
        What counts now, from :meth:`spadework.records.store.store.Store.current`.
    plots : sequence of Wanted
        Plots of the layout.
    kinds : sequence of Kind
        What is wanted of every plot.
    places : Mapping, optional
        Where in a plot it is wanted, from :func:`spadework.records.sheets.field_sheets.places_in_plots`.

    Returns
    -------
    tuple of Completeness
        One for each kind, in their order.

    Examples
    --------
    >>> from spadework.records.kinds import reading_kinds
    >>> from spadework.records.reading_row import new_reading
    >>> dry = reading_kinds()["harvest", "dry_matter_pct"]
    >>> rows = [new_reading("harvest", "dry_matter_pct", value, plot=plot, sample=n, taken_at="2026-09-20", person="AB")
    ...     for plot, n, value in (("101", 1, 33.2), ("101", 2, 34.0), ("102", 1, 31.5), ("103", 1, "missing"))]
    >>> completeness(rows, [Wanted(plot) for plot in ("101", "102", "103", "104")], [dry])[0].said()
    '2 of 4 plots have dry matter of the sample; nothing from 104; no figure from 103 (missing); fewer than 2 readings from 102'
    """
    found: dict[tuple[str, str], dict[str, list[Reading]]] = {}
    for one in readings:
        found.setdefault((one.record, one.field), {}).setdefault(one.plot, []).append(one)
    names = tuple(dict.fromkeys(one.plot for one in plots))
    out = []
    for kind in kinds:
        there = found.get((kind.record, kind.field), {})
        figures = {
            plot: sum(one.value is not None or one.nothing == BELOW_DETECTION for one in rows)
            for plot, rows in there.items()
        }
        have = tuple(plot for plot in names if figures.get(plot))
        least = kind.count if kind.per == "plot" else 1
        by_system = (places or {}).get((kind.record, kind.per), {})
        lacking: dict[str, list[str]] = {}
        for plot in plots:
            at = {row.place for row in there.get(plot.plot, ())}
            for place in by_system.get(plot.system, by_system.get("", ())) if at else ():
                if place not in at:
                    lacking.setdefault(place, []).append(plot.plot)
        out.append(
            Completeness(
                kind,
                names,
                have,
                tuple(plot for plot in have if figures[plot] < least),
                tuple((plot, _why(there[plot])) for plot in names if plot in there and not figures[plot]),
                tuple(plot for plot in names if plot not in there),
                tuple(sorted(set(there) - set(names))),
                tuple((place, tuple(lacked)) for place, lacked in lacking.items()),
            )
        )
    return tuple(out)


def _why(rows: Sequence[Reading]) -> str:
    return ", ".join(dict.fromkeys(one.nothing for one in rows))


def _some(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_SHOWN])
    return shown if len(names) <= _SHOWN else f"{shown} and {len(names) - _SHOWN} more"
