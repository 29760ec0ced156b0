"""What follows from several readings together, and what the store says of days and of readings that stand there twice."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from spadework.plan import PlanFaults, Read, read
from spadework.plan.schema.season import Season
from spadework.records.kinds import reading_kinds
from spadework.records.reading_row import Reading, faults_of, new_reading
from spadework.records.store import combined
from spadework.records.store.combined import GIVEN, Unlikely, given_by, reading_checks, unlikely
from spadework.records.store.stock import stock_of
from spadework.records.store.take_in import preview, take_in
from spadework.reference import constants, load
from stores_made import made

PLAN = {"row_spacing_m": {"": 0.75}, "seeds_m2": {"": 9.2}, "dose_m3_ha": {"": 40.0}}


def one(key: str, value: float | str, **more: object) -> Reading:
    record, field = next((kind.record, kind.field) for (r, f), kind in reading_kinds().items() if f"{r}_{f}" == key)
    said = {"plot": "101", "taken_at": "2026-05-20", "person": "AB"} | more
    return new_reading(record, field, value, **said)  # type: ignore[arg-type]


def found(figures: dict[str, float], **more: object) -> dict[str, Unlikely]:
    rows = [one(key, value, **more) for key, value in figures.items()]
    return {odd.check.key: odd for odd in unlikely(rows, PLAN)}


def test_880_plants_in_10_m_are_asked_about_and_88_in_13_m_are_not() -> None:
    odd = found({"stand_plants": 880, "stand_length_m": 10})
    assert list(odd) == ["stand_density"]  # one sentence for the same readings
    assert odd["stand_density"].value == pytest.approx(880 / 7.5)
    assert "117 per m2 (plants 880, length_m 10); usual: 0 to 11 per m2" in odd["stand_density"].said
    assert not found({"stand_plants": 88, "stand_length_m": 13.33})
    assert list(found({"stand_plants": 78, "stand_length_m": 10})) == ["stand_seeds"]


def test_a_thousandth_of_a_hectare_reads_as_thousand_plants_a_hectare() -> None:
    # 1/1000 ha is 13.33 m of row at 75 cm: plants counted there are thousands a hectare, tenths of a square metre
    (odd,) = unlikely([one("stand_plants", 120), one("stand_length_m", 13.33)], PLAN)
    assert odd.value == pytest.approx(12.0, abs=0.01)


def test_hits_beyond_points_and_ammonium_beyond_total_cannot_be_whatever_the_reason() -> None:
    odd = found({"residue_points": 100, "residue_hits": 101}, kept="counted twice")
    assert odd["residue_share"].cannot
    assert not found({"residue_points": 100, "residue_hits": 100})
    odd = found({"slurry_total_n_kg_m3": 1.9, "slurry_ammonium_n_kg_m3": 3.6}, kept="as it was")
    assert odd["slurry_ammonium_share"].cannot
    assert (
        "that cannot be, allowed: 0 to 1; look at whether the two figures were mixed up"
        in odd["slurry_ammonium_share"].said
    )


@pytest.mark.parametrize(
    ("dry_matter", "total", "ammonium"), [(2, 1.6, 0.9), (6, 2.6, 1.2), (10, 3.6, 1.3)]
)  # cattle slurry of the guide for the United Kingdom, quoted in practice notes: dry matter, total and available nitrogen
def test_the_slurry_of_a_guide_is_usual(dry_matter: float, total: float, ammonium: float) -> None:
    figures = {"slurry_dry_matter_pct": dry_matter, "slurry_total_n_kg_m3": total, "slurry_ammonium_n_kg_m3": ammonium}
    assert not found(figures)


def test_depths_of_a_dig_add_up_within_what_they_are_read_to() -> None:
    assert not found({"band_seed_cm": 5, "band_gap_cm": 7, "band_top_cm": 13})
    odd = found({"band_seed_cm": 5, "band_gap_cm": 7, "band_top_cm": 14})
    assert odd["band_depths"].value == pytest.approx(-2)
    assert found({"band_top_cm": 14, "band_bottom_cm": 12})["band_height"].cannot
    assert found({"band_gap_cm": 8, "band_centre_gap_cm": 6})["band_middle"].cannot


def test_thirty_tonnes_of_dry_matter_out_of_weight_and_plot() -> None:
    plot = {"plot_width_m": 6.0, "plot_length_m": 100.0}
    odd = found(plot | {"harvest_fresh_kg": 5400, "harvest_dry_matter_pct": 33.4})
    assert odd["harvest_yield"].value == pytest.approx(5400 * 0.334 / 600 * 10)  # kg/m2 to t/ha
    assert list(odd) == ["harvest_yield"]
    assert not found(plot | {"harvest_fresh_kg": 3000, "harvest_dry_matter_pct": 33.4, "harvest_yield_dm_t_ha": 16.7})
    odd = found(plot | {"harvest_fresh_kg": 3000, "harvest_dry_matter_pct": 33.4, "harvest_yield_dm_t_ha": 20})
    assert list(odd) == ["harvest_written"]


def test_weights_of_two_trailers_are_added_up_and_a_lost_one_leaves_nothing_to_say() -> None:
    rows = [one("plot_width_m", 6.0), one("plot_length_m", 100.0), one("harvest_dry_matter_pct", 33.0)]
    rows += [one("harvest_fresh_kg", 3000, place="trailer 1"), one("harvest_fresh_kg", 3000, place="trailer 2")]
    (odd,) = unlikely(rows)
    assert (odd.check.key, odd.value) == ("harvest_yield", pytest.approx(6000 * 0.33 / 600 * 10))
    lost = replace(rows[-1], value=None, nothing="missing")
    assert not unlikely([*rows[:-1], lost])


def test_soil_that_holds_more_water_than_its_pores() -> None:
    # at 1.325 g/cm3 half of the soil is pores, which 0.5/1.325 g/g of water fill
    assert not found({"soil_bulk_density_g_cm3": 1.325, "soil_moisture_g_g": 0.377}, place="0-30 cm")
    odd = found({"soil_bulk_density_g_cm3": 1.325, "soil_moisture_g_g": 0.40}, place="0-30 cm")
    assert odd["soil_pores_full"].value == pytest.approx(0.4 * 1.325 / 0.5)
    assert constants("band_defaults").particle_density == 2.65


def test_counts_of_two_days_are_held_apart() -> None:
    rows = [one("residue_points", 50), one("residue_hits", 30)]
    rows += [one("residue_points", 100, taken_at="2026-09-25"), one("residue_hits", 80, taken_at="2026-09-25")]
    assert not unlikely(rows)  # 80 hits of the other day would be too many for 50 points


def test_what_the_plan_does_not_say_and_what_is_not_there_leaves_nothing_to_say() -> None:
    rows = [one("stand_plants", 880), one("stand_length_m", 10)]
    assert not unlikely(rows)
    assert not unlikely(rows[:1], PLAN)
    assert not unlikely([rows[0], replace(rows[1], value=None, nothing="unreadable")], PLAN)
    assert not unlikely([])


def test_a_reading_without_a_figure_beside_one_with_a_figure_is_left_out_of_the_mean_and_of_the_sentence() -> None:
    rows = [one("band_bottom_cm", 10.0), one("band_top_cm", 14.0), one("band_top_cm", "missing")]
    (odd,) = unlikely(rows)
    assert odd.cannot
    assert "(bottom_cm 10, top_cm 14)" in odd.said


def test_every_check_names_readings_of_the_table_and_can_be_met() -> None:
    checks = reading_checks()
    assert [check.key for check in checks] == list(load("reading_checks"))
    for check in checks:
        assert check.fields
        assert check.over in ("line", "place", "plot")
        assert check.soft or check.hard
        assert check.look
        if check.soft and check.hard:
            assert check.hard.low <= check.soft.low <= check.soft.high <= check.hard.high
        assert set(combined._names(combined._tree(check.formula))) <= set(check.fields) | set(GIVEN)


@pytest.mark.parametrize("formula", ["__import__('os')", "a.b", "a ** 2", "sum(a, b)", "[a]", "a if b else c", "'x'"])
def test_a_formula_holds_sums_and_products_only(formula: str) -> None:
    with pytest.raises(ValueError, match="no formula"):
        combined._tree(formula)


def demo() -> Read:
    return read(Path(str(files("spadework.demo"))) / "plan.toml")


def test_the_plan_gives_rows_in_metres_seeds_by_square_metre_and_the_dose_by_volume() -> None:
    plan = demo().plan
    given = given_by(plan)
    assert given["row_spacing_m"][""] == plan.crop.row_spacing.value / 100
    assert 5 < given["seeds_m2"][""] < 15
    assert 10 < given["dose_m3_ha"][""] < 60
    other = plan.model_copy(update={"slurry": plan.slurry.model_copy(update={"terms": "equal ammoniacal N"})})
    assert "dose_m3_ha" not in given_by(other)


def test_a_share_where_percent_is_meant_is_asked_about() -> None:
    said = [str(fault) for fault in faults_of(one("dose_outlet_cv_pct", 0.12))]
    assert said == [
        "plot 101, dose outlet_cv_pct: 0.12 % looks like a share; 12 % would be usual; mend it, or say why it is kept"
    ]
    assert not list(faults_of(one("dose_outlet_cv_pct", 0.0)))
    assert not list(faults_of(one("dose_outlet_cv_pct", 1.0)))
    assert not list(faults_of(one("harvest_n_pct", 0.9)))
    assert "looks like a share; 6.5 % would be usual" in str(next(iter(faults_of(one("slurry_dry_matter_pct", 0.065)))))


def sheet(folder: Path, text: str, name: str = "stand.csv") -> Path:
    (folder / name).write_text(text, "utf-8")
    return folder / name


HEAD = "plot;sample;plants;length_m;time;person;note\n"


def test_a_sheet_asks_and_a_reason_in_the_note_or_with_keep_settles_it(tmp_path: Path) -> None:
    file = sheet(tmp_path, f"{HEAD}101;1;880;10;2026-05-20;AB;\n102;1;70;10;2026-05-20;AB;\n")
    with made(tmp_path / "r.db") as store:
        seen = preview(store, file, given=PLAN)
        assert len(seen.asked) == 1
        assert "line 2, column plants: plants per square metre would be 117 per m2" in str(seen.asked[0])
        assert '--keep "2: why"' in str(seen.asked[0])
        with pytest.raises(PlanFaults):
            take_in(store, seen, person="CD")
        assert store.count() == 0
        take_in(store, preview(store, file, given=PLAN, keep={2: "rows of 12 cm"}), person="CD")
        assert {one.kept for one in store.current(plot="101")} == {"rows of 12 cm"}
        assert {one.kept for one in store.current(plot="102")} == {""}
        assert not unlikely(store.current(), PLAN)
        noted = sheet(tmp_path, f"{HEAD}103;1;880;10;2026-05-20;AB;edge. kept: rows of 12 cm\n", "other.csv")
        assert not preview(store, noted, given=PLAN).asked


def test_a_sheet_that_cannot_be_beside_the_store_is_refused(tmp_path: Path) -> None:
    with made(tmp_path / "r.db") as store:
        store.add([one("residue_points", 100)])
        file = sheet(tmp_path, "plot;hits;time;person;note\n101;101;2026-05-20;AB;kept: no\n")
        seen = preview(store, file)
        assert len(seen.cannot) == 1
        assert "allowed: 0 to 100 %" in str(seen.cannot[0])
        assert not preview(store, sheet(tmp_path, "plot;hits;time;person\n101;100;2026-05-20;AB\n")).faults


def test_the_size_of_a_plot_that_makes_a_yield_unlikely_can_be_kept_on_its_own_sheet(tmp_path: Path) -> None:
    with made(tmp_path / "r.db") as store:
        store.add([one("harvest_fresh_kg", 5400), one("harvest_dry_matter_pct", 33.4)])
        lines = "plot;width_m;length_m;time;person;note\n101;6;100;2026-04-01;AB;"
        assert len(preview(store, sheet(tmp_path, lines + "\n")).asked) == 1
        seen = preview(store, sheet(tmp_path, lines + "kept: taped twice\n"))
        assert not seen.faults
        take_in(store, seen, person="AB")
        assert not unlikely(store.current())


def test_the_same_sheet_typed_twice_and_merged_is_listed_to_be_settled(tmp_path: Path) -> None:
    with made(tmp_path / "r.db") as store:
        store.add([one("band_gap_cm", 6.5), one("band_gap_cm", 5.6), one("band_gap_cm", 6.0, sample=2)])
        (said,) = stock_of(store, demo()).doubled
        assert "band gap_cm of 2026-05-20: 6.5 cm" in said
        assert "5.6 cm" in said
        wrong = next(row for row in store.current() if row.value == 5.6)
        store.correct(wrong.id, "not measured", "typed twice", person="AB")
        assert not stock_of(store, demo()).doubled


def test_steps_out_of_order_and_a_wrong_year_are_remarked_on(tmp_path: Path) -> None:
    seen = demo()
    sown = seen.plan.season.sowing if seen.plan.season else None
    season = Season.model_validate({"sowing": sown or "2026-04-28"})
    plan = seen.plan.model_copy(update={"season": season})
    with made(tmp_path / "r.db") as store:
        year = season.sowing.year
        store.add(
            [one("dose_rate_m3_ha", 38, taken_at=f"{year}-04-20"), one("stand_plants", 60, taken_at=f"{year}-04-02")]
        )
        said = stock_of(store, replace(seen, plan=plan)).together[-1]
        assert said.startswith(f"plot 101: emerged ({year}-04-02) comes before spread ({year}-04-20)")
        store.add([one("crop_height_cm", 40, plot="102", taken_at=f"{year + 2}-06-01")])
        far = stock_of(store, replace(seen, plan=plan)).together[-1]
        assert far.startswith(f"1 reading of {year + 2}-06-01, such as crop height_cm of plot 102: more than a year")


def test_a_printed_sheet_is_known_by_its_name_where_its_columns_leave_it_open(tmp_path: Path) -> None:
    from spadework.records.sheets.sheet_readings import record_of

    text = "plot;depth_cm;time;person\n101;5;2026-05-04;AB\n"
    assert record_of(sheet(tmp_path, text, "seed.csv")) == "seed"
    assert record_of(sheet(tmp_path, text, "Seed typed by EF.csv")) == "seed"
    assert record_of(sheet(tmp_path, text, "work.csv")) == "machine"
    with pytest.raises(PlanFaults, match="machine and seed"):
        record_of(sheet(tmp_path, text, "monday.csv"))
