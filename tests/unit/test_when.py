"""Start hours of a window: loss, money, ranking, and what choosing is worth.  Farm and figures are invented."""

from __future__ import annotations

import csv
import datetime as dt
import io
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.chain import Chain
from spadework.estimate.slurry.courses import air_of, field_course, job_of, kept, weather_ahead
from spadework.estimate.slurry.when import When, start_hours, usual_window
from spadework.plan import PlanFaults, read_text
from spadework.present.machines.when_table import machine_words, when_csv, when_text, worths

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
FILE = 'file = "weather.csv"\nstart = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10'
TYPICAL = 'air_temperature = "14 degC"\nwind = "3 m/s"'
ZONE = dt.timezone(dt.timedelta(hours=2))
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)


def made(changes: dict[str, str] | None = None, draws: int = 40) -> Estimate:
    text = DEMO
    for old, new in (changes or {}).items():
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


def at(day: int, hour: int = 0) -> dt.datetime:
    return dt.datetime(2013, 4, day, hour, tzinfo=ZONE)


@pytest.fixture(scope="module")
def known() -> Estimate:
    return made()


@pytest.fixture(scope="module")
def when(known: Estimate) -> When:
    return start_hours(known, at(14), at(18, 23), 2)


def test_shapes_and_limits(when: When) -> None:
    assert when.systems == (PLOUGH, CULTIVATOR, STRIP, INJECTOR)
    assert when.loss_share.shape == when.lost_n.shape == when.money.shape == (4, 40, 60)
    assert ((when.loss_share > 0) & (when.loss_share < 1)).all()
    assert (when.money >= 0).all()
    assert (when.course_h, when.draws, when.model) == (168, 40, "two pools")
    assert when.local[0] == at(14)
    assert np.diff(when.starts).tolist() == [dt.timedelta(hours=2)] * 59


def test_kilograms_are_the_share_of_what_is_spread(known: Estimate, when: When) -> None:
    tan = known.values("ammoniacal_n_spread", PLOUGH)
    np.testing.assert_allclose(when.lost_n, when.loss_share * tan[:, None], rtol=1e-12)


def test_money_is_lost_nitrogen_up_to_the_need() -> None:
    """Where all is needed, money is N lost times its price; where nothing more is needed, it is nought."""
    plenty = made({'n_need = "150 kg N/ha"': 'n_need = "400 kg N/ha"'})
    found = start_hours(plenty, at(14), at(14, 12), 6)
    price = plenty.values("n_price", PLOUGH)[:, None]
    kept_share = plenty.values("a_min_share", PLOUGH)[:, None]
    np.testing.assert_allclose(found.money, kept_share * found.lost_n * price, rtol=1e-9)
    none = start_hours(made({'n_need = "150 kg N/ha"': 'n_need = "0 kg N/ha"'}), at(14), at(14, 12), 6)
    assert (none.money == 0).all()


def test_a_start_is_the_course_from_that_hour(known: Estimate) -> None:
    """With a field so small that it is spread within the hour, the start of the plan loses what its course says."""
    small = made({'area = "9.6 ha"': 'area = "0.3 ha"', 'length = "340 m"': 'length = "120 m"'})
    found = start_hours(small, at(17, 9), at(17, 9))
    series, begin = weather_ahead(small)
    for row, system in enumerate(found.systems):
        job = job_of(small, Chain(small.read), system, kept(40, 100), 3)
        assert set(job.places.shift_h) == {0}
        course = field_course("two pools", air_of(series, begin, 168), job)
        assert course is not None
        np.testing.assert_allclose(found.loss_share[row][:, 0], course[:, -1], rtol=1e-9)


def test_pieces_of_the_window_do_not_matter(known: Estimate) -> None:
    """The saturation model goes through starts in pieces; a window longer than one gives what its halves give."""
    whole = start_hours(known, at(10), at(12, 23), 1, model="saturation")
    part = start_hours(known, at(12), at(12, 23), 1, model="saturation")
    assert whole.systems == (PLOUGH, CULTIVATOR, INJECTOR)
    assert whole.loss_share.shape[-1] == 72
    np.testing.assert_allclose(whole.loss_share[..., 48:], part.loss_share, rtol=1e-12)
    assert any("without strip" in note for note in whole.notes)


def test_only_working_hours_are_ranked(when: When) -> None:
    hours = {when.local[best.start].hour for best in when.ranked(0)}
    assert hours == set(range(6, 21, 2))
    assert len(when.ranked(0)) == int(when.allowed.sum())
    losses = [best.lost_n for best in when.ranked(0)]
    assert losses == sorted(losses)


