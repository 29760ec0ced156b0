"""What follows from several readings, against worked examples of the trade."""

from __future__ import annotations

from dataclasses import replace

from conftest import Check
from spadework.records.reading_row import new_reading
from spadework.records.store.combined import reading_checks, unlikely
from spadework.records.tables.columns import Allowed


def worked(key: str, given: dict[str, float], **figures: float) -> float:
    """Return what a formula makes of figures, by key of the table of checks."""
    check = next(one for one in reading_checks() if one.key == key)
    asked = replace(check, soft=Allowed(-2e9, -1e9), hard=None)  # so that any value is told
    rows = [
        new_reading(*check.fields[name], value, plot="101", taken_at="2026-05-20", person="AB")
        for name, value in figures.items()
    ]
    (found,) = unlikely(rows, {name: {"": value} for name, value in given.items()}, [asked])
    return found.value


def test_counts_in_a_length_of_row(check: Check) -> None:
    rows = {"row_spacing_m": 0.75}
    what, source = "plants per hectare, one in 10 m of row at 75 cm", "10 m of row at 75 cm are 7.5 m2, so times 1,333"
    ours = 10_000 * worked("stand_density", rows, stand_plants=1, stand_length_m=10)
    check(what, source, 1333, ours, 0.5, unit="1/ha", kind="computed")
    for spacing_cm, length_m in ((75, 13.33), (76.2, 13.12), (50, 20.0)):
        ours = 10 * worked(
            "stand_density", {"row_spacing_m": spacing_cm / 100}, stand_plants=1, stand_length_m=length_m
        )
        what = f"plants for a thousandth of a hectare, rows of {spacing_cm} cm"
        check(what, "length of row that is 1/1000 ha, as used for stand counts", 1.0, ours, 0.0005, kind="computed")


def test_share_of_ammonium_in_the_cattle_slurry_of_a_guide(check: Check) -> None:
    source = "nutrient management guide for the United Kingdom (RB209), cattle slurry: total and readily available N"
    for dry, total, available, share in ((2, 1.6, 0.9, 0.5625), (6, 2.6, 1.2, 0.4615), (10, 3.6, 1.3, 0.3611)):
        ours = worked("slurry_ammonium_share", {}, slurry_total_n_kg_m3=total, slurry_ammonium_n_kg_m3=available)
        check(f"readily available share of nitrogen, {dry} % dry matter", source, share, ours, 0.00005, kind="computed")
        limits = next(one for one in reading_checks() if one.key == "slurry_ammonium_share")
        assert limits.soft is not None
        assert limits.soft.holds(ours)


def test_yield_out_of_weight_and_plot(check: Check) -> None:
    ours = worked(
        "harvest_yield", {}, harvest_fresh_kg=1000, harvest_dry_matter_pct=100, plot_width_m=10, plot_length_m=100
    )
    check(
        "1,000 kg of dry matter off 10 m by 100 m",
        "1,000 m2 are a tenth of a hectare",
        10.0,
        ours,
        1e-9,
        unit="t/ha",
        kind="computed",
    )


def test_pores_of_a_soil_of_half_the_density_of_its_particles(check: Check) -> None:
    ours = worked("soil_pores_full", {}, soil_bulk_density_g_cm3=1.325, soil_moisture_g_g=0.5 / 1.325)
    what = "share of the pores that holds water, water in half of the volume and solid in the other half"
    check(what, "volumes of solid, water and air", 1.0, ours, 1e-9, kind="computed")
