"""Counts of plants behind row units: reading, what they say, how it is told.  Counts are invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from spadework.findings.stand import find_stand
from spadework.plan import PlanFaults
from spadework.present.seedbed.stand_table import stand_text
from spadework.records.files.stand_counts import COLUMNS, StandCount, csv_template, read_stand, xlsx_template

BLOCKS = ((70, 72, 71, 41, 69, 70), (68, 71, 70, 40, 72, 69), (71, 69, 72, 42, 70, 71), (69, 70, 68, 43, 71, 72))


def counts(blocks: tuple[tuple[int, ...], ...] = BLOCKS, systems: tuple[str, ...] = ("",)) -> list[StandCount]:
    return [
        StandCount(str(block + 1), systems[block % len(systems)], unit + 1, plants, 10.0)
        for block, line in enumerate(blocks)
        for unit, plants in enumerate(line)
    ]


def test_the_low_unit_is_named() -> None:
    found = find_stand(counts(), 0.75)
    assert found.low_units == (4,)
    assert found.by_places
    low = found.units[3]
    assert low.low_in == 4
    assert low.ratio == pytest.approx(166 / 281, rel=0.01)
    assert found.all.per_ha == pytest.approx(1571 / (240 * 0.75) * 10_000)
    assert found.without_low.per_ha == pytest.approx(1405 / (200 * 0.75) * 10_000)
    text = stand_text(found, file="a.csv", row_spacing_cm=75, sown_per_ha=92_000, invented=True)
    plain = " ".join(text.split())
    assert "Unit 4 stands at 59 % of the others, in all places alike" in plain
    assert "it takes 7 % off the stand" in plain
    assert "Without unit 4: 93 700" in plain
    assert "95 % stand" in plain
    assert "INVENTED" in plain
    assert all(len(line) <= 100 and line == line.rstrip() for line in text.splitlines())


def test_even_stands_have_no_low_unit() -> None:
    random = np.random.default_rng(7)
    named = 0
    for _ in range(200):
        lines = tuple(tuple(random.poisson(70, 6).tolist()) for _ in range(4))
        named += bool(find_stand(counts(lines), 0.75).low_units)
    assert named <= 14  # 95 % for all units at once, and only the lower side is named


def test_one_place_knows_only_chance() -> None:
    found = find_stand(counts(BLOCKS[:1]), 0.75)
    assert not found.by_places
    assert found.low_units == (4,)
    text = " ".join(stand_text(found, file="a.csv", row_spacing_cm=75).split())
    assert "may be the machine or the place" in text
    assert "count every unit in a second block" in text
    close = find_stand(counts(((70, 72, 71, 60, 69, 70),)), 0.75)
    assert close.low_units == ()
    assert "No unit stands lower" in stand_text(close, file="a.csv", row_spacing_cm=75)


def test_systems_are_told_with_and_without_the_low_unit() -> None:
    found = find_stand(counts(systems=("strip", "plough")), 0.75)
    assert [one.name for one in found.systems] == ["strip", "plough"]
    for one in found.systems:
        assert one.stand.per_ha < one.without_low.per_ha
        assert one.stand.low < one.stand.per_ha < one.stand.high
    text = " ".join(stand_text(found, file="a.csv", row_spacing_cm=75).split())
    assert "said by plots, not by plants" in text


def test_places_that_lack_a_unit_are_said() -> None:
    found = find_stand([count for count in counts() if not (count.block == "1" and count.unit == 2)], 0.75)
    assert found.by_places
    assert "1 of 4 places lack a unit" in found.remarks[0]


def test_order_and_split_counts_change_nothing() -> None:
    whole = find_stand(counts(), 0.75)
    halves = [
        StandCount(c.block, c.system, c.unit, part, 5.0)
        for c in counts()
        for part in (c.plants // 2, c.plants - c.plants // 2)
    ]
    again = find_stand(halves[::-1], 0.75)
    assert [one.ratio for one in again.units] == pytest.approx([one.ratio for one in whole.units])
    assert again.all == whole.all


def test_too_few_units_or_plants() -> None:
    with pytest.raises(ValueError, match="two row units"):
        find_stand([StandCount("1", "", 1, 70, 10.0)], 0.75)
    with pytest.raises(ValueError, match="holds 0 plants in every line"):
        find_stand(counts(((0, 0),)), 0.75)


def test_counts_that_can_hardly_be_are_told() -> None:
    assert find_stand(counts(), 0.75).doubts == ()
    slipped = find_stand(counts(((880, 72, 71, 70), (70, 69, 72, 71))), 0.75).doubts
    assert len(slipped) == 1
    assert "block 1, unit 1: 880 plants in 10 m, 117 to the m2: hardly possible in rows 75 cm apart" in slipped[0]
    many = find_stand(counts(((880,) * 6,) * 2), 0.75).doubts
    assert "and 9 more like it" in many[0]
    text = stand_text(find_stand(counts(((880,) * 6,) * 2), 0.75), file="a.csv", row_spacing_cm=75)
    assert "hardly possible" in " ".join(text.split())
    assert all(len(line) <= 100 for line in text.splitlines())
    dense = find_stand(counts(((95, 96, 94, 95), (94, 96, 95, 94))), 0.75).doubts  # 12.7 to the m2: chance could do it
    assert dense == ()


def test_more_plants_than_seeds_are_told_without_a_warning() -> None:
    text = " ".join(stand_text(find_stand(counts(), 0.75), file="a.csv", row_spacing_cm=75, sown_per_ha=60_000).split())
    assert "145 % of the 60 000 seeds/ha in the plan: more plants than seeds" in text
    by_chance = stand_text(find_stand(counts(), 0.75), file="a.csv", row_spacing_cm=75, sown_per_ha=86_000)
    assert "Of 86 000 seeds/ha in the plan 101 % stand." in by_chance


def test_several_low_units_are_told_as_several() -> None:
    found = find_stand(counts(tuple((88 + b, 120 + b, 95 - b, 91) for b in range(4))), 0.75)
    assert len(found.low_units) > 1
    text = " ".join(stand_text(found, file="a.csv", row_spacing_cm=75).split())
    assert "Without units " in text
    assert "Look at those units" in text


def test_thin_stands_and_odd_lengths_are_told() -> None:
    thin = find_stand(counts(((3, 2, 4), (2, 3, 1))), 0.75).doubts
    assert any("all counts together come to less than" in one and "6 to 11 are usual" in one for one in thin)
    short = [StandCount("1", "strip", unit, 7, 1.0) for unit in (1, 2)]
    said = find_stand(short, 0.75).doubts
    words = "block 1, strip, unit 1: 1 m; block 1, strip, unit 2: 1 m of row, outside the usual 3 to 200 m"
    assert any(words in one for one in said)


def test_templates_are_read_back(tmp_path: Path) -> None:
    text = csv_template(6, 2)
    assert len(text.splitlines()) == 2 + 12
    path = tmp_path / "stand.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(PlanFaults, match="empty in every line"):
        read_stand(path)
    filled = text.replace(";;10;", ";55;10;", 3)
    path.write_text(filled, "utf-8")
    assert [(c.block, c.unit, c.plants) for c in read_stand(path)] == [("1", 1, 55), ("1", 2, 55), ("1", 3, 55)]
    book = tmp_path / "stand.xlsx"
    book.write_bytes(xlsx_template(6, 2))
    with pytest.raises(PlanFaults, match="empty in every line"):
        read_stand(book)
    assert [column.name for column in COLUMNS][:2] == ["block", "system"]


def test_all_faults_of_a_table_at_once(tmp_path: Path) -> None:
    path = tmp_path / "stand.csv"
    path.write_text("block;system;unit;plants;length_m\n1;a;9;70;10\n1;;2;7.5;10\n;a;0;70;0\n", "utf-8")
    with pytest.raises(PlanFaults) as stopped:
        read_stand(path, units=8)
    said = " | ".join(str(fault) for fault in stopped.value.faults)
    for words in ("has 8 row units", "no whole number", "is empty, but other lines name one", "length_m"):
        assert words in said
