"""What stands beside a finding: the drawing alone, another layout, neighbours as alike.  All figures are invented."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from compare_made import SYSTEMS, blocks, lines_of, readings
from spadework.findings.compare import compare
from spadework.findings.compare_parts import Finding, Shuffling
from spadework.present.compare.data import compare_json
from spadework.present.compare.guards import guard_blocks, guard_lines
from spadework.present.compare.table import compare_text
from spadework.statistics.designs.layouts import Asked, Factor, Restrictions
from spadework.statistics.designs.randomise import Laid, lay

CROSSED = {  # systems C, P, S with manure B, I in four blocks
    1: {"C": (87, 88), "P": (88, 91), "S": (98, 102)},
    2: {"C": (108, 112), "P": (105, 105), "S": (111, 119)},
    3: {"C": (111, 105), "P": (110, 110), "S": (112, 113)},
    4: {"C": (98, 109), "P": (105, 114), "S": (113, 127)},
}
MANURE = Factor("manure", ("B", "I"), within=True)


def nested(kind: str) -> Asked:
    return Asked(kind, (Factor("system", ("C", "P", "S")), MANURE), 4, few=True)


def crossed(
    folder: Path, declared: str, laid: str, columns: tuple[str, ...] = ("row", "column"), seed: int = 4
) -> Finding:
    lines = []
    for n, plot in enumerate(lay(nested(laid), seed).rows, 1):
        system, manure = plot.labels
        number = plot.number if columns else n
        places = [str(getattr(plot, name)) for name in columns if name != "plot"]
        value = CROSSED[plot.block][system]["BI".index(manure)]
        lines.append(";".join([str(number), str(plot.block), *places, system, manure, str(value)]))
    head = ";".join(["plot", "block", *(name for name in columns if name != "plot"), "system", "manure", "yield [1]"])
    read = readings(folder, lines, head, ("C", "P", "S"), factors=("manure",))
    return compare(read, "yield", baseline="P", design=nested(declared), leave_out=False)


def placed(laid: Laid, *, lost: int = 0, seed: int = 1, rows: bool = True) -> list[str]:
    rng = np.random.default_rng(seed)
    return [
        f"{p.number};{p.block};{p.row if rows else ''};{p.column};{p.labels[0]};"
        + (
            "lost"
            if p.number == lost
            else f"{15 + p.block / 3 + SYSTEMS.index(p.labels[0]) / 2 + rng.normal(0, 0.3):.2f}"
        )
        for p in laid.rows
    ]


def found(folder: Path, asked: Asked, *, lost: int = 0, rows: bool = True) -> Finding:
    lines = placed(lay(asked, 9), lost=lost, rows=rows)
    read = readings(folder, lines, "plot;block;row;column;system;dm_yield [t/ha]")
    return compare(read, "dm_yield", baseline="plough", design=asked, leave_out=False)


def dealt(one: Finding) -> Shuffling:
    assert one.shuffling is not None
    return one.shuffling


def text_of(one: Finding) -> str:
    return " ".join(" ".join(guard_lines(one)).split())


# --- the drawing alone -------------------------------------------------------------------------------------------------


def test_systems_in_blocks_are_dealt_out_in_every_way(tmp_path: Path) -> None:
    one = compare(readings(tmp_path, lines_of()), "dm_yield", baseline="plough", design=blocks(), leave_out=False)
    (term,) = dealt(one).terms
    assert (term.of, term.layouts, term.exact) == ("system", 216, True)
    assert term.smallest == pytest.approx(1 / 216)
    assert [d.of for d in dealt(one).differences] == ["cultivator", "strip"]
    for d in dealt(one).differences:
        assert d.alone is not None
        assert d.alone.smallest == 0.125
    assert dealt(one).told == ()


def test_pairs_change_signs(tmp_path: Path) -> None:
    pair = ("plough", "strip")
    lines = lines_of({b: (15.0 + b, 15.4 + b + b / 10) for b in range(1, 7)}, pair)
    read = readings(tmp_path, lines, systems=pair)
    one = compare(read, "dm_yield", baseline="plough", design=blocks(6, pair, "pairs"), leave_out=False)
    (difference,) = dealt(one).differences
    assert difference.p == difference.smallest == dealt(one).terms[0].p == 2 / 2**6
    assert difference.alone is not None
    assert difference.alone.p == difference.p


def test_what_was_not_drawn_is_not_dealt_out(tmp_path: Path) -> None:
    read = readings(tmp_path, lines_of())
    for design in (None, replace(blocks(), kind="strips"), replace(blocks(), restrictions=Restrictions(order=SYSTEMS))):
        one = compare(read, "dm_yield", baseline="plough", design=design, leave_out=False)
        assert not dealt(one).terms
        assert not dealt(one).differences
        assert dealt(one).told == (
            "Not tried: nothing shows that the order was drawn, and only what was drawn by lot can be dealt out again.",
        )
        assert "Not tried" in compare_text(one)


def test_what_was_only_looked_at_has_no_guards(tmp_path: Path) -> None:
    read = readings(tmp_path, lines_of({1: (15.8, 15.2, 15.9)}))
    one = compare(read, "dm_yield", baseline="plough", leave_out=False)
    assert (one.shuffling, one.otherwise, one.second) == (None, None, None)
    assert list(guard_lines(one)) == []
    assert guard_blocks(one) == []


def test_a_gap_keeps_the_labels_of_its_block(tmp_path: Path) -> None:
    lines = lines_of({1: (15.8, 15.2, 15.9), 2: (16.4, "lost", 16.3), 3: (15.1, 14.3, 14.9), 4: (14.6, 14.4, 15.2)})
    one = compare(readings(tmp_path, lines), "dm_yield", baseline="plough", design=blocks(), leave_out=False)
    assert dealt(one).terms[0].layouts == 6**3 * 2
    cultivator, strip = dealt(one).differences
    assert cultivator.alone is not None
    assert strip.alone is not None
    assert (cultivator.alone.smallest, strip.alone.smallest) == (0.25, 0.125)


def test_restrictions_are_kept_and_told(tmp_path: Path) -> None:
    asked = replace(blocks(), restrictions=Restrictions(borders=True))
    one = found(tmp_path, asked, rows=False)
    assert dealt(one).terms[0].layouts == lay(asked, 9).admissible
    assert "nothing beside itself across the border of two blocks" in dealt(one).told[-1]
    lost = found(tmp_path, asked, lost=202, rows=False)
    assert 0 < dealt(lost).terms[0].layouts < dealt(one).terms[0].layouts


def test_a_file_that_breaks_its_own_restrictions_is_refused_in_words(tmp_path: Path) -> None:
    lines = lines_of()  # the same order in every block; cultivator never at an edge
    declared = replace(blocks(), restrictions=Restrictions(edge="cultivator"))
    one = compare(readings(tmp_path, lines), "dm_yield", baseline="plough", design=declared, leave_out=False)
    assert not dealt(one).terms
    assert (
        "system: not tried: the file does not lie as declared (at the edge of every block: cultivator)."
        in dealt(one).told
    )


def test_a_square_is_dealt_out_as_a_whole(tmp_path: Path) -> None:
    systems = ("plough", "cultivator", "strip", "injector")
    asked = Asked("Latin square", (Factor("system", systems),), 4)
    rng = np.random.default_rng(3)
    lines = [
        f"{p.number};{p.row};{p.column};{p.labels[0]};{15 + p.row / 2 + rng.normal(0, 0.3):.2f}"
        for p in lay(asked, 2).rows
    ]
    read = readings(tmp_path, lines, "plot;row;column;system;dm_yield [t/ha]", systems)
    one = compare(read, "dm_yield", baseline="plough", design=asked, leave_out=False)
    assert dealt(one).terms[0].layouts == 24
    assert all(d.alone is None and d.p >= 1 / 24 / 6 for d in dealt(one).differences)
    assert any("in a square two systems hardly ever can change places" in text for text in dealt(one).told)
    gap = compare(
        readings(tmp_path, [lines[0].rsplit(";", 1)[0] + ";lost", *lines[1:]], "plot;row;column;system;dm_yield [t/ha]", systems),
        "dm_yield", baseline="plough", design=asked, leave_out=False,
    )  # fmt: skip
    assert dealt(gap).told == ("system: not tried: not every plot of the square has a reading.",)


def test_whole_plots_are_dealt_out_with_their_parts_and_parts_inside_them(tmp_path: Path) -> None:
    split, cross = (crossed(tmp_path, kind, kind, ("plot",)) for kind in ("split plots", "criss-cross"))
    assert [(t.of, t.layouts) for t in dealt(split).terms] == [("system", 216), ("manure", 2**11)]
    assert [(t.of, t.layouts) for t in dealt(cross).terms] == [("system", 216), ("manure", 2**3)]
    assert dealt(split).terms[0].p == dealt(cross).terms[0].p


def test_several_fields_are_refused_in_words(tmp_path: Path) -> None:
    lines = [f"{line};{site}" for site in ("north", "south") for line in lines_of()]
    read = readings(tmp_path, lines, "plot;block;system;dm_yield [t/ha];site")
    one = compare(read, "dm_yield", baseline="plough", design=blocks(), leave_out=False)
    assert dealt(one).told == ("Not tried: several fields or years, of which each was drawn for itself.",)


# --- another layout than declared --------------------------------------------------------------------------------------


@pytest.mark.parametrize("columns", [("row", "column"), ("plot",)])
def test_strips_run_across_under_the_label_of_split_plots(tmp_path: Path, columns: tuple[str, ...]) -> None:
    one = crossed(tmp_path, "split plots", "criss-cross", columns)
    assert one.layout == "split plots"  # the finding stays
    assert one.otherwise is not None
    assert one.otherwise.lies == "criss-cross"
    assert "once in 256 layouts" in one.otherwise.why
    assert len(one.otherwise.differences) == len(one.differences)
    said = text_of(one)
    assert "The plan declares split plots, but in every block manure lies in one order" in said
    assert "manure 6.05 9 0.036 2.28 3 0.23" in said


def test_parts_shuffled_under_the_label_of_criss_cross(tmp_path: Path) -> None:
    one = crossed(tmp_path, "criss-cross", "split plots", ("plot",))
    assert one.otherwise is not None
    assert one.otherwise.lies == "split plots"
    assert "manure 2.28 3 0.23 6.05 9 0.036" in text_of(one)


@pytest.mark.parametrize("kind", ["split plots", "criss-cross"])
def test_what_lies_as_declared_is_not_doubted(tmp_path: Path, kind: str) -> None:
    one = crossed(tmp_path, kind, kind, ("plot",))
    assert one.otherwise is None
    assert not any("scatter together" in text for text in one.warnings)


def test_split_plots_are_seldom_taken_for_strips() -> None:
    laid = [lay(nested("split plots"), seed) for seed in range(300)]
    alike = sum(
        all(
            len(
                {tuple(p.labels[1] for p in one.rows if (p.block, p.column) == (block, column)) for column in (1, 2, 3)}
            )
            == 1
            for block in range(1, 5)
        )
        for one in laid
    )
    assert alike <= 6  # expected 300 / 256


def test_without_places_a_scatter_of_strips_is_a_remark_and_no_verdict(tmp_path: Path) -> None:
    one = crossed(tmp_path, "split plots", "criss-cross", ())
    assert one.otherwise is None
    (remark,) = [text for text in one.warnings if "scatter together" in text]
    assert "15.1 times as much" in remark
    assert "F on 3 and 6 degrees of freedom, chance 0.0033" in remark
    assert remark.endswith("this sign alone decides nothing")


# --- neighbours as alike -----------------------------------------------------------------------------------------------


def test_a_second_opinion_stands_beside_and_changes_nothing(tmp_path: Path) -> None:
    one = found(tmp_path, blocks())
    read = readings(
        tmp_path, [";".join(line.split(";")[:2] + line.split(";")[4:]) for line in placed(lay(blocks(), 9))]
    )
    bare = compare(read, "dm_yield", baseline="plough", design=blocks(), leave_out=False)
    assert bare.second is None
    assert str((one.differences, one.means, one.pairs)) == str((bare.differences, bare.means, bare.pairs))
    assert one.tests == bare.tests
    assert one.second is not None
    assert one.second.systems == ("cultivator", "strip")
    assert one.second.opinions[0].name == "neighbours alike"
    for opinion in one.second.opinions:  # same direction as the finding's own
        for theirs, own in zip(opinion.differences, one.differences, strict=True):
            assert theirs == pytest.approx(own.difference, abs=3 * own.se)
    said = text_of(one)
    assert "Second opinion: neighbours taken as alike (differences from plough, t/ha)" in said
    assert "it is a sensitivity and no finding" in said


def test_names_of_systems_do_not_turn_a_difference_round(tmp_path: Path) -> None:
    one = found(tmp_path, blocks())
    read = readings(tmp_path, placed(lay(blocks(), 9)), "plot;block;row;column;system;dm_yield [t/ha]")
    other = compare(read, "dm_yield", baseline="cultivator", design=blocks(), leave_out=False)
    assert one.second is not None
    assert other.second is not None
    for a, b in zip(one.second.opinions, other.second.opinions, strict=True):
        assert a.differences[0] == pytest.approx(-b.differences[other.second.systems.index("plough")])


def test_few_plots_have_no_second_opinion(tmp_path: Path) -> None:
    assert found(tmp_path, blocks(3)).second is None
    assert found(tmp_path, blocks(4), lost=101).second is None


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda cells: [*cells[:2], "1", *cells[3:]], "Neighbours could not be taken as alike"),
        (
            lambda cells: [*cells[:2], f"row {cells[2]}", *cells[3:]],
            "Not tried: rows and columns are no whole numbers.",
        ),
    ],
)
def test_places_that_cannot_be_are_told_in_a_sentence(tmp_path: Path, change, said: str) -> None:  # type: ignore[no-untyped-def]
    lines = [";".join(change(line.split(";"))) for line in placed(lay(blocks(), 9))]
    read = readings(tmp_path, lines, "plot;block;row;column;system;dm_yield [t/ha]")
    one = compare(read, "dm_yield", baseline="plough", design=blocks(), leave_out=False)
    assert one.second is not None
    assert not one.second.opinions
    assert said in one.second.sentence
    assert said in text_of(one)


# --- how it is said ----------------------------------------------------------------------------------------------------


def test_text_and_page_hold_all_three(tmp_path: Path) -> None:
    one = crossed(tmp_path, "split plots", "criss-cross")
    text = compare_text(one)
    assert max(map(len, text.splitlines())) <= 100
    assert text.isascii()
    titles = (
        "What the drawing alone bears out",
        "Another layout than declared?",
        "Second opinion: neighbours taken as alike",
    )
    said = str(guard_blocks(one))
    for title in titles:
        assert title in text
        assert title in said
    about = json.loads(compare_json([one], {}, (), invented=True))["findings"][0]
    assert about["shuffling"]["terms"][0]["layouts"] == 216
    assert about["otherwise"]["tests"][1]["f"] == pytest.approx(2.28304, abs=1e-5)
    assert about["second"]["opinions"][0]["name"] == "neighbours alike"
