"""The user's limits: told with the figure where exceeded, and never a clearance."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files
from pathlib import Path

import pytest

from plans.faulty import DEMO
from spadework.estimate import Estimate, estimate
from spadework.estimate.limits import Held, held_limits
from spadework.plan import read_text

FOLDER = Path(str(files("spadework.demo")))
FIRST = '[[limit]]\nof = "total N'


def run(lines: str, *changes: tuple[str, str]) -> Estimate:
    text = DEMO.replace(FIRST, f'[[limit]]\n{lines}\nsource = "my note"\ndate = 2026-01-15\n\n{FIRST}', 1)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=20)


def first(found: Estimate) -> Held:
    return held_limits(found.plan, found.sheet)[0]


@pytest.mark.parametrize(
    ("lines", "exceeded", "words"),
    [
        ('of = "P balance"\nat_most = "1 kg P2O5/ha"', True, "P balance: "),
        ('of = "P balance"\nat_most = "60 kg P2O5/ha"', False, ""),
        ('of = "phosphate from slurry"\nat_most = "15 kg P/ha"', True, "more than the 15 kg P/ha of your limit"),
        ('of = "phosphate from slurry"\nat_most = "25 kg P/ha"', False, ""),
        ('of = "slope"\nat_most = "0.5 %"', True, "slope 1 % is more than the 0.5 % of your limit"),
        ('of = "slope"\nat_most = "5 %"', False, ""),
        ('of = "closed period"\nbegins = 2025-04-10\nends = 2025-04-20', True, "spreading on 17 Apr falls into"),
        ('of = "closed period"\nbegins = 2025-10-01\nends = 2026-04-17', True, "from 1 Oct to 17 Apr"),
        ('of = "closed period"\nbegins = 2025-10-01\nends = 2026-04-16', False, ""),
        ('of = "closed period"\nbegins = 2025-04-18\nends = 2026-01-31', False, ""),
    ],
)
def test_what_exceeds_a_limit_is_told(lines: str, exceeded: bool, words: str) -> None:
    found = run(lines)
    held = first(found)
    assert held.exceeded is exceeded
    notes = [note for note in found.notes if "my note, 2026-01-15; check locally" in note]
    assert len(notes) == exceeded
    assert all(words in note for note in notes)


def test_the_well_is_another_distance_than_the_water() -> None:
    found = run(
        'of = "distance to well"\nat_least = "50 m"',
        ('water_distance = "60 m"', 'water_distance = "60 m"\nwell_distance = "40 m"'),
    )
    assert first(found).exceeded
    assert any("distance to well 40 m is less than the 50 m" in note for note in found.notes)


def test_a_period_without_a_day_is_said_and_not_passed_over() -> None:
    typical = ('file = "weather.csv"\n', 'air_temperature = "12 degC"\nwind = "3 m/s"\n')
    start = DEMO[DEMO.index("start = 2013") : DEMO.index("hours = 10\n")]
    lines = 'of = "closed period"\nbegins = 2025-10-01\nends = 2026-01-31'
    found = run(lines, typical, (start, ""), ("hours = 10\n", ""))
    assert not first(found).exceeded
    assert any("no day of spreading" in note for note in found.notes)


def test_hours_that_run_into_a_period_are_in_it() -> None:
    found = run('of = "closed period"\nbegins = 2025-04-18\nends = 2025-05-01', ("hours = 10\n", "hours = 30\n"))
    held = first(found)
    assert held.exceeded
    assert "17 Apr to 18 Apr" in held.ours
    assert found.plan.weather.start is not None
    assert found.plan.weather.start.date() == dt.date(2013, 4, 17)
