"""Workings read like worked examples: what is printed multiplies out, every step leans on earlier ones."""

from __future__ import annotations

import math
import re
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, Working, estimate, lines_of, working, working_text
from spadework.estimate.typeset import evaluate, figure, fitting, in_numbers
from spadework.estimate.workings import explain
from spadework.plan import Fault, PlanFaults, read_text
from spadework.present.wording import MAIN
from spadework.working import Summed, Worked

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)
NARROW = "\N{NARROW NO-BREAK SPACE}"
SIGNS = {"×": "*", "÷": "/", "−": "-", "²": "**2", "³": "**3", "^": "**", NARROW: ""}
WORDS = {
    "exp": math.exp,
    "log": math.log,
    "sqrt": math.sqrt,
    "ceil": math.ceil,
    "floor": math.floor,
    "minimum": min,
    "maximum": max,
    "abs": abs,
    "pi": math.pi,
    "where": lambda condition, yes, no: yes if condition else no,
}


@cache
def demo(draws: int = 200, text: str = DEMO) -> Estimate:
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


@cache
def text_of(name: str, system: int) -> str:
    return working_text(demo(), name, system)


def plain(printed: str) -> str:
    for sign, python in SIGNS.items():
        printed = printed.replace(sign, python)
    return printed


def by_hand(printed: str) -> float:
    """Evaluate a printed line as one would with a pocket calculator: its numbers, signs and brackets, no units."""
    bare = re.sub(r"(?<=\d) [A-Za-z%][^\s()*,;]*", "", plain(printed))
    return float(eval(bare, {"__builtins__": {}}, dict(WORDS)))  # noqa: S307 (arithmetic that we printed ourselves)


