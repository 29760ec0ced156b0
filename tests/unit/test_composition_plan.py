"""Contents of slurry in a plan: loads, stores, late results, laboratories that write differently, and stand-ins."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from plans.faulty import DEMO
from plans.faulty_slurry import STAND_IN, analysed, analysis
from spadework.estimate import Estimate, estimate, lines_of, working, working_text
from spadework.plan import read_text
from spadework.plan.composition import density_t_m3, in_use, marks, ph_of, ph_values, replaced
from spadework.plan.stand_ins import STAND_INS, animals_of, stand_in_entries
from spadework.present.document.blocks import Grid, Text
from spadework.present.report.slurry import slurry_blocks
from spadework.reference import constants
from spadework.science.slurry import mean_by_mass, mean_by_volume

FOLDER = Path(str(files("spadework.demo")))
NUTRIENTS = ("total_n", "ammoniacal_n", "phosphorus", "potassium")
THICK = {
    "load": '"5 to 8"',
    "dry_matter": '"11.9 %"',
    "total_n": '"4.2 kg N/t"',
    "ammoniacal_n": '"2.1 kg NH4-N/t"',
    "phosphorus": '"2.6 kg P2O5/t"',
}
LOADS = [analysis(load=f'"{i}"', total_n=f'"{n} kg N/m3"') for i, n in enumerate((3.1, 3.3, 2.9, 3.5), 1)]


def made(text: str, draws: int = 1) -> Estimate:
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


def mid(found: Estimate, name: str) -> float:
    return float(found.sheet[name].flat[0])


def test_one_analysis_as_a_table_is_the_same_as_in_the_head() -> None:
    head = DEMO.replace(" +/- 0.5 %", " %").replace(" +/- 0.3 kg N", " kg N").replace(" +/- 0.2 kg", " kg")
    head = head.replace(" +/- 0.4 kg K2O", " kg K2O")
    table = analysed(analysis(store=None, load=None, volume=None))
    ours, theirs = made(table, 200), made(head, 200)
    for name in ("dry_matter", "density", *NUTRIENTS, "total_n_dose", "available_n"):
        np.testing.assert_allclose(ours.sheet[name], theirs.sheet[name], rtol=1e-12)


def test_the_spread_of_one_analysis_is_what_it_states() -> None:
    told = analysis(total_n='"3.6 +/- 0.3 kg N/m3"', ammoniacal_n='"1.9 +/- 0.2 kg/m3"')
    found = made(analysed(told), 2_000)
    assert found.spread("total_n", 0).low == pytest.approx(3.3, abs=0.005)
    assert found.spread("ammoniacal_n", 0).high == pytest.approx(2.1, abs=0.005)
    strength = np.corrcoef(found.sheet["total_n"], found.sheet["ammoniacal_n"])[0, 1]
    assert strength > 0.999
    assert any("one analysis stands for all of it" in note for note in found.notes)


def test_repeats_narrow_what_is_stated_of_one_analysis() -> None:
    once = made(analysed(analysis(total_n='"3.6 +/- 0.3 kg N/m3"')), 2_000).spread("total_n", 0)
    four = made(analysed(analysis(total_n='"3.6 +/- 0.3 kg N/m3"', repeats="4")), 2_000).spread("total_n", 0)
    assert (four.high - four.low) / (once.high - once.low) == pytest.approx(0.5, abs=0.01)


def test_loads_are_averaged_by_volume_and_dry_matter_by_mass() -> None:
    thick = analysis(volume='"60 m3"', density='"1.05 t/m3"', **THICK)
    found = made(analysed(analysis(total_n='"3 kg N/m3"'), thick))
    assert mid(found, "total_n") == pytest.approx(float(mean_by_volume([3.0, 4.2 * 1.05], [120, 60])))
    assert mid(found, "dry_matter") == pytest.approx(float(mean_by_mass([0.072, 0.119], [120, 60], [1.02, 1.05])))
    assert mid(found, "density") == pytest.approx(density_t_m3(found.plan.slurry)) == pytest.approx(1.03)


def test_stores_are_mixed_by_volume() -> None:
    tower = analysis(store='"tower"', volume='"60 m3"', total_n='"4.5 kg N/m3"')
    found = made(analysed(*LOADS[:2], tower))
    assert mid(found, "total_n") == pytest.approx((120 * 3.1 + 120 * 3.3 + 60 * 4.5) / 300)
    assert found.sheet.axes["store"].labels == ("pit", "tower")
    assert [f"{v:.2f}" for v in found.sheet["store_total_n"][:, 0]] == ["3.20", "4.50"]


def test_the_standard_error_of_the_loads_is_that_of_the_textbook() -> None:
    """sd of 3.1, 3.3, 2.9, 3.5 is sqrt(0.2/3); over sqrt(4) without, and times sqrt(1 - 0.5) with half of them sampled."""
    found = made(analysed(*LOADS), 2_000)
    assert mid(found, "total_n_se") == pytest.approx(np.sqrt(0.2 / 3) / 2)
    assert found.sheet["total_n"].std() == pytest.approx(np.sqrt(0.2 / 3) / 2, rel=0.01)
    half = made(
        analysed(*(text.replace("[[slurry.analysis]]\n", '[[slurry.analysis]]\nsampled = "60 m3"\n') for text in LOADS))
    )
    assert mid(half, "total_n_se") == pytest.approx(np.sqrt(0.2 / 3) / 2 * np.sqrt(0.5))


def test_stated_scatter_is_not_counted_twice() -> None:
    """With few of many loads sampled the standard error holds the scatter of analyses once, through the loads."""
    bare, told = (made(analysed(*(text.replace(" kg N/m3", spread) for text in LOADS)))
                  for spread in (" kg N/m3", " +/- 0.1 kg N/m3"))  # fmt: skip
    assert mid(told, "total_n_between_sd") < mid(bare, "total_n_between_sd")
    assert mid(told, "total_n_se") == pytest.approx(mid(bare, "total_n_se"))


def test_loads_far_apart_never_give_negative_contents_or_more_ammoniacal_than_total_n() -> None:
    wide = (
        analysis(load='"1"', total_n='"1 kg N/m3"', ammoniacal_n='"0.9 kg/m3"', phosphorus='"0 kg P2O5/m3"'),
        analysis(load='"2"', total_n='"6 kg N/m3"', ammoniacal_n='"1.0 kg/m3"', phosphorus='"4 kg P2O5/m3"'),
    )
    found = made(analysed(*wide), 2_000)
    assert (found.sheet["phosphorus"] >= 0).all()
    assert (found.sheet["ammoniacal_n"] <= found.sheet["total_n"]).all()


def test_a_final_result_replaces_the_provisional_one_of_its_load() -> None:
    old = analysis(result='"provisional"', total_n='"3 kg N/m3"')
    found = made(analysed(old, analysis(total_n='"3.6 kg N/m3"'), analysis(load='"5"', total_n='"3.6 kg N/m3"')))
    assert mid(found, "total_n") == pytest.approx(3.6)
    assert replaced(found.plan.slurry) == ((0, (1,)),)
    told = [note for note in found.notes if "provisional" in note]
    assert len(told) == 1
    assert "pit, load 1 to 4" in told[0]
    assert "total N 3 to 3.6 kg/m3 (+20 %)" in told[0]


def test_a_sample_of_the_whole_store_is_replaced_by_its_loads() -> None:
    first = analysis(result='"provisional"', load=None, dry_matter='"4.6 %"', volume='"500 m3"')
    found = made(analysed(first, *LOADS[:2]))
    assert [number for number, _ in in_use(found.plan.slurry)] == [1, 2]
    assert any("the mean of 2 final results replaces it" in note for note in found.notes)
    alone = made(analysed(first))
    assert any("the result is provisional" in note for note in alone.notes)


def test_a_thick_load_is_told() -> None:
    first = analysis(result='"provisional"', load=None, dry_matter='"4.6 %"', volume='"500 m3"')
    thin, thick = analysis(dry_matter='"5 %"'), analysis(**THICK)
    notes = made(analysed(first, thin, thick)).notes
    told = [note for note in notes if "far above" in note]
    assert len(told) == 1
    assert told[0].startswith("pit, load 5 to 8: dry matter 11.9 % is far above the 4.6 %")
    assert "outlets may block" in told[0]


def test_two_laboratories_that_count_differently_agree() -> None:
    """One paper says P2O5, NH4-N and kg/t, the other P, NH4 and the dry matter: the same slurry."""
    factor = constants("chemistry")
    dry = analysis(
        load='"5"', basis='"dry"', total_n='"50 g N/kg"',
        ammoniacal_n=f'"{1.9 / 0.072 * factor["nh4_per_nh4_n"].value:.6f} g NH4/kg"',
        phosphorus=f'"{1.4 / 0.072 / factor["p2o5_per_p"].value:.6f} g P/kg"',
        potassium=f'"{3.8 / 0.072 / factor["k2o_per_k"].value:.6f} g K/kg"',
    )  # fmt: skip
    found = made(analysed(analysis(), dry))
    for name in NUTRIENTS:
        one, other = found.sheet[f"analysis_{name}"][:, 0]
        assert one == pytest.approx(other, rel=1e-5)
    text = working_text(found, "phosphorus", 0)
    assert "counted as P" in text
    assert "steps" in text


def test_odd_ratios_are_told_and_left_alone() -> None:
    odd = made(analysed(analysis(phosphorus='"0.4 kg P2O5/t"')))
    assert any("looks odd: cattle slurry: phosphate to total N is 0.11" in note for note in odd.notes)
    assert mid(odd, "phosphorus") == pytest.approx(0.4 * 1.02)
    single = made(DEMO.replace("1.4 +/- 0.2 kg P2O5/t", "0.4 kg P2O5/t"))
    assert any(note.startswith("the analysis of the slurry looks odd") for note in single.notes)
    assert not any("looks odd" in note for note in made(DEMO).notes)


def test_a_stand_in_is_marked_and_wide() -> None:
    found = made(STAND_IN, 2_000)
    assert found.notes[0].startswith("nobody analysed this slurry: its contents are a stand-in")
    assert mid(made(STAND_IN), "total_n") == pytest.approx(2.6 * 1.02)
    values = found.sheet["total_n_stand_in"]
    assert values.min() >= 1.3
    assert values.max() <= 3.9
    assert np.corrcoef(values, found.sheet["ammoniacal_n_stand_in"])[0, 1] > 0.999
    assert list(marks(found.plan.slurry)) == [found.notes[0]]
    assert any(isinstance(block, Text) and "stand-in" in block.text for block in slurry_blocks(found))
    bare = made(STAND_IN.replace('density = "1.02 t/m3"\n', "", 1), 200)
    assert bare.spread("density", 0).low < bare.spread("density", 0).high


def test_only_whole_rows_stand_in_and_no_content_is_worked_out_from_another() -> None:
    for key in STAND_INS.values():
        assert set(stand_in_entries(key)) == {"dry_matter", *NUTRIENTS}
        assert animals_of(key) is not None
    assert "cattle slurry, thin, UK" not in STAND_INS


def test_no_nitrogen_comes_from_dry_matter() -> None:
    for text in (STAND_IN, analysed(*LOADS), DEMO):
        found = made(text)
        behind = {figure.name for figure in found.sheet.behind("total_n")}
        assert not any("dry_matter" in name for name in behind)


def test_ph_is_not_averaged() -> None:
    found = made(analysed(analysis(), analysis(load='"5"', ph="7.9")))
    assert ph_values(found.plan.slurry) == (7.4, 7.9)
    assert ph_of(found.plan.slurry) == pytest.approx(7.65)
    assert any("pH of the analyses runs from 7.4 to 7.9" in note for note in found.notes)
    assert ph_of(made(DEMO).plan.slurry) == 7.4
    assert ph_values(made(STAND_IN).plan.slurry)


def test_every_line_of_the_working_can_be_told_for_every_system() -> None:
    found = made(analysed(*LOADS[:2], analysis(store='"tower"', density='"1.03 t/m3"')), 50)
    for name in found.sheet.figures:
        for system in range(len(found.systems)):
            if found.has(name, system):
                assert all(line.result and line.source for line in lines_of(found, name, system))
    text = working_text(found, "total_n", 0)
    for load in ("pit, load 1", "pit, load 2", "tower, load 1 to 4"):
        assert load in text
    steps = working(found, "total_n", 0).steps
    assert steps[-1].label == "total N of the slurry"
    assert re.search(r"content = \S+ kg/m3, \S+ kg/m3", text)
    assert found.is_shared("analysis_total_n")
    assert not found.is_shared("total_n_dose")


def test_the_report_lists_every_analysis_and_the_whole() -> None:
    old = analysis(result='"provisional"', laboratory='"county"', date="2026-03-20")
    found = made(analysed(old, analysis(), analysis(**THICK)), 50)
    grid = next(block for block in slurry_blocks(found) if isinstance(block, Grid))
    assert [row[0].text for row in grid.rows] == [
        "pit, load 1 to 4; provisional, replaced; county; 2026-03-20",
        "pit, load 1 to 4; final",
        "pit, load 5 to 8; final",
        "the whole",
    ]
    assert grid.rows[-1][1].text == "240"
    single = next(block for block in slurry_blocks(made(DEMO, 50)) if isinstance(block, Grid))
    assert [row[0].text for row in single.rows] == ["as analysed"]