def test_best_hours_one_a_day(when: When) -> None:
    best = when.best_of_days(0)
    assert len({when.local[one.start].date() for one in best}) == 3
    assert best[0] == when.ranked(0)[0]


def test_best_tenth_mean_worst_tenth(when: When) -> None:
    for row in range(4):
        mean, best, worst = (values.mean() for values in when.by_hour(when.lost_n, row))
        assert best < mean < worst
    assert when.systems[when.least()] == STRIP


def test_afternoons_of_slurry_left_lying_lose_more_than_nights(when: When) -> None:
    middle = np.median(when.lost_n[PLOUGH], axis=0)
    hour = np.array([time.hour for time in when.local])
    assert middle[(hour >= 10) & (hour <= 14)].mean() > 1.5 * middle[(hour >= 22) | (hour <= 2)].mean()


def test_same_seed_same_numbers(known: Estimate, when: When) -> None:
    again = start_hours(made(), at(14), at(18, 23), 2)
    np.testing.assert_array_equal(again.lost_n, when.lost_n)
    thinned = start_hours(made(draws=300), at(14), at(14, 6), 6)
    assert thinned.draws == 100
    assert any("100 of the 300 draws" in note for note in thinned.notes)
    many = start_hours(made(draws=50), at(2), at(20, 23), 1)
    assert (len(many.local), many.draws) == (456, 40)


def test_the_usual_window(known: Estimate) -> None:
    first, last = usual_window(known) or (None, None)
    assert first == at(10)
    assert last is not None
    assert at(22) < last < at(24)
    assert usual_window(made({FILE: TYPICAL})) is None
    assert usual_window(made({"2013-04-17T09": "2013-04-29T09"})) is None


def test_a_window_late_in_the_file_counts_a_shorter_course(known: Estimate) -> None:
    found = start_hours(known, at(26), at(26, 12), 6)
    assert 72 <= found.course_h < 168
    assert any(f"counted for {found.course_h} h" in note for note in found.notes)


@pytest.mark.parametrize(
    ("first", "last", "step", "words"),
    [
        (at(18), at(14), 3, "ends before it begins"),
        (dt.datetime(2012, 4, 1, tzinfo=ZONE), at(14), 3, "outside the weather without a break"),
        (at(14), dt.datetime(2014, 4, 1, tzinfo=ZONE), 3, "outside the weather without a break"),
        (at(14), at(30), 3, "72 h of it must follow"),
        (at(14), at(18), 0, "no step"),
        (at(14), at(18), 25, "no step"),
        (at(14, 1), at(14, 4), 1, "lies between 6 and 20 h"),
    ],
)
def test_windows_that_cannot_be(known: Estimate, first: dt.datetime, last: dt.datetime, step: int, words: str) -> None:
    with pytest.raises(PlanFaults, match=words):
        start_hours(known, first, last, step)


def test_a_typical_hour_tells_no_hours_apart() -> None:
    with pytest.raises(PlanFaults, match="one typical hour"):
        start_hours(made({FILE: TYPICAL}), at(14), at(18))


def test_what_choosing_is_worth(known: Estimate, when: When) -> None:
    found = worths(known, when)
    assert [w.system for w in found] == ["plough", "cultivator", "strip", "injector"]
    for worth in found:
        assert worth.hour_n.mid > 0
        assert (worth.machine_n is None) == (worth.system == "strip")
    said = machine_words(known, when)
    assert "no other system loses less" in said[STRIP]
    assert all("going over to strip" in said[s] for s in (PLOUGH, CULTIVATOR, INJECTOR))


def test_text_and_lines(known: Estimate, when: When) -> None:
    text = when_text(known, when)
    assert all(len(line) <= 100 and line == line.rstrip() for line in text.splitlines())
    assert text.isascii()
    plain = " ".join(text.split())
    for words in (
        "no forecast unless the weather file is one",
        "Check locally",
        "[memory]",
        "INVENTED",
        "80 % of draws",
    ):
        assert words in plain
    rows = list(csv.DictReader(io.StringIO(when_csv(known, when))))
    assert len(rows) == 4 * 60
    assert rows[0]["start"] == "2013-04-14T00:00:00+02:00"
    assert {row["ranked"] for row in rows} == {"yes", "no"}
    assert float(rows[0]["lost_n_kg_ha_mid"]) == pytest.approx(float(np.median(when.lost_n[0][:, 0])), rel=1e-3)


def test_a_name_that_a_spreadsheet_would_reckon_with(known: Estimate) -> None:
    odd = made({'name = "injector"': 'name = "=1+1"'})
    assert "'=1+1," in when_csv(odd, start_hours(odd, at(14), at(14, 12), 6))
