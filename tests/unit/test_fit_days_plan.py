"""Fit days of a plan, worked out from its weather: when, by which rule, and what is told where they cannot be."""

from __future__ import annotations

from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from plans.faulty import DEMO, Faulty
from spadework.estimate import estimate
from spadework.estimate.water.fit_weather import springs
from spadework.estimate.water.fit_weeks import fit_weeks
from spadework.estimate.workings.explain import lines_of
from spadework.plan import PlanFaults, read_text
from spadework.reference import constants, load
from springs_made import FIT_DAYS, STAY_FIT, demo_on, spring_lines, write_springs

DEMO_FOLDER = Path(str(files("spadework.demo")))
WORKED = (FIT_DAYS, 'fit_moisture = "80 %"\n'), (STAY_FIT, "")


@pytest.fixture(scope="module")
def ten(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("ten")
    write_springs(folder)
    return folder


def run(folder: Path, *changes: tuple[str, str], draws: int = 300):
    return estimate(demo_on(folder, *changes), draws=draws)


def told(found) -> list[str]:
    return [note for note in found.notes if note.startswith("fit days")]


# What is worked out, and what is not ----------------------------------------------------------------------------------


def test_without_a_limit_nothing_is_worked_out():
    found = estimate(read_text(DEMO, "plan.toml", DEMO_FOLDER), draws=20)
    assert not {"fit_day_count", "top_capacity", "fit_limit"} & set(found.sheet.figures)
    assert told(found) == []
    assert fit_weeks(found) is None


def test_the_users_figures_win(ten):
    given = run(ten)
    both = run(ten, (STAY_FIT, f'{STAY_FIT}fit_moisture = "80 %"\n'))
    for name in ("fit_share", "stay_fit", "chance_done"):
        np.testing.assert_array_equal(both.sheet[name], given.sheet[name])
    assert "fit_day_count" not in both.sheet.figures
    stay_left_out = run(ten, (STAY_FIT, 'fit_moisture = "80 %"\n'))
    # drawn anew, but of the same figure of the plan
    middles = [np.quantile(run_.sheet["fit_share"], (0.1, 0.5, 0.9)) for run_ in (stay_left_out, given)]
    np.testing.assert_allclose(*middles, atol=0.01)
    assert "the chance that the next one is fit as well worked out from springs.csv" in told(stay_left_out)[0]
    assert "the chance of a fit day" not in told(stay_left_out)[0]
    days_left_out = run(ten, (FIT_DAYS, 'fit_moisture = "70 %"\n'))
    middle = float(np.median(days_left_out.sheet["fit_share"]))
    assert float(np.median(days_left_out.sheet["stay_fit"])) == pytest.approx(0.70, abs=0.02)
    assert days_left_out.sheet["fit_stated"].tolist() == [middle]


def test_both_are_counted_and_feed_the_chance_of_being_done(ten):
    found = run(ten, *WORKED)
    sheet = found.sheet
    assert sheet["springs"].tolist() == [10]
    assert sheet["fit_all_days"].tolist() == [240]
    assert ((sheet["fit_day_count"] >= 0) & (sheet["fit_day_count"] <= 240)).all()
    np.testing.assert_allclose(sheet["fit_counted"], (sheet["fit_day_count"] + 0.5) / 241)
    assert float(np.median(sheet["fit_share"])) == pytest.approx(float(np.median(sheet["fit_counted"])), abs=0.02)
    assert (sheet["stay_fit"] >= sheet["fit_share"]).all()
    assert ((sheet["chance_done"] >= 0) & (sheet["chance_done"] <= 1)).all()
    note = told(found)[0]
    for words in ("10 springs", "24 days from 17.4.", "80 % of the field capacity", "2 mm of rain", "-2 °C"):
        assert words in note


def test_few_springs_leave_more_open_than_many(ten, tmp_path):
    write_springs(tmp_path, range(2012, 2014))
    wide = []
    for folder in (ten, tmp_path):
        low, high = np.quantile(run(folder, *WORKED).sheet["fit_share"], (0.1, 0.9))
        wide.append(high - low)
    assert wide[1] > 1.3 * wide[0]
    assert any("2 springs are few" in note for note in told(run(tmp_path, *WORKED)))


def test_a_count_by_hand_on_the_middle(ten):
    """The middle of every input, by the numbers of the sheet, day by day."""
    found = run(ten, *WORKED, draws=1)
    weather = springs(found.read)
    names = ("top_capacity", "top_evaporable", "top_readily", "top_layer", "top_cover", "fit_limit")
    capacity, total, readily, layer, cover, limit = (float(found.sheet[name][0]) for name in names)
    k = constants("soil_drying")
    days = pairs = befores = 0
    for et, rain, cold in zip(weather.et_mm, weather.rain_mm, weather.min_degc, strict=True):
        lacks, fit = 0.0, []
        for thirst, fallen, low in zip(et, rain, cold, strict=True):
            lacks = max(lacks - fallen, 0)
            state = min(1.0, (total - lacks) / (total - readily))
            take = (1 - k.cover_linear * cover) * state * (k.most_base - k.crop_initial) * thirst
            lacks += min(take, total - lacks)
            fit.append(capacity - lacks / (1000 * layer) < limit and fallen < 2 and low >= -2)
        inside = fit[weather.inside]
        days += sum(inside)
        befores += sum(inside[:-1])
        pairs += sum(a and b for a, b in pairwise(inside))
    assert [days, befores, pairs] == [
        found.sheet[name][0] for name in ("fit_day_count", "after_count", "fit_after_count")
    ]


def test_the_limit_may_be_a_share_of_the_plastic_limit(ten):
    of = (FIT_DAYS, 'fit_moisture = "90 %"\nfit_moisture_of = "plastic limit"\n')
    soil = ('slope = "1 %"', 'slope = "1 %"\nplastic_limit = "16 +/- 1 %"')
    found = run(ten, of, (STAY_FIT, ""), soil)
    np.testing.assert_allclose(
        found.sheet["fit_limit"], 0.9 * found.sheet["plastic_limit"] * found.sheet["fit_density"]
    )
    assert float(np.median(found.sheet["fit_limit"])) == pytest.approx(0.9 * 0.16 * 1.42, rel=0.01)
    np.testing.assert_array_equal(found.sheet["fit_density"], found.sheet["bulk_density"])


def test_a_looser_limit_gives_more_fit_days(ten):
    share = [
        float(np.median(run(ten, (FIT_DAYS, f'fit_moisture = "{limit} %"\n'), (STAY_FIT, "")).sheet["fit_counted"]))
        for limit in (70, 80, 90, 100)
    ]
    assert share == sorted(share)
    assert share[0] < share[-1]


def test_workings_of_the_new_figures_can_be_shown(ten):
    found = run(ten, *WORKED)
    for name in (
        "fit_day_count",
        "fit_counted",
        "fit_stay_counted",
        "fit_worth",
        "fit_share",
        "fit_persistence",
        "stay_fit",
    ):
        (line,) = lines_of(found, name, 0)
        assert line.source
        assert line.result
    (count,) = lines_of(found, "fit_day_count", 0)
    assert "drier than the limit" in count.formula
    cited = {citation.table for citation in found.sheet.citations()}
    assert {"soil_evaporation", "soil_drying", "fit_days"} <= cited


def test_same_plan_same_numbers(ten):
    first, again = run(ten, *WORKED), run(ten, *WORKED)
    for name in ("fit_share", "stay_fit", "chance_done"):
        np.testing.assert_array_equal(first.sheet[name], again.sheet[name])


def test_chunks_of_soils_make_no_difference(ten, monkeypatch):
    whole = run(ten, *WORKED).sheet["fit_day_count"]
    monkeypatch.setattr("spadework.estimate.water.fit_weather._AT_ONCE", 14)
    np.testing.assert_array_equal(run(ten, *WORKED).sheet["fit_day_count"], whole)


# Which springs count --------------------------------------------------------------------------------------------------


def test_years_with_gaps_are_left_out_and_named(tmp_path):
    lines = spring_lines(range(2010, 2015))
    kept = [line for line in lines if not line.startswith("2012-04-25")]
    at = next(i for i, line in enumerate(kept) if line.startswith("2013-04-30T12"))
    kept[at] = kept[at].rpartition(",")[0] + ","  # an hour without rain
    (tmp_path / "springs.csv").write_text("\n".join(kept) + "\n")
    found = run(tmp_path, (("start = 2013", "start = 2011")), *WORKED, draws=20)
    assert springs(found.read).years == (2010, 2011, 2014)
    assert any("years left out, as days or rain of the window are missing: 2012, 2013" in note for note in told(found))


def test_a_gap_before_the_window_starts_the_ground_afresh(tmp_path):
    lines = [line for line in spring_lines(range(2013, 2014)) if not line.startswith("2013-04-10")]
    (tmp_path / "springs.csv").write_text("\n".join(lines) + "\n")
    weather = springs(demo_on(tmp_path, *WORKED))
    assert weather.known[0, : weather.lead].sum() == 6
    assert weather.et_mm[0, : weather.lead - 6].sum() == 0
    assert any("up to 54 days late" in note for note in weather.notes)


def test_months_of_several_years_make_one_spring(tmp_path):
    lines = spring_lines(range(2012, 2014))
    head, *hours = lines
    kept = [h for h in hours if h.startswith(("2013-02", "2013-03", "2013-04", "2012-05", "2012-06"))]
    (tmp_path / "springs.csv").write_text("\n".join([head, *kept]) + "\n")
    weather = springs(demo_on(tmp_path, *WORKED))
    assert len(weather.years) == 1
    assert any("put together of days of several years" in note for note in weather.notes)
    assert any("one year only" in note for note in weather.notes)


def test_a_typical_year_is_one_spring(tmp_path):
    place = {key: int(row.entry("field").value) - 1 for key, row in load("weather_epw").items()}
    head = ["LOCATION,Alder Farm,-,-,-,-,45,8,1.0,250"] + ["DESIGN"] * 6 + ["DATA PERIODS,1,1"]
    for line in spring_lines(range(2010, 2011), first=(1, 1), last=(12, 31))[1:]:
        time, air, wind, moist, light, rain = line.split(",")
        cells = ["0"] * 35
        month, day, hour = int(time[5:7]), int(time[8:10]), int(time[11:13])
        for key, value in (
            ("month", month), ("day", day), ("hour", hour + 1), ("air_temperature", air), ("wind", wind),
            ("relative_humidity", moist), ("global_radiation", light), ("rain", rain),
        ):  # fmt: skip
            cells[place[key]] = str(value)
        head.append(",".join(cells))
    (tmp_path / "springs.csv").write_text("\n".join(head) + "\n")
    epw = ("hours = 10\n", 'hours = 10\nlayout = "epw"\n')
    found = run(tmp_path, epw, *WORKED, draws=100)
    assert springs(found.read).years == (2013,)
    assert any(
        "a typical year only: how springs differ from one another cannot be told" in note for note in told(found)
    )
    low, high = np.quantile(found.sheet["fit_share"], (0.1, 0.9))
    assert high - low > 0.15


def test_a_start_on_a_leap_day(tmp_path):
    write_springs(tmp_path, range(2015, 2018), first=(1, 10))
    text = ("start = 2013-04-17", "start = 2016-02-29")
    weather = springs(demo_on(tmp_path, text, *WORKED))
    assert weather.years == (2015, 2016, 2017)


# Week by week ---------------------------------------------------------------------------------------------------------


def test_weeks_hold_the_window_and_four_weeks_about_it(ten):
    found = fit_weeks(run(ten, *WORKED))
    assert found is not None
    assert (found.weeks[0].first - found.first).days == -28
    assert (found.weeks[-1].first - found.first).days >= 42
    for week in found.weeks:
        assert 0 < week.chance.low < week.chance.mid < week.chance.high < 1
        assert week.springs == 10
        assert week.sure_days is not None
        assert 0 <= week.sure_days <= 7 * week.chance.high + 1
    assert found.longest.shape == (10,)
    assert found.longest.max() <= 24


def test_with_few_springs_no_week_is_sure(tmp_path):
    write_springs(tmp_path, range(2012, 2015))
    found = fit_weeks(run(tmp_path, *WORKED, draws=40))
    assert found is not None
    assert all(week.sure_days is None for week in found.weeks)


def test_weeks_agree_with_the_count_of_the_sheet(ten):
    found = run(ten, *WORKED, draws=2_000)
    weeks = fit_weeks(found)
    assert weeks is not None
    inside = [w.chance.mid for w in weeks.weeks if 0 <= (w.first - weeks.first).days < 21]
    assert np.mean(inside) == pytest.approx(float(np.median(found.sheet["fit_counted"])), abs=0.06)


# What cannot be -------------------------------------------------------------------------------------------------------

PLANS = (
    Faulty("neither given", FIT_DAYS, "", "[farm]", "farm, fit_days", ('fit_days = "55 %"', 'fit_moisture = "80 %"')),
    Faulty(
        "a share of nothing", STAY_FIT, f'{STAY_FIT}fit_moisture_of = "plastic limit"\n', "fit_moisture_of",
        "farm, fit_moisture_of", ("leave both out",),
    ),
    Faulty(
        "no plastic limit", STAY_FIT, 'fit_moisture = "90 %"\nfit_moisture_of = "plastic limit"\n', "[field]",
        "field, plastic_limit", ('plastic_limit = "21 %"',), alone=False,
    ),
    Faulty(
        "no latitude", STAY_FIT, 'fit_moisture = "80 %"\n', "[weather]", "weather, latitude", ("latitude = 52.3",),
        more=(("latitude = 45.0 ", "# "),),
    ),
    Faulty(
        "no rain", FIT_DAYS, 'fit_moisture = "80 %"\n', "fit_moisture", "farm, fit_moisture",
        ("no rain in weather.csv", "[weather.rain]"),
    ),
    Faulty("beyond the pole", "latitude = 45.0 ", "latitude = 80.0 ", "latitude", "weather, latitude", ("66",)),
    Faulty("a soil that is all water", 'slope = "1 %"', 'slope = "1 %"\nplastic_limit = "90 %"', "plastic_limit",
           "field, plastic_limit", ("5 % to 80 %",)),
    Faulty("a limit of nothing", STAY_FIT, 'fit_moisture = "3 %"\n', "fit_moisture", "farm, fit_moisture", ("30 % to 150 %",)),
)  # fmt: skip


@pytest.mark.parametrize("faulty", PLANS, ids=lambda faulty: faulty.name)
def test_fault_is_told_where_it_stands(faulty: Faulty) -> None:
    with pytest.raises(PlanFaults) as caught:
        estimate(read_text(faulty.text, "plan.toml", DEMO_FOLDER), draws=20)
    fitting = [f for f in caught.value.faults if f.line == faulty.line and faulty.key in f.key]
    assert fitting, str(caught.value)
    assert any(all(word in fault.what for word in faulty.words) for fault in fitting), str(caught.value)
    if faulty.alone:
        assert len(caught.value.faults) == 1, str(caught.value)


def test_a_typical_hour_gives_no_fit_days():
    start = "start = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10\n"
    text = DEMO.replace('file = "weather.csv"\n', 'air_temperature = "12 degC"\nwind = "3 m/s"\n').replace(start, "")
    text = text.replace(FIT_DAYS, 'fit_moisture = "80 %"\n')
    with pytest.raises(PlanFaults, match="worked out from hours of weather"):
        read_text(text, "plan.toml", DEMO_FOLDER)


def test_hardly_a_fit_day_is_a_fault(ten):
    of = (FIT_DAYS, 'fit_moisture = "30 %"\nfit_moisture_of = "plastic limit"\n')
    with pytest.raises(PlanFaults, match="hardly a day is fit below 30 % of the plastic limit") as caught:
        run(ten, of, (STAY_FIT, ""), ('slope = "1 %"', 'slope = "1 %"\nplastic_limit = "10 %"'))
    (fault,) = caught.value.faults
    assert fault.key == "farm, fit_moisture"


def test_a_stay_below_what_the_weather_gives_is_a_fault(ten):
    with pytest.raises(PlanFaults, match="fit days come in rows") as caught:
        run(ten, (FIT_DAYS, 'fit_moisture = "100 %"\n'), (STAY_FIT, 'stay_fit = "20 %"\n'))
    (fault,) = caught.value.faults
    assert fault.key == "farm, stay_fit"


def test_no_whole_window_is_a_fault(tmp_path):
    (tmp_path / "springs.csv").write_text("\n".join(spring_lines(range(2013, 2014), last=(5, 1))) + "\n")
    with pytest.raises(PlanFaults, match=r"no year with every day of the 24 days from 17\.4\."):
        run(tmp_path, *WORKED)
