"""The pages keep up with the code: commands, options, keys, figures, tables, names, decisions, the worked pass."""

from __future__ import annotations

import importlib
import inspect
import re
import sys
from dataclasses import fields
from fnmatch import fnmatch
from importlib.resources import files
from pathlib import Path
from types import ModuleType

import click
import pytest
import typer.main

from spadework.app.cli import app
from spadework.estimate import Estimate, estimate
from spadework.plan import Plan, read
from spadework.reference import STANDINGS, load, table_names
from spadework.working import equations

DOCS = Path(__file__).parents[2] / "docs"
PAGES = sorted(p for p in DOCS.rglob("*.md") if not {"_build", "api"} & set(p.relative_to(DOCS).parts))
JOBS = "\n".join(p.read_text("utf-8") for p in sorted((DOCS / "jobs").glob("*.md")))
JOBS += (DOCS / "index.md").read_text("utf-8")


@pytest.fixture(scope="module")
def made() -> ModuleType:
    """The module that writes parts of the pages from the code."""
    sys.path.insert(0, str(DOCS / "_ext"))
    try:
        return importlib.import_module("from_the_code")
    finally:
        sys.path.pop(0)


@pytest.fixture(scope="module")
def demo() -> Estimate:
    return estimate(read(Path(str(files("spadework.demo"))) / "plan.toml"), draws=1)


def page(name: str) -> str:
    return (DOCS / name).read_text("utf-8")


def rows(text: str, heading: str) -> list[list[str]]:
    """Return the cells of the first table under a heading."""
    part = text.split(f"## {heading}\n", 1)[1]
    lines = re.search(r"(?:^\|.*\n)+", part, re.M)
    assert lines is not None
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[0].splitlines()[2:]]


def commands() -> dict[str, click.Command]:
    group = typer.main.get_command(app)
    return {"": group, **group.commands}  # type: ignore[attr-defined]


def test_every_command_and_option_is_described() -> None:
    for name, command in commands().items():
        assert f"spadework {name}".strip() in JOBS
        for parameter in command.params:
            for option in parameter.opts:
                if option.startswith("-") and option != "--help":
                    assert re.search(rf"`(?:spadework )?{option}\b", JOBS), f"{name} {option} is described nowhere"


def test_options_stand_on_the_page_of_their_command() -> None:
    for name in ("estimate", "report"):
        text = page(f"jobs/{name}.md")
        for parameter in commands()[name].params:
            for option in parameter.opts:
                assert not option.startswith("--") or option in text


def test_every_key_of_a_plan_has_its_place_and_meaning(made: ModuleType) -> None:
    text = page("jobs/plan.md")
    reached = set()
    waiting = [Plan]
    while waiting:
        model = waiting.pop()
        reached.add(model)
        for field in model.model_fields.values():
            for one in (field.annotation, *getattr(field.annotation, "__args__", ())):
                waiting += [one] if hasattr(one, "model_fields") and one not in reached else []
    assert reached == set(made.PARTS.values())
    for part, model in made.PARTS.items():
        assert f"```{{plan-keys}} {part}\n" in text
        written = {line.split("|")[1].strip(): line.split("|") for line in made.plan_keys(part).splitlines()[2:]}
        assert set(written) == {f"`{field.alias or name}`" for name, field in model.model_fields.items()}
        for cells in written.values():
            assert len(cells[2].strip()) > 4
            assert cells[3].strip()


def test_meanings_are_said_once_and_for_keys_that_exist(made: ModuleType) -> None:
    for said in made.MEANING:
        part, key = said.split(".")
        fields = {field.alias or name: field for name, field in made.PARTS[part].model_fields.items()}
        assert key in fields
        assert not fields[key].description, f"{said} is described by its model; take it out of MEANING"


def test_examples_of_keys_are_read(made: ModuleType) -> None:
    assert '`"6.4 ha"`' in made.plan_keys("field")
    assert "list of names" in made.plan_keys("pass")
    assert "US gal/ac" in made.plan_keys("slurry")


def test_every_word_of_a_closed_list_is_shown(made: ModuleType) -> None:
    text = page("jobs/plan.md")
    for table in ("machine_kinds", "slurry_kinds", "texture_class"):
        assert f"```{{words}} {table}\n" in text
        for row in load(table).values():
            assert f"- {row.label}\n" in made.words(table) + "\n"


