"""Pressure on the soil under every wheel of every pass, and how much of the field is driven on.

The figures stand on a worksheet of their own that goes on from that of the estimate: every wheel with its tank full, half
full and empty makes many figures, and who asks for money alone should not wait for them.  Stress is not damage: nothing
here says what a soil makes of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.chain import Chain
from spadework.estimate.desk import Desk, FromPlan
from spadework.estimate.draws import Draws
from spadework.estimate.result import Estimate
from spadework.estimate.traffic.shift import put_levers, put_loads_at_work, shift_notes
from spadework.estimate.traffic.wheels import Axle, axles, on_tracks, put_tyres, typical_notes, wheel_axis
from spadework.plan import PlanFaults
from spadework.plan.outfits import kind_of
from spadework.ranges import FloatArray, collecting
from spadework.reference import constants, load
from spadework.science.traffic import (
    axle_load,
    circle_radius,
    contact_area_hard_osullivan,
    contact_area_soft_osullivan,
    contact_stress,
    depth_of_stress,
    driven_at_least,
    driven_at_least_by_chance,
    driven_by_chance,
    mass_at_fill,
    share_left,
    stress_under_even,
    track_edges,
    wheel_load,
    wheeled_share,
)
from spadework.working import Worksheet

__all__ = ["DEPTHS_CM", "FILLS", "TRACKS", "Driven", "Pressures", "pressures"]

DEPTHS_CM: Final = (10, 30, 50)
"""Depths under the surface that the wheels stand on, at which the stress is worked out."""
FILLS: Final = {"full": 1.0, "half": 0.5, "empty": 0.0}
"""Share of its load that a tanker has on board."""
TRACKS: Final = (
    "stands on tracks, and pressure is worked out for tyres only: under a belt the load gathers below each roller, so that "
    "neither its whole area nor a tyre's would be true; measure under it, or name a tractor on tyres to see the rest"
)
"""Why there is no pressure under a tractor on tracks."""
_WORDS: Final = {"full": "tank full", "half": "tank half full", "empty": "tank empty"}
_CONCENTRATION: Final = {"hard": "hard", "firm": "normal", "tilled": "normal", "soft": "soft"}
_WIDEST_M: Final = 2000.0  # of a wider field this much stands for all: the tracks come back in the same order
_APART: Final = 1_000_033  # draws of tyres keep apart from those of the estimate


@dataclass(frozen=True, eq=False)
class Driven:
    """What share of the ground is driven on, headlands left out, on the middle of every input.

    Attributes
    ----------
    passes : tuple of float
        By each pass, in the order of the chain.
    by_chance, twice_by_chance : tuple of float
        By at least one and at least two passes of each system, their tracks falling as if by chance.
    from_one_side, twice_from_one_side : tuple of float
        By at least one and at least two wheels of each system, every pass beginning at the same side of the field and
        keeping its width.
    """

    passes: tuple[float, ...]
    by_chance: tuple[float, ...]
    twice_by_chance: tuple[float, ...]
    from_one_side: tuple[float, ...]
    twice_from_one_side: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Pressures:
    """Pressure under every wheel of an estimate.

    Attributes
    ----------
    estimate : Estimate
        What it goes on from.
    sheet : Worksheet
        The figures of the estimate, and those of the axis ``wheel``, each with its working.
    axles : tuple of Axle
        The rows of that axis.
    driven : Driven
        Share of the ground driven on.
    notes : tuple of str
        What the reader must know.
    """

    estimate: Estimate
    sheet: Worksheet
    axles: tuple[Axle, ...]
    driven: Driven
    notes: tuple[str, ...]

    def rows(self, system: int) -> list[int]:
        """Return the axles of a system, pass by pass."""
        owners = self.sheet.axes["wheel"].systems
        return [row for row, owner in enumerate(owners) if owner == system]

    def middle(self, name: str, row: int) -> float:
        """Return the median of a figure for an axle."""
        return float(np.median(self.sheet[name][row]))

    def largest(self, name: str, system: int) -> tuple[int, float]:
        """Return the axle of a system with the largest median of a figure, and that median."""
        rows = self.rows(system)
        middles = [self.middle(name, row) for row in rows]
        place = int(np.argmax(middles))
        return rows[place], middles[place]


def pressures(estimate: Estimate) -> Pressures:
    """Work out pressure under the wheels, and the share of the ground driven on, for every pass of an estimate.

    Parameters
    ----------
    estimate : Estimate
        Any estimate; its draws are gone on from.

    Raises
    ------
    PlanFaults
        If a tractor of a pass stands on tracks: area and stress are worked out from tyres.
    """
    chain, before = Chain(estimate.read), estimate.sheet
    if tracked := on_tracks(chain):
        raise PlanFaults(
            [chain.read.fault(TRACKS, *chain.tractor_path(name), "drive") for name in tracked], chain.read.name
        )
    masses = [float(np.median(row)) for row in before["tractor_mass"]]
    rows = axles(chain, masses)
    sheet = Worksheet({**before.axes, "wheel": wheel_axis(chain, rows)}, dict(before.figures))
    desk = Desk(chain, Draws(estimate.draws, estimate.seed + _APART), sheet)
    with collecting() as outside:
        put_tyres(desk, rows)
        _masses(desk, rows)
        _shares(desk, rows)
        _soil(desk)
        put_levers(desk, rows)
        for fill in FILLS:
            _loads(desk, rows, fill)
            _under(desk, fill)
    notes = [*typical_notes(rows), *_left_out(chain, rows), *shift_notes(desk, rows), *(str(note) for note in outside)]
    if np.median(before["breadth"]) > _WIDEST_M:
        notes.append(f"the share driven on was worked out on {_WIDEST_M / 1000:g} km of the field's breadth")
    return Pressures(estimate, sheet, rows, _driven(chain, sheet, rows), tuple(dict.fromkeys(notes)))


def _masses(desk: Desk, rows: Sequence[Axle]) -> None:
    """Put the mass of each vehicle, its load, and what it draws on the sheet, once for each of its axles."""
    sheet, chain = desk.sheet, desk.chain
    if desk.part_of("wheel_tractor", "wheel", [i for i, row in enumerate(rows) if row.machine is None]):
        own = [[row.step] for row in rows if row.machine is None]
        sheet.gather("tractor_of_wheel", "pick", "tractor_mass", "mass of the tractor", over="wheel_tractor", rows=own)
    if desk.part_of("wheel_machine", "wheel", [i for i, row in enumerate(rows) if row.machine is not None]):
        drawn = [row.machine for row in rows if row.machine is not None]
        sources = [FromPlan(m.mass or 0.0, (*chain.machine_path(m.name), "mass"), 0.1) for m in drawn]
        desk.plan_rows("machine_of_wheel", "empty mass of the machine", "t", "wheel_machine", sources)
    desk.merge("vehicle_mass", "empty mass on the axles", "wheel", ["tractor_of_wheel", "machine_of_wheel"], "t")
    loads = [_load_row(desk, row) for row in rows]
    if "load_size" in sheet.figures:
        sheet.gather("vehicle_load", "sum", "load_size", "slurry in a load", over="wheel", rows=loads)
    else:
        nothing = np.zeros((len(rows), 1))
        sheet.given("vehicle_load", nothing, "m3", "slurry in a load", over="wheel", places=["no tanker is driven"])
    behind = [_drawn_by(rows, row) for row in rows]
    for name, of, label in (
        ("drawn_mass", "vehicle_mass", "empty mass of what presses on the hitch"),
        ("drawn_load", "vehicle_load", "slurry in its load"),
    ):
        sheet.gather(name, "sum", of, label, over="wheel", rows=[found[:1] for found in behind])


def _load_row(desk: Desk, row: Axle) -> list[int]:
    """Return the row of the axis ``tanked`` that holds the load of the machine on an axle, if it carries slurry."""
    chain = desk.chain
    step = chain.steps[row.step]
    tanked = desk.sheet.axes.get("tanked")
    carries = row.machine is not None and row.machine == step.tanker and chain.placing_step(step.system) == row.step
    return [tanked.systems.index(step.system)] if tanked and carries and step.system in tanked.systems else []


def _drawn_by(rows: Sequence[Axle], row: Axle) -> list[int]:
    """Return the axles of the first drawn machine, which presses on the hitch behind a tractor's rear axle."""
    if row.machine is not None or row.where != "rear":
        return []
    behind = [i for i, other in enumerate(rows) if other.step == row.step and other.machine is not None]
    return [i for i in behind if rows[i].machine == rows[behind[0]].machine]


