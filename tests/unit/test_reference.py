"""Every reference table is whole: sources exist, numbers parse, ranges hold their value."""

from __future__ import annotations

import math

import pytest

from spadework.reference import STANDINGS, constants, load, sources, table_names

POINTS_TO = {
    "draft_row": "draft_asae_d497",
    "rotary_row": "rotary_power",
    "places": "ammonia_abatement_unece",
    "covers": "ammonia_abatement_unece",
    "repair_row": "repair_asae_d497",
    "remaining_row": "remaining_value_asae_d497",
    "efficiency_row": "field_speed_efficiency",
    "turning_row": "field_work",
}


@pytest.mark.parametrize("name", table_names())
def test_table_is_whole(name: str) -> None:
    table = load(name)
    assert table.title
    assert len(table) > 0
    assert table.about["source"] in sources()
    for column in table.about.get("columns", {}):
        assert column in table.columns, f"{name}: the sidecar describes a column {column} that is not there"
    for key, row in table.items():
        assert key == key.strip().lower()
        assert None not in row.cells, f"{name}, {key}: more cells than columns"
        for column in table.value_columns():
            citation = row.citation(column)
            assert citation.standing in STANDINGS
            if row.has(column) and _is_number(row.text(column)):
                entry = row.entry(column)
                assert math.isfinite(entry.value)
                assert entry.low <= entry.value <= entry.high, f"{name}, {key}, {column}"


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_kinds_of_machine_point_to_rows_that_exist() -> None:
    for key, row in load("machine_kinds").items():
        for column, table in POINTS_TO.items():
            if row.has(column):
                assert row.text(column) in load(table), f"{key}: {column}"
        if row.has("retention_row"):
            assert row.text("retention_row") in load(row.text("retention_table")), key


def test_unknown_table_and_vintage() -> None:
    with pytest.raises(KeyError, match="no reference table moon"):
        load("moon")
    with pytest.raises(KeyError, match="of 1899"):
        load("chemistry", "1899")
    with pytest.raises(AttributeError):
        _ = constants("chemistry").moonstone


def test_citation_leads_to_the_row() -> None:
    said = str(load("draft_asae_d497")["mouldboard"].citation("a"))
    assert "ASAE D497" in said
    assert "[memory; table draft_asae_d497, row mouldboard, a]" in said
