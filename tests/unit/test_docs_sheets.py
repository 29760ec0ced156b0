"""The page of the sheets keeps up with the columns."""

from __future__ import annotations

import importlib
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest

from spadework.records.files.dig_sheets import HOW, dig_columns
from spadework.records.files.dose_files import COLUMNS
from spadework.records.kinds import PLACES, reading_kinds
from spadework.records.sheets.field_sheets import sheet_keys
from spadework.records.tables.workbooks import LARGEST_UNPACKED, MOST_COLUMNS, MOST_LINES
from spadework.reference import load

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "how" / "sheets.md").read_text("utf-8")


@pytest.fixture(scope="module")
def made() -> ModuleType:
    """The module that writes parts of the page from the code."""
    sys.path.insert(0, str(DOCS / "_ext"))
    try:
        return importlib.import_module("from_the_sheets")
    finally:
        sys.path.pop(0)


@pytest.mark.parametrize("table", ["digs", *COLUMNS])
def test_every_column_is_on_the_page(made: ModuleType, table: str) -> None:
    assert f"```{{sheet-columns}} {table}\n" in PAGE
    written = re.findall(r"^\| `(\w+)` \| (.+?) \| (.+?) \|", made.sheet_columns(table), re.M)
    columns = dig_columns() if table == "digs" else COLUMNS[table]
    assert [name for name, _, _ in written] == [column.name for column in columns]
    assert all(len(meaning) > 4 and allowed for _, meaning, allowed in written)


def test_the_steps_are_on_the_page(made: ModuleType) -> None:
    assert "```{dig-steps}\n" in PAGE
    for title, text in HOW:
        assert f"**{title}.** {text}" in made.dig_steps()


def test_the_sheets_of_a_comparison_and_their_columns_are_on_the_page(made: ModuleType) -> None:
    assert "```{field-sheets}\n" in PAGE
    assert "```{reading-columns}\n" in PAGE
    assert re.findall(r"^\| `(\w+)` \|", made.field_sheets(), re.M) == list(sheet_keys())
    fields = [field for _, field in reading_kinds()]
    assert re.findall(r"^\| `(\w+)` \|", made.reading_columns(), re.M) == [column.name for column in PLACES] + fields
    assert all(f"`{field}`" in made.field_sheets() for field in fields)


def test_limits_in_the_words_of_the_page_are_those_of_the_code() -> None:
    flat = " ".join(PAGE.split())
    limits = load("dig_limits")
    assert f"{MOST_LINES} lines and {MOST_COLUMNS} columns" in flat
    assert f"more than {LARGEST_UNPACKED // 1_000_000} MB" in flat
    top, seed = limits["top_median_cm"], limits["seed_median_cm"]
    assert f"half of the tops are deeper than {top.entry('usual_to').value:g}" in flat
    assert f"half the seeds are shallower than {seed.entry('usual_from').value:g}" in flat
    assert f"tops shallower than {top.entry('usual_from').value:g}" in flat