def test_every_table_and_standing_is_listed(made: ModuleType) -> None:
    text = page("jobs/sources.md")
    assert "```{tables}\n" in text
    assert "```{standings}\n" in text
    for name in table_names():
        assert f"| `{name}` |" in made.tables()
    for standing in STANDINGS:
        assert f"| {standing} |" in made.standings()


def test_every_figure_is_listed(made: ModuleType, demo: Estimate) -> None:
    assert "```{figures}\n" in page("nomenclature.md")
    listed = set(re.findall(r"^\| `(\w+)` \|", made.figures(), re.M))
    assert set(demo.sheet.figures) <= listed
    assert {"slurry_price_mass", "p2o5_per_p", "k2o_per_k", "nh4_per_nh4_n"} <= listed
    assert listed == set(made.known_figures())


def endings() -> dict[str, str]:
    return {cells[0].strip("`"): cells[1] for cells in rows(page("nomenclature.md"), "Endings of arguments")}


def bare_names() -> dict[str, str]:
    return {cells[0].strip("`"): cells[1] for cells in rows(page("nomenclature.md"), "Arguments without an ending")}


def arguments() -> list[tuple[str, str, str]]:
    """Return function, argument and the unit in its docstring, for every function with a formula.

    What a function takes as one thing with several parts counts by its parts.
    """
    found = []
    for function, equation in equations().items():
        if not function.__module__.startswith("spadework.science."):
            continue
        named = {function: set(inspect.signature(function).parameters) - set(equation.takes)}
        named |= {kind: {part.name for part in fields(kind)} for kind in equation.takes.values()}
        for thing, names in named.items():
            text = inspect.getdoc(thing) or ""
            for name in sorted(names):
                said = re.search(rf"^(?:\w+, )*{name}(?:, \w+)* : .*\n((?:    .*\n)+)", text, re.M)
                assert said is not None, f"{thing.__name__} does not describe {name}"
                unit = re.search(r"\[([^\]]*)\]", said[1])
                found.append((thing.__name__, name, unit[1] if unit else ""))
    return found


def test_every_argument_has_a_listed_name_and_its_unit(made: ModuleType) -> None:
    for name in made.modules():
        importlib.import_module(name)
    known, bare = endings(), bare_names()
    wrong = []
    for function, name, said in arguments():
        fits = sorted((end for end in known if name.endswith(end) or name == end.strip("_")), key=len)
        if name in bare:
            ours = bare[name]
        elif fits:
            ours = known[fits[-1]]
        else:
            wrong.append(f"{function}: {name} [{said}] stands in no table")
            continue
        plain = re.sub(r"kg N\b", "kg", said).removesuffix(" N").replace("1/day", "1/d")
        if ours.startswith("any") or (said == "" and ours == "1"):
            continue
        if plain != ours.replace("1/day", "1/d"):
            wrong.append(f"{function}: {name} is [{said}], the page says {ours}")
    assert not wrong, "\n".join(wrong)


def test_names_on_the_page_are_in_use(made: ModuleType) -> None:
    for name in made.modules():
        importlib.import_module(name)
    used = {name for _, name, _ in arguments()}
    assert not set(bare_names()) - used
    for end in endings():
        assert any(name.endswith(end) for name in used), f"no argument ends in {end}"


def test_every_decision_and_page_is_linked() -> None:
    linked: set[str] = set()
    for path in PAGES:
        for block in re.findall(r"```\{toctree\}\n(.*?)```", path.read_text("utf-8"), re.S):
            for line in block.splitlines():
                if line.strip() and not line.startswith(":"):
                    linked.add((path.parent / line.strip()).relative_to(DOCS).as_posix())
    for path in PAGES:
        name = path.relative_to(DOCS).with_suffix("").as_posix()
        assert name == "index" or any(fnmatch(name, pattern) for pattern in linked), f"{name} is linked nowhere"
    assert any(p.parent.name == "decisions" for p in PAGES)


def test_links_between_pages_lead_somewhere() -> None:
    for path in PAGES:
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", path.read_text("utf-8")):
            assert (path.parent / target).exists(), f"{path.name} links to {target}"


def test_no_page_names_an_address_or_a_path_of_a_machine() -> None:
    for path in PAGES:
        found = re.findall(
            r"https?://\S+|\bpypi\b|\bwww\.\S+|(?<![\w.])/(?:home|work|tmp|usr)/\S+", path.read_text("utf-8"), re.I
        )
        assert not found, f"{path.name}: {found}"


