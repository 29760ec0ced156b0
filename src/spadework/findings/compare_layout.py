"""From the layout of plots to what is compared, against which errors, and what the evidence stands for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.plan import Fault, PlanFaults
from spadework.records.files.readings import Readings
from spadework.reference import constants
from spadework.statistics.designs.layouts import Asked, standing_of

__all__ = ["Layout", "layout_of"]

_K = constants("compare_rules")
_NOT_DECLARED: Final = (
    "the layout was not declared: it is read off the file, and the order of the plots is not taken as drawn"
)


@dataclass(frozen=True)
class Layout:
    """What is compared, and against which errors.

    Attributes
    ----------
    kind : str
        Kind of layout in trade words.
    fixed : str
        Fixed terms for :func:`spadework.statistics.strata.analysis.fit_or_strata`.
    random : tuple of str
        Random terms for it.
    standing : str
        ``looked``, ``strips`` or ``replicated``.
    words : tuple of str
        The model in words.
    told : tuple of str
        What a reader must know of the layout.
    data : Mapping
        Columns of labels, one place for each plot, as the terms name them.
    factors : tuple of str
        Further factors, in order.
    """

    kind: str
    fixed: str
    random: tuple[str, ...]
    standing: str
    words: tuple[str, ...]
    told: tuple[str, ...]
    data: Mapping[str, NDArray[np.str_]]
    factors: tuple[str, ...]


def layout_of(plots: Readings, used: NDArray[np.bool_], asked: Asked | None) -> Layout:
    """Return the layout of the plots that were used.

    Parameters
    ----------
    plots : Readings
        One place for each plot, from :func:`spadework.records.files.readings.average_plots`.
    used : NDArray
        Which plots have a reading that counts.
    asked : Asked or None
        The layout as it was declared; None reads it off the file and takes nothing for drawn.

    Returns
    -------
    Layout
        Its standing is ``looked`` where nothing is repeated.

    Raises
    ------
    PlanFaults
        If a column that the layout needs is not there, or the file has a factor of which the layout knows nothing.
    """
    _fits(plots, asked)
    factors = plots.factors
    within = tuple(f.name for f in asked.factors if f.within) if asked is not None else ()
    whole = ("system", *(name for name in factors if name not in within))
    kind = asked.kind if asked is not None else "complete blocks" if "block" in plots.labels else "no blocks"
    data = _data(plots)
    cells = _cells(data, used, ("system", *factors))
    words = [_compared(factors)]
    random: list[str] = []
    fixed = " * ".join(("system", *factors))
    fields = np.unique(data["field"][used]).size if "field" in data else 1
    alone = "ground" not in data and _alone(data, used, ("system", *factors))  # years on one ground replicate nothing
    if fields > 1 and alone:
        random, kind = ["field"], "fields as blocks"
        words.append("fields taken as blocks, a sample of such fields")
    elif fields > 1:
        fixed, more, said = _over_fields(data, used, fixed, fields)
        random += more
        words.append(said)
    if kind == "Latin square":
        random += ["row", "column"]
        words.append("rows and columns taken as a sample")
    elif kind not in ("no blocks", "fields as blocks") and np.unique(data["block"][used]).size > fields:
        random.append("block")
        words.append("blocks taken as a sample of such ground")
    if within and "block" in random:
        said = {"split plots": "the whole plots", "criss-cross": "the strips both ways"}[kind]
        random.append(":".join(("block", *whole)))
        if kind == "criss-cross":
            random.append(":".join(("block", *within)))
        words.append(f"{said} have an error of their own")
    random = [term for term in random if not _each_its_own(data, used, term)]
    standing = "strips" if max(cells.values()) > 1 else "looked"
    if standing == "strips" and asked is not None:
        standing = standing_of(asked) if kind != "fields as blocks" else _of_fields(asked)
    told = [] if asked is not None or standing == "looked" else [_NOT_DECLARED]
    if standing == "replicated" and (line := _same_order(plots, used)):
        told.append(line)
    return Layout(kind, fixed, tuple(random), standing, tuple(words), tuple(told), data, factors)


def _fits(plots: Readings, asked: Asked | None) -> None:
    faults = []
    if asked is not None:
        known = [f.name for f in asked.factors]
        faults += [
            Fault(f"column {name}", "is a factor that the layout of the plan does not have; declare it there")
            for name in plots.factors
            if name not in known
        ]
        faults += [
            Fault(f"column {name}", "is missing; the layout of the plan compares it as well")
            for name in known
            if name not in plots.labels
        ]
        for factor in asked.factors[1:]:
            if factor.name in plots.labels:
                wrong = sorted(set(plots.labels[factor.name].tolist()) - set(factor.labels))
                faults += [
                    Fault(f"column {factor.name}", f'"{name}" is no label of it; allowed: {", ".join(factor.labels)}')
                    for name in wrong
                ]
        needed = ("row", "column") if asked.kind == "Latin square" else ("block",) if asked.blocks > 1 else ()
        faults += [
            Fault(f"column {name}", f"is missing; {asked.kind} cannot be judged without it")
            for name in needed
            if name not in plots.labels
        ]
    if faults:
        raise PlanFaults(faults, plots.file)


def _data(plots: Readings) -> dict[str, NDArray[np.str_]]:
    """Return labels under which a block of one field is not a block of another."""
    labels = plots.labels
    data = {name: labels[name] for name in ("system", *plots.factors)}
    parts = [labels[name] for name in ("site", "year") if name in labels]
    place = None if not parts else parts[0] if len(parts) == 1 else np.char.add(np.char.add(parts[0], ", "), parts[1])
    if place is not None and np.unique(place).size > 1:
        data["field"] = place
    for name in ("block", "row", "column"):
        if name in labels:
            own = np.char.add(f"{name} ", labels[name])
            data[name] = own if "field" not in data else np.char.add(np.char.add(data["field"], ", "), own)
    if "year" in labels and np.unique(labels["year"]).size > 1:
        ground = (
            labels["plot"] if "site" not in labels else np.char.add(np.char.add(labels["site"], ", "), labels["plot"])
        )
        if np.unique(ground).size < ground.size:
            data["ground"] = ground
    return data


def _over_fields(
    data: Mapping[str, NDArray[np.str_]], used: NDArray[np.bool_], fixed: str, fields: int
) -> tuple[str, list[str], str]:
    ground = ["ground"] if "ground" in data else []
    if fields >= _K.fields_random:
        said = f"{fields} fields or years taken as a sample: a system may do better in some than in others"
        return fixed, ["field", "field:system", *ground], said
    said = f"{fields} fields or years, each for itself: the finding holds for these and for no others"
    return f"({fixed}) * field", ground, said


def _cells(data: Mapping[str, NDArray[np.str_]], used: NDArray[np.bool_], names: tuple[str, ...]) -> dict[str, int]:
    joined = ["\x00".join(str(data[name][i]) for name in names) for i in np.flatnonzero(used)]
    return {cell: joined.count(cell) for cell in dict.fromkeys(joined)} or {"": 0}


def _alone(data: Mapping[str, NDArray[np.str_]], used: NDArray[np.bool_], names: tuple[str, ...]) -> bool:
    return "field" in data and max(_cells(data, used, ("field", *names)).values()) == 1


def _of_fields(asked: Asked) -> str:
    """Return the standing of fields with one block each, of a layout that is drawn or not."""
    return standing_of(replace(asked, blocks=max(asked.blocks, 2)))


def _each_its_own(data: Mapping[str, NDArray[np.str_]], used: NDArray[np.bool_], term: str) -> bool:
    """Tell whether a random term has a label for every plot, so that the residual stands for it."""
    counts = _cells(data, used, tuple(term.split(":")))
    return max(counts.values()) == 1 or len(counts) < 2


def _compared(factors: tuple[str, ...]) -> str:
    if not factors:
        return "systems compared plot by plot"
    return f"systems and {', '.join(factors)} compared, alone and together"


def _same_order(plots: Readings, used: NDArray[np.bool_]) -> str:
    """Tell where every block has one and the same order, which a drawing hardly gives."""
    if "block" not in plots.labels or plots.factors or "site" in plots.labels or "year" in plots.labels:
        return ""
    orders = []
    for block in np.unique(plots.labels["block"]):
        here = np.flatnonzero(plots.labels["block"] == block)
        keys = [_position(plots, i) for i in here.tolist()]
        if len(set(keys)) < len(keys) or not all(key is not None for key in keys):
            return ""
        order = [
            str(plots.labels["system"][i]) for _, i in sorted(zip(keys, here.tolist(), strict=True), key=_sort_key)
        ]
        orders.append(order)
    if len(orders) < 2 or any(order != orders[0] for order in orders) or len(set(orders[0])) < len(orders[0]):
        return ""
    if (1 / math.factorial(len(orders[0]))) ** (len(orders) - 1) > _K.order_chance:
        return ""
    return "every block has the same order of systems; look whether it was drawn: if not, these are strips"


def _sort_key(pair: tuple[float | None, int]) -> float:
    """Return what a plot is sorted by."""
    return -1.0 if pair[0] is None else pair[0]


def _position(plots: Readings, place: int) -> float | None:
    for name in ("column", "plot"):
        if name in plots.labels:
            try:
                return float(plots.labels[name][place])
            except ValueError:
                continue
    return None
