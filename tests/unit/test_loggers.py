"""Loggers in the soil: reading, fitting, and what takes the place of the model.  Farm and readings are invented."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.seedbed.follow import follow_warmth
from spadework.estimate.seedbed.logger_fit import ZoneFit, fit_loggers, fit_of, transfer_draws, zone_words
from spadework.plan import PlanFaults, read_text
from spadework.plan.weather.day_hours import day_hours
from spadework.records.files.loggers import read_loggers
from spadework.science.seedbed.heat.surface_transfer import TransferFit

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
HEAD = "time;zone;depth_cm;temperature_degc"
SHIFT, RATIO, DAMPING = 3.0, 1.5, 11.0
FIRST = dt.date(2013, 4, 3)


@pytest.fixture(scope="module")
def known() -> Estimate:
    return estimate(read_text(DEMO, "plan.toml", FOLDER), draws=20)


def fitted(known: Estimate, *paths: Path) -> tuple[ZoneFit, ...]:
    return fit_loggers(known, read_loggers(paths, zone_words(known)), paths[0].name)


def wave(at_cm: float, days: int = 14, shift: float = SHIFT, ratio: float = RATIO) -> np.ndarray:
    """Soil that follows an air of one wave a day: the exact solution for a half space."""
    hour = np.arange(24 * days)
    fade = at_cm / DAMPING
    return 12 + shift + ratio * 5 * np.exp(-fade) * np.cos(2 * np.pi * (hour - 15) / 24 - fade)


def lines_of(zone: str, depth: float | str, values: np.ndarray, first: dt.date = FIRST) -> list[str]:
    start = dt.datetime.combine(first, dt.time())
    times = (start + dt.timedelta(hours=hour) for hour in range(len(values)))
    return [f"{time:%Y-%m-%d %H:%M};{zone};{depth};{value:.3f}" for time, value in zip(times, values, strict=True)]


def written(folder: Path, *blocks: list[str], name: str = "loggers.csv") -> Path:
    path = folder / name
    path.write_text("\n".join([HEAD, *(line for block in blocks for line in block)]) + "\n", "utf-8")
    return path


def air(days: int = 14) -> list[str]:
    hour = np.arange(24 * days)
    return lines_of("air", "", 12 + 5 * np.cos(2 * np.pi * (hour - 15) / 24))


def test_zones_of_the_plan(known: Estimate) -> None:
    assert zone_words(known) == ("plough", "cultivator", "strip", "between", "injector")


def test_a_wave_that_is_known_is_found_again(known: Estimate, tmp_path: Path) -> None:
    path = written(tmp_path, air(), lines_of("Strip", 5, wave(5)), lines_of("strip", 10, wave(10)))
    (found,) = fitted(known, path)
    assert (found.zone, found.depth_cm, found.fit.days) == ("strip", (5, 10), 12)
    assert found.fit.shift_k == pytest.approx(SHIFT, abs=0.01)
    assert found.fit.swing_ratio == pytest.approx(RATIO, rel=0.005)
    assert found.fit.damping_cm == pytest.approx(DAMPING, rel=0.005)
    assert found.air_from == "a logger in the air"
    assert fit_of([found], "strip", "strip") is found
    assert fit_of([found], "plough", "whole") is None


def test_air_of_the_plan_serves_and_files_go_on(known: Estimate, tmp_path: Path) -> None:
    hourly = day_hours(known.read).air_degc
    dates = list(day_hours(known.read).dates)
    start = dates.index(FIRST)
    measured = hourly[start : start + 14].ravel()
    swing = measured - 12
    one = written(tmp_path, lines_of("plough", 5, 14 + 0.9 * swing), name="a.csv")
    two = written(tmp_path, lines_of("plough", 10, 14 + 0.6 * swing), name="b.csv")
    (found,) = fitted(known, one, two)
    assert found.zone == "plough"
    assert found.air_from == "air of weather.csv"
    assert found.fit.damping_cm == pytest.approx(5 / np.log(1.5), rel=0.01)


def test_loggers_take_the_place_of_the_model(known: Estimate, tmp_path: Path) -> None:
    path = written(tmp_path, air(), lines_of("plough", 5, wave(5)), lines_of("plough", 10, wave(10)))
    fits = fitted(known, path)
    with_them = follow_warmth(known, days=14, draws=20, fits=fits)
    without = follow_warmth(known, days=14, draws=20)
    assert [one.seed_zone.came_from for one in with_them.systems] == ["loggers", "weather", "weather", "weather"]
    # the mean at the seed is that of the air and the shift, but for what the soil lags behind
    mean = with_them.at_seed(0).mean()
    assert abs(mean - with_them.air_degc.mean() - SHIFT) < 0.7
    np.testing.assert_array_equal(with_them.at_seed(1), without.at_seed(1))
    assert any("loggers, plough: 12 days" in note for note in with_them.notes)
    assert any("zones without loggers stay with the model" in note for note in with_them.notes)


def test_draws_stay_within_their_errors() -> None:
    fit = TransferFit(2.0, 0.3, 1.2, 0.1, 0.5, 0.2, 11.0, 0.4, 12)
    shift, ratio, lag, damping = transfer_draws(fit, 1, 400)
    for values, middle, error in ((shift, 2, 0.3), (ratio, 1.2, 0.1), (lag, 0.5, 0.2), (damping, 11, 0.4)):
        assert values.mean() == pytest.approx(middle, abs=0.02 * error + 1e-3)
        assert values.std() == pytest.approx(error, rel=0.05)
        assert np.abs(values - middle).max() <= 3 * error + 1e-9
    assert transfer_draws(fit, 1, 1)[0].tolist() == [2.0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda lines: [line.replace("2013-04-03 00:00", "yesterday") for line in lines], "is no date with a time"),
        (
            lambda lines: [line.replace("2013-04-03 00:00", "2013-04-03 00:00+02:00") for line in lines],
            "carries a zone",
        ),
        (lambda lines: [line.replace(";strip;", ";stripe;") for line in lines], "is no zone of this plan"),
        (lambda lines: [line.replace(";strip;5;", ";strip;;") for line in lines], "needs its depth"),
        (lambda lines: [line for line in lines if ";strip;10;" not in line], "two depths are needed"),
        (
            lambda lines: [x for x in lines if ";strip;" not in x],
            "no logger in the soil",
        ),
        (lambda lines: [x for x in lines if "2013-04-09" not in x], "whole days in a row"),
        (lambda lines: [x.replace(";strip;5;", ";strip;11;") for x in lines], "cannot be"),
    ],
)
def test_faults_of_loggers(known: Estimate, tmp_path: Path, change: object, said: str) -> None:
    lines = [*air(), *lines_of("strip", 5, wave(5)), *lines_of("strip", 10, wave(10))]
    path = written(tmp_path, change(lines))  # type: ignore[operator]
    with pytest.raises(PlanFaults) as stopped:
        fitted(known, path)
    assert said in " ".join(fault.what for fault in stopped.value.faults)


def test_several_readings_of_an_hour_are_averaged(tmp_path: Path) -> None:
    lines = [f"2013-04-03 {hour:02}:{minute:02};air;;{hour + minute / 15}" for hour in range(24) for minute in (0, 30)]
    lines += ["2013-04-04 00:00;air;;5"]
    (found,) = read_loggers([written(tmp_path, lines)], ["strip"])
    assert list(found.days) == [dt.date(2013, 4, 3)]
    np.testing.assert_allclose(found.days[dt.date(2013, 4, 3)], np.arange(24) + 1)


def test_everything_that_is_wrong_with_a_line_is_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "slips.csv"
    path.write_text("time,zone,depth_cm,temperature_degc\n2013-04-20 25:00,strp,,900\n2013-04-20,strip,5,12\n", "utf-8")
    with pytest.raises(PlanFaults) as stopped:
        read_loggers([path], ("strip", "between"))
    said = [str(fault) for fault in stopped.value.faults]
    for place, words in (
        ("line 2, column temperature_degc", "900 cannot be"), ("line 2, column time", "no date with a time"),
        ("line 2, column zone", 'did you mean "strip"'), ("line 3, column time", "has no time of day"),
    ):  # fmt: skip
        assert any(place in one and words in one for one in said), place


def test_long_files_are_read_and_many_faults_are_counted(tmp_path: Path) -> None:
    begin = dt.datetime(2013, 4, 1)
    rows = [
        f"{begin + dt.timedelta(minutes=30 * n):%Y-%m-%d %H:%M};strip;5;{10 + n % 48 / 10:.1f}" for n in range(4000)
    ]
    path = tmp_path / "long.csv"
    path.write_text("\n".join(["time;zone;depth_cm;temperature_degc", *rows]) + "\n", "utf-8")
    found = read_loggers([path], ("strip",))
    assert len(found[0].days) == 4000 // 48
    path.write_text("\n".join(["time;zone;depth_cm;temperature_degc", *rows]).replace("strip", "strap") + "\n", "utf-8")
    with pytest.raises(PlanFaults) as stopped:
        read_loggers([path], ("strip",))
    assert len(stopped.value.faults) == 12
    assert "and 3988 more faults in this file" in str(stopped.value.faults[-1])
