"""Pooling: what is turned away, edges, reading of the file, text and picture.  All figures are invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from spadework.plan import PlanFaults
from spadework.present.charts.spec import to_svg
from spadework.present.compare.pooling_chart import pooling_chart
from spadework.present.compare.pooling_table import pooling_text
from spadework.ranges import ImpossibleValue
from spadework.records.files.pooling import read_differences
from spadework.statistics.fields.between import scatter
from spadework.statistics.fields.pooling import chance_above, leave_one_out, pool

HEAD = "field,difference,se,standing\n"


def written(folder: Path, text: str) -> Path:
    path = folder / "fields.csv"
    path.write_text(text, "utf-8")
    return path


@pytest.mark.parametrize(
    ("difference", "se", "said"),
    [([1.0], [0.1], "number of fields"), ([1, 2], [0.1, 0], "standard_error"), ([1, np.nan], [0.1, 0.1], "difference")],
)
def test_what_cannot_be(difference: list[float], se: list[float], said: str) -> None:
    with pytest.raises(ImpossibleValue, match=said):
        pool(difference, se)


def test_what_does_not_fit() -> None:
    with pytest.raises(ValueError, match="one length"):
        pool([1, 2, 3], [0.1, 0.2])
    with pytest.raises(ValueError, match="allowed: fixed"):
        pool([1, 2], [0.1, 0.2], "best")
    with pytest.raises(ImpossibleValue):
        leave_one_out([1, 2], [0.1, 0.1])
    with pytest.raises(ImpossibleValue):
        chance_above(1, 0.5, 0.5)


def test_two_fields_say_nothing_of_a_third() -> None:
    found = pool([0.1, 0.5], [0.2, 0.2])
    assert np.isnan(found.new_field).all()
    assert found.df == 1
    fixed = pool([0.1, 0.5], [0.2, 0.2], "fixed")
    assert fixed.df == np.inf
    assert fixed.between_share == 0


def test_luck_never_narrows_the_interval() -> None:
    found = pool([0.30, 0.31, 0.30, 0.31], [0.2, 0.2, 0.2, 0.2])
    assert found.knapp_hartung_se < 0.1 * found.standard_error
    assert found.used_se == found.standard_error
    assert scatter([0.3, 0.3], [0.1, 0.1]).p == pytest.approx(1)


def test_chances_broadcast() -> None:
    found = chance_above([0.0, 1.0], [[0.5], [1.0]], np.inf)
    assert found.shape == (2, 2)
    assert found[0, 0] == pytest.approx(0.5)
    assert found[1, 1] == pytest.approx(0.841345, abs=1e-6)


def test_faults_of_the_file_stand_together(tmp_path: Path) -> None:
    text = HEAD + "a,0.1,0.2,replicated\na,0.2,0.1,looked\nb,x,0,estimated\nc,0.1,,strip\n"
    with pytest.raises(PlanFaults) as raised:
        read_differences(written(tmp_path, text))
    said = str(raised.value)
    for words in ("stands in line 2 already", "no standard error of its difference", "is no field", '"x" is no number'):
        assert words in said
    for words in ("column se: is empty", 'did you mean "strips"?', "line 4, column se: 0 cannot be"):
        assert words in said, said


def test_one_field_is_not_enough(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match="two or more"):
        read_differences(written(tmp_path, HEAD + "a,0.1,0.2,strips\n"))


def test_the_standing_is_that_of_the_weakest_field(tmp_path: Path) -> None:
    strong = read_differences(written(tmp_path, HEAD + "a,1,1,replicated\nb,1,1,replicated\n"))
    assert strong.standing == "replicated"
    assert read_differences(written(tmp_path, HEAD + "a,1,1,replicated\nb,1,1,strips\n")).standing == "strips"
    assert read_differences(written(tmp_path, HEAD + "a,1,1,replicated\nb,1,1,\n")).standing == ""
    assert read_differences(written(tmp_path, "field;difference;se\na;1,5;0,2\nb;-1;1\n")).difference[0] == 1.5


def test_text_and_picture(tmp_path: Path) -> None:
    rows = "".join(
        f"{name},{d},{s},strips\n" for name, d, s in zip("abcde", (0.4, 0.1, -0.2, 0.5, 1.4), [0.2] * 5, strict=True)
    )
    read = read_differences(written(tmp_path, HEAD + rows))
    found = pool(read.difference, read.standard_error)
    without = leave_one_out(read.difference, read.standard_error)
    text = pooling_text(read, found, without, unit="t/ha", limit=0.2)
    assert text.isascii()
    assert all(len(line) <= 100 for line in text.splitlines())
    flat = " ".join(text.split())
    assert "strips: at least one field" in flat
    assert "above 0.2 t/ha" in flat
    assert "The fields differ by more than chance" in flat
    spec = pooling_chart(read.fields, read.difference, read.standard_error, found, "t/ha", standing="strips", limit=0.2)
    assert "a new field" in spec["description"]
    svg = to_svg(spec)
    for words in ("mean over the fields", "pays from here", "stroke-dasharray"):
        assert words in svg
    with pytest.raises(ValueError, match="one length"):
        pooling_chart(read.fields[:2], read.difference, read.standard_error, found, "t/ha", standing="strips")


def test_two_fields_are_drawn_without_a_new_one(tmp_path: Path) -> None:
    read = read_differences(written(tmp_path, HEAD + "a,1,1,strips\nb,2,1,strips\n"))
    found = pool(read.difference, read.standard_error)
    assert "Two fields say nothing about a third one" in pooling_text(read, found, (), unit="t/ha")
    spec = pooling_chart(read.fields, read.difference, read.standard_error, found, "t/ha", standing="strips")
    assert "a new field" not in spec["description"]
    to_svg(spec)
