"""The layout of the comparison in a plan: blocks, what is drawn and what is not, and what it is to find."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, StringConstraints, ValidationError
from pydantic import Field as Key

from spadework.plan.measures import Measure, Quantity
from spadework.plan.schema.parts import Name, Part

__all__ = ["Design", "DesignFactor", "read_variation"]

_VARIATION = Measure(("%",), 0.1, 60, "6 +/- 2 %")
Variation = Annotated[Quantity, _VARIATION]
Detect = Annotated[Quantity, Measure(("%",), 0.5, 100, "10 %", exact=True)]
Chance = Annotated[Quantity, Measure(("%",), 0.1, 40, "5 %", exact=True)]
Power = Annotated[Quantity, Measure(("%",), 50, 99.9, "80 %", exact=True)]
Margin = Annotated[Quantity, Measure(("t/ha", "%"), 0, 100, "0.5 t/ha", above=True, exact=True)]
PlotWidth = Annotated[Quantity, Measure(("m",), 1, 200, "18 m", exact=True)]
PlotLength = Annotated[Quantity, Measure(("m",), 5, 2_000, "250 m", exact=True)]


def _one_word(text: str) -> str:
    if not text.isidentifier():
        raise ValueError(f'"{text}" is more than a word; write one, of letters, figures and _, e.g. name = "nitrogen"')
    return text


class DesignFactor(Part):
    """A second thing that is compared, crossed with the systems."""

    name: Annotated[str, StringConstraints(max_length=30), AfterValidator(_one_word)] = Key(
        description="One word, such as nitrogen; a column of the readings"
    )
    labels: Annotated[list[Name], Key(min_length=2, max_length=12)] = Key(description="What it can be")
    within: bool = Key(
        False,
        description="True where it differs inside the plots of a system (split plots) or across them (criss-cross)",
    )


class Design(Part):
    """The layout of the comparison in the field."""

    kind: Literal[
        "complete blocks",
        "pairs",
        "Latin square",
        "split plots",
        "criss-cross",
        "strips",
        "repeated check",
        "augmented blocks",
    ] = Key(description="How the plots lie; strips: one order in every block, nothing is drawn")
    blocks: Annotated[int, Key(ge=1, le=60)] = Key(description="How often everything is repeated")
    seed: Annotated[int, Key(ge=0, lt=2**63)] | None = Key(
        None, description="Number from which the layout is drawn; the same number gives the same layout"
    )
    check: list[Name] = Key(
        default_factory=list,
        description="Systems that come again and again: one in a repeated check, two or more in augmented blocks",
    )
    every: Annotated[int, Key(ge=2, le=12)] | None = Key(
        None, description="Strips from check to check, where the check is repeated"
    )
    apart: list[Name] = Key(default_factory=list, description="Systems no two of which may lie side by side")
    edge: Name | None = Key(None, description="A system that must lie at the edge of every block")
    borders: bool = Key(False, description="True where no system may lie beside itself across the border of two blocks")
    order: list[Name] = Key(
        default_factory=list,
        description="All systems in the one order that the machines force; nothing is then drawn",
    )
    few: bool = Key(False, description="True to be let have an error with fewer than 4 degrees of freedom")
    variation: Variation | None = Key(
        None, description="Scatter between plots of one block, against the mean; left out: the guide value"
    )
    variation_within: Variation | None = Key(
        None, description="The same between the parts of a whole plot; left out: as `variation`"
    )
    field_variation: Variation | None = Key(
        None, description="How much a system gains or loses from field to field, against the mean; left out: a guess"
    )
    detect: Detect | None = Key(None, description="True difference that is to be found; left out: 10 %")
    chance: Chance | None = Key(None, description="Chance borne of a false alarm; left out: 5 %")
    power: Power | None = Key(None, description="Chance wanted of finding the difference; left out: 80 %")
    margin: Margin | None = Key(
        None, description="Loss of yield that would be borne, for what the saving pays; left out: not asked"
    )
    host_fields: Annotated[int, Key(ge=1, le=200)] = Key(1, description="Fields, or fields times years, laid out alike")
    plot_width: PlotWidth | None = Key(None, description="Of a plot, for the layout and for an old yield map")
    plot_length: PlotLength | None = Key(None, description="Of a plot, for the layout and for an old yield map")
    blocks_lie: Literal["side by side", "one behind another"] = Key(
        "side by side", description="How the blocks lie, seen along the rows"
    )
    factors: Annotated[list[DesignFactor], Key(alias="factor", max_length=3)] = Key(
        default_factory=list, description="Tables: further things that are compared, crossed with the systems"
    )


def read_variation(text: str) -> Quantity:
    """Read a scatter between plots as a plan would.

    Raises
    ------
    ValueError
        In trade words, if it cannot be.

    Examples
    --------
    >>> read_variation("6 +/- 2 %").fractions
    (0.04, 0.06, 0.08)
    """
    try:
        return _Scatter.model_validate({"variation": text}).variation
    except ValidationError as error:
        raise ValueError(str(error.errors()[0].get("ctx", {}).get("error", error))) from None


class _Scatter(Part):
    variation: Variation
