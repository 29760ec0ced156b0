"""The figures of wheels as an estimate, so that their workings are told like all others."""

from __future__ import annotations

from dataclasses import replace

from spadework.estimate.result import Estimate
from spadework.estimate.traffic.pressure import Pressures, pressures
from spadework.estimate.workings.explain import hold_middle, middle

__all__ = ["as_estimate"]


def as_estimate(found: Pressures) -> Estimate:
    """Return the estimate with the worksheet of its wheels in place of its own.

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    """
    told = replace(found.estimate, sheet=found.sheet)
    if told.draws > 1:
        its = pressures(middle(found.estimate))
        hold_middle(told, replace(its.estimate, sheet=its.sheet))
    return told
