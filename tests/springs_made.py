"""Invented weather of some springs by the hour, and the demo plan on it: for tests of drying and of fit days."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files
from pathlib import Path

import numpy as np

from spadework.plan import Read, read_text

__all__ = ["FIT_DAYS", "STAY_FIT", "demo_on", "spring_lines", "write_springs"]

DEMO = (files("spadework.demo") / "plan.toml").read_text("utf-8")
FIT_DAYS = 'fit_days = "55 +/- 10 %"\n'
STAY_FIT = 'stay_fit = "70 %"\n'
HEAD = "time,air_temperature_degc,wind_m_s,relative_humidity_pct,global_radiation_w_m2"


def spring_lines(
    years: range,
    *,
    first: tuple[int, int] = (2, 1),
    last: tuple[int, int] = (6, 20),
    rain: float | None = 5.0,
    seed: int = 5,
) -> list[str]:
    """Return hours of invented springs, wet spells of some days; `rain` is the mean of a wet day, None leaves it out."""
    random = np.random.default_rng(seed)
    out = [HEAD + (",rain_mm" if rain is not None else "")]
    for year in years:
        day, wet = dt.date(year, *first), False
        while day <= dt.date(year, *last):
            wet = bool(random.random() < (0.6 if wet else 0.25))
            fallen = random.exponential(rain or 0) if wet else 0.0
            season = np.sin((day.timetuple().tm_yday - 30) / 365 * np.pi)
            for hour in range(24):
                wave = np.sin((hour - 9) / 24 * 2 * np.pi)
                air = 2 + 16 * season + (2 if wet else 5) * wave
                light = max(0.0, np.sin((hour - 5.5) / 13 * np.pi)) * (250 if wet else 650) if 5 < hour < 19 else 0.0
                moist = min(100.0, (90 if wet else 70) - (10 if wet else 25) * wave)
                line = f"{day}T{hour:02d}:00+02:00,{air:.1f},{2 + random.random():.1f},{moist:.0f},{light:.0f}"
                out.append(line + ("" if rain is None else f",{fallen if hour == 7 else 0:.1f}"))
            day += dt.timedelta(days=1)
    return out


def write_springs(folder: Path, years: range = range(2008, 2018), **how: object) -> None:
    """Write `springs.csv` into a folder."""
    (folder / "springs.csv").write_text("\n".join(spring_lines(years, **how)) + "\n", "utf-8")  # type: ignore[arg-type]


def demo_on(folder: Path, *changes: tuple[str, str]) -> Read:
    """Return the demo plan on the weather in a folder, after some changes of its text."""
    text = DEMO.replace('file = "weather.csv"', 'file = "springs.csv"')
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_text(text, "plan.toml", folder)
