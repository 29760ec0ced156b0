"""Runs the science over a plan: all systems and draws in one sweep, and what the reader must be told of it."""

from __future__ import annotations

from spadework.estimate.ammonia import work_ammonia
from spadework.estimate.chain import Chain
from spadework.estimate.days import work_days
from spadework.estimate.desk import Desk
from spadework.estimate.draft import work_draft
from spadework.estimate.draws import Draws
from spadework.estimate.fit import fit_faults, fit_notes, too_wet
from spadework.estimate.fuel import work_fuel
from spadework.estimate.gases import work_gases
from spadework.estimate.ground import work_band, work_residue
from spadework.estimate.limits import limit_notes
from spadework.estimate.money import work_money
from spadework.estimate.nitrogen import work_nitrogen
from spadework.estimate.nutrients import work_nutrients
from spadework.estimate.on_board import work_slurry_on_board
from spadework.estimate.power import work_power
from spadework.estimate.result import Estimate
from spadework.estimate.time import work_time
from spadework.estimate.views import work_views
from spadework.plan import Fault, PlanFaults, Read
from spadework.plan.weather import weather_hours
from spadework.ranges import ImpossibleValue, collecting
from spadework.science.band import TooWet
from spadework.working import Worksheet

__all__ = ["DRAWS", "SEED", "check_fit", "estimate"]

DRAWS = 2_000
SEED = 1


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
    chain = Chain(read)
    desk = Desk(chain, Draws(draws, seed), Worksheet(chain.axes()))
    with collecting() as outside:
        try:
            work_draft(desk)
            work_slurry_on_board(desk)
            work_power(desk)
            if faults := fit_faults(desk):
                raise PlanFaults(faults, read.name)
            work_time(desk)
            work_fuel(desk)
            work_nutrients(desk)
            work_ammonia(desk)
            work_nitrogen(desk)
            work_money(desk)
            work_views(desk)
            work_days(desk)
            work_residue(desk)
            work_band(desk)
            work_gases(desk)
        except TooWet:
            raise PlanFaults([too_wet(desk)], read.name) from None
        except ImpossibleValue as error:
            unclear = Fault("", f"these inputs lead to something that cannot be: {error}")
            raise PlanFaults(fit_faults(desk) or [unclear], read.name) from None
    if faults := fit_faults(desk):
        raise PlanFaults(faults, read.name)
    notes = [*fit_notes(desk), *limit_notes(desk), *(str(note) for note in outside)]
    return Estimate(read, draws, seed, desk.sheet, weather, tuple(dict.fromkeys(notes)))


def check_fit(read: Read) -> None:
    """Raise what :func:`estimate` raises with its usual draws, so that a plan that was checked can be estimated."""
    estimate(read)
