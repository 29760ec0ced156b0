"""What 30 t/ha of guide-value slurries bring, and how much of it counts."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from spadework.reference import constants, load
from spadework.science.slurry import available_n_share, content_per_volume, dose_volume, nutrient_rate, organic_n

Check = Callable[..., None]

NAMES = {"total_n": "N", "ammoniacal_n": "NH4-N", "p2o5": "P2O5", "k2o": "K2O"}
DK = "Danish normative figures 2012, fattening pig slurry, fully slatted floor; times 30 t/ha by hand"
NDS = "Landwirtschaftskammer Niedersachsen, fattening pig slurry 6 % DM; times 30 t/ha by hand"
UK = "RB209 cattle slurry 6 % DM; times 30 t/ha by hand"


def brought(content_kg_t: float, density_t_m3: float = 1.02) -> float:
    """What 30 t/ha bring, by way of volume."""
    return float(nutrient_rate(dose_volume(30.0, density_t_m3), content_per_volume(content_kg_t, density_t_m3)))


@pytest.mark.parametrize(
    ("row", "column", "theirs", "tolerance", "source"),
    [
        ("dk_fattening_pig_slatted", "total_n", 135.9, 0.05, DK),
        ("dk_fattening_pig_slatted", "ammoniacal_n", 102.0, 0.05, DK),
        ("de_nds_fattening_pig", "total_n", 165, 0.5, NDS),
        ("de_nds_fattening_pig", "ammoniacal_n", 99, 0.5, NDS),
        ("de_nds_fattening_pig", "p2o5", 81, 0.5, NDS),
        ("uk_cattle_6dm", "total_n", 78, 0.5, UK),
        ("uk_cattle_6dm", "ammoniacal_n", 36, 0.5, UK),
        ("uk_cattle_6dm_minerals", "p2o5", 36, 0.5, UK),
    ],
)
def test_nutrients_in_thirty_tonnes(
    check: Check, row: str, column: str, theirs: float, tolerance: float, source: str
) -> None:
    ours = brought(load("slurry_composition")[row].entry(f"{column}_kg_t").value)
    check(f"{NAMES[column]} in 30 t/ha", source, theirs, ours, tolerance, unit="kg/ha", kind="computed")


def test_phosphate_and_potash_of_danish_pig_slurry(check: Check) -> None:
    factors = constants("chemistry")
    source = "Danish normative figures 2012: P 1.15 and K 2.58 kg/t; turned into oxides, times 30 t/ha by hand"
    check("P2O5 in 30 t/ha", source, 79.1, brought(1.15 * factors.p2o5_per_p), 0.06, unit="kg/ha", kind="computed")
    check("K2O in 30 t/ha", source, 93.2, brought(2.58 * factors.k2o_per_k), 0.05, unit="kg/ha", kind="computed")
    row = load("slurry_composition")["dk_fattening_pig_slatted"]
    check("P2O5 of 1.15 kg P", source, row.entry("p2o5_kg_t").value, 1.15 * factors.p2o5_per_p, 0.005, unit="kg/t")
    check("K2O of 2.58 kg K", source, row.entry("k2o_kg_t").value, 2.58 * factors.k2o_per_k, 0.005, unit="kg/t")


def test_potash_range_of_cattle_slurry(check: Check) -> None:
    entry = load("slurry_composition")["uk_cattle_6dm_minerals"].entry("k2o_kg_t")
    check("K2O in 30 t/ha, low edition", UK, 75, brought(entry.low), 0.5, unit="kg/ha", kind="computed")
    check("K2O in 30 t/ha, high edition", UK, 96, brought(entry.high), 0.5, unit="kg/ha", kind="computed")


@pytest.mark.parametrize(("way", "theirs"), [("surface", 27.3), ("covered_6_h", 31.2), ("band", 31.2)])
def test_available_n_of_cattle_slurry_in_spring(check: Check, way: str, theirs: float) -> None:
    total = brought(load("slurry_composition")["uk_cattle_6dm"].entry("total_n_kg_t").value)
    share = load("nitrogen_available")[f"uk_cattle_6dm_spring_{way}"].entry("available_share").value
    what = f"available N of 30 t/ha cattle slurry in spring, {way.replace('_', ' ')}"
    source = "RB209, share of total N by way of spreading; times 78 kg/ha by hand"
    check(what, source, theirs, float(available_n_share(total, share)), 0.05, unit="kg/ha", kind="computed")


def test_organic_part_of_pig_slurry(check: Check) -> None:
    source = "Danish normative figures 2012: NH4-N is three quarters of total N ex storage (4.53 and 3.40 kg/t)"
    ours = float(organic_n(135.9, 102.0)) / 135.9
    check("organic share of total N", source, 0.25, ours, 0.005, unit="1")
