"""The page of the store keeps up with the code."""

from __future__ import annotations

from pathlib import Path

from spadework.records.kinds import NOTHING, PLACES, records
from spadework.records.store.photos import _LARGEST
from spadework.records.store.schema_sql import READING

PAGE = (Path(__file__).parents[2] / "docs" / "how" / "records.md").read_text("utf-8")


def test_every_column_record_and_word_is_on_the_page() -> None:
    for name in (
        *(column.name for column in READING.columns),
        *(column.name for column in PLACES),
        *records(),
        *NOTHING,
    ):
        assert f"`{name}`" in PAGE, name


def test_the_limit_of_photos_is_that_of_the_code() -> None:
    assert f"up to {_LARGEST // 1_000_000} MB" in PAGE
