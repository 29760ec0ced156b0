"""Residue counted along tapes: reading, what tapes say, how it is told.  Counts are invented."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from spadework.findings.tape_cover import GroundOf, TapeCover, cover_of_tapes
from spadework.plan import PlanFaults
from spadework.present.seedbed.tape_table import tape_text
from spadework.records.sheets.tape_counts import COLUMNS, Tape, csv_template, read_tapes, xlsx_template
from spadework.science import seedbed

ROWS = GroundOf(row_m=0.75)
STRIPS = GroundOf(row_m=0.75, strip_m=0.20)


def tape(hits: int, points: int = 100, *, plot: str = "1", system: str = "", ground: str = "", marks: float | None = None,
         angle: float | None = None, line: int = 2) -> Tape:  # fmt: skip
    return Tape(plot, system, ground, hits, points, marks, angle, line)


def found(*tapes: Tape, ground: GroundOf = ROWS, half: float = 0.05) -> TapeCover:
    return cover_of_tapes(tapes, lambda _: ground, half)


def write(folder: Path, *lines: str) -> Path:
    path = folder / "tapes.csv"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def plain(text: str) -> str:
    return " ".join(text.split())


def test_one_tape_has_the_interval_of_its_marks() -> None:
    (system,) = found(tape(30)).systems
    assert (system.whole.low, system.whole.high) == (
        pytest.approx(float(seedbed.wilson_low(30, 100, seedbed.normal_quantile(0.95)))),
        pytest.approx(float(seedbed.wilson_high(30, 100, seedbed.normal_quantile(0.95)))),
    )
    assert math.isnan(system.spread)
    assert system.tapes_needed is None


def test_patchy_tapes_are_believed_more_than_their_marks() -> None:
    (system,) = found(tape(15), tape(30), tape(45)).systems
    half = float(seedbed.lines_half_width(0.15, 3, 0.95))
    assert system.whole.cover == pytest.approx(0.30)
    assert system.whole.low == 0.0  # 0.30 less 0.37 cannot be
    assert system.whole.high == pytest.approx(0.30 + half)
    assert system.plots[0].patchiness == pytest.approx(0.15**2 / (0.3 * 0.7 / 100), rel=1e-9)
    k = system.tapes_needed
    assert k is not None
    assert seedbed.lines_half_width(0.15, k, 0.95) <= 0.05 < seedbed.lines_half_width(0.15, k - 1, 0.95)


def test_tapes_that_agree_by_luck_are_no_surer_than_their_marks() -> None:
    (system,) = found(tape(30), tape(30)).systems
    z = seedbed.normal_quantile(0.95)
    assert system.whole.low == pytest.approx(float(seedbed.wilson_low(60, 200, z)))
    assert system.whole.high == pytest.approx(float(seedbed.wilson_high(60, 200, z)))


def test_strips_and_ground_between_are_weighted_by_area() -> None:
    (system,) = found(tape(8, ground="strip"), tape(80, ground="between"), ground=STRIPS).systems
    assert system.whole.cover == pytest.approx(0.608, abs=5e-5)
    # half of the interval is close to 1.96 of the standard error of 0.0302 worked out by hand
    assert (system.whole.high - system.whole.low) / 2 == pytest.approx(1.96 * 0.0302, rel=0.03)
    share = 0.2 / 0.75
    error = math.hypot(share * math.sqrt(0.08 * 0.92), (1 - share) * math.sqrt(0.8 * 0.2))
    assert system.marks_needed == math.ceil((seedbed.normal_quantile(0.95) * error / 0.05) ** 2)


def test_nothing_found_and_everything_found_still_have_an_interval() -> None:
    (system,) = found(tape(0, ground="strip"), tape(100, ground="between"), ground=STRIPS).systems
    assert 0 < system.whole.low < system.whole.cover < system.whole.high < 1
    (bare,) = found(tape(0), tape(0)).systems
    assert (bare.whole.cover, bare.whole.low) == (0, 0)
    assert bare.whole.high > 0.01
    assert bare.marks_needed == 0
    assert "nobody can tell how many marks" in plain(tape_text(found(tape(0)), file="a.csv"))


def test_plots_are_the_witnesses_of_a_system() -> None:
    tapes = [tape(hits, plot=str(plot)) for plot, hits in enumerate((20, 30, 40))]
    (system,) = found(*tapes).systems
    half = float(seedbed.lines_half_width(0.10, 3, 0.95))
    assert system.whole.high - system.whole.cover == pytest.approx(half)


@pytest.mark.parametrize(
    ("grounds", "said"),
    [
        (("strip",), "only in: strip;"),
        (("strip", ""), "across both, strip;"),
        (("between", ""), "across both, between;"),
    ],
)
def test_half_a_count_of_strips_is_refused(grounds: tuple[str, ...], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        found(*(tape(10, ground=ground) for ground in grounds), ground=STRIPS)
    with pytest.raises(ValueError, match="neither plan nor command says how wide"):
        found(tape(10, ground="strip"), tape(10, ground="between"))


def test_rows_that_fool_a_tape_are_told() -> None:
    fooled = found(tape(30, marks=0.30, angle=90, line=7), tape(31, marks=0.30, angle=45, line=8))
    assert [one.line for one in fooled.fooled] == [7]
    assert fooled.unknown == ()
    text = plain(tape_text(fooled, file="a.csv"))
    assert "NOT TO BE RELIED ON, line 7: marks 30 cm apart at 90 degrees" in text
    even = found(tape(30, marks=0.30, angle=90), ground=GroundOf(row_m=0.75, even=True))
    assert (even.fooled, even.unknown) == ((), ())
    assert len(found(tape(30)).unknown) == 1
    assert "nobody can tell whether the marks kept step" in plain(tape_text(found(tape(30)), file="a.csv"))
    apart = found(tape(8, ground="strip", marks=0.3, angle=90), tape(80, ground="between"), ground=STRIPS)
    assert (apart.fooled, apart.unknown, apart.unsplit) == ((), (), ())
    assert found(tape(30), ground=STRIPS).unsplit == ("",)


@pytest.mark.parametrize(
    ("hits", "said"),
    [
        (45, "Shown: the whole interval lies above 30 %"),
        (34, "Of 100 marks that fall independently 40 hits would show it; there are 34"),
        (10, "No: the whole interval lies at or below 30 %"),
    ],
)
def test_a_cover_is_shown_or_not(hits: int, said: str) -> None:
    text = tape_text(found(tape(hits)), file="a.csv", limit=0.30)
    assert said in plain(text)
    assert "local office" in plain(text)
    assert text.isascii()
    assert all(len(line) <= 100 and line == line.rstrip() for line in text.splitlines())


def test_too_few_marks_can_show_nothing() -> None:
    assert "no number of hits would show it" in plain(tape_text(found(tape(2, 3)), file="a.csv", limit=0.50))


def test_systems_are_not_held_against_one_another() -> None:
    both = found(tape(30, system="a"), tape(60, system="b", plot="2"))
    assert "said by plots, not by marks or tapes: that takes plots" in plain(
        tape_text(both, file="a.csv", invented=True)
    )
    assert "spadework compare" in plain(tape_text(both, file="a.csv", layout=True))


def test_a_filled_in_sheet_is_read(tmp_path: Path) -> None:
    path = write(
        tmp_path,
        "plot;place;sample;time;points;hits;person;limit;instrument;note",
        "# units;;;;;;;;;",
        "101;strip;1;2026-05-04;100;8;AB;;;",
        "101;Between;1;2026-05-04;100;60;AB;;;",
        "102;by the hedge;1;2026-05-04;100;missing;AB;;;",
        "103;;1;2026-05-04;100;;AB;;;",
    )
    tapes, left_out = read_tapes(path, systems={"101": "strip", "102": "plough", "103": "plough"})
    assert [(one.plot, one.system, one.ground, one.hits) for one in tapes] == [
        ("101", "strip", "strip", 8),
        ("101", "strip", "between", 60),
    ]
    assert left_out == ("line 5, plot 102: missing", "line 6, plot 103: not counted")
    text = plain(tape_text(found(*tapes, ground=STRIPS), file="a.csv", left_out=left_out))
    assert "without figures: line 5, plot 102: missing" in text
    assert "prepared lines without a count, left out: 1" in text


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (("plot;points;hits", "1;30;100"), "100 of 30 marks cannot be"),
        (("plot;points;hits", "1;100;-3"), "-3 cannot be; allowed: 0 to"),
        (("plot;points;hits", "1;0;0"), "0 cannot be; allowed: 1 to"),
        (("plot;points;hits", "1;100;below detection"), "cannot be said of a count"),
        (("plot;points;hits;place", "1;100;3;betwen"), '"betwen" is not clear'),
        (("plot;points;hits;place", "1;100;3;on the strip"), "strip or between"),
        (("plot;points;hits;angle_deg", "1;100;3;120"), "allowed: 1 to 90 deg"),
        (("plot;points;hits;marks_cm", "1;100;3;30 cm"), "without the unit"),
        (("plot;points;hits;system", "1;100;3;a", "2;100;3;"), "is empty, but other lines name one"),
        (("plot;points;hits", "1;100;"), "holds no tape with figures"),
        (("plot;points", "1;100"), "hits"),
        (("plot;points;hits",), "no figures"),
    ],
)
def test_faults_of_the_table(tmp_path: Path, lines: tuple[str, ...], said: str) -> None:
    with pytest.raises(PlanFaults) as told:
        read_tapes(write(tmp_path, *lines))
    assert said in str(told.value)


def test_faults_against_the_layout(tmp_path: Path) -> None:
    path = write(tmp_path, "plot;points;hits;system", "9;100;3;", "1;100;3;strip")
    with pytest.raises(PlanFaults) as told:
        read_tapes(path, systems={"1": "plough"})
    assert '"9" is no plot of the layout; allowed: 1' in str(told.value)
    assert 'by the layout of the plan plot 1 is "plough"' in str(told.value)


@pytest.mark.parametrize("strips", [False, True])
def test_empty_tables_read_back_once_filled(tmp_path: Path, strips: bool) -> None:
    lines = csv_template(2, strips=strips).splitlines()
    assert lines[0].split(";") == [column.name for column in COLUMNS]
    hits = COLUMNS.index(next(column for column in COLUMNS if column.name == "hits"))
    filled = [[*cells[:hits], "7", *cells[hits + 1 :]] for cells in (line.split(";") for line in lines[2:])]
    path = write(tmp_path, *lines[:2], *(";".join(cells) for cells in filled))
    tapes, left_out = read_tapes(path)
    assert (len(tapes), left_out) == (20 if strips else 10, ())
    assert {one.ground for one in tapes} == ({"strip", "between"} if strips else {""})
    (tmp_path / "tapes.xlsx").write_bytes(xlsx_template(2, strips=strips))
    with pytest.raises(PlanFaults, match="holds no tape with figures"):
        read_tapes(tmp_path / "tapes.xlsx")


def test_covers_of_many_draws_lie_in_their_interval() -> None:
    random = np.random.default_rng(5)
    held = 0
    for _ in range(300):
        strip, between = random.beta(2, 20, 5), random.beta(12, 6, 5)
        tapes = [tape(int(random.binomial(100, p)), ground="strip") for p in strip]
        tapes += [tape(int(random.binomial(100, p)), ground="between") for p in between]
        whole = found(*tapes, ground=STRIPS).systems[0].whole
        truth = 0.2 / 0.75 * 2 / 22 + (1 - 0.2 / 0.75) * 12 / 18
        held += whole.low <= truth <= whole.high
    assert 0.92 <= held / 300 <= 0.995