def _shares(desk: Desk, rows: Sequence[Axle]) -> None:
    """Put what share of its vehicle each axle carries on the sheet, and what share of a drawn machine is on the hitch."""
    sheet = desk.sheet
    pairs = [[i for i, o in enumerate(rows) if o.step == r.step and o.machine == r.machine] for r in rows]
    said = [i for i, row in enumerate(rows) if row.share is not None]
    front = [i for i, row in enumerate(rows) if row.machine is None and row.where == "front"]
    usual = [i for i in front if not set(pairs[i]) & set(said)]
    if desk.part_of("share_said", "wheel", said):
        sources = [FromPlan(share, (*rows[i].path, "share"), 0, 1) for i in said if (share := rows[i].share)]
        desk.plan_rows("given_share", "share of the mass on the axle, from the plan", "1", "share_said", sources)
    if desk.part_of("share_usual", "wheel", usual):
        typical = load("tyres_typical")
        entries = [(rows[i].typical or typical["tractor_middle_front"]).entry("axle_share") for i in usual]
        desk.table_rows("typical_share", "share of the mass on the axle, typical", "share_usual", entries, "1")
    desk.merge("first_share", "share that plan or table say", "wheel", ["given_share", "typical_share"], "1")
    left = [i for i in range(len(rows)) if i not in said and i not in usual]
    label = "share of the mass that is left for the axle"
    other = [i for i in left if rows[i].machine is None]
    if desk.part_of("share_second", "wheel", other):
        taken = [[j for j in pairs[i] if j != i] for i in other]
        sheet.gather("second_taken", "sum", "first_share", "share on the other axle", over="share_second", rows=taken)
        _left(desk, "second_share", label, "second_taken", "share_second", [1] * len(other))
    tanker = [i for i in left if _load_row(desk, rows[i])]
    if desk.part_of("share_tanker", "wheel", tanker):
        _left(desk, "tanker_share", label, "hitch_share", "share_tanker", [rows[i].alone for i in tanker])
    drawn = [i for i in left if rows[i].machine is not None and i not in tanker]
    if desk.part_of("share_drawn", "wheel", drawn):
        place = ["our choice: nothing rests on the hitch"]
        sheet.given("drawn_taken", [[0.0]] * len(drawn), "1", "share on the hitch", over="share_drawn", places=place)
        _left(desk, "drawn_share", label, "drawn_taken", "share_drawn", [rows[i].alone for i in drawn])
    parts = ["given_share", "typical_share", "second_share", "tanker_share", "drawn_share"]
    desk.merge("axle_share", "share of the vehicle's mass on the axle", "wheel", parts, "1")
    hitched = [i for i, row in enumerate(rows) if _drawn_by(rows, row)]
    if desk.part_of("hitched", "wheel", hitched):
        carried = [_drawn_by(rows, rows[i]) for i in hitched]
        label = "share of the drawn machine's mass on its own axles"
        sheet.gather("hitched_taken", "sum", "axle_share", label, over="hitched", rows=carried)
        label = "share of the drawn machine's mass on the hitch"
        _left(desk, "hitched_share", label, "hitched_taken", "hitched", [1] * len(hitched))
    desk.merge("on_hitch", "share of the drawn machine's mass on the hitch", "wheel", ["hitched_share"], "1")