def test_modules_named_in_the_house_exist(made: ModuleType) -> None:
    text = page("rooms.md")
    rooms = [cells[0].strip("`") for cells in rows(text.replace("# The house", "## The house", 1), "The house")]
    assert rooms == [f"spadework.{room}" for room in made.ROOMS]
    folder = Path(str(files("spadework")))
    for room in made.ROOMS:
        assert (folder / room).is_dir() or (folder / f"{room}.py").is_file()
    named = re.search(r"order is that of the sums:\n\n(.*?)\n\n", text, re.S)
    assert named is not None
    modules = {word for line in named[1].splitlines()[2:] for word in re.findall(r"`([\w/]+)`", line.split("|")[1])}
    estimate = folder / "estimate"
    present = {
        p.relative_to(estimate).with_suffix("").as_posix() for p in estimate.rglob("*.py") if p.stem != "__init__"
    }
    assert modules | {"result", "run"} == present


def test_folders_named_in_the_house_are_all_there_are() -> None:
    folder = Path(str(files("spadework")))
    named = re.search(r"\| room \| its folders \|\n(.*?)\n\n", page("rooms.md"), re.S)
    assert named is not None
    for line in named[1].splitlines()[1:]:
        room, *inside = re.findall(r"`([\w/]+)`", line)
        found = {p.name for p in (folder / room).iterdir() if (p / "__init__.py").is_file()}
        assert set(inside) == found, room


def test_the_api_lists_every_public_module(made: ModuleType) -> None:
    text = made.api_page()
    assert "\n   spadework.science.machinery.pull.fuel\n" in text
    assert text.count("\n   spadework.") == len(made.modules())


WORKED_BY_HAND = [
    ("how/machines.md", "One pass by hand", "plough", "plough, 5 furrows"),
    ("jobs/match.md", "The same by the tool", "strip", "strip tiller, 8 rows"),
]


@pytest.mark.parametrize(("name", "heading", "system", "worked"), WORKED_BY_HAND)
def test_the_pass_worked_by_hand_is_what_the_tool_says(
    demo: Estimate, name: str, heading: str, system: str, worked: str
) -> None:
    table = rows(page(name), heading)
    assert len(table) > 10
    number = demo.systems.index(system)
    for name, value, unit in table:
        figure = name.strip("`")
        place = demo.labels(figure, number).index(worked)
        decimals = len(value.partition(".")[2])
        ours = demo.rows(figure, number)[place].mid
        assert demo.sheet.figures[figure].unit == unit
        assert abs(ours - float(value)) <= 0.5 * 10**-decimals * (1 + 1e-9), (
            f"{figure}: by hand {value}, by the tool {ours}"
        )


NUMBERS_IN_WORDS = [  # page, what it says, figure, system, factor, decimals
    ("slurry.md", "mean is (1 + 5.89)/2 = 3.44 h", "delay", "plough", 1, 2, 3.44),
    ("slurry.md", "mean 1.32 h", "delay", "cultivator", 1, 2, 1.32),
    ("slurry.md", "15.1 and 18.0 %", "loss_share", "plough", 100, 1, 15.1),
    ("slurry.md", "15.1 and 18.0 %", "loss_share", "cultivator", 100, 1, 18.0),
    ("band.md", "make 2.21 L/m", "row_litres", "strip", 1, 2, 2.21),
    ("band.md", "19.8 % fillable", "fillable", "strip", 100, 1, 19.8),
    ("band.md", "rise 2.3 cm", "rise", "strip", 1, 1, 2.3),
    ("band.md", "centre 18.3 cm", "band_centre", "strip", 1, 1, 18.3),
    ("band.md", "top 12.4 cm", "band_top", "strip", 1, 1, 12.4),
    ("band.md", "a gap of 7.4 cm", "gap", "strip", 1, 1, 7.4),
    ("residue.md", "tilled 42 % over the field", "cover", "strip", 100, 0, 42),
    ("residue.md", "planter 5 % in the strip", "cover_strip", "strip", 100, 0, 5),
    ("residue.md", "60 % between strips", "cover_between", "strip", 100, 0, 60),
    ("residue.md", "planter 2 % are left", "cover", "plough", 100, 0, 2),
]


@pytest.mark.parametrize(("name", "words", "figure", "system", "factor", "decimals", "value"), NUMBERS_IN_WORDS)
def test_numbers_of_the_demo_in_the_text(
    demo: Estimate, name: str, words: str, figure: str, system: str, factor: float, decimals: int, value: float
) -> None:
    assert words in " ".join(page(f"how/{name}").split())
    assert round(factor * demo.spread(figure, demo.systems.index(system)).mid, decimals) == value
