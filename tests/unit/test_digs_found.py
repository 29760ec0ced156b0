"""Edges of what digs say, and how it is said and drawn."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from dug_up import digs_of, eight, one_shallow
from spadework import statistics as st
from spadework.findings.digging_on import dig_on
from spadework.findings.digs import Dug, find_digs
from spadework.findings.digs_before import digs_ahead
from spadework.plan import PlanFaults
from spadework.present.charts.spec import to_svg
from spadework.present.digs.card import card_html, card_pdf
from spadework.present.digs.charts import digs_chart, digs_chart_words, digs_face
from spadework.present.digs.glance import boxes, columns_of, key_of, verdict_of
from spadework.present.digs.table import ahead_text, digs_text
from spadework.present.digs.words import changes, doubts, headline
from spadework.present.face.drawing import Band, Face, Spread, soil_face
from spadework.ranges import ImpossibleValue
from spadework.reference import sources
from spadework.statistics.digs import by_mesh, unit_contrasts
from spadework.working import equation_of

NAN = float("nan")
UNITS = np.tile(np.arange(1, 9), 4)


def said(dug: object, rows: int = 8, **more: object) -> Dug:
    known = {"window_cm": (4.0, 8.0), "seed_depth_cm": 5.0, "draws": 2000, **more}
    return find_digs(dug, rows=rows, **known)  # type: ignore[arg-type]


def scattered(seed: int = 3, middle: float = 6.0, sd: float = 0.7) -> np.ndarray:
    random = np.random.default_rng(seed)
    return middle + random.normal(0, 0.4, 8)[UNITS - 1] + random.normal(0, sd, 32)


def machine_too_shallow() -> Dug:
    random = np.random.default_rng(3)
    gaps = scattered(3, 3.5) - 3 * (UNITS == 4)
    return said(
        digs_of(
            gaps,
            UNITS,
            seed=5 + random.normal(0, 0.3, 32),
            wheel=np.isin(UNITS, [3, 6]) * 1.0,
            directions=(["out"] * 8 + ["back"] * 8) * 2,
            places=["body"] * 24 + ["headland"] * 8,
            offset=random.normal(2, 2, 32),
            surface=np.where(UNITS == 4, 0.3, 0.0),
        )
    )


WRONG: list[tuple[Callable[[], object], str]] = [
    (lambda: said(eight(), window_cm=(8, 4)), "width of the window"),
    (lambda: said(eight(), seed_depth_cm=-1), "seed_depth_cm"),
    (lambda: said(eight(), harmless_cm=0), "harmless_cm"),
    (lambda: said(eight(), inside_share=90), "inside_share"),
    (lambda: dig_on([6.0], [1], (4, 8), target_cm=8), "target_cm"),
    (lambda: dig_on([6.0], [1], (4, 8), error_share=0.7), "error_share"),
    (lambda: digs_ahead(1), "rows"),
    (lambda: digs_ahead(8, within_sd_cm=0), "within_sd_cm"),
    (lambda: unit_contrasts.between_units(st.sort_by_unit([1, 2, 3], [1, 2, 3]), [0, 0, 0], 0.9), "units of the second group"),
    (lambda: unit_contrasts.within_units([1, 2], [1, 2], [0, 1], 0.9), "units in both states"),
    (lambda: unit_contrasts.unit_means(st.sort_by_unit([1, 2, 3], [1, 2, 3]), 0.9), "most digs in a unit"),
    (lambda: by_mesh.components_by_mesh(st.sort_by_unit([1, 1, 2, 2], [1, 1, 2, 2])), "within_squares"),
    (lambda: by_mesh.grouping_deviance(st.sort_by_unit([1, 1, 1, 1], [1, 1, 2, 2])), "squares"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "parameter"), WRONG, ids=[f"{i}-{name}" for i, (_, name) in enumerate(WRONG)])
def test_impossible_input_is_named(call: Callable[[], object], parameter: str) -> None:
    with pytest.raises(ImpossibleValue) as told:
        call()
    assert told.value.parameter == parameter


def test_rows_of_unlike_length_are_refused() -> None:
    with pytest.raises(ValueError, match="one place for each unit"):
        unit_contrasts.between_units(st.sort_by_unit([1, 2, 3], [1, 2, 3]), [0, 1], 0.9)
    with pytest.raises(ValueError, match="rows of one length"):
        unit_contrasts.within_units([1, 2], [1, 1], [0], 0.9)


def test_no_digs_and_units_beyond_the_machine_are_faults_all_at_once() -> None:
    with pytest.raises(PlanFaults, match="no digs"):
        said(digs_of([], []))
    with pytest.raises(PlanFaults) as told:
        said(digs_of([6, 6, 6], [1, 9, 12]))
    assert [fault.line for fault in told.value.faults] == [3, 4]
    assert "8 rows" in told.value.faults[0].what


def test_every_function_of_contrasts_states_its_formula_and_a_listed_source() -> None:
    for module in (by_mesh, unit_contrasts):
        for name in module.__all__:
            if name[0].islower():
                assert equation_of(getattr(module, name)).source in sources()


def test_one_unit_against_one_unit_has_no_interval() -> None:
    it = st.sort_by_unit([1.0, 2, 3, 4, 5, 6], [1, 1, 1, 2, 2, 2])
    found = unit_contrasts.between_units(it, [0, 1], 0.95)
    assert found.estimate == pytest.approx(3)
    assert math.isnan(found.low)
    assert not found.bears
    alone = unit_contrasts.within_units([1, 2, 5], [1, 1, 2], [0, 1, 0], 0.95)
    assert alone.estimate == 1
    assert math.isnan(alone.high)


def test_one_unit_against_many_borrows_their_scatter() -> None:
    it = st.sort_by_unit([5.0, 6.0, 7.0, 9.0], [1, 2, 3, 4])
    found = unit_contrasts.between_units(it, [0, 0, 0, 1], 0.95)
    assert (found.estimate, found.df) == (3.0, 2.0)
    assert found.se == pytest.approx(math.sqrt(1 * (1 / 3 + 1)))


FEW: list[tuple[object, str, str]] = [
    (digs_of([5.5], [3]), "One dig, in unit 3", "dig on"),
    (digs_of([5, 6, 7], [3, 3, 3]), "Only unit 3 was dug", "dig on"),
    (digs_of([5, 6], [1, 2]), "Two digs in all", "dig on"),
    (digs_of([6.0] * 6, [1, 1, 2, 2, 3, 3]), "All digs read alike", "dig on"),
    (digs_of([5, 6, 7, 6.5, 5.5], [1, 2, 3, 4, 5]), "One dig in each unit", "dig on"),
    (digs_of([5, 5, 7, 7, 6, 6], [1, 1, 2, 2, 3, 3]), "read alike", "dig on"),
    (digs_of([NAN, NAN], [1, 2], found=[False, False]), "not measured in any dig", "nothing"),
]


@pytest.mark.parametrize(("dug", "words", "verdict"), FEW, ids=[words for _, words, _ in FEW])
def test_few_digs_say_what_they_cannot_say(dug: object, words: str, verdict: str) -> None:
    found = said(dug)
    assert any(words in text for text in found.cannot)
    assert found.verdict == verdict
    assert found.machine is None
    assert not any(one.change for one in found.found)
    text = digs_text(found, machine="Strip tiller", invented=True)
    assert words in " ".join(text.split())


@pytest.mark.parametrize("many", [3, 30])
def test_digs_of_one_unit_never_have_an_interval(many: int) -> None:
    found = said(digs_of(np.linspace(5, 7, many), [3] * many))
    for level in (found.gap, found.top):
        assert not level.has_interval
        assert level.inside is None
        assert math.isnan(level.least)
    assert found.on.call == "dig on"
    assert math.isnan(found.found[0].low_cm)


def test_only_the_last_setting_is_judged_and_the_change_is_told() -> None:
    random = np.random.default_rng(4)
    settings = np.where(np.arange(32) < 16, 1, 2)
    found = said(digs_of(np.where(settings == 1, 3.0, 6.0) + random.normal(0, 0.5, 32), UNITS, settings=settings))
    assert (found.digs, found.judged, found.setting) == (32, 16, 2)
    assert found.gap.mean == pytest.approx(6, abs=0.5)
    change = next(one for one in found.compared if one.second == "setting 2")
    assert change.contrast.low < 3 < change.contrast.high
    assert "before it was re-set" in " ".join(digs_text(found, machine="m", invented=False).split())


def test_whole_machine_first_then_the_unit_beyond_it() -> None:
    found = machine_too_shallow()
    assert found.verdict == "change"
    assert found.machine is not None
    assert found.machine.part == "band"
    assert found.machine.step_cm == pytest.approx(2.5, abs=0.5)
    unit = next(one for one in found.found if one.unit == 4)
    assert unit.change is not None
    assert unit.change.step_cm == pytest.approx(3, abs=0.5)
    first, then = changes(found)[0], changes(found)[-1]
    assert first.startswith("Set the whole machine deeper")
    assert then.startswith("Then set unit 4 deeper") or any("unit 4 deeper" in text for text in changes(found))


def test_a_seed_that_is_off_is_told_from_a_band_that_is_off() -> None:
    random = np.random.default_rng(5)
    seeds = 5 + random.normal(0, 0.2, 32) + 3 * (UNITS == 2)
    tops = 11 + random.normal(0, 0.3, 32)
    found = said(digs_of(tops - seeds, UNITS, seed=seeds))
    off = [one for one in found.found if one.change is not None]
    assert [one.unit for one in off] == [2]
    assert off[0].change is not None
    assert off[0].change.part == "seed"
    assert "Set the seed of unit 2 shallower" in changes(found)[0]


def test_gaps_that_fit_with_seeds_that_do_not_are_remarked() -> None:
    random = np.random.default_rng(6)
    found = said(digs_of(6 + random.normal(0, 0.2, 32), UNITS, seed=7 + random.normal(0, 0.3, 32)))
    assert found.verdict == "leave"
    assert any("2.0 cm too deep" in text for text in doubts(found))


def test_wheels_headland_and_ways_are_compared_by_unit() -> None:
    found = machine_too_shallow()
    how = {(one.what, one.second): (one.how, one.contrast.units_second) for one in found.compared}
    assert how["gap", "behind a wheel"] == ("units", 2)
    assert how["gap", "headland"] == ("pairs", 8)
    assert how["gap", "way back"] == ("pairs", 8)
    assert how["sideways", "way back"] == ("pairs", 8)


def test_a_unit_noted_both_behind_a_wheel_and_not_stands_against_itself() -> None:
    wheel = np.tile([1.0, 0.0], 16)
    wheel[:8] = 0.0
    found = said(digs_of(scattered(), UNITS, wheel=wheel))
    assert next(one for one in found.compared if one.second == "behind a wheel").how == "pairs"


def test_surface_and_missing_bands_are_listed_by_unit_and_never_dropped() -> None:
    there = np.ones(32, dtype=bool)
    there[:2] = False
    found = said(digs_of(scattered(), UNITS, found=there, surface=np.where(UNITS == 5, 0.4, 0.0)))
    assert found.no_band == ((1, 1), (2, 1))
    assert found.at_surface == ((5, 4),)
    assert found.surface_share == pytest.approx(0.05)
    assert (found.digs, found.gap.digs) == (32, 30)
    text = digs_text(found, machine="m", invented=False)
    assert "No band was found: unit 1 (1 dig), unit 2 (1 dig)" in text
    assert "Slurry on the surface: unit 5 (4 digs)" in text


def test_depths_from_elsewhere_without_a_berm_leave_only_the_gap() -> None:
    seeds = np.where(np.arange(32) % 4 == 0, NAN, 5.0)
    found = said(digs_of(scattered(), UNITS, seed=seeds, measured_from="undisturbed"))
    assert (found.unconverted, found.gap.digs, found.top.digs) == (32, 24, 0)
    assert any("height of the berm" in text for text in found.cannot)
    digs_chart(found)
    with pytest.raises(ValueError, match="nothing to draw"):
        digs_face(found)


def test_the_rule_stands_once_it_has_decided() -> None:
    found = dig_on([6.0] * 6 + [0.0] * 6, range(12), (4, 8), scatter_cm=(0.5, 0.5))
    assert found.call == "fits"
    assert found.calls[found.stopped_after - 1 :] == ("fits",) * (12 - found.stopped_after + 1)
    assert len(found.calls) == 12
    shallow = dig_on([3.0, 3.2, 2.9, 3.1, 3.0], range(5), (4, 8), scatter_cm=(0.5, 0.5))
    assert (shallow.call, shallow.side) == ("does not fit", "shallow")
    assert dig_on([], [], (4, 8)).call == "dig on"


@pytest.mark.parametrize(
    "found",
    [said(eight()), machine_too_shallow(), said(one_shallow(flipped=True), 6), *(said(dug) for dug, _, _ in FEW)],
    ids=str,
)
def test_text_is_narrow_plain_and_never_a_clearance(found: Dug) -> None:
    text = digs_text(found, machine="Strip tiller, 8 rows", invented=True)
    assert max(map(len, text.splitlines())) <= 100
    assert text.isascii()
    assert "INVENTED" in text
    assert "Looked" in text
    for word in ("approved", "certif", "p =", "p-value", " OK", "significant"):
        assert word not in text
    assert text.splitlines()[4].startswith(headline(found)[:20])


def test_text_before_the_day_is_narrow_and_names_its_assumption() -> None:
    text = ahead_text(digs_ahead(8))
    assert max(map(len, text.splitlines())) <= 100
    assert text.isascii()
    assert "assumed scatter" in text
    assert "29 units" in text
    assert [e.units for e in digs_ahead(3).efforts] == [3] * 5


def test_no_change_is_said_while_the_units_are_to_be_counted_anew() -> None:
    found = said(one_shallow(flipped=True), 6)
    assert changes(found) == ()
    assert "Count the units anew" in headline(found)
    assert any("unit 4" in text for text in doubts(found))


def test_chart_shows_every_dig_and_says_so_in_words() -> None:
    found = machine_too_shallow()
    spec = digs_chart(found)
    data = str(spec)
    assert data.count("'what': 'top'") == 32
    assert data.count("'what': 'seed'") == 32
    assert "looked" in spec["description"]
    assert to_svg(spec) == to_svg(digs_chart(found))
    assert "unit 4 gap" in digs_chart_words(found)
    with pytest.raises(ValueError, match="nothing to show"):
        digs_chart(said(FEW[-1][0]))


def test_face_takes_the_digs_with_and_without_a_plan() -> None:
    found = machine_too_shallow()
    face = digs_face(found)
    assert len(face.digs) == 32
    assert face.standing == "looked"
    planned = Face("strip", "invented", 75.0, seed_depth_cm=5.0, band=Band(Spread(11, 10, 12), 15.0, 4.0, 4.0))
    over = digs_face(found, planned=planned)
    assert over.band == planned.band
    assert "looked" in over.standing
    svg = soil_face(over)
    assert svg.count('class="dig"') >= 64
    assert all(-37.5 <= dig.x_cm <= 112.5 for dig in over.digs)


def test_face_of_very_many_digs_draws_some_and_says_so() -> None:
    units = np.tile(np.arange(1, 9), 20)
    face = digs_face(said(digs_of(np.full(160, 6.0) + np.arange(160) % 5 * 0.2, units)))
    assert len(face.digs) == 60
    assert "60 of 160 digs" in face.note


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def many_changes(rows: int, seed: int) -> Dug:
    random = np.random.default_rng(seed)
    units = np.tile(np.arange(1, rows + 1), 5)
    gaps = 4.5 + random.normal(0, 2.5, rows)[units - 1] + random.normal(0, 0.6, units.size)
    there = random.random(units.size) > 0.1
    return said(digs_of(gaps, units, found=there, surface=(random.random(units.size) < 0.3) * 0.2), rows)


@pytest.mark.parametrize("rows", [4, 6, 8, 9, 12, 16, 24, 40])
def test_card_is_one_page_however_much_there_is_to_change(rows: int) -> None:
    assert (
        pages(
            card_pdf(many_changes(rows, rows), machine="A strip tiller with quite a long name, borrowed", invented=True)
        )
        == 1
    )


@pytest.mark.parametrize("dug", [dug for dug, _, _ in FEW], ids=[words for _, words, _ in FEW])
def test_card_of_few_digs_is_a_page_that_promises_nothing(dug: object) -> None:
    found = said(dug)
    assert pages(card_pdf(found, machine="m", invented=False)) == 1
    html = card_html(found, machine="m <8>", invented=False)
    assert "Nothing to re-set that these digs bear" in html
    assert "m &lt;8&gt;" in html
    assert "<script" not in html


def test_card_names_what_to_change_and_leaves_names_and_date_to_the_hand() -> None:
    html = card_html(machine_too_shallow(), machine="Strip tiller", invented=True)
    for words in ("What to change", "Set the whole machine deeper", "Date", "Dug by", "Re-set by", "Not looked at",
                  "Take care", "INVENTED"):  # fmt: skip
        assert words in html
    for word in ("approved", "certif", "OK<"):
        assert word not in html
    assert not re.search(r"https?://", html)


def test_units_not_dug_stand_under_not_looked_at() -> None:
    keep = ~np.isin(UNITS, [2, 7])
    found = said(digs_of(scattered()[keep], UNITS[keep]))
    assert found.not_dug == (2, 7)
    assert "Units 2 and 7: not dug." in card_html(found, machine="m", invented=False)


def test_standing_is_always_looked() -> None:
    assert {said(eight()).standing, machine_too_shallow().standing} == {"looked"}
    assert replace(said(eight()), digs=3).standing == "looked"


def test_very_uneven_digs_keep_intervals_that_can_be_read() -> None:
    """Nine digs in one unit and one in each of three others."""
    random = np.random.default_rng(12)
    for _ in range(60):
        found = said(digs_of(6 + random.normal(0, 0.7, 12), [1] * 9 + [2, 3, 4]), draws=100)
        assert found.gap.high - found.gap.low < 30
    it = st.sort_by_unit(random.normal(6, 1, 13), [1] * 9 + [2, 3, 4, 5])
    contrast = unit_contrasts.between_units(it, [1, 0, 0, 0, 0], 0.95)
    assert contrast.df >= 1


def test_the_worked_example_of_the_docs_is_what_is_printed() -> None:
    text = (Path(__file__).parents[2] / "docs" / "jobs" / "digs.md").read_text("utf-8")
    printed = digs_text(said(eight(), draws=20_000), machine="m", invented=True)
    block = re.search(r"```text\n(Re-set.*?)```", text, re.S)
    assert block is not None
    assert block[1] in printed
    for words in ("6.2   5.6 to 6.8", "4.1          8.3", "of all seeds 96 % (74 %"):
        assert words in printed


def eight_units(*changed: tuple[int, float], mean: float = 6, digs: int = 3) -> Dug:
    units = np.repeat(np.arange(1, 9), digs)
    gaps = mean + np.tile([-0.3, 0.0, 0.3], 8)[: units.size]
    for unit, more in changed:
        gaps = gaps + more * (units == unit)
    return said(digs_of(gaps, units, seed=np.full(units.size, 5.0)), 8)


def test_a_driver_sees_at_once_which_units_go_which_way() -> None:
    found = eight_units((3, -3), (6, 2))
    assert verdict_of(found) == "Re-set units 3 and 6"
    seen = {box.name: (box.sign, box.figure, box.words) for box in boxes(found)}
    assert seen["3"] == ("down", "3 cm", "deeper")
    assert seen["6"] == ("up", "2 cm", "shallower")
    assert seen["1"] == ("leave", "OK", "")
    assert list(seen) == [str(unit) for unit in range(1, 9)]
    assert columns_of(found) == 8
    assert "OK" in key_of(found)
    html = card_html(found, machine="m", invented=True)
    assert html.index("Re-set units 3 and 6</h1>") < html.index("3 cm</b>") < html.index("Date")
    assert "\N{BLACK DOWN-POINTING TRIANGLE} 3 cm" in html


def test_a_machine_that_is_off_alike_is_one_box_and_units_beyond_it_stand_below() -> None:
    (whole,) = boxes(eight_units(mean=3))
    assert (whole.name, whole.sign, whole.figure) == ("all units", "down", "3 cm")
    first, *units = boxes(eight_units((5, 3), mean=3))
    assert (first.name, first.sign) == ("all units", "down")
    assert {box.words for box in units} == {"as above", "shallower"}


def test_verdicts_in_a_few_words() -> None:
    assert verdict_of(eight_units()) == "Leave the setting"
    assert verdict_of(machine_too_shallow()) == "Re-set the whole machine"
    few = said(digs_of([6.0, 5.5, 7.5], [1, 2, 3]), 8)
    assert verdict_of(few) == "Dig on"
    signs = [box.sign for box in boxes(few)]
    assert signs == ["none", "none", "look", "none", "none", "none", "none", "none"]
    assert boxes(many_changes(40, 1)) == ()
    many = verdict_of(many_changes(24, 24))
    assert len(many) < 34


def test_where_only_the_gap_is_known_the_box_asks_to_measure() -> None:
    units = np.repeat(np.arange(1, 9), 3)
    random = np.random.default_rng(4)
    seed = 5 + random.normal(0, 1.5, 24)
    gaps = 6 + np.tile([-0.3, 0.0, 0.3], 8) - 2.5 * (units == 2)
    box = boxes(said(digs_of(gaps, units, seed=seed), 8))[1]
    assert (box.sign, box.words) == ("measure", "gap too small")


def test_a_unit_is_judged_by_what_the_machine_moves_first_band_or_seed() -> None:
    units = np.repeat(np.arange(1, 9), 3)
    little = np.tile([-0.3, 0.0, 0.3], 8)
    seed = 7 + 0.2 * np.roll(little, 1)  # the planter sows 2 cm too deep everywhere
    top = 11 + little - 3 * (units == 3)  # one tine rides 3 cm too high
    found = said(digs_of(top - seed, units, seed=seed), 8)
    assert found.machine is not None
    assert (found.machine.part, found.machine.moves()) == ("seed", (0.0, 2.0))
    (third,) = [one.change for one in found.found if one.change is not None]
    assert third is not None
    assert (third.part, third.step_cm) == ("band", 3.0)
    assert third.seed_cm == pytest.approx(0, abs=0.1)
    assert changes(found)[1].startswith("Then set unit 3 deeper by 3 cm")


def test_readings_that_are_all_alike_are_not_taken_for_fine() -> None:
    units = np.repeat(np.arange(1, 9), 3)
    seed = 7 + np.tile([-0.3, 0.0, 0.3], 8)
    found = said(digs_of(9 - seed, units, seed=seed), 8)  # every top read as 9, wanted 11; every seed 2 cm too deep
    assert found.machine is not None
    assert found.machine.part == "both"
    assert found.machine.moves() == pytest.approx((2, 2))