def held(printed: str) -> float:
    found = re.match(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", plain(printed))
    assert found, printed
    return float(found[0])


def rounding(result: float) -> float:
    """Half a unit of the fourth significant digit, of the last whole digit where the number is longer."""
    return 0.5 * 10.0 ** min(math.floor(math.log10(abs(result))) - 3, 0) * (1 + 1e-6) if result else 1e-9


def multiplies_out(numbers: str, result: str) -> None:
    theirs, ours = held(result), by_hand(numbers)
    assert abs(ours - theirs) <= rounding(theirs), f"{numbers} = {ours}, printed {result}"


def joined(block: str) -> list[str]:
    """Return the printed lines of a step with their continuations."""
    return re.sub(r"\n {7,}", " ", block).strip().split("\n     ")


def steps_in(text: str) -> dict[int, list[str]]:
    worked = text.partition("Worked, on the middle of every input\n")[2].partition("\nAnswer\n")[0]
    parts = re.split(r"^  (\d+)\. ", worked, flags=re.MULTILINE)[1:]
    return {int(number): joined(block) for number, block in zip(parts[::2], parts[1::2], strict=True)}


def sums_in(step: list[str]) -> list[tuple[str, str]]:
    """Return the printed sums of a step, each with its printed result."""
    found = []
    for entry, after in zip(step, [*step[1:], ""], strict=True):
        if entry.startswith("= ") and after.startswith("= "):
            found.append((entry[2:], after[2:]))
        elif " = " in entry and not entry.startswith("= "):
            left, _, result = entry.rpartition(" = ")
            numbers = left.rpartition(": ")[2].rpartition(" = ")[2]
            if re.match(rf"[-−(]*(\d|(?:{'|'.join(WORDS)})\()", numbers):
                found.append((numbers, result))
    return found


MAIN_HERE = [(m.name, s) for m in MAIN for s in range(4) if demo().has(m.name, s)]


def test_every_printed_line_of_every_figure_multiplies_out() -> None:
    found = demo()
    checked = 0
    for name, about in found.sheet.figures.items():
        in_words = isinstance(about.origin, Worked) and about.origin.equation.in_words
        for system in range(4):
            for line in lines_of(found, name, system):
                if isinstance(about.origin, Worked | Summed) and not in_words:
                    assert line.numbers, name
                if line.numbers:
                    multiplies_out(line.numbers, line.result)
                    checked += 1
    assert checked > 500


@pytest.mark.parametrize(("name", "system"), MAIN_HERE)
def test_every_step_of_a_printed_example_multiplies_out(name: str, system: int) -> None:
    steps = steps_in(text_of(name, system))
    said = working(demo(), name, system).steps
    assert list(steps) == [step.number for step in said]
    for step in said:
        sums = sums_in(steps[step.number])
        assert len(sums) == sum(bool(line.numbers) for line in step.lines), steps[step.number]
        for numbers, result in sums:
            multiplies_out(numbers, result)


def test_the_test_notices_a_wrong_digit() -> None:
    multiplies_out("0.7 × (652 + 5.1 × (7 km/h)²) × 2 × 23", f"29{NARROW}041 N")
    with pytest.raises(AssertionError):
        multiplies_out("0.7 × (652 + 5.1 × (7 km/h)²) × 2 × 23", f"29{NARROW}042 N")


@pytest.mark.parametrize(("name", "system"), MAIN_HERE)
def test_a_step_leans_only_on_earlier_ones_and_every_one_is_used(name: str, system: int) -> None:
    found = working(demo(), name, system)
    used: set[int] = set()
    for step in found.steps:
        said = [
            int(n)
            for text in step.inputs
            for m in re.findall(r"from steps? ([\d and]+)", text)
            for n in m.split(" and ")
        ]
        assert all(n < step.number for n in said), step
        used.update(said)
    assert used == set(range(1, len(found.steps)))


def test_parts_stand_in_order_and_lines_are_short() -> None:
    text = text_of("fuel", PLOUGH)
    assert text.startswith("Sought: diesel, for plough, in L/ha\n")
    places = [text.index(f"\n{part}") for part in ("Given", "From the tables", "Worked", "Answer")]
    assert places == sorted(places)
    assert max(map(len, text.splitlines())) <= 100


def test_given_names_what_was_written_and_where() -> None:
    text = re.sub(r"\n +", " ", text_of("lost_n", PLOUGH))
    assert re.search(
        r'= 1\.9 kg/t NH4-N, written "1\.9 \+/- 0\.2 kg NH4-N/t"  ?\[slurry, ammoniacal_n, line \d+\]', text
    )
    assert re.search(r"loss if broadcast and left lying, of ammoniacal N = 0\.55, range [\d.]+ to [\d.]+ ", text)
    assert "table ammonia_reference, row dairy_cattle, loss_share" in text


def test_only_passes_of_the_system_are_shown() -> None:
    text = text_of("cost", STRIP)
    assert "strip tiller, 8 rows" in text
    for machine in ("plough, 5 furrows", "cultivator, 3 m", "mixing injector"):
        assert machine not in text


def test_a_sum_names_its_parts() -> None:
    found = working(demo(), "passes_fuel", PLOUGH)
    last = found.steps[-1]
    assert last.formula == " + ".join(demo().labels("pass_fuel", PLOUGH))
    parts = [row.mid for row in explain.middle(demo()).rows("pass_fuel", PLOUGH)]
    np.testing.assert_allclose([held(part) for part in last.lines[0].numbers.split(" + ")], parts, rtol=6e-4)


def test_a_formula_in_words_prints_its_sentence_and_what_went_in() -> None:
    text = re.sub(r"\n +", " ", text_of("gap", STRIP))
    assert "tine width times depth, plus depth squared times the tangent of the spread angle = " in text
    assert "spread_angle_deg = 45 deg: " in text


def test_the_answer_tells_middle_and_median_apart() -> None:
    found, middle = demo(), demo(draws=1)
    for name, system in MAIN_HERE:
        (answer,) = working(found, name, system).answers
        assert held(answer.partition(" = ")[2]) == pytest.approx(middle.spread(name, system).mid, rel=6e-4)
        said = re.search(r"the median is ([\d. \u202f]+)", answer)
        if said:
            assert held(said[1]) == pytest.approx(found.spread(name, system).mid, rel=6e-3)
        else:
            assert found.spread(name, system).mid == pytest.approx(middle.spread(name, system).mid, rel=6e-3)
    assert "over 200 draws (seed 1)" in working(found, "cost", PLOUGH).answers[0]


def test_a_single_draw_is_its_own_middle() -> None:
    single = demo(draws=1)
    assert explain.middle(single) is single
    assert "draws" not in working_text(single, "cost", PLOUGH)
    assert explain.middle(demo()) is explain.middle(demo())


def test_where_the_middles_cannot_be_a_draw_stands_in(monkeypatch: pytest.MonkeyPatch) -> None:
    def cannot(*_: object) -> Estimate:
        raise PlanFaults([Fault("", "the band would reach up to the seed")], "plan.toml")

    monkeypatch.setattr(explain, "run", cannot)
    found = estimate(demo().read, draws=51)
    shown = working(found, "cost", PLOUGH)
    assert held(shown.answers[0].partition(" = ")[2]) == pytest.approx(found.spread("cost", PLOUGH).mid, rel=6e-4)
    for step in shown.steps:
        for line in step.lines:
            if line.numbers:
                multiplies_out(line.numbers, line.result)


def test_what_was_not_worked_is_shown_too() -> None:
    given: Working = working(demo(), "diesel_price", PLOUGH)
    assert not given.steps
    assert [datum.said for datum in given.given] == ["1.05 +/- 0.10 EUR/L"]
    looked = working(demo(), "reference_loss", PLOUGH)
    assert not looked.given
    assert looked.tables[0].source


def test_rows_of_one_formula_share_a_step() -> None:
    found = working(demo(), "pass_fuel", PLOUGH)
    assert len(found.answers) == 4
    slip = next(step for step in found.steps if step.label == "slip")
    assert [line.label for line in slip.lines] == [
        "hose boom, 15 m",
        "plough, 5 furrows",
        "seedbed combination, 5 m",
        "planter, 8 rows",
    ]


def test_figures_are_in_the_currency_of_the_plan() -> None:
    crowns = demo(text=DEMO.replace("EUR", "DKK"))
    text = working_text(crowns, "cost", PLOUGH)
    assert "in DKK/ha" in text
    assert not re.search(r"\d EUR|EUR/", text)


def test_unknown_figure_names_the_nearest() -> None:
    with pytest.raises(KeyError, match='did you mean "fuel"'):
        working(demo(), "feul", PLOUGH)


def test_numbers_get_the_digits_that_a_difference_needs() -> None:
    assert fitting([2.5, 1.25], [4, 4], lambda v: v[0] * v[1], 3.125) == ("2.5", "1.25")
    near = fitting([1000.4321, 1000.1234], [4, 4], lambda v: v[0] - v[1], 1000.4321 - 1000.1234)
    assert float(near[0]) - float(near[1]) == pytest.approx(0.3087, abs=5e-5)
    assert fitting([0.00001, 1.0], [4, 4], lambda v: v[1] / (v[0] - v[0]), 1.0)


def test_units_stand_where_they_can_be_read() -> None:
    assert in_numbers("a**2 * b", {"a": "7", "b": "−2"}, {"a": "km/h", "b": "t"}) == "(7 km/h)² × (−2 t)"
    assert in_numbers("a * b", {"a": "7", "b": "2"}, {"a": "N per unit and cm", "b": "t"}) == "7 × 2"
    assert in_numbers("(1 + i)**years / 10000", {"i": "0.04", "years": "10"}, {"years": "year"}) == (
        f"(1 + 0.04)^10 ÷ 10{NARROW}000"
    )


def test_numbers_are_short_but_keep_their_whole_digits() -> None:
    assert [figure(v) for v in (0.0, 38709.44, -0.123456, 2.5)] == ["0", f"38{NARROW}709", "−0.1235", "2.5"]


def test_formulas_are_evaluated_as_arithmetic_only() -> None:
    assert evaluate("where(a <= 4, -a, +a)", {"a": 3.0}) == -3.0
    assert evaluate("where(a < 4, 0, 1) + where(a > 4, 0, 1) + where(a >= 5, 0, 1)", {"a": 5.0}) == 1.0
    with pytest.raises(TypeError, match="a formula cannot hold"):
        evaluate("[1]", {})
    with pytest.raises(KeyError):
        evaluate("open(1)", {})
