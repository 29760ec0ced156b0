"""Layouts, chances and old maps: what is refused and in which words, shapes, edges, texts and pictures."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spadework.plan import PlanFaults
from spadework.present.charts.spec import to_svg
from spadework.present.layout.blocks_table import Told, blocks_text, headline, layout_csv, percent
from spadework.present.layout.design_chart import detectable_chart, layout_chart
from spadework.ranges import ImpossibleValue
from spadework.records.files.old_maps import read_old_map
from spadework.reference import sources
from spadework.statistics.designs import plot_size
from spadework.statistics.designs.faults import what_is_wrong
from spadework.statistics.designs.layouts import KINDS, Asked, Factor, Restrictions, random_terms
from spadework.statistics.designs.randomise import CannotLay, lay, reduced_squares
from spadework.statistics.power import detectable as power
from spadework.statistics.power import errors, virtual_strips
from spadework.statistics.power import margin as power_margin
from spadework.statistics.power.foretell import Foretold, Scatter, foretell
from spadework.statistics.power.virtual_strips import TooFewPoints, plots_side_by_side, residual_cv, virtual_cv
from spadework.working import equation_of

FOUR = Factor("system", ("plough", "cultivator", "strip", "injector"))
THREE = Factor("system", ("plough", "cultivator", "strip"))
NITROGEN = Factor("nitrogen", ("less", "full"), within=True)
BLOCKS = Asked("complete blocks", (FOUR,), 4)
SIX = Scatter(0.06, 0.04, 0.08)
TOLD = Told("Does it pay?", True, 17.0, "invented", "from the test", host_fields=3, remarks=("Clean the map.",))


def told(asked: Asked, **more: float) -> Foretold:
    asking = {"detect_share": 0.1, "chance_share": 0.05, "power_share": 0.8} | more
    return foretell(asked, SIX, Scatter(0.04, 0.04, 0.04), 0.04, **asking)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("asked", "key", "words"),
    [
        (replace(BLOCKS, kind="chess board"), "kind", "one of complete blocks, pairs"),
        (replace(BLOCKS, blocks=1), "blocks", "repeats nothing"),
        (replace(BLOCKS, blocks=2), "blocks", "3 degrees of freedom to the error of plots"),
        (replace(BLOCKS, blocks=99), "blocks", "up to 60"),
        (Asked("pairs", (THREE,), 6), "kind", "here are 3"),
        (Asked("pairs", (Factor("system", ("a", "b")),), 4), "blocks", "3 degrees of freedom"),
        (Asked("Latin square", (FOUR,), 5), "blocks", "blocks = 4"),
        (Asked("Latin square", (Factor("system", ("a", "b")),), 2), "kind", "3 to 12"),
        (Asked("Latin square", (THREE,), 3), "blocks", "leaves 2 degrees of freedom"),
        (Asked("split plots", (FOUR,), 4), "factor", "needs a second factor"),
        (Asked("complete blocks", (FOUR, NITROGEN), 4), "factor", "lies within whole plots"),
        (Asked("criss-cross", (THREE, NITROGEN), 4), "blocks", "strips across"),
        (Asked("augmented blocks", (FOUR,), 4, ("plough",)), "check", "two checks or more"),
        (Asked("augmented blocks", (FOUR,), 4, FOUR.labels), "check", "every system is a check"),
        (Asked("repeated check", (FOUR,), 4, ("plough",)), "every", "every = 3"),
        (Asked("repeated check", (FOUR,), 4, (), 3), "check", "needs one check"),
        (
            Asked("repeated check", (FOUR, replace(NITROGEN, within=False)), 4, ("plough",), 3),
            "factor",
            "systems alone",
        ),
        (replace(BLOCKS, every=3), "every", "belongs to a repeated check"),
        (replace(BLOCKS, checks=("plough",)), "check", "has no check"),
        (replace(BLOCKS, checks=("plow",)), "check", "none of the systems"),
        (Asked("complete blocks", (Factor("system", ("a", "a")),), 9), "factor", "each once"),
        (Asked("complete blocks", (THREE, Factor("system", ("a", "b"))), 9), "factor", "same name"),
        (Asked("complete blocks", (Factor("system", tuple(map(str, range(61)))),), 9), "factor", "up to 60"),
        (replace(BLOCKS, restrictions=Restrictions(edge="plow")), "edge", "none of the systems"),
        (replace(BLOCKS, restrictions=Restrictions(apart=("plough",))), "apart", "two or more"),
        (replace(BLOCKS, restrictions=Restrictions(order=("plough", "strip"))), "order", "every system once"),
        (replace(BLOCKS, restrictions=Restrictions(order=FOUR.labels, borders=True)), "order", "nothing to draw"),
        (
            Asked("Latin square", (FOUR,), 4, restrictions=Restrictions(edge="plough")),
            "edge",
            "cannot be kept",
        ),
    ],
)
def test_what_cannot_be_is_said_with_what_would_do(asked: Asked, key: str, words: str) -> None:
    found = what_is_wrong(asked)
    assert any(one == key and words in said for one, said in found), found
    with pytest.raises(CannotLay) as stopped:
        lay(asked, 1)
    assert stopped.value.faults == found


def test_all_faults_come_at_once() -> None:
    asked = replace(BLOCKS, blocks=1, every=3, restrictions=Restrictions(edge="plow", apart=("plough",)))
    assert {key for key, _ in what_is_wrong(asked)} == {"blocks", "every", "edge", "apart"}


def test_few_degrees_of_freedom_are_let_through_when_asked_twice() -> None:
    laid = lay(replace(BLOCKS, blocks=2, few=True), 1)
    assert laid.strata[0].df == 3
    assert lay(Asked("pairs", (Factor("system", ("a", "b")),), 2, few=True), 1).strata[0].df == 1


def test_numbers_columns_and_units_of_plots() -> None:
    laid = lay(Asked("split plots", (FOUR, NITROGEN), 6), 3)
    assert [p.number for p in laid.rows][:9] == [101, 102, 103, 104, 105, 106, 107, 108, 201]
    assert set(laid.data) == {"plot", "block", "row", "column", "whole_plot", "system", "nitrogen"}
    assert len(np.unique(laid.data["whole_plot"])) == 24
    for unit in np.unique(laid.data["whole_plot"]):
        assert len(set(laid.data["system"][laid.data["whole_plot"] == unit])) == 1
    crossed = lay(Asked("criss-cross", (FOUR, replace(NITROGEN, labels=("a", "b", "c"))), 4), 3)
    for key, factor in (("strip_along", "system"), ("strip_across", "nitrogen")):
        for unit in np.unique(crossed.data[key]):
            assert len(set(crossed.data[factor][crossed.data[key] == unit])) == 1
    assert (laid.fixed, laid.random) == ("system * nitrogen", ("block", "whole_plot"))
    assert random_terms(Asked("strips", (FOUR,), 1)) == ()


def test_a_seed_gives_the_layout_that_it_gave() -> None:
    # The stream of the generator is fixed by numpy's promise; a change here would change layouts that lie in fields.
    laid = lay(BLOCKS, 20260301)
    again = [p.labels[0] for p in laid.rows][:4]
    assert sorted(again) == sorted(FOUR.labels)
    stream = np.random.PCG64(20260301)
    order = list(FOUR.labels)
    for last in (3, 2, 1):
        bits = last.bit_length()
        while (other := int(stream.random_raw()) & ((1 << bits) - 1)) > last:
            pass
        order[last], order[other] = order[other], order[last]
    assert again == order


def test_sizes_of_standard_squares() -> None:
    with pytest.raises(ValueError, match="1 to 5"):
        reduced_squares(6)


@pytest.mark.parametrize("module", [errors, power, power_margin, plot_size, virtual_strips])
def test_formulas_name_known_sources(module: object) -> None:
    said = [equation_of(getattr(module, name)) for name in module.__all__ if name[0].islower()  # type: ignore[attr-defined]
            and name not in ("plots_side_by_side", "virtual_cv")]  # fmt: skip
    assert said
    assert all(one.source in sources() for one in said)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: power.detectable_difference(-1, 6, 0.05, 0.8), "sed"),
        (lambda: power.detectable_difference(1, 0, 0.05, 0.8), "error_df"),
        (lambda: power.least_difference(1, 6, 5), "chance_share"),
        (lambda: power.detectable_difference(1, 6, 0.05, 80), "power_share"),
        (lambda: power.blocks_needed(0, 1, 3, 0.05, 0.8), "difference"),
        (lambda: power.blocks_needed(0.001, 1, 3, 0.05, 0.8), "difference over plot_sd"),
        (lambda: errors.sed_of_two(1, 0), "blocks"),
        (lambda: errors.fields_df(1, 3), "fields"),
        (lambda: plot_size.sd_by_size(1, 4, 1.5), "smith_exponent"),
        (lambda: plot_size.optimum_plot(1, 4, 1.5), "smith_exponent"),
        (lambda: plots_side_by_side(0, 4, 6, 100), "blocks"),
        (lambda: plots_side_by_side(2, 4, 6, 0), "length_m"),
        (lambda: residual_cv([0, 0], [1, 1]), "mean"),
        (lambda: Scatter(0.0, 0.0, 0.1), "low"),
    ],
)
def test_impossible_values_are_named(call: object, name: str) -> None:
    with pytest.raises(ImpossibleValue, match=name):
        call()  # type: ignore[operator]


def test_shapes_broadcast() -> None:
    assert power.detectable_difference(np.ones((3, 1)), [4, 6], 0.05, 0.8).shape == (3, 2)
    assert power.blocks_needed([[5.0], [10.0]], [5.0, 7.0, 10.0], 3, 0.05, 0.8).shape == (2, 3)
    assert power.power_of_f(np.zeros((5, 3)), 1, 4, 6, 0.05).shape == (5,)
    assert power_margin.power_of_alike([0, 1], np.ones((4, 1)), 1, 6, 0.05).shape == (4, 2)
    with pytest.raises(ValueError, match="one mean"):
        power.power_of_f(3.0, 1, 4, 6, 0.05)


def test_nothing_is_foretold_where_nothing_is_repeated() -> None:
    asked = Asked("strips", (FOUR,), 1)
    found = told(asked)
    assert (found.seen, found.fields, found.floor) == ((), (), None)
    assert "nothing more" in headline(found, 17)
    text = blocks_text(lay(asked, 1), found, TOLD)
    assert "likely found" not in text
    assert "proves no difference" in text
    with pytest.raises(ValueError, match="nothing is repeated"):
        detectable_chart(found)


def test_the_fields_of_the_plan_stand_in_the_table_and_in_a_sentence() -> None:
    found = foretell(BLOCKS, SIX, SIX, 0.04, detect_share=0.1, chance_share=0.05, power_share=0.8, host_fields=5)
    here = next(one for one in found.fields if one.fields == 5)
    text = " ".join(blocks_text(lay(BLOCKS, 1), found, replace(TOLD, host_fields=5)).split())
    assert f"On the five host fields of this plan, a true difference of less than {percent(here.found_share)}" in text
    assert "(this plan)" in text
    assert found.fields_wanted is not None
    assert here.df == 12


def test_the_answer_is_a_sentence() -> None:
    found = told(BLOCKS, margin_share=0.03)
    said = headline(found, 17)
    assert said == (
        "With four blocks and plots that differ by 6 % by chance, a true difference of less than 13 % (2.3 t/ha) between "
        "two systems will likely stay hidden."
    )
    assert found.no_worse is not None
    assert 0 < found.no_worse < 0.5


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_its_text_and_pictures(kind: str) -> None:
    factors: tuple[Factor, ...] = (FOUR,)
    asked = Asked(kind, factors, 4)
    if kind == "pairs":
        asked = Asked(kind, (Factor("system", ("plough", "strip")),), 6)
    elif kind in ("split plots", "criss-cross"):
        asked = Asked(kind, (FOUR, replace(NITROGEN, labels=("none", "less", "full"))), 4)
    elif kind == "augmented blocks":
        asked = Asked(kind, (Factor("system", tuple(f"a system with a long name {i}" for i in range(12))),), 5,
                      tuple(f"a system with a long name {i}" for i in range(3)))  # fmt: skip
    elif kind == "repeated check":
        asked = Asked(kind, (FOUR,), 4, ("plough",), 2)
    laid, found = lay(asked, 4), told(asked)
    text = blocks_text(laid, found, TOLD)
    assert max(map(len, text.splitlines())) <= 100
    assert text.isascii()
    assert all(str(plot.number) in text for plot in laid.rows)
    assert f"Standing {laid.standing}" in text
    assert "INVENTED" in text
    assert "local code counts" in text
    picture, curve = layout_chart(laid), detectable_chart(found)
    assert all(f"{p.number} {p.labels[0]}" in picture["description"] for p in laid.rows)
    assert laid.standing in picture["description"]
    assert "estimated" in curve["description"]
    for spec in (picture, curve):
        assert json.dumps(spec) == json.dumps(json.loads(json.dumps(spec)))
        assert to_svg(spec).startswith("<svg")
    rows = layout_csv(laid, invented=True).splitlines()
    head = next(i for i, line in enumerate(rows) if not line.startswith("#"))
    assert rows[head].startswith("plot,block,position,row,column,system")
    assert len(rows) - head - 1 == len(laid.rows)
    assert f"# seed: 4; generator: {laid.generator}" in rows


def test_shares_for_people() -> None:
    assert [percent(x) for x in (0.0, 0.0954, 0.0996, 0.5, 0.9951, 1.0)] == [
        "0 %", "9.5 %", "10 %", "50 %", "over 99 %", "100 %",
    ]  # fmt: skip


def test_a_label_is_no_formula_of_a_spreadsheet() -> None:
    laid = lay(Asked("pairs", (Factor("system", ("=1+1", "b")),), 6), 1)
    assert ",'=1+1" in layout_csv(laid, invented=False)


def test_maps_that_hold_too_little_are_refused() -> None:
    x, y = (each.ravel() for each in np.meshgrid(np.arange(0.0, 40, 4), np.arange(0.0, 40, 4)))
    with pytest.raises(TooFewPoints, match="100 points; 16 plots need 128"):
        virtual_cv(x, y, np.full(100, 9.0), plots_side_by_side(4, 4, 3, 30))
    with pytest.raises(TooFewPoints, match=r"take 96 m across the heading, and the map spans 36 m"):
        virtual_cv(x, y, np.full(100, 9.0), plots_side_by_side(2, 4, 12, 30))
    inside = (x < 8) | (x > 28)  # a hole in the middle of the map
    with pytest.raises(TooFewPoints, match=r"of 400 placings hold 8 points.*turn the heading"):
        virtual_cv(x[inside], y[inside], np.full(inside.sum(), 9.0), plots_side_by_side(1, 3, 11, 36))
    with pytest.raises(ValueError, match="same length"):
        virtual_cv(x[:-1], y, np.full(100, 9.0), plots_side_by_side(2, 4, 12, 30))
    with pytest.raises(ValueError, match="no block has two plots"):
        residual_cv([1.0, 2.0], [1, 2])


def test_an_old_map_is_read_in_metres_and_in_degrees(tmp_path: Path) -> None:
    path = tmp_path / "map.csv"
    path.write_text("# invented\nx_m;y_m;yield_t_ha;note\n3,5;10;14,2;a\n13,5;20;;b\n23,5;30;15;c\n", "utf-8")
    found = read_old_map(path)
    assert found.x_m.tolist() == [0, 20]
    assert found.yield_t_ha.tolist() == [14.2, 15]
    assert found.left_out == 1
    path.write_text("longitude_deg,latitude_deg,yield_t_ha\n9,52,14\n9.001,52.001,15\n", "utf-8")
    found = read_old_map(path)
    assert found.y_m[1] == pytest.approx(111.2, abs=0.1)  # a minute of arc is a sea mile of 1852 m, 60 to the degree
    assert found.x_m[1] == pytest.approx(111.2 * np.cos(np.deg2rad(52.0005)), abs=0.1)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a,b\n1,2\n", ("no place", "column yield_t_ha")),
        ("x_m,y_m,yield_t_ha\n1,2,high\n", ("line 2", '"high" is no number')),
        ("x_m,y_m,yield_t_ha\n1,,3\n", ("line 2", "column y_m", "is empty")),
        ("x_m,y_m,yield_t_ha\n1,2,-3\n", ("0 to 200 t/ha",)),
        ("x_m,y_m,yield_t_ha\n1,2,\n", ("no point with a yield",)),
        ("# nothing\n", ("holds nothing",)),
    ],
)
def test_faults_of_a_map_are_told(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    path = tmp_path / "map.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(PlanFaults) as stopped:
        read_old_map(path)
    assert all(word in str(stopped.value) for word in words), stopped.value


def test_a_map_that_is_too_long_is_refused_and_a_thousand_faults_are_twenty(tmp_path: Path) -> None:
    path = tmp_path / "map.csv"
    path.write_text("x_m,y_m,yield_t_ha\n" + "1,2,x\n" * 1_000, "utf-8")
    with pytest.raises(PlanFaults) as stopped:
        read_old_map(path)
    assert len(stopped.value.faults) == 20
    path.write_text("x_m,y_m,yield_t_ha\n" + "1,2,3\n" * 50_001, "utf-8")
    with pytest.raises(PlanFaults, match="up to 50000"):
        read_old_map(path)
