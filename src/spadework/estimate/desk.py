"""The desk at which an estimate is worked: chain of passes, draws and worksheet, with short ways to fill it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from spadework.estimate.chain import Chain
from spadework.estimate.draws import Draws
from spadework.plan import Tractor
from spadework.quantities import Quantity
from spadework.ranges import FloatArray
from spadework.reference import Entry, constants
from spadework.working import Axis, Worksheet

__all__ = ["Desk", "FromPlan", "as_share", "entry_key", "in_metres", "scaled", "stack"]

Path = tuple[str | int, ...]


@dataclass(frozen=True)
class FromPlan:
    """A quantity of the plan, or a bare number, with its place; quantities `drawn_with` the same word move together."""

    quantity: Quantity | float
    path: Path
    low: float = 0.0
    high: float = np.inf
    drawn_with: str = ""


@dataclass
class Desk:
    """Everything that the parts of an estimate share."""

    chain: Chain
    draws: Draws
    sheet: Worksheet
    notes: list[str] = field(default_factory=list)
    dose_factors: tuple[float, ...] = ()
    _parts: dict[str, tuple[str, tuple[int, ...]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._parts["placing"] = ("pass", self.chain.placing)

    def plan_value(self, name: str, label: str, unit: str, source: FromPlan) -> FloatArray:
        """Put one value of the plan on the sheet, drawn where it is uncertain."""
        values, place, text = self._draw(source)
        return self.sheet.given(name, values, unit, label, places=[place], texts=[text])

    def plan_rows(self, name: str, label: str, unit: str, over: str, sources: Sequence[FromPlan]) -> FloatArray:
        """Put values of the plan on the sheet, one a row of the axis `over`."""
        drawn = [self._draw(source) for source in sources]
        values = stack([d[0] for d in drawn])
        return self.sheet.given(
            name, values, unit, label, over=over, places=[d[1] for d in drawn], texts=[d[2] for d in drawn]
        )

    def table_value(self, name: str, label: str, entry: Entry) -> FloatArray:
        """Put one number of a reference table on the sheet, drawn where the table gives a range."""
        values = self.draws.of_entry(entry_key(entry), entry)
        return self.sheet.looked_up(name, values, entry.unit, label, [entry.citation])

    def table_rows(
        self, name: str, label: str, over: str, entries: Sequence[Entry], unit: str | None = None
    ) -> FloatArray:
        """Put numbers of reference tables on the sheet, one a row of the axis `over`; the same row is drawn once."""
        values = stack([self.draws.of_entry(entry_key(entry), entry) for entry in entries])
        unit = unit if unit is not None else (entries[0].unit if entries else "")
        return self.sheet.looked_up(name, values, unit, label, [entry.citation for entry in entries], over=over)

    def constant(self, name: str, table: str, key: str) -> FloatArray:
        """Put a single number of a table of constants on the sheet."""
        entry = constants(table)[key]
        return self.table_value(name, entry.citation.label, entry)

    def share_of_pto(self, name: str, over: str, tractors: Sequence[Tractor]) -> FloatArray:
        """Put the power at the take-off per power that the plan gives on the sheet; 1 where it gives that itself."""
        entry = constants("tractor")["pto_per_engine"]
        known = [tractor.power is not None for tractor in tractors]
        shares = [np.ones(1) if k else self.draws.of_entry(entry_key(entry), entry) for k in known]
        citations = [] if all(known) else [entry.citation]
        label = "rated power at the take-off per power in the plan; 1 where the plan gives that at the take-off"
        return self.sheet.looked_up(name, stack(shares), "1", label, citations, over=over)

    def dose_on(self, axis: str) -> str:
        """Return the name of the dose on an axis: the plan's where all systems get the same, else each system's own."""
        sheet = self.sheet
        if "dose_factor" not in sheet.figures:
            return "dose"
        if axis == "placing":
            return "placing_dose"
        name = f"dose_{axis}"
        if name not in sheet.figures:
            places = list(sheet.axes["placing"].systems)
            rows = [[places.index(s)] if s in places else [] for s in sheet.axes[axis].systems]
            sheet.gather(name, "sum", "placing_dose", "dose of the system", over=axis, rows=rows)
        return name

    def part_of(self, name: str, parent: str, rows: Sequence[int]) -> bool:
        """Make an axis of some rows of another; return whether there are any, for nothing runs over an empty axis."""
        if rows:
            axis = self.sheet.axes[parent]
            labels, systems = tuple(axis.labels[row] for row in rows), tuple(axis.systems[row] for row in rows)
            self.sheet.axes[name] = Axis(name, labels, systems)
        self._parts[name] = (parent, tuple(rows))
        return bool(rows)

    def pick(self, name: str, figure: str, over: str, label: str = "") -> FloatArray:
        """Take the rows of `figure` that belong to the axis `over`, itself a part of the axis of the figure."""
        parent, rows = self._parts[over]
        source = self.sheet.figures[figure]
        if source.over != parent:
            raise ValueError(f"figure {figure} runs over {source.over or 'nothing'}, not over {parent}")
        label = label or source.label
        return self.sheet.gather(name, "pick", figure, label, over=over, rows=[[row] for row in rows])

    def merge(self, name: str, label: str, parent: str, figures: Sequence[str], unit: str = "") -> FloatArray:
        """Put figures of parts of the axis `parent` together on it; nil where no part says anything."""
        known = [figure for figure in figures if figure in self.sheet.figures]
        length = len(self.sheet.axes[parent].labels)
        if not known:
            return self.sheet.given(
                name, np.zeros((length, 1)), unit, label, over=parent, places=["nothing in the plan asks for it"]
            )
        merged = []
        for figure in known:
            rows = self._parts[self.sheet.figures[figure].over][1]
            spread_out = [[rows.index(row)] if row in rows else [] for row in range(length)]
            to = name if len(known) == 1 else f"{name}_{self.sheet.figures[figure].over}"
            self.sheet.gather(to, "sum", figure, label, over=parent, rows=spread_out)
            merged.append(to)
        return self.sheet[name] if len(known) == 1 else self.sheet.add_up(name, label, *merged)

    def _draw(self, source: FromPlan) -> tuple[FloatArray, str, str]:
        place = self.chain.read.place(*source.path)
        if isinstance(source.quantity, Quantity):
            key = "plan:" + (source.drawn_with or ".".join(str(part) for part in source.path))
            return self.draws.of(key, source.quantity, source.low, source.high), place, source.quantity.text
        return np.array([float(source.quantity)]), place, f"{source.quantity:g}"


def entry_key(entry: Entry) -> str:
    """Return the key under which a table's number is drawn."""
    return f"table:{entry.citation.table}.{entry.citation.row}.{entry.citation.column}"


def stack(rows: Sequence[FloatArray]) -> FloatArray:
    """Return rows of draws as one array; rows of length one are repeated where others are longer."""
    if not rows:
        return np.empty((0, 1))
    return np.array(np.broadcast_arrays(*rows))


def scaled(quantity: Quantity, factor: float, unit: str) -> Quantity:
    """Return a quantity in another unit, with its spread and the text that the person wrote."""
    numbers = {key: getattr(quantity, key) * factor for key in ("value", "low", "high", "least", "most")}
    return replace(quantity, unit=unit, **numbers)


def as_share(percentage: Quantity | None) -> Quantity | float:
    """Return a percentage of the plan as a share; nil where the plan gives none."""
    return 0.0 if percentage is None else scaled(percentage, 0.01, "1")


def in_metres(centimetres: Quantity) -> Quantity:
    """Return a length of the plan, canonical in cm, in metres."""
    return scaled(centimetres, 0.01, "m")