def _left(desk: Desk, name: str, label: str, taken: str, over: str, axles: Sequence[int]) -> None:
    alike = [[float(number)] for number in axles]
    place = ["counted in the plan"]
    desk.sheet.given(f"{name}_axles", alike, "1", "axles that share it", over=over, places=place)
    desk.sheet.work(name, share_left, label, taken_share=taken, axles=f"{name}_axles")


def _soil(desk: Desk) -> None:
    surface = desk.chain.plan.field.surface
    key = f"concentration_{_CONCENTRATION[surface]}"
    entry = constants("soil_pressure")[key]
    desk.table_value("concentration", entry.citation.label, entry)
    desk.constant("stress_limit", "wheel_limits", "stress_kpa")
    for depth in DEPTHS_CM:
        label = "depth under the surface that the wheels stand on"
        desk.sheet.given(f"under_{depth}", float(depth), "cm", label, places=["our choice"], texts=[f"{depth} cm"])


def _loads(desk: Desk, rows: Sequence[Axle], fill: str) -> None:
    """Put the load on every axle on the sheet for one state of the tank."""
    sheet, words = desk.sheet, _WORDS[fill]
    sheet.given(f"fill_{fill}", FILLS[fill], "1", f"load on board, {words}", places=["one of three states of the tank"])
    for of, name in (("vehicle", "mass"), ("drawn", "drawn")):
        sheet.work(
            f"{name}_{fill}", mass_at_fill, f"mass, {words}" if of == "vehicle" else f"drawn mass, {words}",
            empty_t=f"{of}_mass", load_m3=f"{of}_load", density_t_m3="density", fill_share=f"fill_{fill}",
        )  # fmt: skip
    sheet.work(
        f"own_{fill}", axle_load, f"own load on the axle, {words}", mass_t=f"mass_{fill}", axle_share="axle_share"
    )
    sheet.work(
        f"from_hitch_{fill}", axle_load, f"load from the hitch, {words}", mass_t=f"drawn_{fill}", axle_share="on_hitch"
    )
    put_loads_at_work(desk, rows, fill, words)


