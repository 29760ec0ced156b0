"""The pass that places slurry, laid out once for every way in which slurry could come to it.

Nothing is costed a second time: what is laid out here goes through the same parts of the estimate as the plan itself,
with the same draws.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from spadework.estimate.chain import Chain, Step
from spadework.estimate.desk import Desk
from spadework.estimate.draws import Draws
from spadework.estimate.fit import fit_faults
from spadework.estimate.machines.draft import work_draft
from spadework.estimate.machines.fuel import work_fuel
from spadework.estimate.machines.on_board import work_slurry_on_board
from spadework.estimate.machines.power import work_power
from spadework.estimate.machines.time import work_time
from spadework.estimate.money.costs import work_money
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.ammonia import work_ammonia
from spadework.estimate.slurry.balances import work_balances
from spadework.estimate.slurry.need import work_need
from spadework.estimate.slurry.nitrogen import work_nitrogen
from spadework.estimate.slurry.nutrients import work_nutrients
from spadework.plan import Machine, Supply
from spadework.plan.outfits import Way, placing_machine
from spadework.quantities import Quantity
from spadework.ranges import FloatArray, ImpossibleValue, collecting
from spadework.working import Worksheet

__all__ = ["Option", "SameDraws", "drawn_keys", "options_for", "possible", "side_by_side"]

_DISTANCE = "plan:field.store_distance"
_BEFORE: tuple[Callable[[Desk], None], ...] = (work_draft, work_slurry_on_board, work_power)
_PARTS: tuple[Callable[[Desk], None], ...] = (
    work_time,
    work_fuel,
    work_nutrients,
    work_ammonia,
    work_need,
    work_nitrogen,
    work_balances,
    work_money,
)


@dataclass(frozen=True)
class Option:
    """One way of bringing slurry to an outfit.

    Attributes
    ----------
    label : str
        The name of the supply in the plan, or words for what needs none.
    way : str
        As a pass has it: "brought", "drives itself", "feeders", "field container" or "hose".
    supply : str or None
        The supply of the plan.
    vehicles : int or None
        Feeders, where their number is not that of the plan.
    planned : bool
        True for the way that the system has in the plan.
    """

    label: str
    way: Way
    supply: str | None
    vehicles: int | None = None
    planned: bool = False


@dataclass(frozen=True)
class _Laid(Step):
    """The pass of a system under another supply; what the plan says of it stands where the pass stands."""

    stands_at: tuple[str | int, ...]
    vehicles: int | None

    @property
    def path(self) -> tuple[str | int, ...]:
        return self.stands_at


@dataclass(frozen=True)
class _Beside(Chain):
    """The ways side by side, each as a system of one pass."""

    laid: tuple[_Laid, ...]

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        return self.laid

    def supplies(self, axis: str) -> list[Supply]:
        way = {"fed": "feeders", "contained": "field container", "hosed": "hose"}[axis]
        found = []
        for index, step in enumerate(self.laid):
            if self.way(index) == way and step.done.supply is not None:
                supply = self.plan.supply(step.done.supply)
                found.append(supply.model_copy(update={"vehicles": step.vehicles}) if step.vehicles else supply)
        return found


class SameDraws(Draws):
    """Some of the draws of an estimate, once over for every distance."""

    def __init__(self, estimate: Estimate, keys: Sequence[str], most: int, km: FloatArray | None) -> None:
        super().__init__(estimate.draws, estimate.seed)
        self._places = {key: place for place, key in enumerate(keys)}
        self.step = -(-estimate.draws // most)
        self.km = km

    @property
    def kept(self) -> int:
        """How many draws are gone through at a distance."""
        return -(-self.number // self.step)

    def shares(self, key: str) -> FloatArray:
        """Return the draws of `key` as shares between 0 and 1."""
        shares = super().shares(key)[:: self.step]
        return shares if self.km is None else np.tile(shares, self.km.size)

    def of(self, key: str, quantity: Quantity, low: float = 0.0, high: float = np.inf) -> FloatArray:
        """Return draws of a quantity of the plan; of the road, the distances."""
        if key == _DISTANCE and self.km is not None:
            return np.repeat(self.km, self.kept)
        return super().of(key, quantity, low, high)


def options_for(estimate: Estimate, system: int) -> list[Option]:
    """Return the ways that the plan can price for the outfit of a system."""
    chain = Chain(estimate.read)
    index = chain.placing_step(system)
    if index is None:
        raise ValueError(f"system {estimate.systems[system]} places no slurry")
    step, used = chain.steps[index], chain.way(index)
    found = []
    if step.tanker is not None:
        found.append(Option("tanker fetching it itself", "drives itself", None, planned=used == "drives itself"))
        if step.tanker.refill is not None:
            found.append(Option("brought by others", "brought", None, planned=used == "brought"))
    for supply in estimate.plan.supplies:
        fits = step.tanker is not None or supply.way == "hose"
        if supply.way == "hose" and placing_machine([m for m in step.machines if m is not step.tanker]) is None:
            fits = False
        if fits:
            planned = step.done.supply == supply.name
            found.append(Option(supply.name, supply.way, supply.name, planned=planned))
    return found


def possible(
    estimate: Estimate, system: int, options: Sequence[Option], keys: Sequence[str], most: int
) -> tuple[list[Option], tuple[str, ...]]:
    """Return the ways that an estimate of the plan would let pass, and for the others why it would not."""
    kept, why = [], []
    for option in options:
        draws = SameDraws(estimate, keys, most, None)
        try:
            faults = fit_faults(side_by_side(estimate, system, [option], draws))
        except ImpossibleValue as error:
            why.append(f"{option.label}: {error}")
            continue
        if faults:
            why.append(f"{option.label}: {faults[0].what}")
        else:
            kept.append(option)
    return kept, tuple(why)


def side_by_side(estimate: Estimate, system: int, options: Sequence[Option], draws: Draws) -> Desk:
    """Work the ways side by side, each as a system of its own; only as far as its tractor where that is too small."""
    desk = _laid_out(estimate, system, options, draws)
    for part in _BEFORE:
        part(desk)
    if not fit_faults(desk):
        for part in _PARTS:
            part(desk)
    return desk


def _laid_out(estimate: Estimate, system: int, options: Sequence[Option], draws: Draws) -> Desk:
    chain = Chain(estimate.read)
    index = chain.placing_step(system)
    assert index is not None  # noqa: S101 (its options were found)
    step = chain.steps[index]
    laid, systems = [], []
    for row, option in enumerate(options):
        machines = tuple(_as(option, m) for m in step.machines if option.way != "hose" or m is not step.tanker)
        names = [m.name for m in machines]
        done = step.done.model_copy(update={"supply": option.supply, "machines": names})
        laid.append(_Laid(row, 0, done, step.tractor, machines, step.width_m, step.path, option.vehicles))
        systems.append(estimate.plan.systems[system].model_copy(update={"name": option.label, "passes": [done]}))
    read = replace(estimate.read, plan=estimate.plan.model_copy(update={"systems": systems}))
    beside = _Beside(read, tuple(laid))
    axes = beside.axes()
    factors: tuple[float, ...] = ()
    if "dose_factor" in estimate.sheet.figures:
        factors = (float(estimate.values("dose_factor", system)[0]),) * len(laid)
    return Desk(beside, draws, Worksheet(axes), dose_factors=factors)


def _as(option: Option, machine: Machine) -> Machine:
    """Return a tanker that drives itself even where it is met in the plan."""
    if option.way == "drives itself" and machine.refill is not None:
        return machine.model_copy(update={"refill": None})
    return machine


def drawn_keys(estimate: Estimate) -> tuple[str, ...]:
    """Return what the estimate drew, in its order: the same key in the same place gives the same draws."""
    chain = Chain(estimate.read)
    desk = Desk(chain, Draws(2, estimate.seed), Worksheet(chain.axes()))
    with collecting():
        for part in (*_BEFORE, *_PARTS):
            part(desk)
    return desk.draws.keys
