"""Readings of plots and what is found in them: shapes, refusals, faults.  All figures are invented."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from compare_made import HEAD, SYSTEMS, YIELDS, blocks, lines_of, readings, written
from spadework.findings.compare import LOOKED, compare
from spadework.findings.compare_beside import Beside, beside, better_of
from spadework.findings.compare_parts import Finding
from spadework.plan import PlanFaults
from spadework.present.charts.spec import to_svg
from spadework.present.compare.charts import against_chart, plots_chart, residual_map
from spadework.present.compare.data import compare_json
from spadework.present.compare.table import compare_text, outside_said
from spadework.present.compare.words import p_text, reading_notes, sentence, standing_sentence
from spadework.records.files.readings import average_plots, read_readings
from spadework.records.files.readings_template import readings_csv, readings_xlsx
from spadework.statistics.designs.layouts import Asked, Factor, Restrictions
from spadework.statistics.designs.randomise import lay


def faults(folder: Path, lines: list[str], head: str = HEAD, **more: object) -> str:
    with pytest.raises(PlanFaults) as stopped:
        readings(folder, lines, head, **more)
    return str(stopped.value)


def found(folder: Path, lines: list[str] | None = None, head: str = HEAD, **more: object) -> Finding:
    read = readings(folder, lines_of() if lines is None else lines, head)
    more = {"baseline": "plough", "design": blocks(), "leave_out": False, **more}
    return compare(read, "dm_yield", **more)  # type: ignore[arg-type]


# --- reading -----------------------------------------------------------------------------------------------------------


def test_units_stand_behind_the_name_or_in_a_line_of_their_own(tmp_path: Path) -> None:
    one = readings(tmp_path, lines_of())
    two = readings(tmp_path, ["units;;;t/ha", *lines_of()], "plot;block;system;dm_yield")
    assert dict(one.units) == dict(two.units) == {"dm_yield": "t/ha"}
    np.testing.assert_array_equal(one.values["dm_yield"], two.values["dm_yield"])


def test_letters_of_a_unit_keep_their_size(tmp_path: Path) -> None:
    read = readings(tmp_path, ["1;plough;1.1", "2;strip;1.3"], "Plot;System;Cone [MPa]")
    assert dict(read.units) == {"cone": "MPa"}


def test_systems_are_read_whatever_their_letters(tmp_path: Path) -> None:
    read = readings(tmp_path, ["1;1;PLOUGH;15", "2;1;Strip;16"])
    assert read.labels["system"].tolist() == ["plough", "strip"]


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    lines = ["101;1;plough;15.8", "102;1;strap;15,2", "103;1;strip;about 15", "101;1;plough;15", ";2;strip;"]
    said = faults(tmp_path, lines)
    assert 'line 3, column system: "strap" is no system of the plan' in said
    assert 'did you mean "strip"?' in said
    assert 'line 4, column dm_yield: "about 15" is no number' in said
    assert 'line 5, column plot: "101" stands in line 2 already' in said
    assert "line 6, column plot: is empty" in said
    assert said.startswith("readings.csv: 4 faults") or "4 faults" in said


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("plot;block;system;dm_yield", "has no unit; write it in brackets behind the name"),
        ("plot;block;system;dm_yield [tonnes of it]", "its unit cannot be read"),
        ("plot;block;system;dm yield [t/ha]", "is no name; allowed: letters, digits and _"),
        ("plot;block;sistem;dm_yield [t/ha]", "column system: is missing"),
        ("plot;blok;system;dm_yield [t/ha]", 'did you mean "block"?'),
        ("plot;block;system;note", "holds no measured quantity"),
    ],
)
def test_heads_that_cannot_be(tmp_path: Path, head: str, words: str) -> None:
    assert words in faults(tmp_path, lines_of(), head)


def test_a_quantity_that_stands_twice(tmp_path: Path) -> None:
    assert "stands twice" in faults(tmp_path, ["1;plough;3;4", "2;strip;4;5"], "plot;system;a [t/ha];a [kg/ha]")


def test_a_share_over_all_of_it(tmp_path: Path) -> None:
    said = faults(tmp_path, ["1;plough;3", "2;strip;104"], "plot;system;cover [%]")
    assert "104 cannot be; allowed: 0 to 100 %" in said


def test_a_plot_has_one_system_and_each_sample_once(tmp_path: Path) -> None:
    said = faults(
        tmp_path, ["1;a;plough;3", "1;b;strip;4", "1;b;plough;4"], "plot;sample;system;dm_yield [t/ha]"
    )  # fmt: skip
    assert 'plot 1 is "strip" here and "plough" in line 2' in said
    assert '"b" of plot 1 stands twice' in said


def test_nothing_filled_in(tmp_path: Path) -> None:
    said = faults(tmp_path, [f"{n};1;{s};" for n, s in enumerate(SYSTEMS)])
    assert "no reading is filled in; write figures under dm_yield" in said


def test_why_there_is_no_reading_is_kept(tmp_path: Path) -> None:
    values = {1: (15.8, "lost", ""), 2: ("below detection", 15.5, "unreadable")}
    read = readings(tmp_path, lines_of(values))
    assert read.gaps["dm_yield"] == ("", "lost", "not measured", "below detection", "", "unreadable")
    assert np.isnan(read.values["dm_yield"]).sum() == 4


def test_an_empty_table_reads_back(tmp_path: Path) -> None:
    laid = lay(blocks(4), seed=3)
    for name, content in (("t.csv", readings_csv(laid).encode()), ("t.xlsx", readings_xlsx(laid))):
        path = tmp_path / name
        path.write_bytes(content)
        with pytest.raises(PlanFaults, match="no reading is filled in"):
            read_readings(path, SYSTEMS)
    filled = [
        line.replace(";;", f";{15 + n % 5};", 1) if n else line
        for n, line in enumerate(readings_csv(laid).splitlines())
    ]
    path = tmp_path / "f.csv"
    path.write_text("\n".join(filled), "utf-8")
    assert read_readings(path, SYSTEMS).values["dm_yield"].size == 12


# --- what is compared --------------------------------------------------------------------------------------------------


def test_standing_follows_the_layout(tmp_path: Path) -> None:
    assert found(tmp_path).standing == "replicated"
    ordered = replace(blocks(), kind="strips")
    assert found(tmp_path, design=ordered).standing == "strips"
    fixed = replace(blocks(), restrictions=Restrictions(order=SYSTEMS))
    assert found(tmp_path, design=fixed).standing == "strips"
    undeclared = found(tmp_path, design=None)
    assert undeclared.standing == "strips"
    assert any("the layout was not declared" in note for note in undeclared.notes)


def test_unrepeated_systems_get_means_and_no_test(tmp_path: Path) -> None:
    one = found(tmp_path, lines_of({1: YIELDS[1]}), design=None)
    assert one.standing == "looked"
    assert one.analysis == "means"
    assert not one.differences
    assert not one.pairs
    assert not one.tests
    assert all(math.isnan(mean.low) and math.isnan(mean.se) and not mean.letters for mean in one.means)
    assert one.notes[0] == LOOKED
    text = compare_text(one)
    assert "chance" not in text
    assert "between" not in text


def test_many_samples_of_one_plot_do_not_repeat_it(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    lines = [
        f"{plot};{sample};{system};{value:.2f}"
        for plot, system in enumerate(SYSTEMS, 1)
        for sample, value in enumerate(rng.normal(15, 0.3, 20), 1)
    ]
    one = found(tmp_path, lines, "plot;sample;system;dm_yield [t/ha]", design=None)
    assert one.standing == "looked"
    assert [mean.plots for mean in one.means] == [1, 1, 1]
    assert any("20 readings in each plot were averaged first" in note for note in one.notes)


def test_more_years_on_the_same_plots_repeat_nothing(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    lines = [
        f"{plot};{year};{system};{14 + plot + rng.normal(0, 0.2):.2f}"
        for year in (2021, 2022, 2023, 2024)
        for plot, system in enumerate(SYSTEMS, 1)
    ]
    one = found(tmp_path, lines, "plot;year;system;dm_yield [t/ha]", design=None)
    assert one.standing == "looked"
    assert not one.tests
    assert not one.differences


def test_one_block_repeats_nothing_even_where_it_was_declared(tmp_path: Path) -> None:
    assert found(tmp_path, lines_of({1: YIELDS[1]}), design=blocks(4)).standing == "looked"


def test_samples_are_averaged_over_those_that_are_there(tmp_path: Path) -> None:
    lines = ["1;1;plough;10", "1;2;plough;", "1;3;plough;14", "2;1;strip;9"]
    plots = average_plots(readings(tmp_path, lines, "plot;sample;system;dm_yield [t/ha]"))
    assert plots.values["dm_yield"].tolist() == [12.0, 9.0]
    assert plots.samples.tolist() == [3, 1]
    assert plots.gaps["dm_yield"] == ("", "")


def test_plots_of_two_fields_may_have_the_same_number(tmp_path: Path) -> None:
    lines = [f"{plot};{site};{line}" for site in ("north", "south") for plot, line in enumerate(
        ("1;plough;15", "1;strip;16", "2;plough;14", "2;strip;15.5", "3;plough;13", "3;strip;13.9"), 1
    )]  # fmt: skip
    one = found(tmp_path, lines, "plot;site;block;system;dm_yield [t/ha]", design=None)
    assert len(one.plots) == 12
    assert [t.term for t in one.tests] == [("system",), ("field",), ("system", "field")]
    assert "the finding holds for these and for no others" in " ".join(one.model)
    assert {inside.label for inside in one.inside if inside.factor == "field"} == {"north", "south"}


def test_many_fields_are_a_sample(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    lines = [
        f"{n};f{field};{block};{system};{15 + field + block / 3 + 0.4 * s + rng.normal(0, 0.3):.2f}"
        for n, (field, block, (s, system)) in enumerate(
            (f, b, e) for f in range(6) for b in (1, 2) for e in enumerate(("plough", "strip"))
        )
    ]
    one = found(tmp_path, lines, "plot;site;block;system;dm_yield [t/ha]", design=None)
    assert one.tests[0].df_rest == pytest.approx(5, abs=0.01)  # system against system by field
    assert "taken as a sample" in " ".join(one.model)


def test_fields_with_one_plot_of_each_are_the_blocks(tmp_path: Path) -> None:
    lines = [
        f"{10 * f + p};f{f};{s};{15 + f + p / 3 + (f * p % 3) / 5}" for f in range(4) for p, s in enumerate(SYSTEMS)
    ]
    one = found(tmp_path, lines, "plot;site;system;dm_yield [t/ha]", design=None)
    assert one.layout == "fields as blocks"
    assert one.tests[0].df_rest == pytest.approx(6)


def test_the_same_order_in_every_block_is_told(tmp_path: Path) -> None:
    lines = [line.replace(";", f";{n % 3 + 1};", 1) for n, line in enumerate(lines_of())]
    one = found(tmp_path, lines, "plot;column;block;system;dm_yield [t/ha]")
    assert any("every block has the same order of systems" in note for note in one.notes)


def test_a_plot_left_out_brings_a_second_result(tmp_path: Path) -> None:
    lines = [f"{line};{'a deer lay in it' if line.startswith('303') else ''}" for line in lines_of()]
    one = found(tmp_path, lines, HEAD + ";left_out")
    assert one.missing == ("plot 303 (strip, block 3): left out: a deer lay in it",)
    whole = found(tmp_path)
    assert [d.difference for d in one.with_all] == pytest.approx([d.difference for d in whole.differences])
    assert one.difference("strip").difference != pytest.approx(whole.difference("strip").difference)
    assert "With the plots that were left out put in again" in compare_text(one)


def test_one_plot_on_which_the_conclusion_hangs_is_named_with_both_results(tmp_path: Path) -> None:
    steady = {b: (v[0], v[1], round(v[0] + 1.0 + b / 50, 2)) for b, v in YIELDS.items()}
    hanging = {**steady, 4: (14.6, 14.4, 13.6)}
    one = found(tmp_path, lines_of(hanging), leave_out=True)
    assert {(left.plot, left.of) for left in one.influence} >= {("403", "strip")}
    left = next(left for left in one.influence if (left.plot, left.of) == ("403", "strip"))
    assert left.with_it is one.difference("strip")
    assert left.without.call == "more"
    assert "Both results stand; no plot was dropped." in " ".join(compare_text(one).split())


def test_a_reading_far_off_is_told_and_counts(tmp_path: Path) -> None:
    one = found(tmp_path, lines_of({**YIELDS, 5: (15.0, 14.4, 25.1), 6: (15.4, 14.8, 15.6)}), design=blocks(6))
    assert any("plot 503 (block 5), strip: 25.1 t/ha lies far above" in text for text in one.warnings)
    assert one.mean("strip").plots == 6


def test_few_degrees_of_freedom_are_told(tmp_path: Path) -> None:
    one = found(tmp_path, lines_of({1: YIELDS[1], 2: YIELDS[2]}), design=blocks(2))
    assert any("the error has 2 degrees of freedom" in note for note in one.notes)


def test_a_variance_below_nought_is_told(tmp_path: Path) -> None:
    even = {b: tuple(15 + ((b + i) % 3) / 2 for i in range(3)) for b in range(1, 4)}
    one = found(tmp_path, lines_of(even), design=blocks(3))
    assert any("below nought" in note for note in one.notes)


def test_systems_and_blocks_that_cannot_be_told_apart_get_no_test(tmp_path: Path) -> None:
    lines = ["1;1;plough;15", "2;1;plough;15.4", "3;2;strip;16.1", "4;2;strip;16"]
    one = found(tmp_path, lines, design=None)
    assert one.standing == "looked"
    assert not one.differences
    assert not one.tests
    assert one.notes[0].startswith("Systems and blocks cannot be told apart")


@pytest.mark.parametrize("step", [0, 1])
def test_readings_without_any_scatter_are_not_judged(tmp_path: Path, step: int) -> None:
    one = found(tmp_path, lines_of({b: tuple(15 + b + step * s for s in range(3)) for b in range(1, 5)}))
    assert not one.differences
    assert all(math.isnan(mean.low) for mean in one.means)
    assert "there is no scatter to judge by" in one.notes[0]


def test_a_system_without_readings_is_told(tmp_path: Path) -> None:
    one = found(tmp_path, lines_of({b: (v[0], v[1], "") for b, v in YIELDS.items()}))
    assert [mean.system for mean in one.means] == ["plough", "cultivator"]
    assert "strip: no plot has a reading that counts, so nothing is said of it" in one.notes


def test_too_little_for_the_layout_is_a_fault(tmp_path: Path) -> None:
    design = blocks(2, SYSTEMS, "complete blocks", Factor("nitrogen", ("lo", "hi")))
    lines = [f"{n};{b};{s};{m};{15 + n / 7:.2f}" for n, (b, s, m) in enumerate(
        (b, s, m) for b in (1, 2) for s in SYSTEMS for m in ("lo", "hi") if (s, m) != ("strip", "hi")
    )]  # fmt: skip
    read = readings(tmp_path, lines, "plot;block;system;nitrogen;dm_yield [t/ha]", factors=("nitrogen",))
    with pytest.raises(PlanFaults, match=r"dm_yield cannot be judged in this layout: .*strip with hi"):
        compare(read, "dm_yield", baseline="plough", design=design)


# --- refusals ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"margin": 0.8}, "add --better"),
        ({"baseline": "injector"}, 'no plot of "injector" has a reading'),
        ({"design": blocks(4, SYSTEMS, "Latin square")}, "column row: is missing"),
        (
            {"design": blocks(4, SYSTEMS, "split plots", Factor("nitrogen", ("a", "b"), True))},
            "column nitrogen: is missing",
        ),
    ],
)
def test_what_cannot_be_asked(tmp_path: Path, more: dict[str, object], words: str) -> None:
    with pytest.raises(PlanFaults, match=words):
        found(tmp_path, **more)


def test_a_quantity_that_was_not_measured(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match='did you mean "dm_yield"'):
        compare(readings(tmp_path, lines_of()), "dm_yeild", baseline="plough")


def test_one_system_is_no_comparison(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match="a comparison needs two systems"):
        found(tmp_path, ["1;1;plough;15", "2;2;plough;16"])


def test_factors_that_the_layout_does_not_know(tmp_path: Path) -> None:
    lines = [f"{line};low" for line in lines_of()]
    read = readings(tmp_path, lines, HEAD + ";nitrogen", factors=("nitrogen",))
    with pytest.raises(PlanFaults, match="declare it there"):
        compare(read, "dm_yield", baseline="plough", design=blocks())
    wrong: Asked = blocks(4, SYSTEMS, "complete blocks", Factor("nitrogen", ("half", "full")))
    with pytest.raises(PlanFaults, match='"low" is no label of it; allowed: half, full'):
        compare(read, "dm_yield", baseline="plough", design=wrong)


# --- margin ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shift", "margin", "better", "call"),
    [
        (0.0, 3.0, "more", "alike"),
        (2.0, 1.0, "more", "no worse"),
        (-4.0, 1.0, "more", "worse"),
        (0.0, 0.01, "more", "open"),
        (4.0, 1.0, "less", "worse"),
        (-2.0, 1.0, "less", "no worse"),
    ],
)
def test_the_margin_is_held_against_the_side_that_is_worse(
    tmp_path: Path, shift: float, margin: float, better: str, call: str
) -> None:
    off = {b: (v[0], v[1], round(v[0] + shift + (b % 2) / 5, 2)) for b, v in YIELDS.items()}
    one = found(tmp_path, lines_of(off), margin=margin, better=better).difference("strip")
    assert one.margin_call == call


def test_bound_and_margin_agree(tmp_path: Path) -> None:
    one = found(tmp_path, margin=0.4, better="more").difference("strip")
    assert (one.bound >= -0.4) == (one.margin_call in ("no worse", "alike"))
    at_bound = found(tmp_path, margin=-one.bound, better="more").difference("strip")
    assert at_bound.no_worse_p == pytest.approx(0.05, abs=1e-9)


# --- words and pictures ------------------------------------------------------------------------------------------------


def test_the_sentence_says_interval_doubt_and_what_is_ruled_out(tmp_path: Path) -> None:
    one = found(tmp_path, better="more")
    said = sentence(one, one.difference("strip"))
    d = one.difference("strip")
    assert said.startswith(
        f"Strip yielded {abs(d.difference):.2f} t/ha {'less' if d.difference < 0 else 'more'} than plough ("
    )
    assert "; this comparison cannot tell whether it lost or gained. A loss of more than" in said
    assert said.endswith("is ruled out.")
    lost = sentence(one, one.difference("cultivator"))
    assert lost.startswith("Cultivator yielded 0.62 t/ha less than plough (between ")
    assert "cannot tell" not in lost


def test_a_clear_gain_leaves_no_loss_to_be_borne(tmp_path: Path) -> None:
    off = {b: (v[0], v[1], round(v[0] + 3 + (b % 2) / 5, 2)) for b, v in YIELDS.items()}
    one = found(tmp_path, lines_of(off), margin=0.5, better="more")
    said = sentence(one, one.difference("strip"))
    assert said.endswith("more). There is no loss to be borne.")
    assert "ruled out" not in said


def test_a_workbook_with_numbers_in_its_cells(tmp_path: Path) -> None:
    import xlsxwriter

    path = tmp_path / "r.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["plot", "year", "system", "dm_yield [t/ha]"])
        for n, (system, value) in enumerate((("plough", 15.8), ("strip", 16)), 1):
            sheet.write_row(n, 0, [100 + n, 2025, system, value])
    read = read_readings(path, SYSTEMS)
    assert read.labels["plot"].tolist() == ["101", "102"]
    assert read.labels["year"].tolist() == ["2025", "2025"]
    assert read.values["dm_yield"].tolist() == [15.8, 16.0]


def test_a_share_differs_by_percentage_points(tmp_path: Path) -> None:
    values = {b: (3 + b, 20 - b, 40 + b) for b in range(1, 5)}
    lines = lines_of(values)
    read = readings(tmp_path, lines, "plot;block;system;residue_cover [%]")
    one = compare(read, "residue_cover", baseline="plough", design=blocks(), leave_out=False)
    assert "percentage points more residue cover than plough" in sentence(one, one.difference("strip"))


def test_an_unknown_quantity_is_said_plainly(tmp_path: Path) -> None:
    read = readings(tmp_path, lines_of(), "plot;block;system;worm_count [1]")
    one = compare(read, "worm_count", baseline="plough", design=blocks(), leave_out=False)
    said = sentence(one, one.difference("strip"))
    assert said.startswith("Worm count: strip 0.10 more than plough (between 0.30 less and 0.50 more);")
    assert "ruled out" not in said  # nobody said which way is better


def test_standing_is_on_text_and_pictures(tmp_path: Path) -> None:
    one = found(tmp_path, margin=0.5, better="more")
    assert standing_sentence(one) == (
        "Replicated: repeated, and drawn by lot in every block. Complete blocks: 12 plots in 4 blocks."
    )
    for chart in (plots_chart, against_chart, residual_map):
        spec = chart(one)
        assert "replicated" in spec["description"]
        svg = to_svg(spec)
        assert svg.startswith("<svg")
    assert "margin" in json.dumps(against_chart(one))


def test_pictures_of_what_was_only_looked_at(tmp_path: Path) -> None:
    one = found(tmp_path, lines_of({1: YIELDS[1]}), design=None)
    assert "looked" in plots_chart(one)["description"]
    assert to_svg(plots_chart(one)).startswith("<svg")
    for chart in (against_chart, residual_map):
        with pytest.raises(ValueError, match="nothing to show"):
            chart(one)


def test_no_circle_hides_another(tmp_path: Path) -> None:
    one = found(tmp_path, lines_of({b: (15.0, 15.0 + b / 100, 16.0 + b) for b in range(1, 5)}))
    spec = plots_chart(one)
    rows = [
        layer for layer in spec["layer"] if layer["mark"].get("type") == "point" and layer["mark"]["shape"] == "circle"
    ]
    assert len(rows) == 3
    assert sum(len(layer["data"]["values"]) for layer in rows) == 12


def test_the_text_fits_the_page(tmp_path: Path) -> None:
    long = ("the old way of the farm", "cultivator, twice over", "strip, slurry banded")
    read = readings(tmp_path, lines_of(YIELDS, long), systems=long)
    one = compare(read, "dm_yield", baseline=long[0], design=blocks(4, long), margin=0.4, better="more")
    text = compare_text(one, invented=True)
    assert max(len(line) for line in text.splitlines()) <= 100
    assert text.isascii()


def test_json_holds_no_nan(tmp_path: Path) -> None:
    one = found(tmp_path, lines_of({1: YIELDS[1]}), design=None)
    about = json.loads(compare_json([one], {}, (), invented=True))
    assert about["findings"][0]["standing"] == "looked"
    assert about["findings"][0]["means"][0]["low"] is None


@pytest.mark.parametrize(("p", "said"), [(0.00099, "< 0.001"), (0.0123, "0.012"), (0.5, "0.50"), (math.nan, "-")])
def test_chances_are_said_with_what_they_bear(p: float, said: str) -> None:
    assert p_text(p) == said


def test_only_what_the_estimate_holds_stands_beside_it(tmp_path: Path) -> None:
    one = found(tmp_path)
    assert beside(one, None) == ()  # type: ignore[arg-type]  # never looked at
    odd = replace(one, quantity="fuel", unit="t/ha")
    assert beside(odd, None) == ()  # type: ignore[arg-type]
    assert (better_of("fuel"), better_of("gap")) == ("less", "")


def test_written_as_a_person_writes(tmp_path: Path) -> None:
    lines = [line.replace(".", ",") for line in lines_of()]
    path = written(tmp_path, ["# with decimal commas", *lines])
    assert read_readings(path, SYSTEMS).values["dm_yield"][0] == 15.8


# --- where sentences, letters and tests seem not to agree ----------------------------------------------------------------


def test_a_plot_that_alone_carries_a_system_can_be_left_out_and_the_others_still_count(tmp_path: Path) -> None:
    lines = lines_of({1: ("15.8", "lost", "15.9"), 2: ("16.4", "15.5", "lost")})
    read = readings(tmp_path, lines)
    one = compare(read, "dm_yield", baseline="plough", design=blocks(2), leave_out=True)
    assert {row.of for row in one.influence} <= {"cultivator", "strip"}


def held(tmp_path: Path, *, p: float, letters: str, together: float, call: str) -> Finding:
    """Return a finding whose strip, letters and test of all systems say what is asked; the figures are set by hand."""
    one = found(tmp_path, better="more")
    differences = tuple(replace(d, p=p, call=call if d.system == "strip" else "open") for d in one.differences)
    means = tuple(replace(m, letters=letters if m.system == "strip" else "a") for m in one.means)
    return replace(one, differences=differences, means=means, tests=(replace(one.tests[0], p=together),))


def test_a_shared_letter_beside_a_difference_is_explained(tmp_path: Path) -> None:
    said = " ".join(reading_notes(held(tmp_path, p=0.04, letters="a", together=0.03, call="more")))
    assert "Strip: found to differ from plough, and sharing a letter with it all the same." in said
    assert "all 3 pairs at once" in said
    assert "the 2 differences from plough" in said


def test_no_shared_letter_without_a_difference_is_explained(tmp_path: Path) -> None:
    said = " ".join(reading_notes(held(tmp_path, p=0.051, letters="b", together=0.2, call="open")))
    assert "Strip: not found to differ from plough, and sharing no letter with it." in said


@pytest.mark.parametrize(
    ("together", "call", "words"),
    [
        (0.03, "open", "The test of all systems together finds something (chance 0.030), and no single difference"),
        (0.08, "more", "The test of all systems together finds nothing (chance 0.080), and strip differs from plough"),
    ],
)
def test_the_test_of_all_and_a_single_difference_are_explained(
    tmp_path: Path, together: float, call: str, words: str
) -> None:
    one = held(tmp_path, p=0.04, letters="b" if call == "more" else "a", together=together, call=call)
    assert words in " ".join(reading_notes(one))
    assert " ".join(words.split()) in " ".join(compare_text(one).split())


def test_where_all_agree_only_the_ranges_are_explained(tmp_path: Path) -> None:
    notes = reading_notes(held(tmp_path, p=0.04, letters="b", together=0.03, call="more"))
    assert notes == [
        "In 95 of 100 comparisons like this one all ranges hold the true differences. What is ruled out looks to one side at a "
        "time, so less far than the range."
    ]


def test_what_cannot_be_told_is_never_said_to_be_no_loss_without_the_side(tmp_path: Path) -> None:
    one = found(tmp_path, better="more", margin=0.5)
    gain = replace(one.differences[0], system="strip", difference=0.4, low=-0.05, high=0.85, bound=0.02, call="open")
    said = sentence(one, replace(gain, margin_call="no worse"))
    assert "cannot tell whether it lost or gained" in said
    assert "Looked at from that side alone, a loss is ruled out, so there is none to be borne." in said
    assert "There is no loss" not in said
    bare = sentence(replace(one, margin=math.nan), replace(gain, margin_call=""))
    assert bare.endswith("Looked at from that side alone, a loss is ruled out.")


def test_a_mean_outside_the_estimate_is_told_apart_by_its_interval() -> None:
    def row(system: str, low: float, high: float, *, inside: bool = False) -> Beside:
        return Beside(system, (low + high) / 2, low, high, 10.0, 9.0, 11.0, 0.0, inside)

    rows = [row("a", 10.5, 13), row("b", 12, 14), row("c", math.nan, math.nan), row("d", 9, 11, inside=True)]
    assert outside_said(rows) == [
        "Measured outside the estimated range, with the whole interval of the mean: b.",
        "Mean outside the estimated range, which the interval of the mean still reaches: a.",
        "Measured outside the estimated range: c.",
    ]


def test_one_degree_of_freedom_is_one(tmp_path: Path) -> None:
    lines = lines_of({1: (15.8, 15.2), 2: (16.4, 15.5)}, SYSTEMS[:2])
    read = readings(tmp_path, lines, systems=SYSTEMS[:2])
    one = compare(read, "dm_yield", baseline="plough", design=blocks(2, SYSTEMS[:2]), leave_out=False)
    assert any("the error has 1 degree of freedom:" in note for note in one.notes)


def test_many_systems_are_judged_and_their_pairs_are_summed_up(tmp_path: Path) -> None:
    many = tuple(f"way {n}" for n in range(1, 16))
    draw = np.random.default_rng(4)
    lines = lines_of({b: tuple(f"{v:.2f}" for v in draw.normal(15, 1, 15)) for b in (1, 2, 3)}, many)
    lines[7] = lines[7].rsplit(";", 1)[0] + ";lost"
    one = compare(readings(tmp_path, lines, systems=many), "dm_yield", baseline="way 1", design=blocks(3, many))
    text = compare_text(one)
    assert "91 of them: letters sum them up" in text
    assert len(one.pairs) == 105
    assert max(map(len, text.splitlines())) <= 100