def _under(desk: Desk, fill: str) -> None:
    """Put load, contact and stress of every wheel on the sheet for one state of the tank."""
    sheet, words = desk.sheet, _WORDS[fill]
    area: Callable[..., FloatArray] = contact_area_soft_osullivan
    if desk.chain.plan.field.surface == "hard":
        area = contact_area_hard_osullivan
    sheet.work(f"wheel_load_{fill}", wheel_load, f"wheel load, {words}", axle_kn=f"axle_{fill}", wheels="wheels")
    sheet.work(
        f"contact_area_{fill}", area, f"contact area of a tyre, {words}",
        tyre_width_m="tyre_width", tyre_diameter_m="tyre_diameter",
        wheel_load_kn=f"wheel_load_{fill}", tyre_pressure_kpa="tyre_pressure",
    )  # fmt: skip
    sheet.work(
        f"contact_{fill}", contact_stress, f"mean contact stress, {words}",
        wheel_load_kn=f"wheel_load_{fill}", contact_area_m2=f"contact_area_{fill}",
    )  # fmt: skip
    sheet.work(
        f"radius_{fill}", circle_radius, f"radius of the contact, {words}", contact_area_m2=f"contact_area_{fill}"
    )
    for depth in DEPTHS_CM:
        sheet.work(
            f"stress_{depth}_{fill}", stress_under_even, f"stress at {depth} cm, {words}",
            contact_kpa=f"contact_{fill}", radius_m=f"radius_{fill}", depth_cm=f"under_{depth}",
            concentration="concentration",
        )  # fmt: skip
    sheet.work(
        f"line_{fill}", depth_of_stress, f"depth down to which the stress is above the limit that was set, {words}",
        wheel_load_kn=f"wheel_load_{fill}", contact_kpa=f"contact_{fill}", limit_kpa="stress_limit",
        concentration="concentration",
    )  # fmt: skip
    sheet.work(
        f"line_by_pressure_{fill}", depth_of_stress,
        f"the same, where the tyre presses on the ground with its own pressure, {words}",
        wheel_load_kn=f"wheel_load_{fill}", contact_kpa="tyre_pressure", limit_kpa="stress_limit",
        concentration="concentration",
    )  # fmt: skip


def _driven(chain: Chain, sheet: Worksheet, rows: Sequence[Axle]) -> Driven:
    widths = [float(np.median(row)) for row in sheet["width_used"]]
    breadth = min(float(np.median(sheet["breadth"])), _WIDEST_M)
    tracks = [_tracks(rows, index) for index in range(len(chain.steps))]
    passes = [float(wheeled_share(*tracks[i], widths[i])) for i in range(len(chain.steps))]
    chance, sides = [], []
    for system in range(len(chain.plan.systems)):
        steps = chain.steps_of(system)
        shares = [passes[i] for i in steps]
        chance.append((float(driven_by_chance(shares)), float(driven_at_least_by_chance(shares, 2))))
        edges = [track_edges(*tracks[i], widths[i], breadth) for i in steps]
        left, right = (np.concatenate([edge[side] for edge in edges]) for side in (0, 1))
        sides.append((float(driven_at_least(left, right, breadth, 1)), float(driven_at_least(left, right, breadth, 2))))
    once, twice = zip(*chance, strict=True)
    side_once, side_twice = zip(*sides, strict=True)
    return Driven(tuple(passes), once, twice, side_once, side_twice)


def _tracks(rows: Sequence[Axle], index: int) -> tuple[FloatArray, FloatArray]:
    places = [(place, row.width_m) for row in rows if row.step == index for place in row.across_m()]
    across, width = np.array(places).T
    return across, width


def _left_out(chain: Chain, rows: Sequence[Axle]) -> list[str]:
    notes = []
    on_wheels = {row.machine.name for row in rows if row.machine is not None}
    lifted = dict.fromkeys(m.name for step in chain.steps for m in step.machines if m.name not in on_wheels)
    if lifted:
        listed = ", ".join(f'"{name}"' for name in lifted)
        notes.append(f"without a mass of their own in the plan these weigh nothing on any wheel here: {listed}")
    for step in chain.steps:
        drawn = [m.name for m in step.machines if m.name in on_wheels]
        if len(drawn) > 1:
            notes.append(f'what "{drawn[-1]}" puts on its hitch, drawn behind "{drawn[0]}", is left out')
    if any(kind_of(machine).key == "mouldboard_plough" for step in chain.steps for machine in step.machines):
        notes.append("a wheel in the furrow of a plough stands deeper: its depths count from the floor of the furrow")
    if any(step.done.supply is not None for step in chain.steps):
        notes.append("feeders, pumps and turns at the headland drive on it as well; they are left out")
    return notes
