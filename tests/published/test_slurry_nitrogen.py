"""National reckonings of what maize needs and what slurry counts for."""

from __future__ import annotations

from collections.abc import Callable

from spadework.reference import constants, load
from spadework.science.slurry import (
    counted_share_germany,
    dose_at_limit,
    dose_for_n,
    n_need_germany,
    nutrient_need_uk,
    nutrient_rate,
    value_of_n,
    yield_adjustment_germany,
)

Check = Callable[..., None]

GERMANY = (
    "Düngeverordnung § 4, Anlagen 3 and 4: silage maize 50 t/ha, Nmin 60, 120 kg organic N the year before; by hand, "
    "the steps for yield and the carry-over from memory"
)


def test_german_worked_example(check: Check) -> None:
    need, carried = constants("maize_n_need"), constants("nitrogen_carry_over")
    change = yield_adjustment_germany(
        50.0, need.de_silage_yield, need.de_silage_step, need.de_step_up, need.de_step_down, need.de_up_cap
    )
    ours = n_need_germany(need.de_silage_target, change, 60.0, 0.0, 120.0, carried.de_last_year)
    check("N need of silage maize, Germany", GERMANY, 138, float(ours), 0.5, unit="kg/ha", kind="computed")

    least = load("nitrogen_available")["de_pig_slurry"].entry("available_share").value
    share = counted_share_germany(least, 0.60)
    slurry_n = 5.5
    check(
        "N that counts in pig slurry of 5.5 kg N/m3",
        "Düngeverordnung Anlage 3 (70 %); the greater of that and the NH4-N share, LWK Niedersachsen",
        3.85,
        float(share) * slurry_n,
        0.005,
        unit="kg/m3",
        kind="computed",
    )
    dose = dose_for_n(ours, slurry_n, share)
    check("dose of pig slurry by need", GERMANY, 35.8, float(dose), 0.05, unit="m3/ha", kind="computed")
    capped = dose_at_limit(constants("nitrogen_limits").manure_n_year, slurry_n)
    source = "Directive 91/676/EEC Annex III, 170 kg/ha; over 5.5 kg N/m3 by hand"
    check(
        "dose of pig slurry under the manure N limit", source, 30.9, float(capped), 0.05, unit="m3/ha", kind="computed"
    )
    brought = nutrient_rate(capped, load("slurry_composition")["de_nds_fattening_pig"].entry("p2o5_kg_t").value)
    check("P2O5 brought with that dose", source, 83, float(brought), 0.5, unit="kg/ha", kind="computed")
    assert capped < dose


def test_analysed_ammonium_share_counts_where_it_is_greater() -> None:
    """LWK Niedersachsen: the greater of the ordinance's least share and the analysed ammonium share."""
    assert float(counted_share_germany(0.60, 0.75)) == 0.75


def test_phosphate_for_forage_maize(check: Check) -> None:
    need = constants("maize_n_need")
    ours = nutrient_need_uk(need.uk_p2o5_index_1, 50.0, need.uk_yield, need.uk_p2o5_per_t)
    source = "RB209, forage maize, printed example: P index 1, 50 t/ha, 85 + 10 x 1.4"
    check("P2O5 for forage maize at 50 t/ha", source, 99, float(ours), 0.5, unit="kg/ha")


def test_dry_matter_of_a_typical_forage_crop(check: Check) -> None:
    need = constants("maize_n_need")
    source = "Potash Development Association, maize: 40 t/ha at 30 % is 12 t of dry matter"
    check("dry matter of forage maize", source, 12.0, need.uk_yield * need.uk_dry_matter, 0.5, unit="t/ha")


def test_grain_with_straw_takes_what_grain_and_straw_take(check: Check) -> None:
    rows = load("nutrient_removal")
    source = "Düngeverordnung Anlage 7: grain, straw and both at 1:1, per t of grain"
    for column, name in (("n_kg_t", "N"), ("p2o5_kg_t", "P2O5")):
        both = rows["grain_and_straw_de"].entry(column).value
        apart = rows["grain_de"].entry(column).value + rows["straw_de"].entry(column).value
        check(f"{name} in grain with straw", source, both, apart, 0.05, unit="kg/t")


def test_value_of_nitrogen_kept(check: Check) -> None:
    ours = float(value_of_n(14.3, 1.10))
    check(
        "value of 14.3 kg N at an invented 1.10 EUR/kg",
        "arithmetic",
        15.73,
        ours,
        0.005,
        unit="EUR/ha",
        kind="computed",
    )
