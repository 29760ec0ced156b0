"""What a day of bringing slurry is made of, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, get_args

from spadework.ranges import ImpossibleValue, require
from spadework.science.machinery.supply.rhythm import require_container

__all__ = ["DOINGS", "Ledger", "Stretch", "SupplyDay", "SupplyRun", "Way"]

Way = Literal["brought", "drives", "feeders", "container", "hose"]
DOINGS: Final = (
    "fills",
    "on the road, full",
    "on the road, empty",
    "hands over",
    "spreads",
    "waits",
    "sets up",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyDay:
    """What a day is made of; `load_m3`, `dose_m3_ha`, `spread_h_ha` and `hours` always count, the rest by way.

    Attributes
    ----------
    way : {"brought", "drives", "feeders", "container", "hose"}
        How slurry comes to the tools.
    load_m3 : float
        Slurry in one load of the spreader [m3]; of no account for the hose.
    dose_m3_ha : float
        Dose [m3/ha].
    spread_h_ha : float
        Working, turning and lost time, nothing about supply [h/ha].
    hours : float
        Length of the day [h]; it ends there, whatever is under way.
    area_ha : float or None
        Area after which all is done [ha]; None for as much as the day allows.
    other_min : float
        Finding the place and other time in the field, per spreader load [min].
    met_min : float
        Brought: from stopping to going on, per load [min].
    filling_m3_min, connect_min : float
        At the store [m3/min] and [min]; `connect_min` counts at every other coupling too.
    distance_km, speed_full_km_h, speed_empty_km_h : float
        Road, one way [km], and speeds on it [km/h].
    feeders, feeder_load_m3 : int, float
        Feeders on the road, and slurry in one load of them [m3].
    transfer_m3_min : float
        From feeder to spreader or into the container [m3/min].
    container_m3, container_out_m3_min : float
        Container [m3] and flow out of it into the spreader [m3/min].
    hose_m3_h, setup_h : float
        Flow through the hose [m3/h] and laying it [h].
    cv_share : float
        Standard deviation of every time, per mean [1]; 0 to 2.
    seed : int
        Of the random numbers.
    """

    way: Way
    load_m3: float
    dose_m3_ha: float
    spread_h_ha: float
    hours: float
    area_ha: float | None = None
    other_min: float = 0.0
    met_min: float = 0.0
    filling_m3_min: float | None = None
    connect_min: float = 0.0
    distance_km: float = 0.0
    speed_full_km_h: float | None = None
    speed_empty_km_h: float | None = None
    feeders: int = 0
    feeder_load_m3: float | None = None
    transfer_m3_min: float | None = None
    container_m3: float | None = None
    container_out_m3_min: float | None = None
    hose_m3_h: float | None = None
    setup_h: float = 0.0
    cv_share: float = 0.0
    seed: int = 0

    def __post_init__(self) -> None:
        if self.way not in get_args(Way):
            raise ValueError(f"`way` is {self.way!r}; allowed: {', '.join(get_args(Way))}")
        for name, high, unit in _ALWAYS:
            require(name, getattr(self, name), 0, high, unit, above=True)
        for name, high, unit in _FREE:
            require(name, getattr(self, name), 0, high, unit)
        if self.area_ha is not None:
            require("area_ha", self.area_ha, 0, 10_000, "ha", above=True)
        for name, high, unit in _BY_WAY[self.way]:
            value = getattr(self, name)
            if value is None:
                raise ValueError(f"the way {self.way!r} needs `{name}` [{unit}]")
            require(name, value, 0, high, unit, above=True)
        if self.way == "container":
            require_container(self.given("container_m3"), self.load_m3, self.given("feeder_load_m3"))
        if self.feeders != int(self.feeders):
            raise ImpossibleValue("feeders", f"{self.feeders:.6g}", 1, 50, "whole vehicles")

    def given(self, name: str) -> float:
        """Return a figure that the way needs."""
        value = getattr(self, name)
        assert value is not None, name  # noqa: S101 (held above)
        return float(value)


_ALWAYS: Final = (
    ("load_m3", 200, "m3"),
    ("dose_m3_ha", 500, "m3/ha"),
    ("spread_h_ha", 100, "h/ha"),
    ("hours", 10_000, "h"),
)
_FREE: Final = (
    ("other_min", 240, "min"),
    ("met_min", 1440, "min"),
    ("connect_min", 120, "min"),
    ("distance_km", 100, "km"),
    ("setup_h", 100, "h"),
    ("cv_share", 2, ""),
)
_ROAD: Final = (("filling_m3_min", 20, "m3/min"), ("speed_full_km_h", 80, "km/h"), ("speed_empty_km_h", 80, "km/h"))
_FED: Final = (*_ROAD, ("feeders", 50, ""), ("feeder_load_m3", 200, "m3"), ("transfer_m3_min", 20, "m3/min"))
_BY_WAY: Final[dict[Way, tuple[tuple[str, int, str], ...]]] = {
    "brought": (),
    "drives": _ROAD,
    "feeders": _FED,
    "container": (*_FED, ("container_m3", 1000, "m3"), ("container_out_m3_min", 20, "m3/min")),
    "hose": (("hose_m3_h", 1200, "m3/h"),),
}


@dataclass(frozen=True, slots=True)
class Stretch:
    """What one vehicle did from `start_min` to `end_min` [min]; `what` is one of :data:`DOINGS`."""

    start_min: float
    end_min: float
    what: str


@dataclass(frozen=True, slots=True)
class Ledger:
    """Where the slurry is at the end [m3]: what left the store is on the field, in tanks or in the container."""

    out_of_store_m3: float
    on_field_m3: float
    in_tanks_m3: float
    in_container_m3: float


@dataclass(frozen=True)
class SupplyRun:
    """What came of a day.

    Attributes
    ----------
    day : SupplyDay
        What went in.
    minutes : float
        When it ended [min].
    stretches : dict of str to tuple of Stretch
        By vehicle: ``spreader``, ``feeder 1`` and so on; without gaps while the vehicle has anything to do.
    spread : tuple of (float, float)
        Minute at which a load was spread, and its slurry [m3].
    km : dict of str to float
        Road by vehicle [km]; a road under way at the end is not counted.
    ledger : Ledger
        Balance of slurry.
    """

    day: SupplyDay
    minutes: float
    stretches: dict[str, tuple[Stretch, ...]]
    spread: tuple[tuple[float, float], ...]
    km: dict[str, float]
    ledger: Ledger

    @property
    def day_m3_h(self) -> float:
        """Throughput of the whole day, first and last loads and setting up included [m3/h]."""
        return 60 * self.ledger.on_field_m3 / self.minutes

    @property
    def day_ha_h(self) -> float:
        """Rate of work of the whole day [ha/h]."""
        return self.day_m3_h / self.day.dose_m3_ha

    @property
    def steady_m3_h(self) -> float:
        """Throughput of the second half of the loads, when all have found their rhythm [m3/h]; nan under four loads."""
        if len(self.spread) < 4:
            return float("nan")
        half = len(self.spread) // 2
        minutes = self.spread[-1][0] - self.spread[half - 1][0]
        return 60 * sum(volume for _, volume in self.spread[half:]) / minutes

    def spent_h(self, vehicle: str, what: str) -> float:
        """Return the hours that a vehicle spent on one of :data:`DOINGS`."""
        return sum(s.end_min - s.start_min for s in self.stretches[vehicle] if s.what == what) / 60

    def waits_share(self, vehicle: str) -> float:
        """Return the share of a vehicle's time that it waited, standing by with slurry left included."""
        whole = sum(s.end_min - s.start_min for s in self.stretches[vehicle]) / 60
        return self.spent_h(vehicle, "waits") / whole if whole else 0.0
