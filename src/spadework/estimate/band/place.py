"""Where the band lies for single seeds: scatter in depth, sideways, within targets, and the tine depth that targets ask for.

Everything before this speaks of the field's mean.  Here each draw stands for one seed of one field that could be: the
mean that is not known and the scatter about it are both in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from spadework.estimate.chain import Chain
from spadework.estimate.desk import Desk, FromPlan, as_share, entry_key, stack
from spadework.estimate.draws import normal_between
from spadework.plan.outfits import kind_of, placing_machine
from spadework.quantities import Quantity
from spadework.reference import Row, constants, load
from spadework.science.band import (
    clearance_ellipse,
    crab_angle,
    gap_spread,
    inside,
    join_spread,
    joins_inside,
    largest_dose,
    line_apart,
    mean_for_share,
    middle,
    one_place,
    rows_in_step,
    share_beyond,
    sideways_spread,
    spoken_of,
    target_spread,
    tine_depth_for_top,
    towed_drift,
    wanted_top,
)
from spadework.working import Axis

__all__ = ["PUBLISHED", "place_notes", "rows_of_band", "work_band_place"]

PUBLISHED: Final = ("gap_denmark", "clearance_nrw", "top_denmark")
"""Rows of the table ``band_targets`` that the estimate is held against."""
_OF: Final = ("gap", "clearance", "top")
_WHAT: Final = ("gap", "clearance", "top_under_track")
_NO_END_CM: Final = 200.0


def work_band_place(desk: Desk) -> None:
    """Put scatter, sideways distance, clearance, shares within targets and required tine depths on the sheet."""
    if not desk.sheet.axes["band"].labels:
        return
    _scatter(desk)
    _sideways(desk)
    if desk.chain.plan.field.side_slope is not None:
        _side_slope(desk)
    apart = "apart" if "apart" in desk.sheet.figures else "shift"
    desk.sheet.work(
        "beyond", share_beyond, "share of the seeds further beside the band than does no harm",
        harmless_cm="harmless", offset_sd_cm="offset_sd", shift_cm=apart,
    )  # fmt: skip
    _single_seeds(desk, apart)
    desk.constant("sure_share", "guidance", "sure_share")
    _published(desk)
    _own(desk)
    desk.sheet.work(
        "most_dose", largest_dose, "largest dose that finds room between tine and seed",
        slot_capacity_cm2="capacity", row_spacing_m="row_spacing",
    )  # fmt: skip


def place_notes(desk: Desk) -> list[str]:
    """Return what the reader must know of the place of the band."""
    return list(_notes(desk))


def _notes(desk: Desk) -> Iterator[str]:
    chain = desk.chain
    if chain.plan.band is not None and not chain.band_systems():
        yield "the plan has a part [band], but no system lays slurry in a band under the row; that part goes unused"
    for system in chain.band_systems():
        slurry, seed = rows_of_band(chain, system)
        if slurry and seed and not rows_in_step(slurry, seed):
            number, row = joins_inside(slurry, seed)[0].astype(int)
            yield (
                f"{chain.plan.systems[system].name}: slurry in {slurry} rows and seed in {seed} do not keep step; the "
                f"first join of the slurry inside a pass of the planter falls into its pass {number}, after row {row}, "
                "where the error of two passes meets one planter"
            )


def rows_of_band(chain: Chain, system: int) -> tuple[int | None, int | None]:
    """Return how many rows the slurry outfit and the planter of a system have; None where it is not said."""
    index = chain.placing_step(system)
    placer = placing_machine(chain.steps[index].machines) if index is not None else None
    planters = [
        machine
        for i in chain.steps_of(system)
        if "seed" in chain.steps[i].done.places
        for machine in chain.steps[i].machines
        if kind_of(machine).text("shape") == "seeds"
    ]
    return placer.rows if placer is not None else None, planters[0].rows if planters else None


def _scatter(desk: Desk) -> None:
    band = desk.chain.plan.band
    entry = constants("band_defaults")["band_top_sd"]
    if band is not None and band.top_scatter is not None:
        desk.plan_value("band_top_sd", entry.citation.label, "cm", FromPlan(band.top_scatter, ("band", "top_scatter")))
    else:
        desk.table_value("band_top_sd", entry.citation.label, entry)
    desk.constant("seed_depth_sd", "band_defaults", "seed_depth_sd")
    desk.sheet.work(
        "gap_sd", gap_spread, "scatter of the gap from seed to seed",
        band_top_sd_cm="band_top_sd", seed_depth_sd_cm="seed_depth_sd",
    )  # fmt: skip


def _sideways(desk: Desk) -> None:
    sheet, band = desk.sheet, desk.chain.plan.band
    steering = band.steering if band is not None else None
    guide = constants("guidance")
    for key, row, label in (
        ("slurry", "rtk", "outfit with slurry about its line, standard deviation"),
        ("seed", "rtk", "planter about its line, standard deviation"),
        ("slurry_drift", "drift_slurry", "tools with slurry about their tractor, standard deviation"),
        ("seed_drift", "drift_seed", "units of the planter about their tractor, standard deviation"),
    ):
        name = f"{key}_sd" if key in {"slurry", "seed"} else key
        said: Quantity | None = getattr(steering, key) if steering is not None else None
        if said is not None:
            desk.plan_value(name, label, "cm", FromPlan(said, ("band", "steering", key)))
        else:
            desk.table_value(name, label, guide[row])
    label = "distance between the lines of the two outfits"
    if steering is not None and steering.shift is not None:
        desk.plan_value("shift", label, "cm", FromPlan(steering.shift, ("band", "steering", "shift"), -40, 40))
    else:
        sheet.given("shift", 0.0, "cm", label, places=["not in the plan: taken as none"], texts=["0 cm"])
    label = "distance sideways beyond which roots reach the band late"
    if steering is not None and steering.harmless is not None:
        desk.plan_value("harmless", label, "cm", FromPlan(steering.harmless, ("band", "steering", "harmless")))
    else:
        desk.table_value("harmless", label, load("band_targets")["offset_oklahoma"].entry("high_cm"))
    sheet.work(
        "offset_sd", sideways_spread, "scatter of the seed beside the band",
        slurry_sd_cm="slurry_sd", seed_sd_cm="seed_sd", slurry_drift_cm="slurry_drift", seed_drift_cm="seed_drift",
    )  # fmt: skip
    sheet.work("join_sd", join_spread, "scatter of the row spacing at a join of the planter", steering_sd_cm="seed_sd")


def _side_slope(desk: Desk) -> None:
    """Put how far the tools hang downhill on a side slope on the sheet, and what that makes of the seed's place."""
    sheet, field, band = desk.sheet, desk.chain.plan.field, desk.chain.plan.band
    steering = band.steering if band is not None else None
    slope = FromPlan(as_share(field.side_slope), ("field", "side_slope"), 0.0, 0.4)
    desk.plan_value("side_slope", "slope across the working direction", "1", slope)
    desk.constant("side_hold", "guidance", "side_hold")
    angle = "angle at which what is towed crabs on the side slope"
    sheet.work("crab", crab_angle, angle, side_slope_share="side_slope", side_hold_per_deg="side_hold")
    label = "hitch to tools of the outfit with slurry"
    if steering is not None and steering.slurry_tow is not None:
        desk.plan_value("slurry_tow", label, "m", FromPlan(steering.slurry_tow, ("band", "steering", "slurry_tow")))
    else:
        _guessed_tow(desk, label)
    label = "hitch to units of the planter"
    if steering is not None and steering.seed_tow is not None:
        desk.plan_value("seed_tow", label, "m", FromPlan(steering.seed_tow, ("band", "steering", "seed_tow")))
    else:
        sheet.given("seed_tow", 0.0, "m", label, places=["not in the plan: carried by the tractor"], texts=["0 m"])
    for key, words in (("slurry", "tools with slurry"), ("seed", "units of the planter")):
        label = f"how far the {words} hang downhill"
        sheet.work(f"{key}_hang", towed_drift, label, hitch_to_tool_m=f"{key}_tow", crab_angle_deg="crab")
    sheet.work(
        "apart", line_apart, "how far the band lies downhill of the seed, on the whole",
        shift_cm="shift", slurry_hang_cm="slurry_hang", seed_hang_cm="seed_hang",
    )  # fmt: skip


