"""The answer of an estimate in a few sentences: which system takes least, how far that is from the baseline, how surely."""

from __future__ import annotations

from typing import Final

import numpy as np

from spadework.estimate import Estimate
from spadework.present.wording import MAIN, chance, decimals_for, difference, interval_text, unit_of

__all__ = ["in_short"]

_ASKED: Final = ("cost", "lost_n", "fuel", "hours")
"""Figures of which less is better."""
_CLEAR: Final = 0.9
"""In so many of the draws a system must take less before it is said to take less."""


def in_short(estimate: Estimate) -> tuple[tuple[str, str], ...]:
    """Return for cost, ammonia, diesel and time which system takes least, each a pair of lead and sentence.

    Two systems of which neither takes less in nine of ten draws are not ranked: both are named.
    """
    found = []
    for main in (main for main in MAIN if main.name in _ASKED):
        known = [s for s in range(len(estimate.systems)) if estimate.has(main.name, s)]
        if len(known) > 1:
            places = decimals_for([estimate.spread(main.name, s) for s in known], main.factor)
            said = _least(estimate, main.name, known, places, unit_of(main, estimate))
            found.append((f"{main.title}:", said))
    return tuple(found)


def _least(estimate: Estimate, name: str, known: list[int], places: int, unit: str) -> str:
    best = min(known, key=lambda s: estimate.spread(name, s).mid)
    level = [s for s in known if s != best and not _clearly_more(estimate, name, s, best)]

    def named(s: int) -> str:
        return f"{estimate.systems[s]}, {interval_text(estimate.spread(name, s), places)}"

    if len(level) + 1 == len(known):
        return f"no system clearly takes least; {'; '.join(named(s) for s in known)} {unit}."
    said = f"least with {named(best)} {unit}"
    if level:
        said += f"; not clearly more with {' and with '.join(named(s) for s in level)}"
    base, values = estimate.baseline, difference(estimate, name, best)
    if base == best:
        return f"{said}; that is the baseline."
    if values is None or base in level:
        return f"{said}."
    return f"{said}; the baseline is {named(base)}, and {estimate.systems[best]} takes {chance(values)}."


def _clearly_more(estimate: Estimate, name: str, system: int, best: int) -> bool:
    more = estimate.values(name, system) - estimate.values(name, best) > 0
    return bool(np.mean(more) >= _CLEAR)
