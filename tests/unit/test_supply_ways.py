"""Ways of bringing slurry held against the estimate, by hand, and against days gone through event by event."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, Spread, estimate
from spadework.estimate.chain import Chain
from spadework.estimate.supply.laid import Option
from spadework.estimate.supply.ways import Ways, crossings, feeders_table, supply_day, usual_distances, ways_at
from spadework.plan import read_text
from spadework.ranges import ImpossibleValue
from spadework.science.machinery import simulate

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PLOUGH, STRIP = 0, 2
SELF, FEEDERS, HOSE = "tanker fetching it itself", "two feeders", "hose line"
BY_OTHERS = (
    ('  supply = "two feeders"\n', ""),
    ('filling = "5 m3/min"', 'refill = "6 min"'),
    ("stirring =", 'delivery = "1.6 EUR/m3"\nstirring ='),
)
ALONE = (('  supply = "two feeders"\n', ""),)
FIRST = '[[contractor]]\nname = "ploughing, asked"'
BOX = f"""[[supply]]
name = "box"
way = "field container"
vehicles = 2
tractor = "tractor 160"
machine = "feeder tanker, 24 m3"
container = "60 m3"
rate = "12 EUR/h"

{FIRST}"""
CONTAINER = ((FIRST, BOX), ('supply = "two feeders"', 'supply = "box"'))
BY_HOSE = (
    ('machines = ["tanker, 16 m3", "strip tiller, 8 rows"]', 'machines = ["strip tiller, 8 rows"]'),
    ('supply = "two feeders"\n  contractor = "strips', 'supply = "hose line"\n  contractor = "strips'),
)


@cache
def found(*changes: tuple[str, str], draws: int = 400) -> Estimate:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


@cache
def over(system: int) -> Ways:
    return ways_at(found(), system, usual_distances(found()))


def row(ways: Ways, label: str) -> int:
    return [option.label for option in ways.options].index(label)


@pytest.mark.parametrize("changes", [(), ALONE, BY_OTHERS, CONTAINER, BY_HOSE])
def test_the_way_of_the_plan_costs_what_the_estimate_says_draw_by_draw(changes: tuple[tuple[str, str], ...]) -> None:
    known = found(*changes)
    ways = ways_at(known, STRIP, [1.8])
    own = [option.planned for option in ways.options].index(True)
    step = Chain(known.read).placing_step(STRIP)
    whole = (known.sheet["pass_full"][step] + known.values("placing_supply_cost", STRIP)) / known.values("dose", STRIP)
    np.testing.assert_allclose(ways.cost_eur_m3[own, 0], whole[::2], rtol=1e-12)
    np.testing.assert_allclose(ways.rate_ha_h[own, 0], known.sheet["pass_rate"][step][::2], rtol=1e-12)


def test_the_tanker_that_fetches_it_itself_by_hand() -> None:
    # Middles: 30 t/ha / 1.02 = 29.412 m3/ha; 0.9 x 16 = 14.4 m3; 14.4/5 + 2 = 4.88 min at the store;
    # 60 x 1.8/25 + 60 x 1.8/35 = 7.406 min on the road; 2 min to find the place: 14.286 min a load, 2.0425 loads/ha.
    known = found(draws=1)
    ways = ways_at(known, PLOUGH, [1.8])
    spreading = float(known.values("placing_spread_time", PLOUGH)[0])
    time = spreading + 30 / 1.02 / 14.4 * (14.4 / 5 + 2 + 60 * 1.8 / 25 + 60 * 1.8 / 35 + 2) / 60
    assert float(ways.rate_ha_h[row(ways, SELF), 0, 0]) == pytest.approx(1 / time, rel=1e-9)


@pytest.mark.parametrize("system", [PLOUGH, STRIP])
def test_what_runs_on_the_road_costs_more_and_does_less_the_farther(system: int) -> None:
    ways = over(system)
    for label in (SELF, FEEDERS):
        assert (np.diff(ways.cost_eur_m3[row(ways, label)], axis=0) > 0).all(), label
        assert (np.diff(ways.rate_ha_h[row(ways, label)], axis=0) < 1e-12).all(), label


def test_the_hose_does_not_feel_the_road_and_ends_where_one_pump_does() -> None:
    ways = over(STRIP)
    cost = ways.cost_eur_m3[row(ways, HOSE)]
    near = ways.distances_km <= 2.0
    assert (cost[near] == cost[0]).all()
    assert np.isnan(cost[~near]).all()
    assert np.count_nonzero(near) >= 3


def test_all_slurry_is_placed_once() -> None:
    known = found()
    for system in (PLOUGH, STRIP):
        day, closed = supply_day(known, system)
        run = simulate(replace(day, hours=100.0))
        books = run.ledger
        assert books.out_of_store_m3 == pytest.approx(books.on_field_m3 + books.in_tanks_m3 + books.in_container_m3)
        assert books.on_field_m3 == pytest.approx(9.6 * 30 / 1.02, rel=1e-6)
        middle = found(draws=1)
        rate = middle.sheet["pass_rate"][Chain(middle.read).placing_step(system)]
        assert closed == pytest.approx(float(rate[0]) * day.dose_m3_ha, rel=1e-9)


@pytest.mark.parametrize("changes", [(), ALONE, CONTAINER, BY_OTHERS])
@pytest.mark.parametrize("system", [PLOUGH, 1, STRIP, 3])
def test_where_nothing_varies_the_day_comes_to_the_closed_form(
    changes: tuple[tuple[str, str], ...], system: int
) -> None:
    day, closed = supply_day(found(*changes, draws=50), system)
    long = replace(day, area_ha=None, hours=240 * day.load_m3 / closed)
    assert simulate(long).steady_m3_h == pytest.approx(closed, rel=0.02)


def test_the_day_of_a_hose_counts_laying_it() -> None:
    day, closed = supply_day(found(*BY_HOSE, draws=50), STRIP)
    assert day.way == "hose"
    assert simulate(replace(day, hours=1_000.0)).day_m3_h == pytest.approx(closed, rel=0.02)


def test_feeders_one_more_and_one_less() -> None:
    known = found()
    rows = feeders_table(known, PLOUGH)
    assert [r.feeders for r in rows] == [1, 2, 3, 4]
    assert [r.planned for r in rows] == [False, True, False, False]
    waits = [r.outfit_waits.mid for r in rows]
    assert waits == sorted(waits, reverse=True)
    idle = [r.feeders_wait.mid for r in rows]
    assert idle == sorted(idle)
    needed = int(np.median(known.values("feeders_needed_fed", PLOUGH)))
    assert next(r.feeders for r in rows if r.enough) == needed
    cheapest = min(rows, key=lambda r: r.cost_eur_m3.mid)
    assert [r.feeders for r in rows if r.cheapest] == [cheapest.feeders]
    # Once the outfit never waits, one more feeder only adds its own hours.
    assert rows[3].rate_ha_h == rows[2].rate_ha_h
    assert rows[3].cost_eur_m3.mid > rows[2].cost_eur_m3.mid


def test_a_plan_without_feeders_has_no_table_of_them() -> None:
    start, end = DEMO.index('[[supply]]\nname = "two feeders"'), DEMO.index('[[supply]]\nname = "hose line"')
    assert feeders_table(found(*ALONE, (DEMO[start:end], ""), draws=20), PLOUGH) == ()


def test_the_way_that_others_bring_costs_their_charge_at_every_distance() -> None:
    ways = ways_at(found(*BY_OTHERS), PLOUGH, [0.5, 5.0])
    cost = ways.cost_eur_m3[row(ways, "brought by others")]
    np.testing.assert_array_equal(cost[0], cost[1])
    free = ways_at(found(*BY_OTHERS, ('"1.6 EUR/m3"', '"0 EUR/m3"')), PLOUGH, [0.5])
    np.testing.assert_allclose(cost[0] - free.cost_eur_m3[row(free, "brought by others"), 0], 1.6, rtol=1e-9)


def test_what_cannot_be_is_left_out_with_the_reason() -> None:
    ways = over(PLOUGH)
    assert HOSE not in [option.label for option in ways.options]
    assert [reason.split(": ")[0] for reason in ways.left_out] == [HOSE]
    assert "km/h" in ways.left_out[0]
    assert over(STRIP).left_out == ()


def _drawn(first: list[float], second: list[float]) -> Ways:
    options = (Option("a", "feeders", "a"), Option("b", "hose", "b"))
    cost = np.array([first, second], dtype=float)[:, :, np.newaxis].repeat(10, axis=2)
    return Ways(0, np.array([1.0, 3.0, 5.0]), options, cost, cost, (), ())


def test_crossings_of_straight_lines() -> None:
    # 4, 5, 6 EUR/m3 against 5 EUR/m3 throughout: they meet at 3 km.
    (met,) = crossings(_drawn([4, 5, 6], [5, 5, 5]))
    assert (met.first, met.second, met.km, met.share) == ("a", "b", Spread(3.0, 3.0, 3.0), 1.0)
    (turned,) = crossings(_drawn([5, 5, 5], [4, 5, 6]))
    assert (turned.first, turned.second, turned.km) == ("b", "a", met.km)
    (never,) = crossings(_drawn([4, 4, 4], [5, 5, 5]))
    assert (never.km.mid, never.share, never.most_km) == (np.inf, 0.0, 5.0)
    (short,) = crossings(_drawn([4, 6, 8], [5, 5, np.nan]))
    assert (short.km.mid, short.most_km) == (2.0, 3.0)


def test_distances() -> None:
    assert {0.2, 1.8, 2.0, 10.0} <= set(usual_distances(found()).tolist())
    assert usual_distances(found(('"1.8 km"', '"9 km"'), draws=20))[-1] == 18.0
    near = usual_distances(found(), 0.5, 1.5)
    assert (near[0], near[-1], bool((np.diff(near) > 0).all())) == (0.5, 1.5, True)
    with pytest.raises(ImpossibleValue, match="step of distances_km"):
        ways_at(found(), PLOUGH, [2.0, 1.0])
    with pytest.raises(ImpossibleValue, match="distances_km"):
        ways_at(found(), PLOUGH, [-1.0])


def test_few_draws_are_all_gone_through() -> None:
    assert over(PLOUGH).cost_eur_m3.shape[-1] == 200
    assert ways_at(found(draws=150), PLOUGH, [1.0, 2.0]).cost_eur_m3.shape[1:] == (2, 150)
    assert ways_at(found(draws=1), PLOUGH, [1.0, 2.0]).cost_eur_m3.shape[1:] == (2, 1)
