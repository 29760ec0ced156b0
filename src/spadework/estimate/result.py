"""What an estimate found: spreads by system, differences to the baseline, and the table of arrays behind them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from spadework.plan import Plan, Read
from spadework.plan.weather.series import Hours
from spadework.ranges import FloatArray
from spadework.working import EVERY_SYSTEM, Worksheet

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["SHARE_PRINTED", "Difference", "Estimate", "Spread"]

SHARE_PRINTED: Final = 0.80
"""Share of the draws that a printed interval holds."""
_TAILS: Final = ((1 - SHARE_PRINTED) / 2, 0.5, (1 + SHARE_PRINTED) / 2)


@dataclass(frozen=True, slots=True)
class Spread:
    """Median and 80 % interval of a figure over all draws."""

    mid: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Difference:
    """Median and 80 % interval of a difference to the baseline, and the share of draws in which it is below nil."""

    mid: float
    low: float
    high: float
    share_below: float


@dataclass(frozen=True)
class Estimate:
    """The estimate of every system of a plan.

    Attributes
    ----------
    read : Read
        The plan with the places of its keys.
    draws, seed : int
        How many draws, from which seed.
    sheet : Worksheet
        Every figure with its working.
    weather : Hours
        Weather of the spreading hours; printed beside every ammonia figure.
    notes : tuple of str
        What the reader must know: models outside their range, tractors near their limit, limits exceeded.
    """

    read: Read
    draws: int
    seed: int
    sheet: Worksheet
    weather: Hours
    notes: tuple[str, ...]

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.read.plan

    @property
    def systems(self) -> tuple[str, ...]:
        """The names of the systems, in the order of the plan."""
        return tuple(system.name for system in self.plan.systems)

    @property
    def baseline(self) -> int:
        """The system that the others are held against."""
        return self.systems.index(self.plan.baseline)

    def has(self, name: str, system: int) -> bool:
        """Tell whether a figure says anything of a system."""
        return name in self.sheet.figures and self._rows(name, system) != []

    def values(self, name: str, system: int) -> FloatArray:
        """Return the draws of a figure for a system; of length one where nothing varies.

        Raises
        ------
        KeyError
            If the figure says nothing, or more than one thing, of the system.
        """
        figure = self.sheet.figures[name]
        if not figure.over:
            return figure.values
        rows = self._rows(name, system)
        if len(rows) != 1:
            raise KeyError(f"figure {name} has {len(rows)} rows for {self.systems[system]}")
        values: FloatArray = figure.values[rows[0]]
        return values

    def dose(self, system: int) -> FloatArray:
        """Return the draws of the dose of a system [m3/ha]; nil where it gets no slurry."""
        if "placing_dose" not in self.sheet.figures:
            return self.sheet["dose"]
        return self.values("placing_dose", system) if self.has("placing_dose", system) else np.zeros(1)

    def spread(self, name: str, system: int) -> Spread:
        """Return median and 80 % interval of a figure for a system."""
        return Spread(*_middle(self.values(name, system)))

    def difference(self, name: str, system: int) -> Difference:
        """Return median, 80 % interval and sign of the difference of a system to the baseline, draw by draw."""
        values = self.values(name, system) - self.values(name, self.baseline)
        return Difference(*_middle(values), float(np.mean(values < 0)))

    def rows(self, name: str, system: int) -> list[Spread]:
        """Return the spread of every row of a figure that belongs to a system, such as each of its passes."""
        figure = self.sheet.figures[name]
        if not figure.over:
            return [Spread(*_middle(figure.values))]
        return [Spread(*_middle(figure.values[row])) for row in self._rows(name, system)]

    def labels(self, name: str, system: int) -> list[str]:
        """Return the labels of those rows."""
        figure = self.sheet.figures[name]
        if not figure.over:
            return [""]
        return [self.sheet.axes[figure.over].labels[row] for row in self._rows(name, system)]

    def _rows(self, name: str, system: int) -> list[int]:
        figure = self.sheet.figures[name]
        if not figure.over:
            return [0]
        owners = self.sheet.axes[figure.over].systems
        return [row for row, owner in enumerate(owners) if owner in {system, EVERY_SYSTEM}]

    def is_shared(self, name: str) -> bool:
        """Tell whether a figure is the same for every system."""
        over = self.sheet.figures[name].over
        return not over or EVERY_SYSTEM in self.sheet.axes[over].systems

    def dataset(self, names: Sequence[str] | None = None) -> xr.Dataset:
        """Return figures as a dataset with the dimensions of their axes and ``draw``.

        Each variable carries ``units``, ``long_name`` and ``working``, one line that says how it came about.
        """
        import xarray as xr

        from spadework.estimate.in_one_line import one_line

        variables: dict[str, object] = {}
        used: set[str] = set()
        for name in names if names is not None else self.sheet.figures:
            figure = self.sheet.figures[name]
            values = np.broadcast_to(figure.values, (*figure.values.shape[:-1], self.draws))
            dims = (figure.over, "draw") if figure.over else ("draw",)
            about = {"units": figure.unit, "long_name": figure.label, "working": one_line(self.sheet, name)}
            variables[name] = (dims, values, about)
            used.update(dims)
        coords: Mapping[str, list[str]] = {
            name: list(axis.labels) for name, axis in self.sheet.axes.items() if name in used
        }
        return xr.Dataset(
            variables, coords=coords, attrs={"seed": self.seed, "draws": self.draws, "standing": "estimated"}
        )


def _middle(values: FloatArray) -> tuple[float, float, float]:
    low, mid, high = np.quantile(values, _TAILS)
    return float(mid), float(low), float(high)
