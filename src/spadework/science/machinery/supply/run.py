"""A day of bringing slurry, run through event by event: who fills, drives, hands over, spreads and waits, and when.

The same five ways as in :mod:`spadework.science.machinery.supply.haulage`.  Where nothing varies the run comes to the closed
form of :mod:`spadework.science.machinery.supply.rate`; where times vary it shows what the closed form cannot, the time
lost because nobody comes exactly when he is wanted.
"""

from __future__ import annotations

from collections.abc import Generator
from typing import TYPE_CHECKING, Any

import numpy as np

from spadework.science.machinery.supply.day import Ledger, Stretch, SupplyDay, SupplyRun
from spadework.working import equation

if TYPE_CHECKING:
    import simpy

__all__ = ["simulate"]

_SLIVER = 1e-6
_PIECES = 10
_Steps = Generator[Any, Any, None]


@equation(
    "events one after another: each vehicle goes through its round and waits wherever another has not come or not gone",
    unit="",
    source="physics",
    locator="discrete events",
    in_words=True,
)
def simulate(day: SupplyDay) -> SupplyRun:
    """Run through a day of bringing slurry.

    Parameters
    ----------
    day : SupplyDay
        Way, loads, flows, times, vehicles, length and spread.

    Returns
    -------
    SupplyRun
        Stretches of time by vehicle, throughput, waiting, road and the balance of slurry.

    Notes
    -----
    All tankers begin empty at the store, the spreader of the fed ways empty in the field, the container empty.  The
    store fills one tanker at a time, the first come first; one feeder at a time hands over.  A fed spreader always fills
    up before it leaves, out of two feeders if it must.  A feeder starts into the container once its whole load has
    room; the spreader starts to fill from it once a whole load is there.  Slurry is booked when a step ends.  Finding
    the place counts as spreading.  With `cv_share` above nil each step takes its mean time multiplied by a lognormal
    number of mean one, independent of all others.

    Examples
    --------
    >>> run = simulate(SupplyDay(way="brought", load_m3=18, dose_m3_ha=40, spread_h_ha=0.4, met_min=7.2, hours=10))
    >>> round(run.steady_m3_h, 1), len(run.spread)
    (60.0, 33)
    """
    import simpy

    return _Run(day, simpy).through()


class _Vehicle:
    """A tanker with its content, its road and its book of what it did."""

    def __init__(self, run: _Run, name: str) -> None:
        self.run, self.name = run, name
        self.tank = self.km = 0.0
        self.book: list[Stretch] = []
        self._what: str | None = None
        self._since = 0.0
        run.vehicles.append(self)

    def turn(self, what: str | None) -> None:
        """Close what the vehicle did and open what it does from now on; None where it is done for the day."""
        now = self.run.env.now
        if self._what is not None and now > self._since:
            self.book.append(Stretch(self._since, now, self._what))
        self._what, self._since = what, now

    def spend(self, what: str, minutes: float) -> _Steps:
        self.turn(what)
        yield self.run.env.timeout(self.run.drawn(minutes))

    def drive(self, *, full: bool) -> _Steps:
        day = self.run.day
        speed = day.given("speed_full_km_h" if full else "speed_empty_km_h")
        yield from self.spend(f"on the road, {'full' if full else 'empty'}", 60 * day.distance_km / speed)
        self.km += day.distance_km


