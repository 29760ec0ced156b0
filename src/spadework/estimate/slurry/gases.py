"""Greenhouse gases of every system: diesel, and nitrous oxide from the soil, from ammonia come down, from what leaches."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.estimate.desk import Desk
from spadework.plan.outfits import kind_of
from spadework.ranges import FloatArray
from spadework.reference import load
from spadework.science.slurry import (
    break_even_ef,
    co2e_diesel,
    co2e_n2o,
    co2e_trade_off,
    n2o_direct,
    n2o_indirect_deposition,
    n2o_indirect_leaching,
    placed_ef,
)
from spadework.working import Worksheet

__all__ = ["GAS_PARTS", "TradeOff", "trade_off", "work_gases"]

GAS_PARTS = {
    "diesel_co2e": "diesel",
    "soil_co2e": "nitrous oxide from the slurry in the soil",
    "deposited_co2e": "nitrous oxide where lost ammonia comes down",
    "leached_co2e": "nitrous oxide where nitrogen leaches to",
}
"""Figures that add up to the greenhouse gases of a system, with their names for people."""


def work_gases(desk: Desk) -> None:
    """Put CO2 equivalents on the sheet: diesel with that of the supply, direct and indirect nitrous oxide, their sum."""
    sheet = desk.sheet
    desk.table_value(
        "diesel_factor", "CO2 equivalents of diesel", load("diesel_co2")["tank_to_wheel"].entry("co2e_kg_l")
    )
    sheet.work("diesel_co2e", co2e_diesel, GAS_PARTS["diesel_co2e"], fuel_l_ha="fuel", co2e_kg_l="diesel_factor")
    desk.constant("ef1", "gas_factors", "ef1")
    for key in ("ef4", "ef5", "frac_leach"):
        desk.constant(key, "gas_factors", key)
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
    sheet.work(
        "n2o_leached", n2o_indirect_leaching, "nitrous-oxide N where nitrogen leaches to",
        n_applied_kg_ha="total_n_dose", leached_share="frac_leach", ef5_share="ef5",
    )  # fmt: skip
    sheet.work("leached_co2e", co2e_n2o, GAS_PARTS["leached_co2e"], n2o_n_kg_ha="n2o_leached", gwp="gwp")
    for name, figure in (("soil_co2e", "n2o_soil"), ("deposited_co2e", "n2o_elsewhere")):
        sheet.work(f"placing_{name}", co2e_n2o, GAS_PARTS[name], n2o_n_kg_ha=figure, gwp="gwp")
        sheet.total(name, f"placing_{name}", GAS_PARTS[name])
    sheet.add_up("co2e", "greenhouse gases, as CO2", *GAS_PARTS)


@dataclass(frozen=True)
class TradeOff:
    """What a way of placing saves in ammonia and may add in nitrous oxide, against another, draw by draw.

    Attributes
    ----------
    kept_n : ndarray
        NH3-N lost less than there [kg/ha].
    co2e : ndarray
        Nitrous oxide more than there, direct and where ammonia comes down, as CO2 [kg/ha]; diesel is not in it.
    ef, break_even : ndarray
        Direct N2O-N per N applied here, and where the gain in ammonia would be used up [1]; the latter never below the
        factor of the way compared with, and nothing where no ammonia is kept.
    """

    kept_n: FloatArray
    co2e: FloatArray
    ef: FloatArray
    break_even: FloatArray | None


def trade_off(sheet: Worksheet, system: int, baseline: int) -> TradeOff | None:
    """Hold the ammonia of a system against its nitrous oxide; nothing where one of the two places no slurry."""
    systems = sheet.axes["placing"].systems
    if system not in systems or baseline not in systems or system == baseline:
        return None
    here, there = systems.index(system), systems.index(baseline)
    lost, direct, factor = sheet["placing_lost_n"], sheet["n2o_soil"], sheet["placed_ef1"]
    kept = lost[there] - lost[here]
    warming = co2e_trade_off(direct[here] - direct[there], kept, sheet["ef4"], sheet["gwp"])
    even = None
    total = sheet["total_n_spread"]
    total = total[here] if total.ndim > 1 else total
    if float(kept.min()) >= 0 and float(total.min()) > 0:
        saved = n2o_indirect_deposition(kept, sheet["ef4"])
        even = break_even_ef(factor[there], saved, total)
    return TradeOff(kept, warming, factor[here], even)
