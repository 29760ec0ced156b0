"""What follows from several readings does not hang on their order, nor on readings of other plots or days."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from spadework.records.kinds import reading_kinds
from spadework.records.reading_row import Reading, new_reading
from spadework.records.sheets.read_back import read_back
from spadework.records.sheets.sheet_readings import Sheet
from spadework.records.store.combined import reading_checks, unlikely

PLAN = {"row_spacing_m": {"": 0.75}, "seeds_m2": {"": 9.2}, "dose_m3_ha": {"": 30.0}}
FIELDS = sorted({field for check in reading_checks() for field in check.fields.values()})


@st.composite
def readings(
    draw: st.DrawFn, plots: tuple[str, ...] = ("101", "102"), days: tuple[str, ...] = ("2026-05-20",)
) -> Reading:
    record, field = draw(st.sampled_from(FIELDS))
    kind = reading_kinds()[record, field]
    value: float | str = draw(st.floats(kind.hard.low, kind.hard.high) | st.just("missing"))
    if kind.whole and not isinstance(value, str):
        value = float(round(value))
    return new_reading(
        record, field, value, plot=draw(st.sampled_from(plots)), taken_at=draw(st.sampled_from(days)), person="AB",
        sample=draw(st.integers(1, 2)), kept=draw(st.sampled_from(("", "why"))),
    )  # fmt: skip


def told(rows: list[Reading]) -> set[tuple[str, str, bool]]:
    return {(odd.check.key, odd.where, odd.cannot) for odd in unlikely(rows, PLAN)}


@given(st.lists(readings(), max_size=25), st.randoms(use_true_random=False))
def test_order_makes_no_difference(rows: list[Reading], draw: object) -> None:
    other = list(rows)
    draw.shuffle(other)  # type: ignore[attr-defined]
    assert told(rows) == told(other)


@given(st.lists(readings(), max_size=20), st.lists(readings(plots=("201",)), max_size=20))
def test_another_plot_makes_no_difference(rows: list[Reading], others: list[Reading]) -> None:
    assert {one for one in told([*rows, *others]) if "plot 201" not in one[1]} == told(rows)


@given(st.lists(readings(), max_size=20))
def test_every_sentence_is_of_what_is_there_and_says_what_would_be_usual(rows: list[Reading]) -> None:
    for odd in unlikely(rows, PLAN):
        assert set(odd.readings) <= set(rows)
        allowed = odd.check.hard if odd.cannot else odd.check.soft
        assert allowed is not None
        assert not allowed.holds(odd.value)
        assert odd.check.look in odd.said


@given(st.lists(readings(days=("2026-05-20", "2026-09-20")), max_size=20))
def test_what_cannot_be_is_told_whatever_the_reason(rows: list[Reading]) -> None:
    from dataclasses import replace

    bare = [replace(one, kept="") for one in rows]
    assert {one for one in told(rows) if one[2]} == {one for one in told(bare) if one[2]}


@given(st.lists(readings(), max_size=20), st.lists(readings(), max_size=20))
def test_two_typings_differ_the_same_way_round_and_never_from_themselves(a: list[Reading], b: list[Reading]) -> None:
    first, second = (Sheet("x", "", "any", tuple(rows), 0, (), ()) for rows in (a, b))
    there = {(one.where, one.column, one.first, one.second) for one in read_back(first, second)}
    back = {(one.where, one.column, one.second, one.first) for one in read_back(second, first)}
    assert there == back
