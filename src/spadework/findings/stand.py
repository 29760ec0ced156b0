"""What counts of plants behind row units say: the stand of each unit with its interval, and units that are low everywhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spadework.ranges import FloatArray
from spadework.records.files.stand_counts import COLUMNS, StandCount
from spadework.records.kinds import reading_kinds
from spadework.science.seedbed.emergence.counts import count_high, count_low, plants_per_ha
from spadework.statistics.counts import dispersion, rate_ratio, unit_stands

__all__ = ["Standing", "SystemStand", "UnitStand", "find_stand"]

_FEWEST = 2
_MOST_SAID = 3
_M2_PER_HA = 10_000


@dataclass(frozen=True)
class Standing:
    """Plants per hectare with the exact interval of the count behind it.

    Attributes
    ----------
    plants : int
        Counted.
    length_m : float
        Of row.
    per_ha, low, high : float
        Plants per hectare and its interval, chance of counting alone.
    """

    plants: int
    length_m: float
    per_ha: float
    low: float
    high: float


@dataclass(frozen=True)
class UnitStand:
    """One row unit.

    Attributes
    ----------
    unit : int
        On the machine, from the left, seen forwards.
    stand : Standing
        Over all places.
    ratio, low, high : float
        Against the mean of the others, with an interval; all intervals hold at once.
    is_low : bool
        True where the whole interval lies under 1.
    low_in : int
        Places in which the unit stands below the mean of the others.
    """

    unit: int
    stand: Standing
    ratio: float
    low: float
    high: float
    is_low: bool
    low_in: int


@dataclass(frozen=True)
class SystemStand:
    """One system: its stand over all units, and over those that are not low."""

    name: str
    stand: Standing
    without_low: Standing


@dataclass(frozen=True)
class StandFound:
    """What was found.

    Attributes
    ----------
    units : tuple of UnitStand
        In order.
    places : int
        Blocks, times systems where the table names them.
    by_places : bool
        True where the scatter is that of units by places; False where chance of counting is all there is.
    all, without_low : Standing
        Over all units, and over those that are not low.
    systems : tuple of SystemStand
        As named in the table, in the order in which they first come; empty where none is.
    scatter : float
        Scatter of the units' counts against chance; 1 is chance.
    confidence_share : float
        Of the intervals.
    doubts : tuple of str
        Counts and lengths that are hardly possible or unusual; to be looked at before anything is made of the rest.
    remarks : tuple of str
        What a reader must be told.
    """

    units: tuple[UnitStand, ...]
    places: int
    by_places: bool
    all: Standing
    without_low: Standing
    systems: tuple[SystemStand, ...]
    scatter: float
    confidence_share: float
    doubts: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def low_units(self) -> tuple[int, ...]:
        """Units that are low."""
        return tuple(one.unit for one in self.units if one.is_low)


def find_stand(counts: Sequence[StandCount], row_spacing_m: float, confidence_share: float = 0.95) -> StandFound:
    """Find the stand of every row unit and those that are low.

    Parameters
    ----------
    counts : sequence of StandCount
        Two units or more, and a plant among them.
    row_spacing_m : float
        Distance between rows [m].
    confidence_share : float
        Of the intervals [1], 0.5 to 0.9999.

    Raises
    ------
    ValueError
        If there are fewer than two units, or no plant in any line.

    Notes
    -----
    Where every unit was counted in two places or more, a unit is held against the others over the places, and their scatter is
    that of units by places.  Else only the chance of counting is known, and a unit that differs in the one place may be the
    place.
    """
    units = sorted({count.unit for count in counts})
    places = list(dict.fromkeys((count.block, count.system) for count in counts))
    if len(units) < _FEWEST:
        raise ValueError(f"two row units or more must be counted; these counts are of {len(units)}")
    if not any(count.plants for count in counts):
        what = "holds 0 plants in every line, and units that all stand at nothing cannot be held against one another"
        raise ValueError(f"{what}; leave the cell empty where nobody counted, and count again once plants are up")
    plants, metres = np.zeros((len(places), len(units))), np.zeros((len(places), len(units)))
    for count in counts:
        at = places.index((count.block, count.system)), units.index(count.unit)
        plants[at] += count.plants
        metres[at] += count.length_m
    remarks = []
    whole = (metres > 0).all(axis=1)
    by_places = int(whole.sum()) >= _FEWEST
    if by_places and not whole.all():
        remarks.append(
            f"{int((~whole).sum())} of {len(places)} places lack a unit: they count in the stand, not in the search for a low "
            "unit"
        )
    if by_places:
        found = unit_stands(plants[whole], metres[whole], confidence_share)
        held = [(float(a), float(b), float(c)) for a, b, c in zip(found.ratio, found.low, found.high, strict=True)]
    else:
        held = _by_chance(plants.sum(axis=0), metres.sum(axis=0), confidence_share)
        remarks.append(
            "no two places in which every unit was counted: only the chance of counting is known, and a low unit may be a bad "
            "place; count every unit in a second block"
        )

    def standing(which: FloatArray, length: FloatArray) -> Standing:
        return _standing(int(which.sum()), float(length.sum()), row_spacing_m, confidence_share)

    made = tuple(
        UnitStand(
            unit, standing(plants[:, place], metres[:, place]), *held[place], held[place][2] < 1,
            _below(plants, metres, place),
        )
        for place, unit in enumerate(units)
    )  # fmt: skip
    fine = np.array([not one.is_low for one in made])
    if not fine.any():
        fine[:] = True
    systems = []
    for name in dict.fromkeys(system for _, system in places if system):
        rows = np.array([system == name for _, system in places])
        here, long = plants[rows], metres[rows]
        systems.append(SystemStand(name, standing(here, long), standing(here[:, fine], long[:, fine])))
    index = dispersion(plants.sum(axis=0), metres.sum(axis=0)).index
    return StandFound(
        made, len(places), by_places, standing(plants, metres), standing(plants[:, fine], metres[:, fine]), tuple(systems),
        index, confidence_share, tuple(_doubts(counts, row_spacing_m, confidence_share)), tuple(remarks),
    )  # fmt: skip


def _standing(plants: int, length_m: float, row_spacing_m: float, confidence_share: float) -> Standing:
    ends = (plants, count_low(plants, confidence_share), count_high(plants, confidence_share))
    mid, low, high = (float(plants_per_ha(one, length_m, row_spacing_m)) for one in ends)
    return Standing(plants, length_m, mid, low, high)


def _doubts(counts: Sequence[StandCount], row_spacing_m: float, confidence_share: float) -> list[str]:
    """Return what is hardly possible or unusual: counts whose stand chance cannot make usual, lengths, the stand in all."""
    usual = reading_kinds()["stand", "plants_m2"].soft
    length = next(column.soft for column in COLUMNS if column.name == "length_m")
    assert usual is not None and length is not None  # noqa: S101, PT018 (both columns have one)
    least = [
        float(plants_per_ha(count_low(one.plants, confidence_share), one.length_m, row_spacing_m)) for one in counts
    ]
    crowded = [
        f"{_where(one)}: {one.plants} plants in {one.length_m:g} m, "
        f"{one.plants / (one.length_m * row_spacing_m):.0f} to the m2"
        for one, low in zip(counts, least, strict=True)
        if low / _M2_PER_HA > usual.high
    ]
    said = []
    if crowded:
        said.append(
            f"{_few(crowded)}: hardly possible in rows {100 * row_spacing_m:g} cm apart, where {usual} to the m2 are usual; "
            "check count, length and row spacing"
        )
    metres = sum(one.length_m for one in counts)
    most = float(plants_per_ha(count_high(sum(one.plants for one in counts), confidence_share), metres, row_spacing_m))
    if most / _M2_PER_HA < usual.low:
        said.append(
            f"all counts together come to less than {most / _M2_PER_HA:.1f} plants to the m2, where {usual} are usual: a thin "
            "stand, or not all were up; check length and row spacing too"
        )
    apart = [f"{_where(one)}: {one.length_m:g} m" for one in counts if not length.holds(one.length_m)]
    if apart:
        said.append(f"{_few(apart)} of row, outside the usual {length} m; kept as written")
    return said


def _where(one: StandCount) -> str:
    return ", ".join([f"block {one.block}", *([one.system] if one.system else []), f"unit {one.unit}"])


def _few(said: Sequence[str]) -> str:
    more = len(said) - _MOST_SAID
    return "; ".join(said[:_MOST_SAID]) + (f"; and {more} more like it" if more > 0 else "")


def _by_chance(plants: FloatArray, metres: FloatArray, confidence_share: float) -> list[tuple[float, float, float]]:
    """Return ratio and interval of each unit against all others, by the chance of counting; all hold at once."""
    each = 1 - (1 - confidence_share) / len(plants)
    out = []
    for place in range(len(plants)):
        others = plants.sum() - plants[place], metres.sum() - metres[place]
        found = rate_ratio(plants[place], metres[place], *others, each)
        out.append((found.ratio, found.low, found.high))
    return out


def _below(plants: FloatArray, metres: FloatArray, place: int) -> int:
    """Return the places in which a unit stands below the mean of the others."""
    others = metres.sum(axis=1) - metres[:, place]
    both = (metres[:, place] > 0) & (others > 0)
    own = plants[both, place] / metres[both, place]
    mean = (plants[both].sum(axis=1) - plants[both, place]) / others[both]
    return int((own < mean).sum())
