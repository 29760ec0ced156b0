"""What a layout can show before anything is sown: smallest and detectable differences, blocks and fields wanted.

All scatters, differences and margins are shares of the mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from spadework.ranges import require
from spadework.reference import constants
from spadework.statistics.designs.layouts import Asked, Comparison, comparisons, standing_of
from spadework.statistics.power.detectable import (
    detectable_difference,
    least_difference,
    power_of_difference,
    smallest_p,
)
from spadework.statistics.power.errors import fields_df, sed_of_fields
from spadework.statistics.power.margin import power_of_no_worse

__all__ = ["Fields", "Foretold", "Scatter", "Seen", "foretell"]

_STEPS: Final = (2, 3, 4, 6, 8, 12)  # fields
_BY_SHUFFLE: Final = ("complete blocks", "pairs")


@dataclass(frozen=True)
class Scatter:
    """A scatter against the mean: middle, and what it may well lie between.

    Attributes
    ----------
    value, low, high : float
        Shares of the mean [1].
    """

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        require("low, value and high", [self.low, self.value, self.high], 0, 1, above=True)
        if not self.low <= self.value <= self.high:
            raise ValueError("a scatter must lie between its low and its high")


@dataclass(frozen=True)
class Seen:
    """What would be seen of one difference.

    Attributes
    ----------
    comparison : Comparison
        Which two, and with which error.
    scatter : Scatter
        Of its units.
    sed_share : float
        Standard error of the difference [1].
    least_share : float
        Smallest found difference that counts as one [1].
    found_share, found_low_share, found_high_share : float
        True difference that would likely be found, at the scatter and at its low and high [1].
    power : float
        Chance of finding the difference that is wanted [1].
    """

    comparison: Comparison
    scatter: Scatter
    sed_share: float
    least_share: float
    found_share: float
    found_low_share: float
    found_high_share: float
    power: float


@dataclass(frozen=True)
class Fields:
    """What would be seen of the first difference on several host fields.

    Attributes
    ----------
    fields, blocks : int
        Fields, and blocks on each.
    df : int
        Degrees of freedom.
    found_share : float
        True difference that would likely be found [1].
    """

    fields: int
    blocks: int
    df: int
    found_share: float


@dataclass(frozen=True)
class Foretold:
    """What a layout can show.

    Attributes
    ----------
    asked : Asked
        The layout.
    detect_share, chance_share, power_share : float
        What was asked for [1].
    margin_share : float or None
        Loss that would be borne [1]; None where it was not asked.
    seen : tuple of Seen
        Differences, those of the first factor first; empty where nothing is repeated.
    no_worse : float or None
        Chance to find the new no worse by the margin, where in truth it yields the same [1].
    by_blocks : tuple
        Blocks and what would be found of the first difference: middle, low, high [1].
    blocks_wanted : int or None
        Fewest blocks in which the wanted difference would likely be found; None where no number of blocks up to the most
        does it, or the layout cannot have more.
    fields : tuple of Fields
        The same blocks on more fields, and the same strips spread over more fields.
    fields_wanted : int or None
        Fewest fields, with these blocks, on which it would likely be found; None beyond 60.
    floor : float or None
        Smallest chance that re-labelling can give [1]; None for layouts that are not shuffled as a whole.
    """

    asked: Asked
    detect_share: float
    chance_share: float
    power_share: float
    margin_share: float | None
    seen: tuple[Seen, ...]
    no_worse: float | None
    by_blocks: tuple[tuple[int, float, float, float], ...]
    blocks_wanted: int | None
    fields: tuple[Fields, ...]
    fields_wanted: int | None
    floor: float | None


def foretell(
    asked: Asked,
    variation: Scatter,
    variation_within: Scatter,
    field_variation_share: float,
    *,
    detect_share: float,
    chance_share: float,
    power_share: float,
    margin_share: float | None = None,
    host_fields: int = 1,
) -> Foretold:
    """Say what a layout can show.

    Parameters
    ----------
    asked : Asked
        The layout.
    variation : Scatter
        Of plots, whole plots or strips of one block.
    variation_within : Scatter
        Of the parts of a whole plot.
    field_variation_share : float
        Standard deviation of what a field does to a system of its own [1], above 0 to 1.
    detect_share : float
        True difference that is to be found [1], above 0 to 1.
    chance_share, power_share : float
        Chance borne of a false alarm, and chance wanted of finding the difference [1].
    margin_share : float, optional
        Loss that would be borne [1].
    host_fields : int
        Fields of the plan, which the table of fields then holds, 1 to 1000.

    Returns
    -------
    Foretold
        Everything that can be said beforehand.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A layout of one block repeats nothing: no difference is foretold for it.

    Examples
    --------
    >>> from spadework.statistics.designs.layouts import Asked, Factor
    >>> blocks = Asked("complete blocks", (Factor("system", ("plough", "cultivator", "strip")),), 4)
    >>> even = Scatter(0.05, 0.05, 0.05)
    >>> found = foretell(blocks, even, even, 0.04, detect_share=0.1, chance_share=0.05, power_share=0.8)
    >>> round(found.seen[0].found_share, 3), found.blocks_wanted
    (0.119, 6)
    """
    field_sd = float(require("field_variation_share", field_variation_share, 0, 1, above=True))
    wanted = float(require("detect_share", detect_share, 0, 1, above=True))
    rules = constants("design_rules")
    least, most = (int(rules[key].value) for key in ("blocks_least", "blocks_most"))

    def found(comparison: Comparison, scatter: float) -> float:
        return float(detectable_difference(scatter * comparison.factor**0.5, comparison.df, chance_share, power_share))

    scatters = {"sub-plots": variation_within}
    seen: list[Seen] = []
    for each in comparisons(asked) if asked.blocks >= least else ():
        if each.df < 1:
            continue
        scatter = scatters.get(each.units, variation)
        sed = scatter.value * each.factor**0.5
        middle, low, high = (found(each, v) for v in (scatter.value, scatter.low, scatter.high))
        power = float(power_of_difference(wanted, sed, each.df, chance_share))
        seen.append(
            Seen(each, scatter, sed, float(least_difference(sed, each.df, chance_share)), middle, low, high, power)
        )
    by_blocks: list[tuple[int, float, float, float]] = []
    blocks_wanted = None
    for blocks in range(least, most + 1) if asked.kind != "Latin square" else ():
        first = comparisons(replace(asked, blocks=blocks))[0]
        if first.df < 1:
            continue
        middle, low, high = (found(first, v) for v in (variation.value, variation.low, variation.high))
        by_blocks.append((blocks, middle, low, high))
        if blocks_wanted is None and middle <= wanted:
            blocks_wanted = blocks
    require("host_fields", host_fields, 1, 1000)
    steps = sorted({*_STEPS, *([host_fields] if host_fields > 1 else [])})
    over, fields_wanted = _over_fields(asked, variation.value, field_sd, wanted, chance_share, power_share, most, steps)
    no_worse = None
    if seen and margin_share is not None:
        no_worse = float(power_of_no_worse(0.0, margin_share, seen[0].sed_share, seen[0].comparison.df, chance_share))
    shuffled = asked.kind in _BY_SHUFFLE and standing_of(asked) == "replicated"
    return Foretold(
        asked,
        wanted,
        chance_share,
        power_share,
        margin_share,
        tuple(seen),
        no_worse,
        tuple(by_blocks),
        blocks_wanted,
        tuple(over),
        fields_wanted,
        float(smallest_p(len(asked.whole), asked.blocks)) if shuffled else None,
    )


def _over_fields(
    asked: Asked,
    plot_sd: float,
    field_sd: float,
    wanted: float,
    chance: float,
    power: float,
    most: int,
    steps: Sequence[int],
) -> tuple[Sequence[Fields], int | None]:
    """Return what several host fields would show, and how many are wanted."""
    if standing_of(asked) == "looked":
        return [], None

    def on(fields: int, blocks: int) -> Fields:
        laid = asked if asked.kind == "Latin square" else replace(asked, blocks=blocks)
        behind = 2 / comparisons(laid)[0].factor  # plots behind each mean, on a field
        sed = sed_of_fields(field_sd, plot_sd, fields, behind)
        df = int(fields_df(fields, len(asked.factors[0].labels)))
        return Fields(fields, laid.blocks, df, float(detectable_difference(sed, df, chance, power)))

    out = [on(k, asked.blocks) for k in steps]
    spread = [k for k in steps if asked.blocks % k == 0 and k <= asked.blocks and asked.kind != "Latin square"]
    out += [on(k, asked.blocks // k) for k in spread]
    few = next((k for k in range(2, most + 1) if on(k, asked.blocks).found_share <= wanted), None)
    return sorted(out, key=lambda one: (one.fields * one.blocks != asked.blocks, one.fields)), few
