"""What a comparison can show, as plain text of at most 100 columns: the answer first, then the layout, then the figures."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from spadework import __version__
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.table import wrapped as _wrapped_anywhere
from spadework.reference import constants
from spadework.statistics.designs.randomise import Laid
from spadework.statistics.power.foretell import Fields, Foretold

__all__ = ["Told", "blocks_text", "headline", "layout_csv", "percent", "standing_words"]

WIDTH: Final = 100
_HOLD: Final = "\ue000"  # stands for a blank at which no line ends
_INVENTED: Final = "INVENTED: farm and figures are made up to show the tool; nothing here is advice."
_COUNTS: Final = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
_STANDING: Final = {
    "replicated": "replicated: every system is repeated, and chance says where it lies",
    "strips": "strips: repeated, but the order, or where the check lies, was not drawn. Soil that changes from strip to strip "
    "may look like a system; the chances below hold only where it does not",
    "looked": "looked: nothing, or not everything, is repeated. It shows how a system works here and proves no difference",
}
_CARE_FOR: Final = ("Turning shafts and moving parts", "Overhead lines", "Alone in the field")


@dataclass(frozen=True)
class Told:
    """What the text is about besides layout and figures.

    Attributes
    ----------
    question : str
        Question of the plan.
    invented : bool
        True where the plan is made up.
    yield_t_ha : float
        Expected yield of the crop [t/ha].
    variation_from : str
        Where the scatter between plots comes from, in words.
    seed_from : str
        Where the seed comes from, in words.
    blocks_lie : str
        How the blocks lie in the field.
    host_fields : int
        Fields of the plan.
    remarks : tuple of str
        What else a reader must be told.
    """

    question: str
    invented: bool
    yield_t_ha: float
    variation_from: str
    seed_from: str
    blocks_lie: str = "side by side"
    host_fields: int = 1
    remarks: tuple[str, ...] = ()


def blocks_text(laid: Laid, found: Foretold, told: Told) -> str:
    """Return what a comparison can show as plain text.

    Parameters
    ----------
    laid : Laid
        The layout.
    found : Foretold
        What it can show.
    told : Told
        What else is said.

    Returns
    -------
    str
        Lines of at most 100 columns, without special signs.
    """
    out = ["What can this comparison show?", *_wrapped(told.question)]
    if told.invented:
        out.append(_INVENTED)
    out += ["", *_wrapped(headline(found, told.yield_t_ha))]
    out += [line for text in _more(found, told) for line in _wrapped(text, "  ", "- ")]
    out += ["", *_layout(laid, told)]
    if found.seen:
        out += ["", *_differences(found, told.yield_t_ha)]
        out += ["", *_strata(laid)]
    if found.fields:
        out += ["", *_fields(found, told)]
    out += ["", "What this leans on", *(line for text in _leans(found, told) for line in _wrapped(text, "  ", "- "))]
    out += ["", "Take care"]
    for caution in CAUTIONS:
        if caution.title in _CARE_FOR:
            out += _wrapped(f"{caution.title}. {caution.text}", "  ", "- ")
    out += [*_wrapped(DEFER, "  "), "", f"spadework {__version__}"]
    return "\n".join(line.translate({0x2212: "-", 0xA0: " ", 0x202F: " "}) for line in out)


def headline(found: Foretold, yield_t_ha: float) -> str:
    """Return the answer in one sentence or two.

    Parameters
    ----------
    found : Foretold
        What the layout can show.
    yield_t_ha : float
        Expected yield [t/ha].
    """
    asked = found.asked
    if not found.seen:
        return (
            "One block shows how each system works on this field, and nothing more: with nothing repeated, a difference "
            "between systems cannot be told from a difference between two places. No chance is worked out for it."
        )
    first = found.seen[0]
    blocks = f"{_count(asked.blocks)} {'rows and columns' if asked.kind == 'Latin square' else 'blocks'}"
    units = first.comparison.units.removesuffix(" along")
    return (
        f"With {blocks} and {units} that differ by {percent(first.scatter.value)} by chance, a true difference of less than "
        f"{percent(first.found_share)} ({first.found_share * yield_t_ha:.1f} t/ha) between "
        f"{_between(first.comparison.what)} will likely stay hidden."
    )


def _more(found: Foretold, told: Told) -> Iterator[str]:
    if not found.seen:
        yield "Repeat it: write blocks = 4 or more into [design]."
        return
    first, wanted = found.seen[0], percent(found.detect_share)
    if first.scatter.high > first.scatter.low:
        yield (
            f"Should plots differ by only {percent(first.scatter.low)}, it is {percent(first.found_low_share)}; by "
            f"{percent(first.scatter.high)}, it is {percent(first.found_high_share)}."
        )
    yield f"A true difference of {wanted} would be found with a chance of {percent(first.power)}."
    if found.asked.kind == "Latin square":
        yield "A Latin square has as many blocks as systems; for more, lay several squares, or complete blocks."
    elif found.blocks_wanted is None:
        most = found.by_blocks[-1][0]
        yield f"No number of blocks up to {most} on this field would likely find {wanted}; ask for a larger difference."
    elif found.blocks_wanted <= found.asked.blocks:
        yield f"For {wanted}, {_count(found.blocks_wanted)} blocks are enough."
    else:
        yield f"To find {wanted}, {_count(found.blocks_wanted)} blocks are needed."
    if found.no_worse is not None and found.margin_share is not None:
        margin = f"{percent(found.margin_share)} ({found.margin_share * told.yield_t_ha:.1f} t/ha)"
        yield (
            f"If the new system truly yields the same, the chance to show that it loses no more than {margin} is "
            f"{percent(found.no_worse)}."
        )
    here = next((f for f in found.fields if (f.fields, f.blocks) == (told.host_fields, found.asked.blocks)), None)
    if here is not None:
        yield (
            f"On the {_count(here.fields)} host fields of this plan, a true difference of less than "
            f"{percent(here.found_share)} will likely stay hidden; that answers for fields like these."
        )
    if found.fields_wanted is not None:
        what = "answers for fields like these, where more blocks on one field answer for that field alone"
        yield (
            f"On {_count(found.fields_wanted)} host fields laid out so, {wanted} would likely be found; that {what}."
        )
    if found.floor is not None and found.floor > found.chance_share:
        yield (
            f"Re-labelling the plots of {_count(found.asked.blocks)} blocks can give no chance under "
            f"{percent(found.floor)}: by the drawing alone, without a model of the scatter, nothing can be shown."
        )


def _layout(laid: Laid, told: Told) -> Iterator[str]:
    asked = laid.asked
    what = "rows and columns" if asked.kind == "Latin square" else "blocks" if asked.blocks > 1 else "block"
    yield f"The layout: {asked.kind}, {_count(asked.blocks)} {what}"
    names = ["/".join(plot.labels) for plot in laid.rows]
    wide = min(max(map(len, names)), 40) + 6
    across = max(1, (WIDTH - 4) // wide)
    for block in range(1, asked.blocks + 1):
        plots = [plot for plot in laid.rows if plot.block == block]
        yield f"  {'row' if asked.kind == 'Latin square' else 'block'} {block}"
        for row in sorted({plot.row for plot in plots}):
            cells = [f"{p.number} {'/'.join(p.labels)[: wide - 6]}" for p in plots if p.row == row]
            for start in range(0, len(cells), across):
                yield "    " + "".join(f"{cell:<{wide}}" for cell in cells[start : start + across]).rstrip()
    said = "nothing was drawn" if laid.standing == "strips" and asked.kind != "repeated check" else "drawn"
    seed = (
        f"{said}; {told.seed_from}"
        if said != "drawn"
        else f"drawn with seed {laid.seed} ({told.seed_from}; {laid.generator})"
    )
    for text in (
        f"Numbers: block times hundred and place. Not to scale; seen along the rows{_lie(laid, told)}.",
        f"{seed[0].upper()}{seed[1:]}.",
        *(f"Kept to, {words}." for words in laid.restricted),
        *(
            [f"{laid.admissible:,} layouts keep to this; each was as likely.".replace(",", " ")]
            if _was_counted(laid)
            else []
        ),
        f"Standing {_STANDING[laid.standing]}.",
        f"Model for its readings: {laid.fixed}; random: {', '.join(laid.random) or 'none'}.",
    ):
        yield from _wrapped(text, "  ")


def _lie(laid: Laid, told: Told) -> str:
    alone = laid.asked.blocks < 2 or laid.asked.kind == "Latin square"
    return "" if alone else f"; in the field the blocks lie {told.blocks_lie}"


def _was_counted(laid: Laid) -> bool:
    return laid.admissible is not None and laid.admissible > 1


def _differences(found: Foretold, yield_t_ha: float) -> Iterator[str]:
    yield "What would be seen of a difference, % of the mean (t/ha)"
    chance = percent(found.detect_share)
    yield (
        f"    {'between':<34}{'scatter':>8}{'se':>7}{'df':>4}{'counts from':>15}{'likely found':>16}"
        f"{'finds ' + chance:>12}"
    )
    for each in found.seen:
        yield (
            f"    {_between(each.comparison.what):<34}{_number(each.scatter.value):>8}{_number(each.sed_share):>7}"
            f"{each.comparison.df:>4}{_both(each.least_share, yield_t_ha):>15}{_both(each.found_share, yield_t_ha):>16}"
            f"{percent(each.power):>12}"
        )
    yield from _wrapped(
        f"se: standard error of the difference. Counts from: the smallest difference in the readings that counts, with a "
        f"chance of {percent(found.chance_share)} of a false alarm. Likely found: the true difference that is found in "
        f"{percent(found.power_share)} of such comparisons.",
        "    ",
    )


def _strata(laid: Laid) -> Iterator[str]:
    rules = constants("design_rules")
    good, better = rules["df_good"].value, rules["df_better"].value
    yield "Errors and their degrees of freedom"
    for each in laid.strata:
        enough = "enough" if each.df >= better else f"enough, {better:g} better" if each.df >= good else "few"
        terms = ", ".join(each.terms)
        yield from _wrapped(f"{each.name}: {each.df} ({enough}), for {terms}", "    ")


def _fields(found: Foretold, told: Told) -> Iterator[str]:
    asked, total = found.asked, found.asked.blocks
    yield "More fields, or more strips? True difference that would likely be found"
    yield f"    {'fields':>6}{'blocks on each':>16}{'blocks in all':>15}{'df':>5}{'likely found':>17}   it answers for"
    one = found.seen[0]
    yield (
        f"    {1:>6}{asked.blocks:>16}{total:>15}{one.comparison.df:>5}{_both(one.found_share, told.yield_t_ha):>17}   "
        "this field alone"
    )
    for each in found.fields:
        yield _field_line(each, told)
    yield from _wrapped(
        "Blocks spread over several fields tell more of a system than as many on one: each field brings its own soil, day and "
        "slurry, which blocks of one field have in common. A year counts as another field.",
        "    ",
    )


def _field_line(each: Fields, told: Told) -> str:
    mark = "fields like these" + (" (this plan)" if each.fields == told.host_fields else "")
    return (
        f"    {each.fields:>6}{each.blocks:>16}{each.fields * each.blocks:>15}{each.df:>5}"
        f"{_both(each.found_share, told.yield_t_ha):>17}   {mark}"
    )


def _leans(found: Foretold, told: Told) -> Iterator[str]:
    yield f"Scatter between plots: {told.variation_from}."
    yield f"Expected yield {told.yield_t_ha:g} t/ha, the same for all systems."
    yield "Estimated beforehand; the scatter of the year decides. Count on some plots being lost."
    yield from told.remarks


def layout_csv(laid: Laid, *, invented: bool) -> str:
    """Return the layout as CSV, with seed, generator and standing in remarks above it.

    Parameters
    ----------
    laid : Laid
        The layout.
    invented : bool
        True where the plan is made up.
    """
    out = io.StringIO()
    remarks = [
        f"layout: {laid.asked.kind}; standing: {laid.standing}",
        f"seed: {laid.seed}; generator: {laid.generator}",
        f"fixed terms: {laid.fixed}; random terms: {' + '.join(laid.random) or 'none'}",
        *(f"kept to, {words}" for words in laid.restricted),
        *(["invented: nothing here is advice"] if invented else []),
    ]
    out.writelines(f"# {text}\n" for text in remarks)
    writer = csv.writer(out, lineterminator="\n")
    names = [factor.name for factor in laid.asked.factors]
    units = [n for n in ("whole_plot", "strip_along", "strip_across") if getattr(laid.rows[0], n)]
    writer.writerow(["plot", "block", "position", "row", "column", *names, *units])
    for plot in laid.rows:
        own = [getattr(plot, name) for name in units]
        writer.writerow([plot.number, plot.block, plot.position, plot.row, plot.column, *map(_safe, plot.labels), *own])
    return out.getvalue()


def standing_words(standing: str) -> str:
    """Return a standing with what it means."""
    return _STANDING[standing]


def percent(share: float) -> str:
    """Return a share for people.

    Examples
    --------
    >>> percent(0.119), percent(0.045), percent(0.9996)
    ('12 %', '4.5 %', 'over 99 %')
    """
    if share > 0.995:
        return "over 99 %" if share < 1 else f"{100 * share:.0f} %"
    return f"{_number(share)} %"


def _number(share: float) -> str:
    value = 100 * share
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}".removesuffix(".0")


def _both(share: float, yield_t_ha: float) -> str:
    return f"{100 * share:.1f} ({share * yield_t_ha:.2f})"


def _between(what: str) -> str:
    return {"two of system": "two systems", "one of system and the check": "a system and the check"}.get(what, what)


def _count(number: int) -> str:
    return _COUNTS[number] if number < len(_COUNTS) else str(number)


def _wrapped(text: str, indent: str = "", mark: str = "") -> list[str]:
    """Return a text as lines, with no figure apart from its unit."""
    held = text.replace(" %", f"{_HOLD}%").replace(" t/ha", f"{_HOLD}t/ha")
    return [line.replace(_HOLD, " ") for line in _wrapped_anywhere(held, indent, mark)]


def _safe(text: str) -> str:
    """Return a label that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in "=+-@" else text
