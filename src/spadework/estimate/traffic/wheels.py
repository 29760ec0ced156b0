"""The wheels of a plan laid flat: every axle of every pass as a row, with what the plan or a typical tyre says of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from spadework.estimate.chain import Chain, Step
from spadework.estimate.desk import Desk, FromPlan, in_metres, scaled
from spadework.plan import Machine, Wheels
from spadework.plan.outfits import kind_of
from spadework.quantities import Quantity
from spadework.reference import Entry, Row, constants, load
from spadework.working import Axis

__all__ = ["Axle", "axles", "mixed", "on_tracks", "put_tyres", "tractor_size", "typical_notes", "wheel_axis"]

_SIZES: Final = constants("tyre_sizes")


@dataclass(frozen=True)
class Axle:
    """One axle of a tractor or machine in a pass.

    Attributes
    ----------
    step : int
        The pass, in the order of the chain.
    machine : Machine or None
        The machine on the axle; None for the tractor.
    name : str
        What the plan calls the vehicle.
    where : str
        front, middle or rear.
    alone : int
        How many axles the vehicle has.
    wheels : Wheels or None
        What the plan says; None where a typical tyre stands in.
    typical : Row or None
        The typical tyre that stands in.
    path : tuple
        Key of the wheels in the plan.
    """

    step: int
    machine: Machine | None
    name: str
    where: str
    alone: int
    wheels: Wheels | None
    typical: Row | None
    path: tuple[str | int, ...]

    @property
    def count(self) -> int:
        """Wheels on the axle."""
        return 2 if self.wheels is None else self.wheels.count

    @property
    def width_m(self) -> float:
        """Width of a tyre, where a spread plays no part."""
        if self.wheels is not None:
            return self.wheels.tyre_width.value / 100
        return self._typical("tyre_width_m").value

    def across_m(self) -> list[float]:
        """Return the middle of each wheel to the right of the middle of the outfit."""
        gauge = self.wheels.gauge.value if self.wheels is not None else self._typical("gauge_m").value
        apart = self.width_m * (1 + _SIZES.twin_gap_share)
        if self.wheels is not None and self.wheels.apart is not None:
            apart = self.wheels.apart.value / 100
        right = [gauge / 2 + pair * apart for pair in range(self.count // 2)]
        return [-place for place in reversed(right)] + right

    def _typical(self, column: str) -> Entry:
        if self.typical is None:
            raise LookupError(f'"{self.name}" has tyres of its own in the plan')
        return self.typical.entry(column)

    def source(self, key: str, column: str) -> FromPlan | Entry:
        """Return where a length or pressure of the tyre comes from."""
        if self.wheels is None:
            return self._typical(column)
        quantity = getattr(self.wheels, key)
        return FromPlan(in_metres(quantity) if quantity.unit == "cm" else quantity, (*self.path, key), 1e-3)

    @property
    def share(self) -> Quantity | None:
        """The share of the vehicle's mass on the axle, where the plan says it."""
        share = None if self.wheels is None else self.wheels.share
        return None if share is None else scaled(share, 0.01, "1")


def axles(chain: Chain, tractor_t: list[float]) -> tuple[Axle, ...]:
    """Return every axle of every pass; `tractor_t` are the masses of the tractors, pass by pass, for typical tyres."""
    return tuple(
        axle for index, step in enumerate(chain.steps) for axle in _of_pass(chain, index, step, tractor_t[index])
    )


def on_tracks(chain: Chain) -> tuple[str, ...]:
    """Return the tractors of the passes that stand on tracks, for which no tyre can speak."""
    return tuple(dict.fromkeys(step.tractor.name for step in chain.steps if step.tractor.drive == "tracks"))


def tractor_size(mass_t: float) -> str:
    """Return whether typical figures of a small, middle or large tractor speak for one of that mass."""
    if mass_t > _SIZES.tractor_middle_t:
        return "large"
    return "small" if mass_t <= _SIZES.tractor_small_t else "middle"