def _guessed_tow(desk: Desk, label: str) -> None:
    """Put the guide value on the sheet for systems whose outfit tows a tank, nil for those that carry their tools."""
    entry, chain = constants("guidance")["tow_slurry"], desk.chain
    towed = [
        chain.steps[i].tanker is not None for s in chain.band_systems() if (i := chain.placing_step(s)) is not None
    ]
    rows = stack([desk.draws.of_entry(entry_key(entry), entry) if tank else np.zeros(1) for tank in towed])
    said = [entry.citation] if any(towed) else []
    note = "nil where the plan shows no tank behind the tractor"
    desk.sheet.looked_up("slurry_tow", rows, "m", label, said * len(towed), over="band", note=note)


def _single_seeds(desk: Desk, apart: str) -> None:
    sheet = desk.sheet
    for name, mean, sd, label in (
        ("seed_gap", "gap", "gap_sd", "gap under one seed"),
        ("seed_top", "band_top", "band_top_sd", "top of the band under one seed, under the press-wheel track"),
        ("seed_offset", apart, "offset_sd", "distance of one seed beside the band"),
    ):
        shares = desk.draws.shares(f"seed:{name}")
        z = normal_between(shares, 0.0, 1.0, -np.inf, np.inf)
        sheet.given(
            f"{name}_z", z, "1", f"standard deviations by which one seed is off: {label}",
            places=["drawn anew in every draw"], texts=["standard normal distribution"],
        )  # fmt: skip
        sheet.work(name, one_place, label, mean_cm=mean, sd_cm=sd, z=f"{name}_z")
    sheet.add_up("seed_centre", "centre of the band under one seed", "seed_gap", "half_height")
    sheet.work(
        "clearance", clearance_ellipse, "shortest way from one seed to the band",
        centre_to_seed_cm="seed_centre", offset_cm="seed_offset",
        half_width_cm="half_width", half_height_cm="half_height",
    )  # fmt: skip


