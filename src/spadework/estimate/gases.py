"""Greenhouse gases of every system: diesel, nitrous oxide from the soil and from ammonia that comes down elsewhere."""

from __future__ import annotations

from spadework.estimate.desk import Desk
from spadework.plan.outfits import kind_of
from spadework.reference import load
from spadework.science.slurry import co2e_diesel, co2e_n2o, n2o_direct, n2o_indirect_deposition, placed_ef

__all__ = ["GAS_PARTS", "work_gases"]

GAS_PARTS = {
    "diesel_co2e": "diesel",
    "soil_co2e": "nitrous oxide from the slurry in the soil",
    "deposited_co2e": "nitrous oxide where lost ammonia comes down",
}
"""Figures that add up to the greenhouse gases of a system, with their names for people."""


def work_gases(desk: Desk) -> None:
    """Put CO2 equivalents on the sheet: diesel, direct and indirect nitrous oxide, and their sum."""
    sheet = desk.sheet
    desk.table_value(
        "diesel_factor", "CO2 equivalents of diesel", load("diesel_co2")["tank_to_wheel"].entry("co2e_kg_l")
    )
    sheet.work("diesel_co2e", co2e_diesel, GAS_PARTS["diesel_co2e"], fuel_l_ha="fuel", co2e_kg_l="diesel_factor")
    desk.constant("ef1", "gas_factors", "ef1")
    desk.constant("ef4", "gas_factors", "ef4")
    desk.table_value("gwp", "warming by nitrous oxide against CO2, 100 years", load("gwp")["n2o_ar6"].entry("gwp100"))
    rows = load("gas_placement")
    lies = [kind_of(step.placer).text("slurry_lies") for step in desk.chain.placing_steps if step.placer is not None]
    where = {"band": "band", "slots": "band"}
    entries = [rows[where.get(how, "mixed")].entry("multiplier") for how in lies]
    desk.table_rows("placement_factor", "nitrous oxide against slurry on the surface", "placing", entries, "1")
    if desk.chain.plan.slurry.inhibitor:
        desk.table_value("inhibitor_factor", "what the inhibitor leaves", rows["inhibitor"].entry("multiplier"))
    else:
        sheet.given("inhibitor_factor", 1.0, "1", "no inhibitor", places=[desk.chain.read.place("slurry", "inhibitor")])
    sheet.work(
        "treated_ef1",
        placed_ef,
        "per N spread, with inhibitor if any",
        ef_share="ef1",
        placement_multiplier="inhibitor_factor",
    )
    sheet.work(
        "placed_ef1",
        placed_ef,
        "nitrous-oxide N per N, placed as it is",
        ef_share="treated_ef1",
        placement_multiplier="placement_factor",
    )
    sheet.work(
        "n2o_soil",
        n2o_direct,
        "nitrous-oxide N from the slurry",
        n_applied_kg_ha="total_n_spread",
        ef_share="placed_ef1",
    )
    sheet.work(
        "n2o_elsewhere", n2o_indirect_deposition, "nitrous-oxide N where lost ammonia comes down",
        nh3_n_kg_ha="placing_lost_n", ef4_share="ef4",
    )  # fmt: skip
    for name, figure in (("soil_co2e", "n2o_soil"), ("deposited_co2e", "n2o_elsewhere")):
        sheet.work(f"placing_{name}", co2e_n2o, GAS_PARTS[name], n2o_n_kg_ha=figure, gwp="gwp")
        sheet.total(name, f"placing_{name}", GAS_PARTS[name])
    sheet.add_up("co2e", "greenhouse gases, as CO2", *GAS_PARTS)
