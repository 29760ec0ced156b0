"""Runs the science over a plan: all systems and draws in one sweep, and what the reader must be told of it."""

from __future__ import annotations

from collections.abc import Callable

from spadework.estimate.band.place import place_notes, work_band_place
from spadework.estimate.chain import Chain
from spadework.estimate.desk import Desk
from spadework.estimate.draws import Draws
from spadework.estimate.fit import fit_faults, fit_notes, too_wet
from spadework.estimate.ground import work_band, work_residue
from spadework.estimate.limits import limit_notes
from spadework.estimate.machines.draft import work_draft
from spadework.estimate.machines.fuel import work_fuel
from spadework.estimate.machines.on_board import work_slurry_on_board
from spadework.estimate.machines.power import work_power
from spadework.estimate.machines.time import work_time
from spadework.estimate.money.costs import work_money
from spadework.estimate.money.days import work_days
from spadework.estimate.money.views import work_views
from spadework.estimate.odd import slurry_notes
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.ammonia import work_ammonia
from spadework.estimate.slurry.balances import work_balances
from spadework.estimate.slurry.gases import work_gases
from spadework.estimate.slurry.need import work_need
from spadework.estimate.slurry.nitrogen import work_nitrogen
from spadework.estimate.slurry.nutrients import work_nutrients
from spadework.plan import Fault, PlanFaults, Read
from spadework.plan.weather.series import weather_hours
from spadework.ranges import ImpossibleValue, Outside, collecting
from spadework.science.band import TooWet
from spadework.working import Worksheet

__all__ = ["DRAWS", "SEED", "check_fit", "estimate"]

DRAWS = 2_000
SEED = 1
_ROUNDS = 5
_BEFORE_FIT: tuple[Callable[[Desk], None], ...] = (work_draft, work_slurry_on_board, work_power)
_AFTER_FIT: tuple[Callable[[Desk], None], ...] = (
    work_time,
    work_fuel,
    work_nutrients,
    work_ammonia,
    work_need,
    work_nitrogen,
    work_balances,
    work_money,
    work_views,
    work_days,
    work_residue,
    work_band,
    work_gases,
    work_band_place,
)


def estimate(read: Read, draws: int = DRAWS, seed: int = SEED) -> Estimate:
    """Estimate every system of a plan.

    Parameters
    ----------
    read : Read
        A plan that was read and checked.
    draws : int
        How many draws of the uncertain inputs, 1 to 1,000,000; a single draw takes the middle of each.
    seed : int
        Same plan, draws and seed give the same numbers.

    Raises
    ------
    PlanFaults
        Where what the plan asks for cannot be: a tractor too small, a band above the seed, a dose that finds no room.
    """
    weather = weather_hours(read)
    desk, outside = _worked(read, draws, seed, _dose_factors(read, seed))
    gaps = [f"weather of the spreading hours: {note}" for note in weather.notes if weather.filled_hours]
    notes = [
        *slurry_notes(read.plan),
        *fit_notes(desk),
        *place_notes(desk),
        *limit_notes(read.plan, desk.sheet),
        *desk.notes,
        *gaps,
        *(str(note) for note in outside),
    ]
    return Estimate(read, draws, seed, desk.sheet, weather, tuple(dict.fromkeys(notes)))


def _worked(read: Read, draws: int, seed: int, dose_factors: tuple[float, ...]) -> tuple[Desk, list[Outside]]:
    """Return the desk with every figure on its sheet, and the notes of models outside their range."""
    chain = Chain(read)
    desk = Desk(chain, Draws(draws, seed), Worksheet(chain.axes()), dose_factors=dose_factors)
    with collecting() as outside:
        try:
            for work in _BEFORE_FIT:
                work(desk)
            if faults := fit_faults(desk):
                raise PlanFaults(faults, read.name)
            for work in _AFTER_FIT:
                work(desk)
        except TooWet:
            raise PlanFaults([too_wet(desk)], read.name) from None
        except ImpossibleValue as error:
            unclear = Fault("", f"these inputs lead to something that cannot be: {error}")
            raise PlanFaults(fit_faults(desk) or [unclear], read.name) from None
    if faults := fit_faults(desk):
        raise PlanFaults(faults, read.name)
    return desk, outside


def _dose_factors(read: Read, seed: int) -> tuple[float, ...]:
    """Return the dose of every system that places slurry against the plan's; empty where all get the same.

    At equal available N the doses are settings: they are found in rounds on the middle of every input, for another
    dose takes another time to spread, so slurry lies for another time, so another share of it is lost.
    """
    if read.plan.slurry.terms != "equal available N":
        return ()
    chain = Chain(read)
    base = next(row for row, step in enumerate(chain.placing_steps) if step.system == chain.baseline)
    factors = (1.0,) * len(chain.placing)
    for _ in range(_ROUNDS):
        desk, _ = _worked(read, 1, seed, factors)
        given = desk.sheet["placing_available"][:, 0]
        factors = tuple(float(factor * given[base] / one) for factor, one in zip(factors, given, strict=True))
    return factors


def check_fit(read: Read) -> None:
    """Raise what :func:`estimate` raises with its usual draws, so that a plan that was checked can be estimated."""
    estimate(read)