def _published(desk: Desk) -> None:
    sheet, bands = desk.sheet, desk.sheet.axes["band"]
    rows: list[Row] = [load("band_targets")[key] for key in PUBLISHED] * len(bands.labels)
    place = [band for band in range(len(bands.labels)) for _ in PUBLISHED]
    sheet.axes["target"] = Axis("target", tuple(row.label for row in rows), tuple(bands.systems[b] for b in place))
    for name, column, words in (("target_low", "low_cm", "lower"), ("target_high", "high_cm", "upper")):
        desk.table_rows(name, f"{words} end of the target", "target", [row.entry(column) for row in rows])
    said = [row.citation("what") for row in rows]
    for name, codes, label in _FLAGS:
        flags = [[codes[_WHAT.index(row.text("what"))]] for row in rows]
        sheet.looked_up(f"target_{name}", flags, "1", label, said, over="target")
    _held(desk, "target", place, ("target_low", "target_high"))


def _own(desk: Desk) -> None:
    band = desk.chain.plan.band
    if band is None or not band.targets:
        return
    sheet, bands = desk.sheet, desk.sheet.axes["band"]
    place = [row for row in range(len(bands.labels)) for _ in band.targets]
    targets = list(enumerate(band.targets)) * len(bands.labels)
    labels = tuple(f"{target.of}, own rule {i + 1}" for i, target in targets)
    sheet.axes["own"] = Axis("own", labels, tuple(bands.systems[b] for b in place))
    lows, highs, starts, ends = [], [], [], []
    for i, target in targets:
        here = ("band", "target", i)
        low = FromPlan(target.least, (*here, "least")) if target.least is not None else FromPlan(0.0, here)
        high = FromPlan(target.most, (*here, "most")) if target.most is not None else FromPlan(_NO_END_CM, here)
        lows.append(low)
        highs.append(high)
        starts.append(low if target.least is not None else high)
        ends.append(high if target.most is not None else low)
    desk.plan_rows("own_low", "lower end of the own target; nil where none is said", "cm", "own", lows)
    desk.plan_rows("own_high", "upper end of the own target; far off where none is said", "cm", "own", highs)
    desk.plan_rows("own_start", "lower end of the own target, or the only one", "cm", "own", starts)
    desk.plan_rows("own_end", "upper end of the own target, or the only one", "cm", "own", ends)
    places = [desk.chain.read.place("band", "target", i, "of") for i, _ in targets]
    for name, codes, label in _FLAGS:
        flags = [[codes[_OF.index(target.of)]] for _, target in targets]
        sheet.given(
            f"own_{name}", flags, "1", label, over="own", places=places, texts=[target.of for _, target in targets]
        )
    _held(desk, "own", place, ("own_start", "own_end"))


