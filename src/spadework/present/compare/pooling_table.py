"""What several fields say together, as plain text of at most 100 columns."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from spadework import __version__
from spadework.present.table import wrapped
from spadework.records.files.pooling import FieldDifferences
from spadework.statistics.fields.pooling import Pooled, chance_above

__all__ = [
    "POOL_STANDING",
    "WAYS_SAID",
    "chances_sentence",
    "doubts",
    "figure",
    "mean_sentence",
    "new_field_sentence",
    "places_of",
    "pooling_text",
    "reckoned",
    "standing_said",
]

WAYS_SAID: Final = {
    "fixed": "all fields taken for truly alike",
    "dersimonian_laird": "variance between fields after DerSimonian and Laird",
    "reml": "variance between fields by restricted likelihood",
    "paule_mandel": "variance between fields after Paule and Mandel",
}
POOL_STANDING: Final = {
    "replicated": "replicated: randomised blocks in every field",
    "strips": "strips: at least one field has replicated strips that were not randomised",
    "": "standing not said for every field: each needs replicated plots of its own",
}
_FEW: Final = 5


def standing_said(read: FieldDifferences) -> str:
    """Return the standing of fields that are pooled, in words."""
    return POOL_STANDING[read.standing]


def pooling_text(
    read: FieldDifferences, found: Pooled, without: Sequence[Pooled], *, unit: str, limit: float | None = None
) -> str:
    """Return what several fields say together as plain text.

    Parameters
    ----------
    read : FieldDifferences
        The fields.
    found : Pooled
        All of them together.
    without : sequence of Pooled
        Without each in turn; empty below three fields.
    unit : str
        Unit of all figures.
    limit : float, optional
        Difference that pays.

    Returns
    -------
    str
        Lines of at most 100 columns, without special signs.
    """
    places = places_of(found)
    out = [
        "What several fields say together",
        *wrapped(f"{standing_said(read)}."),
        "",
        *wrapped(mean_sentence(found, unit)),
        *wrapped(new_field_sentence(found, places, unit)),
        *wrapped(chances_sentence(found, limit, unit)),
        "",
        f"  {'field':<26}{'difference':>12}{'se':>10}{'weighs':>9}{'mean without it':>19}",
    ]  # fmt: skip
    for i, name in enumerate(read.fields):
        left = figure(without[i].difference, places) if without else "-"
        shown = name if len(name) <= 24 else name[:23] + "~"
        out.append(
            f"  {shown:<26}{figure(float(read.difference[i]), places):>12}{float(read.standard_error[i]):>10.{places}f}"
            f"{100 * float(found.weights[i]):>7.0f} %{left:>19}"
        )
    out += ["", "How it was reckoned"]
    out += [line for text in reckoned(found, places, unit) for line in wrapped(text, "  ", "- ")]
    out += ["", "What to keep in mind"]
    out += [line for text in doubts(found, without, places) for line in wrapped(text, "  ", "- ")]
    return "\n".join([*out, "", f"spadework {__version__}"]).replace("−", "-").replace("–", "-")


def mean_sentence(found: Pooled, unit: str) -> str:
    """Return the mean over all fields with its interval."""
    places = places_of(found)
    low, high = (figure(end, places) for end in found.interval)
    sure = f"{100 * found.confidence_share:g} %"
    mean = figure(found.difference, places)
    return f"Mean difference {mean} {unit} ({sure} interval {low} to {high}), {found.fields} fields."


def places_of(found: Pooled) -> int:
    """Return the decimals that the interval of the mean can bear."""
    wide = found.interval[1] - found.interval[0]
    return min(4, max(0, 2 - math.floor(math.log10(wide)))) if wide > 0 else 2


def figure(value: float, places: int) -> str:
    """Return a difference with its sign; nought has none."""
    text = f"{value:+.{places}f}"
    return text if float(text) else text.lstrip("+-")


def new_field_sentence(found: Pooled, places: int, unit: str) -> str:
    """Return what a further field may show."""
    if found.way == "fixed":
        return "Taken for truly alike, a new field has the same true difference; that is an assumption, not a finding."
    low, high = (figure(end, places) for end in found.new_field)
    if math.isnan(found.new_field[0]):
        return "Two fields say nothing about a third one."
    return f"In a new field like these the true difference lies between {low} and {high} {unit}."


def chances_sentence(found: Pooled, limit: float | None, unit: str) -> str:
    """Return how likely the mean lies above nought, and above what pays."""
    above = float(chance_above(found.difference, found.used_se, found.df))
    text = f"That the mean over such fields is above nought is {_percent(above)} likely"
    if limit is not None:
        pays = float(chance_above(found.difference, found.used_se, found.df, limit))
        text += f"; that it is above {limit:g} {unit}, {_percent(pays)}"
    return text + " (from these readings alone, flat priors)."


def _percent(share: float) -> str:
    return "over 99 %" if share > 0.99 else "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"


def reckoned(found: Pooled, places: int, unit: str) -> Iterator[str]:
    """Yield how the fields were put together."""
    yield f"{WAYS_SAID[found.way][0].upper()}{WAYS_SAID[found.way][1:]}; fields weigh by one over their whole variance."
    yield (
        f"Fields scatter with Q {found.scatter.q:.2f} on {_degrees(found.scatter.df)}; chance alone gives as much "
        f"in {_percent(found.scatter.p)} of cases."
    )
    if found.way != "fixed":
        yield (
            f"True differences differ from field to field with a standard deviation of {found.between_sd:.{places}f} {unit}; "
            f"that is {100 * found.between_share:.0f} % of all scatter (I2)."
        )
        yield (
            f"Standard error of the mean {found.standard_error:.{places}f}, by the scatter of the fields (Knapp and Hartung) "
            f"{found.knapp_hartung_se:.{places}f}; the larger one is used, with t on {_degrees(found.fields - 1)}."
        )


def _degrees(count: int) -> str:
    return "1 degree of freedom" if count == 1 else f"{count} degrees of freedom"


def doubts(found: Pooled, without: Sequence[Pooled], places: int) -> Iterator[str]:
    """Yield what to keep in mind."""
    if found.fields < _FEW:
        yield f"{found.fields} fields hardly show how much fields differ; a variance of nought does not show that they agree."
    if found.way != "fixed" and found.knapp_hartung_se < found.standard_error:
        yield "The fields agree better than their own standard errors let one expect; that is luck, or errors given too large."
    if found.scatter.p < 0.1:
        yield "The fields differ by more than chance: ask what differs (soil, spring, slurry) before trusting a mean."
    if without:
        ends = sorted(one.difference for one in without)
        yield f"Without one field the mean lies between {figure(ends[0], places)} and {figure(ends[-1], places)}."
    yield "Fields that were called off or not reported are missing here, and may be those that would have said something else."
    yield "An interval that holds nought does not say that there is no difference."