class _Run:
    def __init__(self, day: SupplyDay, simpy_: Any) -> None:
        self.day, self.simpy = day, simpy_
        self.env: simpy.Environment = simpy_.Environment()
        self.random = np.random.default_rng(day.seed)
        self.sigma = float(np.sqrt(np.log1p(day.cv_share**2)))
        self.vehicles: list[_Vehicle] = []
        self.wanted = np.inf if day.area_ha is None else day.area_ha * day.dose_m3_ha
        self.to_fetch, self.to_spread = self.wanted, self.wanted
        self.out = self.field = self.contained = 0.0
        self.spread: list[tuple[float, float]] = []
        self.store = simpy_.Resource(self.env, 1)
        self.berth = simpy_.Resource(self.env, 1)
        self.gate = simpy_.Store(self.env)

    def drawn(self, minutes: float) -> float:
        if self.sigma == 0 or minutes == 0:
            return minutes
        return minutes * float(self.random.lognormal(-(self.sigma**2) / 2, self.sigma))

    def through(self) -> SupplyRun:
        day, env = self.day, self.env
        spreader = _Vehicle(self, "spreader")
        work = {
            "brought": self._brought,
            "drives": self._drives,
            "feeders": self._fed,
            "container": self._from_container,
            "hose": self._hose,
        }[day.way]
        if day.way == "container":
            self.room = self.simpy.Container(env, init=day.given("container_m3") + _SLIVER)
            self.stock = self.simpy.Container(env, init=_SLIVER)
        done = env.process(work(spreader))
        if day.way in ("feeders", "container"):
            for number in range(1, int(day.feeders) + 1):
                env.process(self._feeder(_Vehicle(self, f"feeder {number}")))
        end = env.timeout(60 * day.hours)
        env.run(until=end | done)
        for vehicle in self.vehicles:
            vehicle.turn(None)
        ledger = Ledger(self.out, self.field, sum(v.tank for v in self.vehicles), self.contained)
        books = {vehicle.name: tuple(vehicle.book) for vehicle in self.vehicles}
        km = {vehicle.name: vehicle.km for vehicle in self.vehicles}
        return SupplyRun(day, float(env.now), books, tuple(self.spread), km, ledger)

    def _take(self, vehicle: _Vehicle, load: float) -> float:
        """Book slurry out of the store where its filling point is no part of the day."""
        amount = float(min(load, self.to_fetch))
        self.to_fetch -= amount
        self.out += amount
        vehicle.tank += amount
        return amount

    def _fetch(self, vehicle: _Vehicle, load: float) -> _Steps:
        vehicle.turn("waits")
        with self.store.request() as turn:
            yield turn
            amount = float(min(load, self.to_fetch))
            if amount <= _SLIVER:
                return
            self.to_fetch -= amount
            yield from vehicle.spend("fills", amount / self.day.given("filling_m3_min") + self.day.connect_min)
            self.out += amount
            vehicle.tank += amount

    def _empty_out(self, spreader: _Vehicle) -> _Steps:
        """Spread what is in the tank."""
        day = self.day
        yield from spreader.spend("spreads", 60 * spreader.tank / day.dose_m3_ha * day.spread_h_ha + day.other_min)
        self.field += spreader.tank
        self.to_spread -= spreader.tank
        self.spread.append((float(self.env.now), spreader.tank))
        spreader.tank = 0.0

    def _brought(self, spreader: _Vehicle) -> _Steps:
        while self.to_fetch > _SLIVER:
            yield from spreader.spend("hands over", self.day.met_min)
            self._take(spreader, self.day.load_m3)
            yield from self._empty_out(spreader)

    def _drives(self, spreader: _Vehicle) -> _Steps:
        while self.to_fetch > _SLIVER:
            yield from self._fetch(spreader, self.day.load_m3)
            yield from spreader.drive(full=True)
            yield from self._empty_out(spreader)
            yield from spreader.drive(full=False)

    def _hose(self, spreader: _Vehicle) -> _Steps:
        day = self.day
        yield from spreader.spend("sets up", 60 * day.setup_h)
        spreader.turn("spreads")
        while self.to_fetch > _SLIVER:
            amount = float(min(day.dose_m3_ha / _PIECES, self.to_fetch))
            by_tools = self.drawn(60 * amount / day.dose_m3_ha * day.spread_h_ha)
            yield self.env.timeout(max(by_tools, self.drawn(60 * amount / day.given("hose_m3_h"))))
            self.field += self._take(spreader, amount)
            self.spread.append((float(self.env.now), amount))
            spreader.tank = 0.0

    def _feeder(self, feeder: _Vehicle) -> _Steps:
        while self.to_fetch > _SLIVER:
            yield from self._fetch(feeder, self.day.given("feeder_load_m3"))
            if feeder.tank <= _SLIVER:
                break
            yield from feeder.drive(full=True)
            feeder.turn("waits")
            if self.day.way == "feeders":
                emptied = self.env.event()
                yield self.gate.put((feeder, emptied))
                yield emptied
            else:
                yield from self._into_container(feeder)
            yield from feeder.drive(full=False)
        feeder.turn(None)

    def _fed(self, spreader: _Vehicle) -> _Steps:
        day = self.day
        feeder: _Vehicle | None = None
        emptied: Any = None
        while self.to_spread > _SLIVER:
            target = float(min(day.load_m3, self.to_spread))
            while spreader.tank < target - _SLIVER:
                if feeder is None:
                    spreader.turn("waits")
                    feeder, emptied = yield self.gate.get()
                room = target - spreader.tank
                amount = feeder.tank if feeder.tank <= room + _SLIVER else room
                feeder.turn("hands over")
                yield from spreader.spend("hands over", amount / day.given("transfer_m3_min") + day.connect_min)
                feeder.tank -= amount
                spreader.tank += amount
                feeder.turn("waits")
                if feeder.tank <= _SLIVER:
                    emptied.succeed()
                    feeder = None
            yield from self._empty_out(spreader)

    def _into_container(self, feeder: _Vehicle) -> _Steps:
        day, amount = self.day, feeder.tank
        with self.berth.request() as turn:
            yield turn
            yield self.room.get(amount)
            yield from feeder.spend("hands over", amount / day.given("transfer_m3_min") + day.connect_min)
            feeder.tank = 0.0
            self.contained += amount
            yield self.stock.put(amount)

    def _from_container(self, spreader: _Vehicle) -> _Steps:
        day = self.day
        while self.to_spread > _SLIVER:
            amount = float(min(day.load_m3, self.to_spread))
            spreader.turn("waits")
            yield self.stock.get(amount)
            yield from spreader.spend("fills", amount / day.given("container_out_m3_min") + day.connect_min)
            self.contained -= amount
            spreader.tank += amount
            yield self.room.put(amount)
            yield from self._empty_out(spreader)
