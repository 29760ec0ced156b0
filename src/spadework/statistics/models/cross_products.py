"""What a mixed model needs of its data: sums of products, gathered by independent groups of rows.

Levels of random terms that share rows hang together; rows of groups that do not hang together are independent (blocks
of one field, fields of one series).  Groups with the same numbers of levels are stacked, so that one sweep of small
matrices serves all of them, and nothing of the size rows by rows is ever made.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

__all__ = ["CrossProducts", "Stack", "codes_of", "cross_products"]

IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class Stack:
    """Independent groups of rows with the same numbers of levels in every random term.

    Attributes
    ----------
    terms : IntArray
        Random term of each level of a group, in the order of the model's terms.
    levels : IntArray
        Place among all levels of the model, shape (groups, levels).
    zz : FloatArray
        Sums of products of the levels with each other, shape (residual groups, groups, levels, levels).
    zb : FloatArray
        The same with the fixed columns and the readings, shape (residual groups, groups, levels, columns + 1).
    """

    terms: IntArray
    levels: IntArray
    zz: FloatArray
    zb: FloatArray


@dataclass(frozen=True)
class CrossProducts:
    """Sums of products of a whole data set.

    Attributes
    ----------
    names : tuple of str
        Random terms.
    stacks : tuple of Stack
        Independent groups, by their shape.
    bb : FloatArray
        Products of fixed columns and readings, shape (residual groups, columns + 1, columns + 1).
    rows : FloatArray
        Rows in each residual group.
    shift : float
        Taken off the readings beforehand, for the sake of digits.
    shift_effect : FloatArray
        Fixed effects that give a reading of one everywhere; nought where the fixed columns cannot.
    level_count : int
        Levels of all random terms together.
    """

    names: tuple[str, ...]
    stacks: tuple[Stack, ...]
    bb: FloatArray
    rows: FloatArray
    shift: float
    shift_effect: FloatArray
    level_count: int


def codes_of(labels: ArrayLike) -> tuple[IntArray, int]:
    """Return the number of each label among the sorted labels, and how many there are."""
    named, codes = np.unique(np.asarray(labels), return_inverse=True)
    return codes.astype(np.int64).reshape(-1), named.size


def cross_products(
    readings: ArrayLike,
    fixed: ArrayLike,
    random: Mapping[str, ArrayLike],
    residual: ArrayLike | None = None,
) -> CrossProducts:
    """Gather the sums of products of readings, fixed columns and random terms.

    Parameters
    ----------
    readings : array_like
        Readings [any], one row of them, -1e12 to 1e12.
    fixed : array_like
        Columns of the fixed part [any], shape (readings, columns), of full rank.
    random : mapping
        Name of every random term and the label of each reading in it; may be empty.
    residual : array_like, optional
        Label of the residual variance of each reading; left out: one for all.

    Returns
    -------
    CrossProducts
        The sums, by independent groups.

    Raises
    ------
    ImpossibleValue
        If a reading or a fixed column holds no number, or there are no more readings than fixed columns.
    ValueError
        If shapes do not fit, or the fixed columns are not of full rank.
    """
    from scipy.sparse import csr_matrix

    y = require("readings", readings, -1e12, 1e12)
    x = require("fixed", fixed, -1e12, 1e12)
    if y.ndim != 1 or x.ndim != 2 or x.shape[0] != y.size:
        raise ValueError("`readings` must be one row, and `fixed` must have a row for each of them")
    require("number of readings", y.size, x.shape[1] + 1, np.inf)
    if np.linalg.matrix_rank(x / np.maximum(np.abs(x).max(axis=0), 1e-300)) < x.shape[1]:
        raise ValueError("`fixed` holds columns that say the same; leave out those that others add up to")
    shift = float(y.mean())
    effect: FloatArray = np.asarray(np.linalg.lstsq(x, np.ones(y.size), rcond=None)[0], dtype=np.float64)
    if np.abs(x @ effect - 1).max() > 1e-9:
        shift, effect = 0.0, np.zeros(x.shape[1])
    b = np.column_stack([x, y - shift])
    groups, group_count = codes_of(np.zeros(y.size) if residual is None else residual)
    columns, terms = _levels(random, y.size)
    z = csr_matrix(
        (np.ones(columns.size), (np.tile(np.arange(y.size), len(random)), columns.ravel())), shape=(y.size, terms.size)
    )
    stacks = _stacks(z, b, terms, groups, group_count) if terms.size else ()
    each = [groups == g for g in range(group_count)]
    bb = np.stack([b[rows].T @ b[rows] for rows in each])
    sizes = np.array([rows.sum() for rows in each], dtype=np.float64)
    return CrossProducts(tuple(random), stacks, bb, sizes, shift, effect, terms.size)


def _levels(random: Mapping[str, ArrayLike], rows: int) -> tuple[IntArray, IntArray]:
    """Return the level of each row in each term, counted through all terms, and the term of each level."""
    columns, terms, before = [], [], 0
    for number, (name, labels) in enumerate(random.items()):
        codes, count = codes_of(labels)
        if codes.size != rows:
            raise ValueError(f'random term "{name}" must have a label for each reading')
        columns.append(codes + before)
        terms.append(np.full(count, number))
        before += count
    if not columns:
        return np.empty((0, rows), dtype=np.int64), np.empty(0, dtype=np.int64)
    return np.stack(columns), np.concatenate(terms).astype(np.int64)


def _stacks(
    z: csr_matrix[np.float64], b: FloatArray, terms: IntArray, groups: IntArray, group_count: int
) -> tuple[Stack, ...]:
    from scipy.sparse.csgraph import connected_components

    _, part = connected_components(z.T @ z, directed=False)
    order = np.lexsort((np.arange(terms.size), part))  # within a group: by term, as levels are counted
    starts = np.flatnonzero(np.diff(part[order], prepend=-1))
    place = np.empty(terms.size, dtype=np.int64)
    sizes = np.diff(np.append(starts, terms.size))
    place[order] = np.arange(terms.size) - np.repeat(starts, sizes)
    members = np.split(order, starts[1:])
    by_shape: dict[tuple[int, ...], list[int]] = {}
    for number, levels in enumerate(members):
        by_shape.setdefault(tuple(terms[levels].tolist()), []).append(number)
    shape_of = np.empty(len(members), dtype=np.int64)
    place_of = np.empty(len(members), dtype=np.int64)
    stacks = []
    for number, (shape, parts) in enumerate(by_shape.items()):
        shape_of[parts], place_of[parts] = number, np.arange(len(parts))
        size = len(shape)
        stacks.append(
            Stack(
                np.array(shape),
                np.stack([members[k] for k in parts]),
                np.zeros((group_count, len(parts), size, size)),
                np.zeros((group_count, len(parts), size, b.shape[1])),
            )
        )
    for group in range(group_count):
        here = z[groups == group]
        products = (here.T @ here).tocoo()
        with_b = here.T @ b[groups == group]
        for number, stack in enumerate(stacks):
            mine = shape_of[part[products.row]] == number
            row, column = products.row[mine], products.col[mine]
            stack.zz[group, place_of[part[row]], place[row], place[column]] = products.data[mine]
            stack.zb[group] = with_b[stack.levels]
    return tuple(stacks)
