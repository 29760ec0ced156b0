"""What the passes leave behind: residue on the ground, and the band of slurry under the row."""

from __future__ import annotations

import numpy as np

from spadework.estimate.chain import Step
from spadework.estimate.desk import Desk, FromPlan, as_share, in_metres, stack
from spadework.plan.outfits import kind_of, placing_machine
from spadework.ranges import FloatArray
from spadework.reference import Citation, Row, load
from spadework.science.band import (
    band_aspect,
    band_bottom,
    band_centre_over_tine,
    band_half_height,
    band_half_width,
    band_radius,
    band_top,
    berm_height,
    fillable_porosity,
    firmed_rise,
    gap,
    initial_ammoniacal_n,
    liquid_area,
    litres_per_metre,
    loosened_area,
    overflow,
    slot_capacity,
    total_porosity,
    under_firmed_surface,
)
from spadework.science.seedbed import area_weighted_cover, cover_after_pass, tilled_share

__all__ = ["work_band", "work_residue"]


def work_residue(desk: Desk) -> None:
    """Put residue cover on the sheet: in the strip, between the strips, and of the whole field."""
    sheet, chain, plan = desk.sheet, desk.chain, desk.chain.plan
    cover = plan.field.residue_cover
    desk.plan_value(
        "cover_before",
        "residue cover before the first pass",
        "1",
        FromPlan(as_share(cover), ("field", "residue_cover"), 0, 1),
    )
    for zone in ("strip", "between"):
        values: list[FloatArray] = []
        citations: dict[Citation, None] = {}
        for step in chain.steps:
            kept, said = _kept(desk, step, zone)
            values.append(kept)
            citations.update(dict.fromkeys(said))
        where = {"strip": "in the strip", "between": "between the strips"}[zone]
        label = f"cover kept by the pass, {where}; 1 where no figure speaks for it"
        sheet.looked_up(f"pass_kept_{zone}", stack(values), "1", label, list(citations), over="pass")
        rows = [chain.steps_of(s) for s in range(len(plan.systems))]
        sheet.gather(
            f"kept_{zone}",
            "product",
            f"pass_kept_{zone}",
            f"cover kept by all passes, {where}",
            over="system",
            rows=rows,
        )
        sheet.work(
            f"cover_{zone}", cover_after_pass, f"residue cover {where}",
            cover_share="cover_before", cover_retention_share=f"kept_{zone}",
        )  # fmt: skip
    widths = []
    for s in range(len(plan.systems)):
        index = chain.strip_step(s)
        strip = chain.steps[index].strip if index is not None else None
        if strip is not None and strip.strip_width is not None:
            widths.append(
                FromPlan(in_metres(strip.strip_width), (*desk.chain.machine_path(strip.name), "strip_width"), 0.01)
            )
        else:
            widths.append(FromPlan(in_metres(plan.crop.row_spacing), ("crop", "row_spacing")))
    desk.plan_rows("strip_width", "width worked per row", "m", "system", widths)
    desk.plan_value(
        "row_spacing", "row spacing", "m", FromPlan(in_metres(plan.crop.row_spacing), ("crop", "row_spacing"), 0.2)
    )
    sheet.work(
        "tilled", tilled_share, "share of the ground worked", strip_width_m="strip_width", row_spacing_m="row_spacing"
    )
    sheet.work(
        "cover", area_weighted_cover, "residue cover",
        strip_cover_share="cover_strip", between_cover_share="cover_between", tilled_share="tilled",
    )  # fmt: skip


def _kept(desk: Desk, step: Step, zone: str) -> tuple[FloatArray, list[Citation]]:
    residue = {"tough": "non_fragile", "fragile": "fragile"}[desk.chain.plan.field.residue]
    kept, said = np.ones(1), []
    for machine in step.machines:
        kind = kind_of(machine)
        if not kind.has("retention_row"):
            continue
        row: Row = load(kind.text("retention_table"))[kind.text("retention_row")]
        entry = row.entry(zone if row.has(zone) else residue)
        key = f"table:{entry.citation.table}.{entry.citation.row}.{entry.citation.column}"
        kept = kept * desk.draws.of_entry(key, entry)
        said.append(entry.citation)
    return kept, said


def work_band(desk: Desk) -> None:
    """Put the band under the row on the sheet: size, depth, distance under the seed, and whether it finds room."""
    if not desk.sheet.axes["band"].labels:
        return
    _pores(desk)
    _size(desk)
    _depth(desk)
    _room(desk)


def _pores(desk: Desk) -> None:
    sheet, field = desk.sheet, desk.chain.plan.field
    desk.plan_value(
        "bulk_density", "dry bulk density", "t/m3", FromPlan(field.bulk_density, ("field", "bulk_density"), 0.5, 2.4)
    )
    desk.plan_value(
        "moisture",
        "water in the soil, by volume",
        "1",
        FromPlan(as_share(field.moisture), ("field", "moisture"), 0, 0.8),
    )
    desk.plan_value("stones", "stones, by volume", "1", FromPlan(as_share(field.stones), ("field", "stones"), 0, 0.9))
    for key in ("particle_density", "saturation", "swell", "settlement", "spread_angle", "aspect_round"):
        desk.constant(key, "band_defaults", key)
    sheet.work(
        "pores",
        total_porosity,
        "pores of the soil",
        bulk_density_t_m3="bulk_density",
        particle_density_t_m3="particle_density",
    )
    sheet.work(
        "fillable", fillable_porosity, "share of the soil that slurry can fill",
        total_porosity_share="pores", saturation_share="saturation", moisture_share="moisture",
    )  # fmt: skip


