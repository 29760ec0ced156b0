"""What stands beside a finding and never replaces it: the drawing alone, another layout than declared, neighbours as alike."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.findings.compare_label import across_hint, laid_otherwise
from spadework.findings.compare_layout import Layout
from spadework.findings.compare_parts import Opinion, Question, SecondOpinion
from spadework.findings.compare_shuffled import shuffling
from spadework.ranges import FloatArray
from spadework.records.files.readings import Readings
from spadework.reference import constants
from spadework.statistics.designs.layouts import Asked
from spadework.statistics.residuals.neighbours import spatial_sensitivity

if TYPE_CHECKING:
    from spadework.findings.compare_parts import Finding

__all__ = ["guarded", "second_opinion"]

_K = constants("compare_guards")
_ROW, _COLUMN = "place row", "place column"


def guarded(
    found: Finding, plots: Readings, used: NDArray[np.bool_], layout: Layout, design: Asked | None, asked: Question
) -> Finding:
    """Return a finding with its guards; means, differences and tests stay as they are.

    Parameters
    ----------
    found : Finding
        With differences.
    plots : Readings
        One place for each plot.
    used : NDArray
        Which plots count.
    layout : Layout
        Of these plots.
    design : Asked or None
        The layout as it was declared.
    asked : Question
        What was asked.
    """
    values = np.where(used, plots.values[asked.quantity], np.nan)
    return replace(
        found,
        shuffling=shuffling(plots, values, layout, design, found),
        otherwise=laid_otherwise(plots, values, design, asked, found),
        second=second_opinion(plots, values, layout, found),
        warnings=(*found.warnings, *across_hint(plots, values, design, asked)),
    )


def second_opinion(plots: Readings, values: FloatArray, layout: Layout, found: Finding) -> SecondOpinion | None:
    """Return differences with neighbours taken as alike; None where rows and columns are not known or plots are few.

    Parameters
    ----------
    plots : Readings
        One place for each plot.
    values : FloatArray
        Readings that count; NaN for every plot that does not count.
    layout : Layout
        Of these plots.
    found : Finding
        With differences.
    """
    labels = plots.labels
    if "row" not in labels or "column" not in labels or np.isfinite(values).sum() < _K.second_opinion_plots:
        return None
    if any((labels[name] == "").any() for name in ("row", "column")):
        return None
    systems = tuple(one.system for one in found.differences)
    if "field" in layout.data:
        return SecondOpinion(systems, (), "Not tried: plots of several fields or years are no neighbours.")
    data: dict[str, ArrayLike] = {**layout.data, "reading": values}
    try:
        data |= {_ROW: labels["row"].astype(int), _COLUMN: labels["column"].astype(int)}
    except ValueError:
        return SecondOpinion(systems, (), "Not tried: rows and columns are no whole numbers.")
    try:
        beside = spatial_sensitivity(data, "reading", layout.fixed, layout.random, _ROW, _COLUMN, "system")
    except (ValueError, np.linalg.LinAlgError) as reason:
        return SecondOpinion(systems, (), f"Neighbours could not be taken as alike: {reason}.")
    at, sign = [], []
    for name in systems:
        way = 1.0 if (found.baseline, name) in beside.pairs else -1.0
        at.append(beside.pairs.index((found.baseline, name) if way > 0 else (name, found.baseline)))
        sign.append(way)
    opinions = tuple(
        Opinion(
            one.name,
            tuple((one.estimates[at] * sign).tolist()),
            tuple(one.se[at].tolist()),
            tuple(note for note in one.notes if not note.startswith("a second opinion")),
        )
        for one in beside.opinions[1:]
    )
    said = beside.sentence
    return SecondOpinion(systems, opinions, said[0].upper() + said[1:] + ".")
