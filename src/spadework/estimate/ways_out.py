"""What would bring a pass within its tractor: a lower speed, less depth, or less width."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.chain import Chain
from spadework.estimate.desk import Desk
from spadework.estimate.machines.power import PASS, TRACTOR
from spadework.estimate.result import Estimate
from spadework.ranges import FloatArray
from spadework.science.machinery import (
    Pass,
    Tractor,
    most_depth_share,
    most_speed,
    most_width_share,
    rows_possible,
)

__all__ = ["SURE_SHARE", "WaysOut", "ways_out"]

SURE_SHARE: Final = 0.9
"""Share of the draws in which a way out is enough."""


@dataclass(frozen=True, slots=True)
class WaysOut:
    """For one pass, the most of each that its tractor manages in :data:`SURE_SHARE` of the draws, the rest as planned.

    None where the way does not exist: no tool follows the depth, rows stand in place of a width, or nothing that one
    could still drive, work or couple would do.

    Attributes
    ----------
    speed_km_h, depth_cm, width_m : float or None
        Up to what is planned.
    rows : int or None
        Whole rows, for machines with rows.
    """

    speed_km_h: float | None
    depth_cm: float | None
    width_m: float | None
    rows: int | None

    @property
    def any(self) -> bool:
        """True where at least one way exists."""
        return any(way is not None for way in (self.speed_km_h, self.depth_cm, self.width_m, self.rows))


def ways_out(desk: Desk | Estimate, row: int) -> WaysOut:
    """Return speed, depth and width or rows that are enough for a pass, each by itself.

    Parameters
    ----------
    desk : Desk or Estimate
        Where draft, ground and tractor are worked out already.
    row : int
        Of the pass, among those of all systems.

    Notes
    -----
    Each draw that falls short has its own limit; that of the lower tenth is taken, so that it holds in nine draws of
    ten.  Nothing above the plan is tried, and what is planned is the median where it is itself uncertain.
    """
    chain, sheet = (Chain(desk.read) if isinstance(desk, Estimate) else desk.chain), desk.sheet

    def of(figure: str) -> FloatArray:
        values: FloatArray = sheet[figure][row] if sheet.figures[figure].over else sheet[figure]
        return values

    speed, width = of("speed"), of("width")
    planned = Pass(**{part: of(figure) for part, figure in PASS.items()})
    tractor = Tractor(**{part: of(figure) for part, figure in TRACTOR.items()})
    rows = next((machine.rows for machine in chain.steps[row].machines if machine.rows is not None), None)
    by_width = most_width_share(planned, tractor)
    found = _sure(by_width, rows_possible(by_width, rows), float(rows)) if rows is not None else None
    deep = next((sheet["tool_depth"][i] for i, tool in enumerate(chain.tools) if tool.step == row and tool.deep), None)
    by_speed = most_speed(planned, tractor)
    by_depth = most_depth_share(planned, tractor) if deep is not None else by_width
    return WaysOut(
        speed_km_h=_sure(by_speed / speed, by_speed, float(np.median(speed))),
        depth_cm=None if deep is None else _sure(by_depth, by_depth * deep, float(np.median(deep))),
        width_m=_sure(by_width, by_width * width, float(np.median(width))) if rows is None else None,
        rows=None if found is None else int(found),
    )


def _sure(share: FloatArray, limit: FloatArray, planned: float) -> float | None:
    """Return what all but a tenth of the draws allow, up to what is planned; None where that is nothing.

    A draw that manages all of the plan (a `share` of 1) sets no limit.
    """
    limits = np.sort(np.where(share >= 1, np.inf, limit))
    found = min(planned, float(limits[int((1 - SURE_SHARE) * (limits.size - 1))]))
    return found if found > 0 else None
