"""What a plan says of the machine that was dug: its rows, and what its band is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.chain import Chain
from spadework.plan import Fault, PlanFaults, Read
from spadework.plan.faults import nearest
from spadework.quantities import QuantityError, parse
from spadework.records.tables.columns import clip
from spadework.reference import load

__all__ = ["RowMachine", "Wanted", "read_window", "row_machine", "wanted"]

_PUBLISHED: Final = "gap_denmark"
_PUBLISHED_TOO: Final = "clearance_nrw"
_LEAST_CM, _MOST_CM = -30.0, 100.0


@dataclass(frozen=True, slots=True)
class RowMachine:
    """The machine of a system that places bands under rows: the system, what the machine is called, its row units."""

    system: str
    name: str
    rows: int


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a band is held against.

    Attributes
    ----------
    window_cm : tuple of float
        Least and largest gap [cm].
    window_from : str
        Whose rule that is.
    seed_depth_cm : float
        Planned depth of the seed under the press-wheel track [cm].
    berm_cm, settlement_share : float
        Estimated height of the fresh berm [cm], and the share of it that is gone under the press wheel [1].
    harmless_cm : float or None
        Sideways distance that does no harm, where the plan gives one [cm].
    """

    window_cm: tuple[float, float]
    window_from: str
    seed_depth_cm: float
    berm_cm: float
    settlement_share: float
    harmless_cm: float | None


def row_machine(read: Read, system: str | None = None) -> RowMachine:
    """Return the machine that places bands under rows, of the system named or of the only one that has such a machine.

    Parameters
    ----------
    read : Read
        The plan.
    system : str, optional
        Name of the system.

    Raises
    ------
    PlanFaults
        If no system is called so, or it has no such machine, or several have one and none is named.
    """
    chain = Chain(read)
    found: dict[str, RowMachine] = {}
    for number, one in enumerate(read.plan.systems):
        step = chain.placing_step(number)
        placer = None if step is None else chain.steps[step].placer
        if placer is not None and placer.rows is not None:
            found[one.name] = RowMachine(one.name, placer.name, placer.rows)
    if not found:
        what = "no system of this plan places slurry with a machine that has rows; digs look for a band under rows"
        raise PlanFaults([Fault("", what)], read.name)
    if system is None:
        if len(found) > 1:
            what = f"several systems place bands under rows; say whose machine was dug, of: {', '.join(found)}"
            raise PlanFaults([Fault("--system", what)], read.name)
        return next(iter(found.values()))
    if system not in found:
        there = nearest(system, found) or "; there are: " + ", ".join(found)
        known = any(system == one.name for one in read.plan.systems)
        what = f'system "{system}" places no bands under rows' if known else f'no system is called "{clip(system)}"'
        raise PlanFaults([Fault("--system", what + there)], read.name)
    return found[system]


def wanted(estimate: Estimate, machine: RowMachine, window_cm: tuple[float, float] | None = None) -> Wanted:
    """Return what the band of a machine is held against.

    The window of the gap is the one given; else the first rule of the gap in the plan that has both ends; else the
    published one of the table ``band_targets`` for the gap, and the other published rule is named beside it.

    Parameters
    ----------
    estimate : Estimate
        Of the plan.
    machine : RowMachine
        Of one of its systems.
    window_cm : tuple of float, optional
        Least and largest gap [cm].
    """
    number = estimate.systems.index(machine.system)
    band = estimate.plan.band
    window, said = window_cm, "as given"
    for rule in () if band is None or window is not None else band.targets:
        if rule.of == "gap" and rule.least is not None and rule.most is not None:
            window, said = (rule.least.value, rule.most.value), rule.source
            break
    if window is None:
        row, other = (load("band_targets")[key] for key in (_PUBLISHED, _PUBLISHED_TOO))
        window = (row.entry("low_cm").value, row.entry("high_cm").value)
        low, high = (other.entry(end).value for end in ("low_cm", "high_cm"))
        said = f"{row.label}; others ask for {low:g} to {high:g} cm ({other.label}); --window sets another"
    steering = None if band is None else band.steering
    harmless = None if steering is None or steering.harmless is None else steering.harmless.value
    berm, settlement = (float(np.median(estimate.values(name, number))) for name in ("berm", "settlement"))
    return Wanted(window, said, estimate.plan.crop.seed_depth.value, berm, settlement, harmless)


def read_window(text: str) -> tuple[float, float]:
    """Return a window such as ``4 to 8 cm`` in centimetres; without a unit it is in centimetres.

    Parameters
    ----------
    text : str
        As written.

    Raises
    ------
    PlanFaults
        If it is none.

    Examples
    --------
    >>> read_window("4 to 8 cm"), read_window("5..7")
    ((4.0, 8.0), (5.0, 7.0))
    """
    unit = "" if any(letter.isalpha() for letter in text.replace("to", "")) else " cm"
    try:
        found = parse(text + unit, "cm")
    except QuantityError as error:
        raise PlanFaults([Fault("--window", str(error))], "the command") from None
    if not _LEAST_CM <= found.low < found.high <= _MOST_CM:
        what = f'"{clip(text)}" is no window; allowed: two different depths from {_LEAST_CM:g} to {_MOST_CM:g} cm'
        raise PlanFaults([Fault("--window", f"{what}, such as 4 to 8 cm")], "the command")
    return found.low, found.high
