"""Invented data sets with plots missing, to hold the fitting of models against other software and against full matrices."""

from __future__ import annotations

import csv
import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

Table = dict[str, np.ndarray]
SYSTEMS = ("cultivator", "plough", "strip")


@dataclass(frozen=True)
class MadeSet:
    """A data set, and the model for it."""

    name: str
    data: Table
    fixed: str
    terms: tuple[str, ...]
    random: tuple[str, ...]
    means: tuple[str, ...] = ()
    covariates: tuple[str, ...] = ()
    residual: str = ""


def layout(**factors: object) -> Table:
    """Return every combination of the labels of some factors."""
    rows = list(itertools.product(*factors.values()))
    return {name: np.array([str(row[at]) for row in rows]) for at, name in enumerate(factors)}


def scattered(
    random: np.random.Generator, data: Table, terms: tuple[str, ...], spread: tuple[float, ...]
) -> np.ndarray:
    """Return what the random terms and the residual add, some terms nothing."""
    y = random.normal(0, 1, len(next(iter(data.values()))))
    for term, size in zip(terms, spread, strict=True):
        joined = [" ".join(parts) for parts in zip(*(data[name] for name in term.split(":")), strict=True)]
        _, codes = np.unique(joined, return_inverse=True)
        y = y + random.normal(0, size, codes.max() + 1)[codes]
    return y


def dropped(random: np.random.Generator, data: Table, most: int, cells: tuple[str, ...]) -> Table:
    """Leave out some rows, at least one, but no whole cell of the named factors."""
    size = len(data["y"])
    while True:
        out = random.choice(size, random.integers(1, most + 1), replace=False)
        left = {name: np.delete(column, out) for name, column in data.items()}
        before = {*zip(*(data[name] for name in cells), strict=True)}
        if {*zip(*(left[name] for name in cells), strict=True)} == before:
            return left


def spreads(random: np.random.Generator, many: int) -> tuple[float, ...]:
    """Return how far the levels of each term scatter, against a residual of one; for one in three not at all."""
    return tuple(float(s) for s in random.uniform(0.2, 2.5, many) * (random.random(many) > 1 / 3))


def split_plot(name: str, random: np.random.Generator) -> MadeSet:
    rates = ("000", "060", "120", "180")[: random.integers(2, 5)]
    data = layout(block=range(1, random.integers(3, 7)), system=SYSTEMS, nitrogen=rates)
    terms = ("block", "block:system")
    data["y"] = 40 + scattered(random, data, terms, spreads(random, 2)) + (data["system"] == "strip")
    data = dropped(random, data, max(2, len(data["y"]) // 8), ("system", "nitrogen"))
    fixed = ("system", "nitrogen", "system:nitrogen")
    return MadeSet(name, data, "system * nitrogen", fixed, terms, ("system", "nitrogen", "system:nitrogen"))


def strip_plot(name: str, random: np.random.Generator) -> MadeSet:
    data = layout(
        block=range(1, random.integers(4, 7)),
        system=SYSTEMS,
        slurry=("banded", "broadcast", "none")[: random.integers(2, 4)],
    )
    terms = ("block", "block:system", "block:slurry")
    data["y"] = 15 + scattered(random, data, terms, spreads(random, 3)) + (data["slurry"] == "banded")
    data = dropped(random, data, max(2, len(data["y"]) // 8), ("system", "slurry"))
    fixed = ("system", "slurry", "system:slurry")
    return MadeSet(name, data, "system * slurry", fixed, terms, ("system", "slurry", "system:slurry"))


def blocks(name: str, random: np.random.Generator) -> MadeSet:
    data = layout(block=range(1, random.integers(4, 8)), system=(*SYSTEMS, "till", "zero")[: random.integers(3, 6)])
    data["y"] = -3 + scattered(random, data, ("block",), spreads(random, 1))
    return MadeSet(name, dropped(random, data, 4, ("system",)), "system", ("system",), ("block",), ("system",))


def uneven_plots(name: str, random: np.random.Generator) -> MadeSet:
    plots = layout(field=range(1, random.integers(4, 8)), system=SYSTEMS)
    reads = random.integers(1, 8, len(plots["field"]))
    data = {key: np.repeat(column, reads) for key, column in plots.items()}
    terms = ("field", "field:system")
    data["y"] = 1e3 + 7 * scattered(random, data, terms, spreads(random, 2))
    return MadeSet(name, data, "system", ("system",), terms, ("system",))


def covariate(name: str, random: np.random.Generator, *, slopes: bool) -> MadeSet:
    data = layout(block=range(1, random.integers(4, 7)), system=SYSTEMS, row=("left", "right"))
    data["stand"] = np.round(random.normal(8.5, 0.6, len(data["block"])), 2)
    terms = ("block", "block:system")
    data["y"] = 0.8 * data["stand"] + scattered(random, data, terms, spreads(random, 2))
    data = dropped(random, data, 4, ("system",))
    fixed = ("system", "stand", "system:stand") if slopes else ("system", "stand")
    return MadeSet(name, data, " + ".join(fixed), fixed, terms, ("system",), ("stand",))


def sites(name: str, random: np.random.Generator) -> MadeSet:
    data = layout(
        site=("east", "north", "south", "west", "middle")[: random.integers(4, 6)], block=range(1, 4), system=SYSTEMS
    )
    terms = ("site", "site:block", "site:system")
    data["y"] = 12 + scattered(random, data, terms, spreads(random, 3))
    return MadeSet(name, dropped(random, data, 5, ("system",)), "system", ("system",), terms, ("system",))


def two_scatters(name: str, random: np.random.Generator) -> MadeSet:
    data = layout(block=range(1, 6), system=SYSTEMS, row=range(1, 5))
    terms = ("block", "block:system")
    wide = np.where(data["system"] == "strip", 2.0, np.where(data["system"] == "plough", 0.7, 1.0))
    data["y"] = 9 + scattered(random, data, terms, (1.5, 0.8)) + wide * random.normal(0, 1, len(wide))
    return MadeSet(name, dropped(random, data, 6, ("system",)), "system", ("system",), terms, residual="system")


KINDS = (
    ("split-plot", split_plot, 55),
    ("strip-plot", strip_plot, 45),
    ("blocks", blocks, 30),
    ("uneven plots", uneven_plots, 25),
    ("covariate", lambda name, random: covariate(name, random, slopes=False), 10),
    ("covariate by system", lambda name, random: covariate(name, random, slopes=True), 10),
    ("sites", sites, 15),
    ("scatter by system", two_scatters, 10),
)


def made(count_share: float = 1.0) -> Iterator[MadeSet]:
    """Make the data sets, the same ones every time."""
    for kind, (said, make, many) in enumerate(KINDS):
        for number in range(max(1, round(many * count_share))):
            yield make(f"{said} {number + 1}", np.random.default_rng((20260101, kind, number)))


def write_for_r(sets: list[MadeSet], folder: Path) -> None:
    """Write the data sets as the script in R reads them."""
    with (folder / "sets.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("set", "terms", "random", "residual", "means", "covariates"))
        for one in sets:
            random = "/".join((one.random[0], *one.random[-1].split(":")[1:])) if one.residual else ";".join(one.random)
            writer.writerow(
                (one.name, ";".join(one.terms), random, one.residual, ";".join(one.means), ";".join(one.covariates))
            )
    for one in sets:
        with (folder / f"{one.name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(one.data)
            writer.writerows(zip(*(column.tolist() for column in one.data.values()), strict=True))
