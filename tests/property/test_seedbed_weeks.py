"""What must hold of warmth and stands whatever the inputs."""

from __future__ import annotations

import datetime as dt
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.estimate import Estimate, estimate
from spadework.estimate.seedbed.answers import figures_of
from spadework.estimate.seedbed.emergence import _at, _mixed
from spadework.estimate.seedbed.follow import follow_warmth
from spadework.findings.stand import find_stand
from spadework.plan import read_text
from spadework.records.files.stand_counts import StandCount

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
SPARSE = settings(max_examples=6)


@cache
def with_cover(cover: int, strip: int = 25) -> Estimate:
    text = DEMO.replace('residue_cover = "70 +/- 8 %"', f'residue_cover = "{cover} %"')
    text = text.replace('strip_width = "25 cm"', f'strip_width = "{strip} cm"')
    return estimate(read_text(text, "plan.toml", FOLDER), draws=6)


@SPARSE
@given(st.integers(0, 40), st.integers(60, 95))
def test_more_cover_between_makes_a_narrower_day_there(low: int, high: int) -> None:
    ranges = []
    for cover in (low, high):
        warmth = follow_warmth(with_cover(cover), days=7, draws=6, systems=(2,), step_h=3)
        degc = warmth.at_seed(2, "between").reshape(6, 7, 8)
        ranges.append((degc.max(axis=2) - degc.min(axis=2)).mean(axis=1))
    assert (ranges[1] < ranges[0]).all()


@SPARSE
@given(st.integers(10, 20), st.integers(30, 45))
def test_a_wider_strip_is_nearer_to_a_whole_field_of_it(narrow: int, wide: int) -> None:
    gains = []
    for width in (narrow, wide):
        warmth = follow_warmth(with_cover(80, width), days=7, draws=6, systems=(2,), step_h=3)
        alone = warmth.run.course.degc[0, :, 1:, warmth.seed_at]
        gains.append(np.abs(warmth.at_seed(2) - alone).mean())
    assert gains[1] < gains[0]


@settings(max_examples=4)
@given(st.integers(0, 40))
def test_everything_is_finite_and_ordered_from_any_start(shift: int) -> None:
    start = dt.date(2013, 4, 1) + dt.timedelta(days=shift)
    warmth = follow_warmth(with_cover(70), days=7, draws=4, start=start)
    for one in warmth.systems:
        for zone in one.zones:
            assert np.isfinite(zone.degc).all()
            assert (figures_of(warmth, one.system, zone.name).range_k > 0).all()
            assert zone.degc.min() > warmth.air_degc.min() - 12
            assert zone.degc.max() < warmth.air_degc.max() + 30


@given(st.lists(st.floats(0, 60), min_size=3, max_size=3), st.floats(0.1, 20), st.floats(0.05, 0.95))
def test_mixture_lies_between_its_parts(starts: list[float], wide: float, share: float) -> None:
    slices = np.stack([np.linspace(a, a + wide, 10)[:, np.newaxis] for a in starts])
    days, cum = _mixed(slices, np.array([1 / 6, 2 / 3, 1 / 6]))
    found = _at(days, cum, share)[0]
    assert slices.min() - 1e-9 <= found <= slices.max() + 1e-9
    assert (np.diff(cum[:, 0]) > 0).all()


PLANTS = st.lists(st.lists(st.integers(20, 120), min_size=4, max_size=4), min_size=2, max_size=5)


@given(PLANTS, st.floats(0.3, 1.0), st.floats(2, 50))
def test_stands_know_no_units_of_length(blocks: list[list[int]], spacing: float, length: float) -> None:
    def counts(of: float) -> list[StandCount]:
        return [
            StandCount(str(b), "", u + 1, plants, of) for b, line in enumerate(blocks) for u, plants in enumerate(line)
        ]

    one, other = find_stand(counts(length), spacing), find_stand(counts(2 * length), spacing)
    for a, b in zip(one.units, other.units, strict=True):
        np.testing.assert_allclose((a.ratio, a.low, a.high), (b.ratio, b.low, b.high), rtol=1e-9)
        np.testing.assert_allclose(a.stand.per_ha, 2 * b.stand.per_ha, rtol=1e-9)
        assert a.stand.low < a.stand.per_ha < a.stand.high
    assert sum(unit.stand.plants for unit in one.units) == one.all.plants
