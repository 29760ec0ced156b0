"""What was measured beside what was estimated: same quantity, same unit, and how far off it was."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from spadework.findings.compare_parts import Better, Finding
from spadework.quantities import QuantityError, parse
from spadework.records.files.readings import PLAIN_UNIT

if TYPE_CHECKING:
    from spadework.estimate import Estimate

__all__ = ["KNOWN", "Beside", "Known", "beside", "better_of"]


@dataclass(frozen=True, slots=True)
class Known:
    """A measured quantity by a usual name: which way is better, and the figure of the estimate that is the same, if any."""

    better: Better = ""
    figure: str = ""
    unit: str = ""
    factor: float = 1.0


KNOWN: Final[dict[str, Known]] = {
    "dm_yield": Known("more"),
    "yield": Known("more"),
    "grain_yield": Known("more"),
    "stand": Known("more"),
    "fuel": Known("less", "fuel", "L/ha"),
    "diesel": Known("less", "fuel", "L/ha"),
    "residue_cover": Known("", "cover", "%", 100.0),
    "cover": Known("", "cover", "%", 100.0),
    "gap": Known("", "gap", "cm"),
    "work_rate": Known("more", "rate", "ha/h"),
}
"""Quantities whose usual names are understood; gap and cover can be too small and too large."""


@dataclass(frozen=True, slots=True)
class Beside:
    """Measured and estimated figure of one system, in the unit of the readings.

    Attributes
    ----------
    system : str
        Its name.
    measured, low, high : float
        Mean of the plots with its interval (NaN where there is none).
    estimated, least, most : float
        Middle of the draws, and the range that holds 80 % of them.
    off : float
        Measured less estimated.
    inside : bool
        Whether the measured mean lies in the estimated range.
    """

    system: str
    measured: float
    low: float
    high: float
    estimated: float
    least: float
    most: float
    off: float
    inside: bool


def better_of(quantity: str) -> Better:
    """Return which way of a quantity with a usual name is better; empty where that is not known.

    Examples
    --------
    >>> better_of("dm_yield"), better_of("fuel"), better_of("colour")
    ('more', 'less', '')
    """
    return KNOWN[quantity].better if quantity in KNOWN else ""


def beside(found: Finding, estimate: Estimate) -> tuple[Beside, ...]:
    """Hold measured means against the estimate.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    estimate : Estimate
        Of the same plan.

    Returns
    -------
    tuple of Beside
        By system; empty where the estimate holds no such quantity, or the units do not measure the same.
    """
    known = KNOWN.get(found.quantity)
    if known is None or not known.figure or found.unit == PLAIN_UNIT:
        return ()
    try:
        size = parse(f"1 {found.unit}", known.unit).value
    except QuantityError:
        return ()
    out = []
    for one in found.means:
        system = estimate.systems.index(one.system)
        if not estimate.has(known.figure, system):
            continue
        spread = estimate.spread(known.figure, system)
        middle, least, most = (value * known.factor / size for value in (spread.mid, spread.low, spread.high))
        inside = least <= one.mean <= most
        out.append(Beside(one.system, one.mean, one.low, one.high, middle, least, most, one.mean - middle, inside))
    return tuple(out)
