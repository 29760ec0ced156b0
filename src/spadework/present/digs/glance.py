"""What a driver takes in at a glance: the verdict in a few words, and one box for each row unit, left to right."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from spadework.findings.dig_units import Change, UnitFound
from spadework.findings.digs import Dug
from spadework.present.digs.words import cm, units_text

__all__ = ["Box", "boxes", "columns_of", "key_of", "verdict_of"]

Sign = Literal["down", "up", "measure", "look", "leave", "none"]
_VERDICTS: Final = {
    "nothing": "Nothing to judge",
    "count": "Count the units anew",
    "leave": "Leave the setting",
    "scatter": "Uneven: look at speed, ground, depth control",
    "on": "Dig on",
}
_WHOLE: Final = "all units"
_NAMED: Final = 4  # units that are named in the verdict
_MOST: Final = 24  # boxes that are still large enough
_ACROSS: Final = 12


@dataclass(frozen=True)
class Box:
    """One unit, or the whole machine.

    Attributes
    ----------
    name : str
        Number of the unit, or what stands for all.
    sign : str
        ``"down"`` and ``"up"`` where something is to be set deeper and shallower, ``"measure"`` where band and seed are to be
        measured first, ``"look"`` to dig again, ``"leave"`` and ``"none"``.
    figure, words : str
        By how much, and what to do.
    """

    name: str
    sign: Sign
    figure: str
    words: str


def verdict_of(found: Dug) -> str:
    """Return the verdict in a few words."""
    if found.verdict != "change":
        return _VERDICTS.get(found.verdict, _VERDICTS["on"])
    if found.machine is not None:
        return "Re-set the whole machine"
    units = [one.unit for one in found.found if one.change is not None]
    return f"Re-set {units_text(units) if len(units) <= _NAMED else f'{len(units)} of {found.rows} units'}"


def boxes(found: Dug) -> tuple[Box, ...]:
    """Return the whole machine where it is to be set, then every unit from the left; nothing where it would not be read.

    Where all units are to be set alike, the whole machine stands alone.
    """
    if found.verdict in {"nothing", "count"} or found.rows > _MOST:
        return ()
    by_unit = {one.unit: one for one in found.found}
    whole = [] if found.machine is None else [_box(_WHOLE, found.machine)]
    if whole and not any(one.change is not None or one.doubtful for one in found.found):
        return tuple(whole)
    return (*whole, *(_unit(unit, by_unit.get(unit), found) for unit in range(1, found.rows + 1)))


def columns_of(found: Dug) -> int:
    """Return how many boxes of units stand side by side."""
    return found.rows if found.rows <= _ACROSS else (found.rows + 1) // 2


def key_of(found: Dug) -> str:
    """Return how the boxes are to be read."""
    shown = boxes(found)
    if len(shown) == 1:
        return "All units alike: the digs show none that stands apart."
    more = "; first all of them, then single ones beyond that" if found.machine is not None else ""
    fine = " OK: nothing to set that these digs show." if any(box.figure == "OK" for box in shown) else ""
    return f"Row units from the left, seen forwards{more}.{fine}"


def _unit(unit: int, one: UnitFound | None, found: Dug) -> Box:
    name = str(unit)
    if one is None:
        return Box(name, "none", "-", "no gap found")
    if one.change is not None:
        return _box(name, one.change)
    if one.doubtful:
        return Box(name, "look", "?", "dig again")
    if one.low_cm != one.low_cm:  # no interval
        return Box(name, "none", "-", "cannot say")
    return Box(name, "leave", "OK", "") if found.machine is None else Box(name, "leave", "-", "as above")


def _box(name: str, change: Change) -> Box:
    figure = f"{cm(abs(change.step_cm), 1 if change.step_cm % 1 else 0)} cm"
    if change.part not in {"band", "seed"}:
        return Box(name, "measure", figure, "gap too small" if change.gap_cm > 0 else "gap too large")
    down = (change.gap_cm > 0) == (change.part == "band")
    words = "deeper" if down else "shallower"
    return Box(name, "down" if down else "up", figure, words if change.part == "band" else f"seed {words}")
