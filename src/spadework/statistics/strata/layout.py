"""A layout as the table of strata wants it: everything meets evenly, or it is refused with the place where it does not."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.statistics.models.groupings import Grouping, grouping_of, joined, uneven_at
from spadework.statistics.models.terms import Term, UnclearModel, read_terms, together

__all__ = ["Layout", "NotBalanced", "layout_of"]


class NotBalanced(UnclearModel):
    """A layout that has no table of strata, because parts of it do not meet evenly."""


@dataclass(frozen=True)
class Layout:
    """A layout that has a table of strata.

    Attributes
    ----------
    readings : FloatArray
        Readings that are there.
    used : NDArray
        Their places in the data.
    terms : tuple of Term
        Fixed terms.
    labels : dict
        Label of each reading, for every fixed factor.
    strata, treated : tuple of (str, Grouping)
        Random and fixed terms as groups of readings; strata with few groups first.
    notes : tuple of str
        What a reader must be told.
    """

    readings: FloatArray
    used: NDArray[np.int64]
    terms: tuple[Term, ...]
    labels: dict[str, NDArray[np.str_]]
    strata: tuple[tuple[str, Grouping], ...]
    treated: tuple[tuple[str, Grouping], ...]
    notes: tuple[str, ...]


def layout_of(data: Mapping[str, ArrayLike], response: str, fixed: str, random: Sequence[str] = ()) -> Layout:
    """Read a layout and refuse it where parts of it do not meet evenly.

    Parameters
    ----------
    data : mapping
        Columns by name, one place for each reading.
    response : str
        Column of the readings [any].
    fixed : str
        Fixed terms.
    random : sequence of str
        Strata.

    Returns
    -------
    Layout
        Readings and groupings.

    Raises
    ------
    NotBalanced
        If two parts do not meet evenly, or the like; the message says where.
    UnclearModel
        If the data cannot carry the terms.

    Examples
    --------
    >>> layout_of({"block": [1, 1, 2], "system": ["a", "b", "a"], "y": [3.0, 4.0, 5.0]}, "y", "system", ["block"])
    Traceback (most recent call last):
    spadework.statistics.strata.layout.NotBalanced: "block" holds 1 readings in one place and 2 in another; use fit_model
    """
    readings = _numbers(data, response)
    used = np.flatnonzero(np.isfinite(readings))
    require("number of readings", used.size, 3, np.inf)
    notes: tuple[str, ...] = ()
    if used.size < readings.size:
        notes = (f"{readings.size - used.size} of {readings.size} readings of {response} are missing and left out",)
    terms = read_terms(fixed)
    wanted = tuple(dict.fromkeys(term for text in random for term in read_terms(text)))
    labels, columns = _columns(data, terms, wanted, used)
    strata = sorted(
        ((":".join(term), grouping_of(together(columns, term))) for term in wanted), key=lambda s: s[1].levels
    )
    treated = [(":".join(term), grouping_of(together(labels, term))) for term in terms]
    _even(strata, treated, used)
    return Layout(readings[used], used, terms, labels, tuple(strata), tuple(treated), notes)


def _numbers(data: Mapping[str, ArrayLike], response: str) -> FloatArray:
    if response not in data:
        raise UnclearModel(f'no column is called "{response}"; there are: {", ".join(data)}')
    try:
        return np.asarray(data[response]).astype(np.float64)
    except ValueError:
        raise UnclearModel(f"{response} holds text where numbers are wanted") from None


def _columns(
    data: Mapping[str, ArrayLike], terms: Sequence[Term], wanted: Sequence[Term], used: NDArray[np.int64]
) -> tuple[dict[str, NDArray[np.str_]], dict[str, NDArray[np.str_]]]:
    """Return the labels of the fixed factors, and of all that is named."""
    names = tuple(dict.fromkeys(name for term in (*terms, *wanted) for name in term))
    if missing := [name for name in names if name not in data]:
        raise UnclearModel(f'no column is called "{sorted(missing)[0]}"; there are: {", ".join(data)}')
    kept = {name: together({name: np.asarray(data[name])[used]}, (name,)) for name in names}
    if taken := [name for name in ("within", "residual") if (name,) in (*terms, *wanted)]:
        raise UnclearModel(
            f'"{taken[0]}" has a meaning of its own in the table of strata; call that column something else'
        )
    fixed = tuple(dict.fromkeys(name for term in terms for name in term))
    for name in fixed:
        if np.asarray(data[name]).dtype.kind in "fiu":
            raise NotBalanced(
                f'"{name}" holds numbers, which makes it a covariate, and the table of strata takes none; '
                "make its labels text if it is a factor, or use fit_model"
            )
        if np.unique(kept[name]).size < 2:
            raise UnclearModel(f'"{name}" has one label only ("{kept[name][0]}"); nothing can be compared')
    for term in wanted:
        said, count = ":".join(term), np.unique(together(kept, term)).size
        if term in terms:
            raise UnclearModel(f'"{said}" is a fixed and a random term; allowed: one of the two')
        if count < 2:
            raise UnclearModel(f'random term "{said}" has one label only; without a second one nothing is replicated')
        if count == used.size:
            raise UnclearModel(
                f'random term "{said}" has a label of its own for every reading; the readings inside stand for it already'
            )
    return {name: kept[name] for name in fixed}, kept


def _even(
    strata: Sequence[tuple[str, Grouping]], treated: Sequence[tuple[str, Grouping]], used: NDArray[np.int64]
) -> None:
    """Refuse a layout that has no table of strata."""
    for name, grouping in strata:
        if np.ptp(grouping.counts):
            few, many = int(grouping.counts.min()), int(grouping.counts.max())
            raise NotBalanced(f'"{name}" holds {few} readings in one place and {many} in another; use fit_model')
    for (name, one), (other, two) in itertools.combinations((*strata, *treated), 2):
        at = uneven_at(one, two)
        if at is not None:
            raise NotBalanced(
                f'"{name}" and "{other}" do not meet evenly (see reading {int(used[at]) + 1}); use fit_model'
            )
    known = {grouping.key for _, grouping in strata}
    for (name, one), (other, two) in itertools.combinations(strata, 2):
        if one.key == two.key:
            raise UnclearModel(f'"{name}" and "{other}" are two names for the same groups; leave one out')
        common = joined(one, two)
        if common.levels > 1 and common.key not in known:
            raise NotBalanced(f'"{name}" and "{other}" lie in common places that are no stratum; name those too')
