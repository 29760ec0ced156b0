"""The cost of a hectare of one pass against the hectares a year that it covers, and where it meets the contractor's."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from spadework.estimate.chain import Chain, Step
from spadework.estimate.result import Estimate
from spadework.plan.outfits import kind_of
from spadework.ranges import FloatArray, collecting
from spadework.reference import load
from spadework.science.machinery import cost_at_area

__all__ = ["OwnedPass", "cost_curve", "hired_rows"]

_RUNNING = ("pass_diesel_cost", "pass_oil_cost", "pass_labour", "tractor_cost_ha")
"""What goes by the hectare whatever the machines work in a year; the tractor has other work and counts by the hour."""
_FACTORS = ("c1", "c2", "c3", "years", "rf1", "rf2")
_YEAR_H = 8760.0
_SEARCHED, _HALVINGS = 96, 40


def hired_rows(estimate: Estimate) -> dict[int, int]:
    """Return the passes that a contractor was asked about: row of the axis ``pass`` to row of the axis ``hired``."""
    steps = Chain(estimate.read).steps
    return {row: i for i, row in enumerate(r for r, step in enumerate(steps) if step.done.contractor is not None)}


def cost_curve(estimate: Estimate, row: int, areas_ha: ArrayLike) -> FloatArray:
    """Return what a hectare of a pass costs with own machines, were it done on so many hectares a year.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    row : int
        The pass, as a row of the axis ``pass``.
    areas_ha : array_like
        Hectares a year [ha/year], above 0: a list, or a table with a column for each draw.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], one row for each area and one column for each draw.

    Raises
    ------
    ImpossibleValue
        If an area is out of range, or takes more hours than a year has.

    Notes
    -----
    See :class:`OwnedPass`.
    """
    return OwnedPass(estimate, row).cost(areas_ha)


@dataclass(frozen=True)
class OwnedPass:
    """A pass with own machines, to be looked at for other areas a year than the plan has.

    The area is that of this pass alone.  Its least used machine does nothing else; what the others work in the plan
    beyond that is other work, and stays as it is.  The tractor is charged by the hour, as at its hours in the plan.  So
    the cost at :attr:`use` is the full cost of the pass.  With the hours change remaining value and repairs; the years
    kept do not.
    """

    estimate: Estimate
    row: int

    @cached_property
    def step(self) -> Step:
        """The pass."""
        return Chain(self.estimate.read).steps[self.row]

    @cached_property
    def time(self) -> FloatArray:
        """Field time [h/ha], draw by draw."""
        values: FloatArray = self.estimate.sheet["field_time"][self.row]
        return values

    @cached_property
    def use(self) -> FloatArray:
        """Area that the plan's hours of the least used machine amount to [ha/year], draw by draw."""
        hours = [self._of("hours", at) for at in self._machines]
        least: FloatArray = np.min(np.broadcast_arrays(*hours), axis=0) / self.time
        return least

    @cached_property
    def worn_out(self) -> FloatArray:
        """Area at which the first machine is worn out just when its years are over [ha/year]; nil or less: sooner."""
        life = load("repair_asae_d497")
        room = [
            (life[kind_of(machine).text("repair_row")].entry("life_h").value / self._of("years", at) - self._other(at))
            / self.time
            for machine, at in zip(self.step.machines, self._machines, strict=True)
        ]
        least: FloatArray = np.min(np.broadcast_arrays(*room), axis=0)
        return least

    def cost(self, areas_ha: ArrayLike) -> FloatArray:
        """Return the cost of a hectare at areas a year; see :func:`cost_curve`."""
        sheet = self.estimate.sheet
        areas = np.asarray(areas_ha, dtype=np.float64)
        areas = areas[:, None] if areas.ndim == 1 else areas
        running: FloatArray = np.sum(np.broadcast_arrays(*(sheet[name][self.row] for name in _RUNNING)), axis=0)
        with collecting():  # the estimate has its notes on these machines already
            each = [
                cost_at_area(
                    areas + self._other(at) / self.time, self.time, self._of("price", at),
                    interest_share=sheet["interest"], holding_share=sheet["holding_share"], running_eur_ha=0.0,
                    **{key: self._of(key, at) for key in _FACTORS},
                )
                for at in self._machines
            ]  # fmt: skip
        total: FloatArray = sum(each, running)
        return total

    def break_even(self, hired_eur_ha: FloatArray) -> FloatArray:
        """Return the least area from which on the own machines cost no more than a contractor.

        Parameters
        ----------
        hired_eur_ha : FloatArray
            Price of the contractor [EUR/ha], draw by draw.

        Returns
        -------
        FloatArray
            Area [ha/year], draw by draw.  Infinite where the own cost stays above the contractor's as long as the
            machines last their years; beyond that only the use in the plan is looked at.
        """
        draws = np.broadcast_shapes(self.time.shape, hired_eur_ha.shape, self.use.shape)
        end = np.broadcast_to(np.minimum(np.maximum(self.use, self.worn_out), self.most), draws)
        tried = end * np.geomspace(1e-3, 1.0, _SEARCHED)[:, None]
        pays = self.cost(tried) <= hired_eur_ha
        found = pays.any(axis=0)
        first = pays.argmax(axis=0)
        columns = np.arange(end.size)
        high = tried[first, columns]
        low = np.where(first > 0, tried[np.maximum(first - 1, 0), columns], high)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            enough = self.cost(middle[None])[0] <= hired_eur_ha
            low, high = np.where(enough, low, middle), np.where(enough, middle, high)
        return np.where(found, high, np.inf)

    @cached_property
    def most(self) -> FloatArray:
        """Area for which a year has hours [ha/year], draw by draw."""
        busiest = np.max(np.broadcast_arrays(*(self._other(at) for at in self._machines)), axis=0)
        most: FloatArray = (_YEAR_H * (1 - 1e-9) - busiest) / self.time
        return most

    @cached_property
    def _machines(self) -> range:
        steps = Chain(self.estimate.read).steps
        first = sum(len(step.machines) for step in steps[: self.row])
        return range(first, first + len(steps[self.row].machines))

    def _of(self, key: str, at: int) -> FloatArray:
        values: FloatArray = self.estimate.sheet[f"machine_{key}"][at]
        return values

    def _other(self, at: int) -> FloatArray:
        """Hours a year that a machine works beyond the least used machine of the pass."""
        other: FloatArray = self._of("hours", at) - self.use * self.time
        return np.maximum(other, 0.0)  # nil may miss nil by its last binary digit
