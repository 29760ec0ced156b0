"""The place of the band in an estimate: scatter, sideways, targets and the depth they ask for; and how it is told."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from plans.faulty import DEMO
from spadework.estimate import Estimate, estimate
from spadework.estimate.band.place import PUBLISHED
from spadework.plan import read_text
from spadework.present.band.place import banded, held, place_lines, slope_words, step_words
from spadework.present.document.blocks import Grid
from spadework.present.report.band import band_section
from spadework.ranges import ImpossibleValue
from spadework.reference import load
from spadework.science import band

FOLDER = Path(str(files("spadework.demo")))
STRIP = 2
BAND = DEMO[DEMO.index("[band] ") : DEMO.index('[[limit]]\nof = "total N')]
WINGS = ('kind = "strip tiller"', 'kind = "deep injector, winged tines"')


@cache
def run(*swaps: tuple[str, str], draws: int = 400) -> Estimate:
    text = DEMO
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


def test_shapes_and_words_of_the_sideways_functions() -> None:
    assert band.sideways_spread([1, 2], 0, 0, 0).tolist() == [1, 2]
    assert band.share_beyond(5, 0, [0, 4, 6]).tolist() == [0, 0, 1]
    assert band.joins_inside(8, 6).shape == (2, 2)
    assert band.joins_inside(4, 8).tolist() == [[1, 4]]
    assert band.towed_drift(5, [-2, 0, 2]).sum() == pytest.approx(0)
    assert band.rows_in_step([8, 8, 6], [8, 4, 4]).tolist() == [1, 1, 0]


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: band.sideways_spread(-1, 1, 1, 1), "slurry_sd_cm"),
        (lambda: band.share_beyond(-1, 1, 0), "harmless_cm"),
        (lambda: band.rows_in_step(7.5, 8), "slurry_rows"),
        (lambda: band.joins_inside(8, 0), "seed_rows"),
        (lambda: band.towed_drift(5, 90), "crab_angle_deg"),
        (lambda: band.crab_angle(0.5, 0.07), "side_slope_share"),
        (lambda: band.crab_angle(0.1, 0), "side_hold_per_deg"),
        (lambda: band.line_apart(0, 2000, 0), "slurry_hang_cm"),
        (lambda: band.inside(5, 7, 5), "high_cm - low_cm"),
        (lambda: band.mean_for_share(5, 1, 1), "sure_share"),
        (lambda: band.tine_depth_for_top(11, 5, 0, 25, 45, 0.2, 0.5), "tine_width_cm"),
        (lambda: band.band_aspect(0, 1, 30, 1), "radius_cm"),
        (lambda: band.spoken_of(1, 2, 3, 4), "speaks_of"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, name) -> None:
    with pytest.raises(ImpossibleValue, match=re.escape(name)):
        call()


def test_a_band_that_no_tine_can_bring_so_high_asks_for_no_depth() -> None:
    assert band.tine_depth_for_top(-30, 5, 4, 25, 45, 0.2, 0.5) == 0


def test_what_the_plan_says_of_steering_is_taken_and_the_rest_comes_from_the_table() -> None:
    found, bare = run(), run((BAND, ""))
    assert found.spread("shift", STRIP).mid == 1
    assert found.spread("slurry_sd", STRIP).mid == 2.5
    assert bare.spread("shift", STRIP).mid == 0
    assert bare.spread("slurry_drift", STRIP).mid == pytest.approx(3, abs=0.05)
    assert bare.spread("harmless", STRIP).mid == 11.4
    nearer = run(('shift = "1 cm"', 'shift = "1 cm"\nharmless = "9.5 cm"'))
    assert nearer.spread("beyond", STRIP).mid > found.spread("beyond", STRIP).mid
    assert "own_found" not in bare.sheet.figures


def test_scatter_of_single_seeds_is_that_of_depth_and_of_sideways() -> None:
    found = run(draws=4000)
    one = found.values("seed_gap", STRIP) - found.values("gap", STRIP)
    assert np.std(one) == pytest.approx(np.median(found.values("gap_sd", STRIP)), rel=0.03)
    assert np.mean(np.abs(found.values("seed_offset", STRIP)) > 11.4) == pytest.approx(
        float(np.mean(found.values("beyond", STRIP))), abs=0.005
    )


def test_clearance_is_that_of_the_drawn_ellipse_and_more_than_the_gap_on_the_whole() -> None:
    found = run()
    ours = found.values("clearance", STRIP)
    again = band.clearance_ellipse(
        found.values("seed_gap", STRIP) + found.values("half_height", STRIP),
        found.values("seed_offset", STRIP),
        found.values("half_width", STRIP),
        found.values("half_height", STRIP),
    )
    np.testing.assert_allclose(ours, again)
    assert np.mean(ours) > np.mean(found.values("seed_gap", STRIP))
    still = run(
        ('slurry = "2.5 cm"\nseed = "2.5 cm"', 'slurry = "0 cm"\nseed = "0 cm"'),
        ('"3 +/- 1 cm"', '"0 cm"'),
        ('seed_drift = "2 cm"\nshift = "1 cm"', 'seed_drift = "0 cm"'),
    )
    assert still.spread("beyond", STRIP).mid == 0
    assert np.mean(still.values("clearance", STRIP)) < np.mean(ours)


def test_every_target_is_held_against_every_system_that_bands() -> None:
    found = run()
    assert banded(found) == [STRIP]
    rows = held(found, STRIP)
    assert [one.axis for one in rows] == ["target"] * len(PUBLISHED) + ["own"]
    for one in rows:
        assert one.inside + one.below + one.above == pytest.approx(1)
        assert one.middle_depth.low < one.middle_depth.mid < one.middle_depth.high
    assert rows[0].theirs == "5 to 7"
    assert rows[-1].theirs == "6 to 10"
    assert rows[-1].who.endswith("[plan]")


def test_the_depth_that_is_told_brings_the_band_to_the_middle_of_the_target() -> None:
    rows = held(run(draws=1), STRIP)
    gap = next(one for one in rows if one.theirs == "5 to 7")
    again = run(('depth = "22 +/- 1.5 cm"', f'depth = "{gap.middle_depth.mid:.4f} cm"'), draws=1)
    assert again.spread("gap", STRIP).mid == pytest.approx(6, abs=0.001)
    assert gap.sure_depth is not None
    sure = run(('depth = "22 +/- 1.5 cm"', f'depth = "{gap.sure_depth.mid:.4f} cm"'), draws=1)
    share = band.share_within(sure.spread("gap", STRIP).mid, sure.spread("gap_sd", STRIP).mid, 5, 1000)
    assert share == pytest.approx(0.9, abs=0.001)


def test_own_targets_with_one_end() -> None:
    least = run(('least = "6 cm"\nmost = "10 cm"', 'least = "6 cm"'))
    most = run(('of = "clearance"\nleast = "6 cm"\nmost = "10 cm"', 'of = "top"\nmost = "13 cm"'))
    first, second = held(least, STRIP)[-1], held(most, STRIP)[-1]
    assert (first.theirs, first.above) == ("at least 6", 0)
    assert first.sure_depth is not None
    assert first.sure_depth.mid > first.middle_depth.mid
    assert (second.theirs, second.sure_depth) == ("at most 13", None)
    assert "lower end" not in [line for line in place_lines(most) if line.startswith("    tine")][-1]


def test_wings_lay_a_wide_and_thin_band() -> None:
    wide, narrow = run(WINGS), run()
    assert wide.spread("half_width", STRIP).mid == pytest.approx(15, abs=0.2)
    assert wide.spread("half_height", STRIP).mid < 0.5 * narrow.spread("half_height", STRIP).mid
    area = wide.values("half_width", STRIP) * wide.values("half_height", STRIP)
    np.testing.assert_allclose(area, wide.values("radius", STRIP) ** 2)
    assert "aspect" not in narrow.sheet.figures


def test_both_kinds_of_band_side_by_side() -> None:
    machine = DEMO[
        DEMO.index('[[machine]]\nname = "strip tiller, 8 rows"') : DEMO.index('[[machine]]\nname = "planter')
    ]
    winged = machine.replace("strip tiller, 8 rows", "wings, 8 rows").replace(*WINGS)
    system = DEMO[DEMO.index('[[system]]\nname = "strip"') : DEMO.index('[[system]]\nname = "injector"')]
    again = system.replace('name = "strip"', 'name = "wings"').replace("strip tiller, 8 rows", "wings, 8 rows")
    found = run((machine, machine + winged), (system, system + again))
    assert banded(found) == [STRIP, STRIP + 1]
    assert found.spread("half_width", STRIP).mid < 8 < found.spread("half_width", STRIP + 1).mid
    assert found.spread("gap", STRIP).mid == pytest.approx(run().spread("gap", STRIP).mid, abs=0.2)
    assert len(held(found, STRIP)) == len(held(found, STRIP + 1)) == len(PUBLISHED) + 1
    section = band_section(found)
    assert section is not None
    assert sum("held against targets" in b.caption for b in section.blocks if isinstance(b, Grid)) == 2
    assert held(found, STRIP + 1)[0].middle_depth.mid < held(found, STRIP)[0].middle_depth.mid


def test_rows_that_do_not_keep_step_are_noted() -> None:
    planter = 'kind = "row planter"\nrows = '
    fewer = run((planter + "8", planter + "6"))
    assert any("do not keep step" in note and "pass 2, after row 2" in note for note in fewer.notes)
    assert "pass 2 after row 2, pass 3 after row 4" in step_words(fewer, STRIP)
    for rows in ("8", "4", "16"):
        found = run((planter + "8", planter + rows))
        assert not any("keep step" in note for note in found.notes)
        assert "keep step" in step_words(found, STRIP)
    assert "after every 8 rows" in step_words(run((planter + "8", planter + "16")), STRIP)


def test_a_band_without_a_system_that_lays_one_is_noted() -> None:
    placed = '  places = ["slurry"]\n  supply = "two feeders"\n  contractor = "strips with slurry, asked"\n'
    none = run((placed + '  visible_slurry = "2 +/- 1 %"\n', ""), ('"tanker, 16 m3", "strip', '"strip'))
    assert any("that part goes unused" in note for note in none.notes)
    assert not any("goes unused" in note for note in run().notes)
    assert place_lines(none) == []
    assert band_section(none) is None


SLOPE = 'slope = "1 %"\n'
CARRIED = 'shift = "1 cm"\n'
FEEDERS = (
    'supply = "two feeders"\n  contractor = "strips with slurry, asked"',
    'supply = "hose line"\n  contractor = "strips with slurry, asked"',
)


def on_slope(slope: str, steering: str = "", *swaps: tuple[str, str], draws: int = 400) -> Estimate:
    return run((SLOPE, f'{SLOPE}side_slope = "{slope}"\n'), (CARRIED, CARRIED + steering), *swaps, draws=draws)


def test_what_is_towed_hangs_downhill_on_a_side_slope() -> None:
    found = on_slope("7 %", 'slurry_tow = "5 m"\nseed_tow = "2 m"\n', draws=1)
    assert found.spread("crab", STRIP).mid == pytest.approx(1)  # 7 % over 0.07 for each degree
    assert found.spread("slurry_hang", STRIP).mid == pytest.approx(500 * np.sin(np.radians(1)))
    assert found.spread("apart", STRIP).mid == pytest.approx(1 + 300 * np.sin(np.radians(1)))
    steep, none = on_slope("2 to 8 %"), run()
    assert np.mean(steep.values("beyond", STRIP)) > 5 * np.mean(none.values("beyond", STRIP))
    assert np.median(steep.values("seed_offset", STRIP)) == pytest.approx(steep.spread("apart", STRIP).mid, abs=1.5)
    flat, still = on_slope("0 %", draws=1), run(draws=1)
    for name in ("beyond", "seed_offset", "clearance"):
        np.testing.assert_allclose(flat.values(name, STRIP), still.values(name, STRIP))
    assert "apart" not in none.sheet.figures


def test_without_a_word_on_towing_the_tank_behind_the_tractor_decides() -> None:
    towed = on_slope("5 %")
    assert 5 < towed.spread("slurry_tow", STRIP).mid < 9
    assert towed.spread("seed_hang", STRIP).mid == 0
    line = (('machines = ["tanker, 16 m3", "strip tiller, 8 rows"]', 'machines = ["strip tiller, 8 rows"]'), FEEDERS)
    carried = on_slope("5 %", "", *line)
    assert carried.spread("slurry_hang", STRIP).mid == 0
    assert "less than 1 cm off" in slope_words(
        on_slope("5 %", "", *line, (CARRIED, 'shift = "0 cm"\n'), draws=1), STRIP
    )


def test_the_side_slope_is_told_with_what_can_be_done_about_it() -> None:
    found = on_slope("4 to 8 %")
    said = slope_words(found, STRIP)
    assert "downhill of the seed: steer the planter that much the same way" in said
    assert said.startswith("On a side slope of 6.0 (4.4 to 7.6) %")
    seed = on_slope("4 to 8 %", 'slurry_tow = "0 m"\nseed_tow = "6 m"\n', (CARRIED, 'shift = "0 cm"\n'))
    assert "cm uphill of the seed" in slope_words(seed, STRIP)
    assert slope_words(run(), STRIP) == ""
    text = "\n".join(place_lines(found))
    assert "Band downhill of the seed, on the whole" in text
    assert "Band downhill" not in "\n".join(place_lines(run()))
    assert max(map(len, text.splitlines())) <= 100
    section = band_section(found)
    assert section is not None
    grid = next(block for block in section.blocks if isinstance(block, Grid) and "Sideways" in block.caption)
    assert [row[0].text for row in grid.rows][-1] == "Band downhill of the seed, on the whole"


def test_a_slope_that_tyres_hardly_hold_is_noted() -> None:
    assert any("crabs" in note for note in on_slope("30 %", draws=4).notes)
    assert not any("crabs" in note for note in on_slope("10 %", draws=4).notes)


def test_the_part_on_the_band_in_the_template_is_one_as_it_stands() -> None:
    template = (files("spadework.plan") / "template.toml").read_text("utf-8")
    start = template.index("# [band]")
    end = template.index("# ---", start)
    part = "".join(line.removeprefix("# ") + "\n" for line in template[start:end].splitlines())
    found = read_text(template[:start] + part + template[end:]).plan.band
    assert found is not None
    assert set(type(found).model_fields) == found.model_fields_set
    assert found.steering is not None
    assert set(type(found.steering).model_fields) == found.steering.model_fields_set
    assert set(type(found.targets[0]).model_fields) == found.targets[0].model_fields_set


def test_kinds_of_machine_that_lay_a_wide_band_point_to_its_width() -> None:
    kinds = [row for row in load("machine_kinds").values() if row.has("band_width_row")]
    assert kinds
    for row in kinds:
        assert row.text("slurry_lies") == "band"
        assert row.text("band_width_row") in load("band_defaults")


def test_figures_go_into_a_dataset_with_an_axis_of_targets() -> None:
    dataset = run().dataset()
    assert dict(dataset["target_inside"].sizes) == {"target": len(PUBLISHED), "draw": 400}
    assert dict(dataset["own_found"].sizes) == {"own": 1, "draw": 400}


def test_text_is_plain_and_holds_what_matters() -> None:
    lines = place_lines(run())
    text = "\n".join(lines)
    assert all(len(line) <= 100 and line == line.rstrip() and line.isascii() for line in lines)
    words = " ".join(text.split())
    for said in ("none of them is the truth", "5 to 7", "8 to 10", "10 to 12", "own rule", "[read]", "[plan]", "Dig"):
        assert said in words
    assert place_lines(run(), "strip") == place_lines(run(), STRIP) == lines
    assert place_lines(run(), "plough") == []


def test_the_report_tells_the_targets_the_depth_and_the_sideways_scatter() -> None:
    section = band_section(run())
    assert section is not None
    grids = [block for block in section.blocks if isinstance(block, Grid)]
    assert [grid.caption for grid in grids] == [
        "Size and place of the band",
        "strip: held against targets",
        "Sideways: seed beside the band",
    ]
    assert len(grids[1].rows) == len(PUBLISHED) + 1
    assert all(row[-1].text for row in grids[1].rows)
