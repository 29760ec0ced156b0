"""Nitrous oxide and diesel as carbon dioxide equivalents."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from spadework.reference import constants, load
from spadework.science.slurry import co2e_diesel, co2e_n2o, co2e_per_litre, n2o_direct, n2o_indirect_deposition

Check = Callable[..., None]


@pytest.mark.parametrize(("report", "theirs"), [("n2o_ar6", 429.0), ("n2o_ar5", 416.4), ("n2o_ar4", 468.3)])
def test_one_kilogram_of_n2o_nitrogen(check: Check, report: str, theirs: float) -> None:
    ours = float(co2e_n2o(1.0, load("gwp")[report].entry("gwp100").value))
    source = f"IPCC assessment reports ({report[4:].upper()}), times 44/28 by hand"
    note = "44/28 by hand, atomic weights here; they differ by 0.03 %"
    check("CO2e of 1 kg N2O-N", source, theirs, ours, 0.17, unit="kg", kind="computed", note=note)


def test_ammonia_kept_against_nitrous_oxide_given_off(check: Check) -> None:
    saved = n2o_indirect_deposition(14.3, constants("gas_factors").ef4)
    source = "IPCC 2019 Refinement vol. 4 Table 11.3 (EF4 0.010) and IPCC AR6; by hand"
    check("N2O-N from 14.3 kg NH3-N", source, 0.143, float(saved), 0.0005, unit="kg/ha", kind="computed")
    ours = float(co2e_n2o(saved, load("gwp")["n2o_ar6"].entry("gwp100").value))
    check("CO2e of it", source, 61, ours, 0.5, unit="kg/ha", kind="computed")


def test_measured_emission_over_nitrogen_applied(check: Check) -> None:
    applied = 60.0 * load("slurry_composition")["nz_pig_measured"].entry("total_n_kg_t").value
    ours = float(n2o_direct(applied, load("n2o_measured")["sherlock_pasture"].entry("ef_share").value))
    source = "Sherlock and others 2002: 60 m3/ha of pig slurry at 6.1 kg N/m3 gave 7.6 kg N2O-N/ha, 2.1 %"
    check(
        "N2O-N in 90 days from pig slurry on pasture", source, 7.6, ours, 0.2, unit="kg/ha", note="2.1 % has two digits"
    )


def test_diesel_by_its_energy(check: Check) -> None:
    row = load("diesel_co2")["ipcc_2006"]
    figures = [row.entry(column).value for column in ("co2_kg_gj", "energy_mj_kg", "density_kg_l")]
    source = "IPCC 2006: 74.1 kg CO2/GJ, 43.0 MJ/kg, at 0.832 kg/L"
    check("CO2 of diesel", source, 2.65, float(co2e_per_litre(*figures)), 0.005, unit="kg/L")
    check("CO2 of diesel by mass", source, 3.186, float(co2e_per_litre(*figures)) / figures[2], 0.0005, unit="kg/kg")


@pytest.mark.parametrize("row", ["uk_mineral", "gas_oil"])
def test_energy_by_volume_and_by_mass(check: Check, row: str) -> None:
    fuel = load("diesel_co2")[row]
    ours = fuel.entry("energy_mj_kg").value * fuel.entry("density_kg_l").value
    source = "UK conversion factors 2025, as quoted: net energy by mass, by volume, and density"
    check(f"net energy of {fuel.label}", source, fuel.entry("energy_mj_l").value, ours, 0.005, unit="MJ/L")


def test_two_prints_of_one_factor_for_diesel(check: Check) -> None:
    ours = load("diesel_co2")["seai"].entry("co2_kg_gj").value * 3.6
    check("CO2 of diesel by energy", "SEAI: 73.3 t/TJ and 263.9 g/kWh", 263.9, ours, 0.05, unit="g/kWh")


def test_diesel_per_hectare_against_the_range_of_national_figures(check: Check) -> None:
    fuels = load("diesel_co2")
    ours = float(co2e_diesel(100.0, fuels["tank_to_wheel"].entry("co2e_kg_l").value))
    theirs = 100 * fuels["uk_mineral"].entry("co2e_kg_l").value
    source = "UK conversion factors 2025, mineral diesel 2.66155 kg CO2e/L, as quoted"
    check("CO2e of 100 L/ha, our default factor", source, theirs, ours, 0.5, unit="kg/ha")