_FLAGS: Final = (
    ("speaks_of", (0.0, 1.0, 2.0), "what the target speaks of: 0 gap, 1 clearance, 2 top of the band"),
    ("from_track", (0.0, 0.0, 1.0), "1 where the target counts from the press-wheel track, else 0"),
)


def _held(desk: Desk, axis: str, place: list[int], ends: tuple[str, str]) -> None:
    """Hold single seeds against targets, and work out the tine depth that each of them asks for."""
    sheet = desk.sheet

    def onto(name: str) -> str:
        if not sheet.figures[name].over:
            return name
        label = sheet.figures[name].label
        sheet.gather(f"{axis}_{name}", "pick", name, label, over=axis, rows=[[row] for row in place])
        return f"{axis}_{name}"

    sheet.work(
        f"{axis}_found", spoken_of, "what the target speaks of, for one seed",
        gap_cm=onto("seed_gap"), clearance_cm=onto("clearance"), band_top_cm=onto("seed_top"),
        speaks_of=f"{axis}_speaks_of",
    )  # fmt: skip
    sheet.work(
        f"{axis}_inside", inside, "1 where the seed of the draw lies within the target, else 0",
        found_cm=f"{axis}_found", low_cm=f"{axis}_low", high_cm=f"{axis}_high",
    )  # fmt: skip
    sheet.work(
        f"{axis}_sd", target_spread, "scatter from seed to seed of what the target speaks of",
        band_top_sd_cm="band_top_sd", seed_depth_sd_cm="seed_depth_sd", from_track=f"{axis}_from_track",
    )  # fmt: skip
    sheet.work(f"{axis}_middle", middle, "middle of the target", low_cm=ends[0], high_cm=ends[1])
    sheet.work(
        f"{axis}_sure", mean_for_share, "mean at which most seeds have the lower end of the target",
        low_cm=f"{axis}_low", sd_cm=f"{axis}_sd", sure_share="sure_share",
    )  # fmt: skip
    shape = {
        "half_height_cm": onto("half_height"),
        "tine_width_cm": onto("band_tine_width"),
        "strip_width_cm": onto("band_strip_width"),
        "spread_angle_deg": "spread_angle",
        "swell_share": "swell",
        "settlement_share": "settlement",
    }
    for wanted, words in (
        ("middle", "for the middle of the target"),
        ("sure", "at which most seeds keep its lower end"),
    ):
        sheet.work(
            f"{axis}_{wanted}_top", wanted_top, f"top of the band {words}",
            wanted_cm=f"{axis}_{wanted}", seed_depth_cm="seed_depth", from_track=f"{axis}_from_track",
        )  # fmt: skip
        sheet.work(
            f"{axis}_{wanted}_depth",
            tine_depth_for_top,
            f"tine depth {words}",
            band_top_cm=f"{axis}_{wanted}_top",
            **shape,
        )