def _of_pass(chain: Chain, index: int, step: Step, tractor_t: float) -> Iterator[Axle]:
    tractor = step.tractor
    size = tractor_size(tractor_t)
    rows = [f"tractor_{size}_front", f"tractor_{size}_rear"]
    yield from _of_vehicle(index, None, tractor.name, tractor.wheels, rows, chain.tractor_path(tractor.name))
    for machine in step.machines:
        if machine.mass is None:
            continue
        rows = ["drawn_rear"]
        if kind_of(machine).text("shape") == "carries" and machine.tank is not None:
            tank = machine.tank.value
            rows = ["tanker_three_front", "tanker_three_middle", "tanker_three_rear"]
            if tank <= _SIZES.tanker_two_m3:
                rows = ["tanker_two_front", "tanker_two_rear"]
            if tank <= _SIZES.tanker_one_m3:
                rows = ["tanker_one_rear"]
        yield from _of_vehicle(index, machine, machine.name, machine.wheels, rows, chain.machine_path(machine.name))


def _of_vehicle(
    index: int,
    machine: Machine | None,
    name: str,
    given: list[Wheels],
    rows: list[str],
    path: tuple[str | int, ...],
) -> Iterator[Axle]:
    for number, wheels in enumerate(given):
        yield Axle(index, machine, name, wheels.axle, len(given), wheels, None, (*path, "wheels", number))
    for row in () if given else (load("tyres_typical")[key] for key in rows):
        yield Axle(index, machine, name, row.text("axle"), len(rows), None, row, path)


def wheel_axis(chain: Chain, rows: tuple[Axle, ...]) -> Axis:
    """Return what figures of wheels run over; an axle that comes in several passes of a system is told apart by its pass."""
    owners = tuple(chain.steps[row.step].system for row in rows)
    names = [f"{row.name}, {row.where} axle" for row in rows]
    often = {key for key, count in Counter(zip(owners, names, strict=True)).items() if count > 1}
    labels = tuple(
        f"{name}, pass {chain.steps[row.step].number + 1}" if (owner, name) in often else name
        for row, owner, name in zip(rows, owners, names, strict=True)
    )
    return Axis("wheel", labels, owners)


def put_tyres(desk: Desk, rows: tuple[Axle, ...]) -> None:
    """Put width, diameter, pressure and number of the tyres on the sheet."""
    for key, column, label, unit in (
        ("tyre_width", "tyre_width_m", "width of a tyre", "m"),
        ("tyre_diameter", "tyre_diameter_m", "diameter of a tyre", "m"),
        ("pressure", "pressure_kpa", "tyre pressure", "kPa"),
    ):
        name = f"tyre_{key}" if key == "pressure" else key
        mixed(desk, name, label, unit, [row.source(key, column) for row in rows])
    counts = [FromPlan(float(row.count), row.path) for row in rows]
    desk.plan_rows("wheels", "wheels on the axle", "1", "wheel", counts)


def mixed(desk: Desk, name: str, label: str, unit: str, sources: list[FromPlan | Entry], over: str = "wheel") -> None:
    """Put a figure on the sheet of which the plan gives some rows and a table of typical ones the others."""
    given = [i for i, one in enumerate(sources) if isinstance(one, FromPlan)]
    typical = [i for i in range(len(sources)) if i not in given]
    if desk.part_of(f"{name}_said", over, given):
        said = [one for one in sources if isinstance(one, FromPlan)]
        desk.plan_rows(f"{name}_given", f"{label}, from the plan", unit, f"{name}_said", said)
    if desk.part_of(f"{name}_usual", over, typical):
        usual = [one for one in sources if isinstance(one, Entry)]
        desk.table_rows(f"{name}_typical", f"{label}, typical", f"{name}_usual", usual, unit)
    desk.merge(name, label, over, [f"{name}_given", f"{name}_typical"], unit)


def typical_notes(rows: tuple[Axle, ...]) -> list[str]:
    """Return which vehicles stand on typical tyres."""
    names = dict.fromkeys(row.name for row in rows if row.wheels is None)
    if not names:
        return []
    listed = ", ".join(f'"{name}"' for name in names)
    return [f"the plan names no tyres of {listed}: typical ones of that size stand in, our choice; give your own"]