def _size(desk: Desk) -> None:
    sheet = desk.sheet
    sheet.work(
        "row_litres",
        litres_per_metre,
        "slurry per metre of row",
        dose_m3_ha=desk.dose_on("band"),
        row_spacing_m="row_spacing",
    )
    sheet.work("slurry_area", liquid_area, "cross-section of the slurry", litres_per_m="row_litres")
    sheet.work(
        "radius", band_radius, "radius of a round band", liquid_area_cm2="slurry_area", fillable_share="fillable"
    )
    aspect = _aspect(desk)
    sheet.work("half_height", band_half_height, "half the height of the band", radius_cm="radius", aspect=aspect)
    sheet.work("half_width", band_half_width, "half the width of the band", radius_cm="radius", aspect=aspect)
    sheet.work(
        "band_n", initial_ammoniacal_n, "ammoniacal N in the soil of the fresh band",
        tan_kg_m3="ammoniacal_n", fillable_share="fillable", bulk_density_t_m3="bulk_density",
    )  # fmt: skip


def _aspect(desk: Desk) -> str:
    """Return the figure of the band's width to height: round under a tine, as wide as its wings spread it under others."""
    placers = [placing_machine(step.machines) for step in _band_steps(desk)]
    kinds = [kind_of(placer) for placer in placers if placer is not None]
    wide = next((kind.text("band_width_row") for kind in kinds if kind.has("band_width_row")), None)
    if wide is None:
        return "aspect_round"
    desk.constant("band_width", "band_defaults", wide)
    spread = [[1.0 if kind.has("band_width_row") else 0.0] for kind in kinds]
    said = [kind.citation("band_width_row") for kind in kinds]
    desk.sheet.looked_up("wide", spread, "1", "1 where wings lay a wide band, else 0", said, over="band")
    desk.sheet.work(
        "aspect", band_aspect, "width to height of the band",
        radius_cm="radius", aspect="aspect_round", band_width_cm="band_width", wide="wide",
    )  # fmt: skip
    return "aspect"


def _depth(desk: Desk) -> None:
    sheet, chain = desk.sheet, desk.chain
    steps = _band_steps(desk)
    depths = [
        FromPlan(step.done.depth, (*step.path, "depth"), 0.1, 80) for step in steps if step.done.depth is not None
    ]
    desk.plan_rows("tine_depth", "depth of the tine under the undisturbed surface", "cm", "band", depths)
    for key, label in (("tine_width", "width of the tine"), ("strip_width", "width of the strip")):
        sources = [
            FromPlan(width, (*desk.chain.machine_path(step.strip.name), key), 0.5)
            for step in steps
            if step.strip is not None and (width := getattr(step.strip, key)) is not None
        ]
        desk.plan_rows(f"band_{key}", label, "cm", "band", sources)
    sheet.work(
        "loosened", loosened_area, "cross-section that the tine loosens",
        tine_depth_cm="tine_depth", tine_width_cm="band_tine_width", spread_angle_deg="spread_angle",
    )  # fmt: skip
    sheet.work(
        "berm", berm_height, "height of the fresh berm",
        loosened_area_cm2="loosened", swell_share="swell", strip_width_cm="band_strip_width",
    )  # fmt: skip
    sheet.work(
        "rise", firmed_rise, "press-wheel track above the undisturbed surface",
        berm_height_cm="berm", settlement_share="settlement",
    )  # fmt: skip
    sheet.work(
        "centre_undisturbed", band_centre_over_tine, "centre of the band under the undisturbed surface",
        tine_depth_cm="tine_depth", half_height_cm="half_height",
    )  # fmt: skip
    sheet.work(
        "band_centre", under_firmed_surface, "centre of the band under the press-wheel track",
        depth_cm="centre_undisturbed", firmed_rise_cm="rise",
    )  # fmt: skip
    for name, function, label in (
        ("band_top", band_top, "top of the band"),
        ("band_bottom", band_bottom, "bottom of the band"),
    ):
        sheet.work(
            name,
            function,
            f"{label} under the press-wheel track",
            centre_depth_cm="band_centre",
            half_height_cm="half_height",
        )
    seed = FromPlan(chain.plan.crop.seed_depth, ("crop", "seed_depth"), 0.5)
    desk.plan_value("seed_depth", "seed under the press-wheel track", "cm", seed)
    sheet.work("gap", gap, "gap from seed to band", band_top_cm="band_top", seed_depth_cm="seed_depth")


def _room(desk: Desk) -> None:
    """Whether the slurry finds room between the foot of the tine and the seed; the slot counts as fallen shut."""
    sheet = desk.sheet
    sheet.work(
        "tine_firmed", under_firmed_surface, "depth of the tine under the press-wheel track",
        depth_cm="tine_depth", firmed_rise_cm="rise",
    )  # fmt: skip
    sheet.work("under_seed", gap, "tine under the seed", band_top_cm="tine_firmed", seed_depth_cm="seed_depth")
    sheet.work(
        "loosened_under_seed", loosened_area, "loosened soil between tine and seed",
        tine_depth_cm="under_seed", tine_width_cm="band_tine_width", spread_angle_deg="spread_angle",
    )  # fmt: skip
    sheet.given("open_slot", 0.0, "cm", "width of slot still open", places=["counted as fallen shut"], texts=["0 cm"])
    sheet.work(
        "capacity", slot_capacity, "room for slurry between tine and seed",
        tine_width_cm="open_slot", filled_height_cm="under_seed",
        loosened_area_cm2="loosened_under_seed", fillable_share="fillable",
    )  # fmt: skip
    sheet.work(
        "overflow", overflow, "slurry that finds no room", liquid_area_cm2="slurry_area", slot_capacity_cm2="capacity"
    )


def _band_steps(desk: Desk) -> list[Step]:
    chain = desk.chain
    return [chain.steps[i] for s in chain.band_systems() if (i := chain.placing_step(s)) is not None]
