"""What digs found, in sentences: verdict, what to change, what stays in doubt, and care at the hole."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from spadework.findings.dig_groups import Compared
from spadework.findings.dig_units import Change, UnitFound
from spadework.findings.digs import Dug
from spadework.present.wording import figure_text
from spadework.reference import constants

__all__ = [
    "CARE",
    "CARE_FOR",
    "STANDING_DIGS",
    "changes",
    "cm",
    "compared_text",
    "count_of",
    "doubts",
    "headline",
    "judged",
    "units_text",
]

_K = constants("digs")
_MOST_NAMED: Final = 12
STANDING_DIGS: Final = "looked: digs check this machine on this day, they replicate no system"
CARE_FOR: Final = ("Turning shafts and moving parts", "Clean from farm to farm", "Alone in the field")
CARE: Final = (
    "Dig and re-set only while the outfit stands: engine off, key out, in the driver's pocket or yours. Never reach under a "
    "raised machine: let it down or put it on stands. The driver sees and hears where everybody is before it moves. Fresh slurry "
    "gives off gas: keep your face out of the hole, gloves on. Ask where cables, pipes and drains lie, and fill the hole again."
)


def cm(value: float, decimals: int = 1, *, sign: bool = False) -> str:
    """Return centimetres as they are said; a dash where there is no figure.

    Examples
    --------
    >>> cm(6.19), cm(float("nan")), cm(-0.8, sign=True)
    ('6.2', '-', '−0.8')
    """
    return figure_text(value, decimals, sign=sign) if math.isfinite(value) else "-"


def count_of(number: int, word: str) -> str:
    """Return a number with its noun.

    Examples
    --------
    >>> count_of(1, "dig"), count_of(3, "dig")
    ('1 dig', '3 digs')
    """
    return f"{number} {word}" + ("" if number == 1 else "s")


def units_text(units: Sequence[int]) -> str:
    """Return units in words.

    Examples
    --------
    >>> units_text([4]), units_text([1, 2, 6])
    ('unit 4', 'units 1, 2 and 6')
    """
    names = [str(unit) for unit in units]
    if len(names) == 1:
        return f"unit {names[0]}"
    return f"units {', '.join(names[:-1])} and {names[-1]}"


def headline(found: Dug) -> str:
    """Return the verdict as one or two short sentences, the first of which says what to do."""
    low, high = found.window_cm
    window = f"{cm(low, 0 if low == round(low) else 1)} to {cm(high, 0 if high == round(high) else 1)} cm"
    gap = found.gap
    if found.verdict == "nothing":
        return "Nothing to judge: no dig of this setting shows a band whose depth is known." + (
            f" No band was found in {units_text([u for u, _ in found.no_band])}." if found.no_band else ""
        )
    if found.verdict == "count":
        return (
            "Count the units anew before anything is re-set: the digs fit together much better if the units of the way back "
            "were counted from the other side."
        )
    share = f"{100 * found.asked.inside_share:.0f} %"
    if found.verdict == "change":
        return f"Re-set, then dig again: {_which(found)}."
    if found.verdict == "leave":
        return (
            f"Leave the setting: at least {share} of all seeds have more than {cm(gap.least)} cm, and at least {share} less than "
            f"{cm(gap.most)} cm down to the band; wanted are {window}."
        )
    if found.verdict == "scatter":
        return (
            f"The mean gap fits ({cm(gap.mean)} cm), yet more single seeds than wanted may lie outside {window}. "
            "No unit stands out: look at speed, ground and depth control rather than at the setting."
        )
    why = "the digs do not yet say whether the gap is where it should be"
    doubtful = [one.unit for one in found.found if one.doubtful]
    if doubtful:
        why = f"{units_text(doubtful)} may be off, but the digs do not bear that out yet"
    elif not gap.has_interval:
        why = "the digs do not yet say how much they scatter between units"
    elif found.on.call == "does not fit":
        side = "small" if found.on.side == "shallow" else "large"
        why = f"the gap is too {side} on the whole, but by how much is not known well enough to re-set"
    elif found.on.call == "fits":
        why = "the mean fits, but whether single seeds do is not known yet"
    return f"Dig on: {why}."


def _which(found: Dug) -> str:
    units = [one.unit for one in found.found if one.change is not None]
    said = units_text(units) if 0 < len(units) <= _MOST_NAMED else f"{len(units)} of {found.rows} units"
    if found.machine is None:
        return said
    return "the whole machine" + (f", and {said}" if units else "")


def _by_unit(pairs: Sequence[tuple[int, int]]) -> str:
    """Return in which units something was seen, with the number of digs."""
    if len(pairs) > _MOST_NAMED:
        return f"{count_of(sum(n for _, n in pairs), 'dig')} in {len(pairs)} units"
    return ", ".join(f"unit {unit} ({count_of(n, 'dig')})" for unit, n in pairs)


def changes(found: Dug) -> tuple[str, ...]:
    """Return what to change, one sentence for the machine and each unit; nothing where the digs do not bear it."""
    if found.verdict == "count":
        return ()
    out = []
    if found.machine is not None:
        out.append(_change("the whole machine", found.machine, "Set"))
    then = "Then set" if found.machine is not None else "Set"
    out += [_change(f"unit {one.unit}", one.change, then) for one in found.found if one.change is not None]
    return tuple(out)


def _change(what: str, change: Change, verb: str) -> str:
    more = change.gap_cm > 0
    low, high = sorted((abs(change.low_cm), abs(change.high_cm)))
    step = f"{cm(abs(change.step_cm), 1 if change.step_cm % 1 else 0)} cm"
    between = f"(between {cm(low)} and {cm(high)})"
    if change.part == "band":
        way, lies = ("deeper", "shallow") if more else ("shallower", "deep")
        return f"{verb} {what} {way} by {step} {between}: the band lies too {lies}."
    if change.part == "seed":
        way, lies = ("shallower", "deep") if more else ("deeper", "shallow")
        return f"{verb} the seed of {what} {way} by {step} {between}: the seed lies too {lies}, the band does not."
    size, still = "small" if more else "large", "The" if verb == "Set" else "With that, the"
    if change.part == "both":
        return (
            f"{still} gap of {what} is too {size} by {step} {between}: band {_off(change.band_cm, 'shallow', 'deep')}, seed "
            f"{_off(change.seed_cm, 'deep', 'shallow')}; set both."
        )
    return (
        f"{still} gap of {what} is too {size} by {step} {between}; whether band or seed is off, the digs cannot say: measure "
        "both from the track before setting."
    )


def _off(value: float, positive: str, negative: str) -> str:
    return f"{cm(abs(value))} cm too {positive if value > 0 else negative}"


def doubts(found: Dug) -> tuple[str, ...]:
    """Return what wants a second look before it is acted on."""
    out = []
    flip = found.flip
    if flip is not None and flip.better:
        text = "Way back: check from which side its units were counted; unit 1 is the left-hand one, seen forwards, both ways."
        if flip.off:
            how = "; ".join(
                f"unit {one.unit} {cm(abs(one.change.gap_cm))} cm too {'shallow' if one.change.gap_cm > 0 else 'deep'}"
                for one in flip.off
                if one.change is not None
            )
            text += f" Counted from the other side: {how}. Put the numbers right in the file and run this again."
        out.append(text)
    doubtful = [one.unit for one in found.found if one.doubtful]
    if doubtful and found.verdict != "count":
        out.append(
            f"Dig again in {units_text(doubtful)}: {_K.unit_tolerance_cm:g} cm or more off the middle of what is wanted, but the "
            "digs are too few or too uneven to re-set anything by them."
        )
    seed = found.seed
    if seed.has_interval and not seed.low <= found.seed_depth_cm <= seed.high:
        off = seed.mean - found.seed_depth_cm
        if abs(off) >= _K.machine_tolerance_cm:
            out.append(
                f"Seed {cm(seed.mean)} cm deep on average (between {cm(seed.low)} and {cm(seed.high)}), "
                f"planned {found.seed_depth_cm:g} cm: "
                f"{cm(abs(off))} cm too {'deep' if off > 0 else 'shallow'}. Setting the planter moves every gap."
            )
    if found.no_band:
        out.append(
            f"No band was found: {_by_unit(found.no_band)}. Look at outlet, hose and pump; these digs have no gap."
        )
    if found.at_surface:
        out.append(
            f"Slurry on the surface: {_by_unit(found.at_surface)}; "
            f"{100 * found.surface_share:.0f} % of the row on average over {count_of(found.surface_noted, 'dig')}. "
            "Too much for the slot, too shallow, or not closed."
        )
    if found.not_dug and found.gap.digs:
        out.append(f"Not dug: {units_text(found.not_dug)}. Nothing is said of them one by one.")
    return tuple(out)


def judged(one: UnitFound, found: Dug) -> str:
    """Return the word behind a unit in the table."""
    if found.verdict == "count":
        return "count anew"
    if one.change is not None:
        return "re-set"
    if one.doubtful:
        return "dig again"
    if not math.isfinite(one.low_cm):
        return "cannot say"
    return "with the machine" if found.machine is not None else "no change"


def compared_text(one: Compared) -> str:
    """Return a comparison of two groups as a sentence."""
    it = one.contrast
    what = "gap" if one.what == "gap" else "band lies"
    if one.what == "gap":
        word = "larger" if it.estimate > 0 else "smaller"
    else:
        word = "farther right" if it.estimate > 0 else "farther left"
    size = f"{cm(abs(it.estimate))} cm {word}" if cm(abs(it.estimate)) != "0.0" else "the same"
    head = f"{one.second} against {one.first}: {what} {size}"
    if not math.isfinite(it.low):
        return f"{head}; one unit on each side, so this may be nothing but the two units."
    low, high = (it.low, it.high) if it.estimate > 0 else (-it.high, -it.low)
    units = (
        f"{it.units_first} units in both" if one.how == "pairs" else f"{it.units_second} against {it.units_first} units"
    )
    sure = "" if it.bears else "; no difference shown"
    alone = "; one unit stands alone there" if one.how == "units" and 1 in (it.units_first, it.units_second) else ""
    return f"{head} (between {cm(low, sign=True)} and {cm(high, sign=True)}; {units}){sure}{alone}."
