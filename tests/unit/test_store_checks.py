"""What is complete and what agrees: plots counted against the layout, readings held against one another."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from spadework.plan import Plan, read
from spadework.plan.agreement.design import asked_of
from spadework.ranges import ImpossibleValue
from spadework.records.kinds import columns_of, reading_kinds, records
from spadework.records.reading_row import Reading, new_reading
from spadework.records.store.completeness import Wanted, completeness, plots_of
from spadework.records.store.cross_checks import (
    areas_agree,
    diesel_agrees,
    in_order_of_time,
    nitrogen_plausible,
    slurry_agrees,
    units_flip,
)
from spadework.reference import load
from spadework.statistics.designs.randomise import lay
from stores_made import dry, made

DRY = reading_kinds()["harvest", "dry_matter_pct"]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return read(Path(str(files("spadework.demo"))) / "plan.toml").plan


def with_design(plan: Plan, seed: int | None) -> Plan:
    from spadework.plan import Design

    design = Design.model_validate({"kind": "complete blocks", "blocks": 4, "seed": seed})
    return plan.model_copy(update={"design": design})


def test_plots_come_from_the_layout(plan: Plan) -> None:
    drawn = with_design(plan, 5)
    asked = asked_of(drawn)
    assert asked is not None
    laid = lay(asked, 5)
    wanted = [(str(plot.number), plot.labels[0]) for plot in laid.rows]
    assert [(one.plot, one.system) for one in plots_of(drawn)] == wanted
    assert [(one.plot, one.system) for one in plots_of(with_design(plan, None), laid)] == wanted
    unknown = plots_of(with_design(plan, None))
    assert sorted(one.plot for one in unknown) == sorted(plot for plot, _ in wanted)
    assert {one.system for one in unknown} == {""}
    bare = plan.model_copy(update={"design": None})
    assert [one.system for one in plots_of(bare)] == [system.name for system in plan.systems]


def test_twelve_of_sixteen_plots_have_dry_matter(tmp_path: Path) -> None:
    plots = [Wanted(f"{block}0{place}") for block in range(1, 5) for place in range(1, 5)]
    with made(tmp_path / "trial.db") as store:
        for one in plots[:12]:
            store.add([dry(32, one.plot, 1), dry(33, one.plot, 2)])
        store.add([dry("missing", plots[12].plot), dry("not measured", plots[13].plot), dry(30, "999")])
        wrong = store.current("harvest", plot=plots[0].plot)[0]
        (found,) = completeness(store.current(), plots, [DRY])
        assert found.said() == (
            "12 of 16 plots have dry matter of the sample; nothing from 403, 404; no figure from 401 (missing), "
            "402 (not measured); not of the layout: 999"
        )
        assert not found.whole
        store.correct(wrong.id, "unreadable", "the label was wet", person="EF")
        (found,) = completeness(store.current(), plots, [DRY])
        assert found.few == (plots[0].plot,)
        assert "fewer than 2 readings from 101" in found.said()


def test_all_there_is_said_to_be_all() -> None:
    (found,) = completeness([dry(32, "101"), dry(33, "101", 2)], [Wanted("101")], [DRY])
    assert found.whole
    assert found.said() == "1 of 1 plots have dry matter of the sample"
    (none,) = completeness([], [Wanted(str(n)) for n in range(12)], [DRY])
    assert none.said().endswith("nothing from 0, 1, 2, 3, 4, 5, 6, 7 and 4 more")


def one(record: str, field: str, value: float | str, sample: int = 1, place: str = "") -> Reading:
    return new_reading(record, field, value, plot="L1", taken_at="2026-04-20", person="AB", sample=sample, place=place)


def test_balances_at_their_limit() -> None:
    assert slurry_agrees(10, 10, 1, [40], [2.5]) == ()
    assert areas_agree([1.0], 1.05) == ()
    assert "area of the flow meter 1.06 ha" in areas_agree([1.0], 1.06)[0]
    assert diesel_agrees(100, [50, 30], 20) == ()
    assert "diesel filled in 100 L" in diesel_agrees(100, [50, 30])[0]
    assert slurry_agrees(0, 10, 1, [], []) == ()
    with pytest.raises(ImpossibleValue):
        slurry_agrees(-1, 10, 1, [40], [2.5])
    with pytest.raises(ImpossibleValue):
        slurry_agrees(1, 10, 95, [40], [2.5])


def test_nitrogen_of_the_crop_against_what_it_could_get() -> None:
    assert nitrogen_plausible(17, 0.012, 130, 80) == ()
    assert nitrogen_plausible(17, 0.12, 130, 80) != ()
    assert nitrogen_plausible(1, 0.012, 130, 80) != ()
    assert nitrogen_plausible(17, 0.012, 0, 0) != ()


def test_steps_follow_one_another() -> None:
    good = {
        "spread": "2026-04-20T09:00+02:00",
        "incorporated": "2026-04-20T07:30+00:00",
        "seeded": "2026-04-20",
        "emerged": "2026-05-03",
    }
    assert in_order_of_time(good) == ()
    assert len(in_order_of_time(good | {"incorporated": "2026-04-20T06:30+00:00"})) == 1
    (said,) = in_order_of_time(good | {"emerged": "2026-04-03"})
    assert said.startswith("emerged (2026-04-03) comes before seeded (2026-04-20)")
    assert in_order_of_time({}) == ()


def test_row_units_turn_round_with_the_machine() -> None:
    for rows in (1, 4, 8, 12):
        right = [
            (row, way, row if way == "out" else rows + 1 - row) for row in range(1, rows + 1) for way in ("out", "back")
        ]
        assert units_flip(rows, right) == ()
    assert len(units_flip(8, [(3, "back", 3), (3, "out", 3)])) == 1


def test_a_reading_below_detection_counts_as_one() -> None:
    kind = reading_kinds()["soil", "nitrate_n_mg_kg"]
    row = replace(one("soil", "nitrate_n_mg_kg", "below detection"), limit=0.5)
    (found,) = completeness([row], [Wanted("L1")], [kind])
    assert found.whole


def test_kinds_are_whole() -> None:
    kinds = reading_kinds()
    assert len(kinds) == len(load("reading_kinds"))
    for key, row in load("reading_kinds").items():
        assert key == f"{row.text('record')}_{row.text('field')}"
    for record in records():
        names = [column.name for column in columns_of(record)]
        assert len(set(names)) == len(names)
    for kind in kinds.values():
        assert kind.precision > 0
        assert kind.count >= 1
        if kind.soft is not None:
            assert kind.hard.low <= kind.soft.low < kind.soft.high <= kind.hard.high, kind.field
    with pytest.raises(KeyError, match="no reading belongs to moon"):
        columns_of("moon")


def test_a_pass_that_nobody_read_is_named_and_weather_is_not_wanted_of_plots(tmp_path: Path) -> None:
    from spadework.records.store.stock import stock_of

    seen = read(Path(str(files("spadework.demo"))) / "plan.toml")
    first = plots_of(seen.plan)[0]
    passes = next(len(system.passes) for system in seen.plan.systems if system.name == first.system)
    assert passes > 1

    def speed(number: int) -> Reading:
        return new_reading(
            "machine", "speed_km_h", 7.0, plot=first.plot, taken_at="2026-04-20", person="AB", place=f"pass {number}"
        )

    with made(tmp_path / "trial.db") as store:
        store.add([speed(1)])
        store.add([new_reading("weather", "rain_mm", 3.0, plot="field 1", taken_at="2026-04-20", person="AB")])
        found = stock_of(store, seen).found
        assert {one.kind.record for one in found} == {"machine"}
        by_field = {one.kind.field: one for one in found}
        assert f"nothing at pass 2 from {first.plot}" in by_field["speed_km_h"].said()
        assert by_field["speed_km_h"].partly[0][0] != "pass 1"
        store.add([speed(number) for number in range(2, passes + 1)])
        assert not {one.kind.field: one for one in stock_of(store, seen).found}["speed_km_h"].partly
