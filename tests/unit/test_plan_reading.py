"""A plan file is read, or refused in words: never half, never with an error from underneath."""

from __future__ import annotations

import copy
import datetime as dt
import os
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.faulty import DEMO
from plans.write import toml_of
from spadework.estimate import estimate
from spadework.plan import (
    Band,
    BandTarget,
    Contractor,
    Design,
    DesignFactor,
    Farm,
    Limit,
    Machine,
    Pass,
    Plan,
    PlanFaults,
    Read,
    Steering,
    Supply,
    System,
    Tractor,
    read,
    read_text,
)
from spadework.plan.kinds import MACHINE_KINDS, SLURRY_KINDS, TEXTURES

FOLDER = Path(str(files("spadework.demo")))
TEMPLATE = (files("spadework.plan") / "template.toml").read_text("utf-8")
_STRANGE: tuple[Any, ...] = (
    *(True, 0, -1, 8, 10**30, 1.5, float("nan"), float("inf"), "", " ", "x", "22 cm", "30 t/ha", "5 %"),
    *([], [[]], ["slurry"], ["seed", "seed"], {}, {"a": 1}, [{}], [{"name": "x"}], "tanker, 16 m3", "plough", "strip"),
    *(dt.date(2026, 3, 1), dt.datetime(2026, 3, 1, 9), dt.time(9), "\u202e", "\x00", "a" * 5_000, "1e400 t/ha"),
)


def refused(path: Path) -> str:
    with pytest.raises(PlanFaults) as caught:
        read(path)
    return str(caught.value)


def test_values_come_in_their_canonical_units_with_what_was_written() -> None:
    plan = read_text(DEMO.replace('"75 cm"', '"30 in"').replace('"30 t/ha"', '"3200 US gal/ac"'), folder=FOLDER).plan
    assert plan.crop.row_spacing.value == pytest.approx(76.2)
    assert plan.crop.row_spacing.text == "30 in"
    assert plan.slurry.dose.unit == "m3/ha"
    assert plan.slurry.dose.value == pytest.approx(3200 * 0.003785411784 / 0.40468564224)
    assert plan.slurry.phosphorus.substance == "P2O5"
    assert plan.prices.date == dt.date(2026, 3, 1)
    assert plan.weather.start is not None
    assert plan.weather.start.utcoffset() == dt.timedelta(hours=2)
    assert plan.machines[0].kind == "mouldboard_plough"
    assert [len(system.passes) for system in plan.systems] == [4, 4, 2, 3]


def test_a_plan_knows_where_its_keys_stand() -> None:
    found = read_text(DEMO, "demo.toml", FOLDER)
    lines = DEMO.splitlines()
    for path, words in (
        (("field", "slope"), 'slope = "1 %"'),
        (("system", 2, "pass", 0, "visible_slurry"), "visible_slurry"),
        (("machine", 7, "rows"), "rows = 8"),
        (("supply", 1, "set_up"), "set_up = "),
        (("contractor", 2, "fuel"), 'fuel = "out"'),
        (("farm", "drivers"), "drivers = 2"),
    ):
        assert words in lines[found.lines[path] - 1]
    sowing = DEMO.index('machines = ["planter', DEMO.index('name = "strip"'))
    line = DEMO.count("\n", 0, DEMO.index("speed", sowing)) + 1
    assert found.place("system", 2, "pass", 1, "speed") == f"system 3, pass 2, speed, line {line}"
    assert found.fault("is odd", "system", 2, "pass", 0, "depth").key == 'system 3 "strip", pass 1, depth'
    assert (found.name, found.folder, found.text) == ("demo.toml", FOLDER, DEMO)


@pytest.mark.parametrize("ending", ["\r\n", "\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "byte order mark"])
def test_files_of_all_editors_are_read(tmp_path: Path, ending: str, mark: bytes) -> None:
    path = tmp_path / "plan.toml"
    path.write_bytes(mark + DEMO.replace("\n", ending).encode())
    found = read(path)
    assert found.plan == read_text(DEMO).plan
    assert found.lines == read_text(DEMO).lines
    assert found.folder == tmp_path


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", ("empty", "spadework new FOLDER")),
        (b" \n\n\t", ("empty",)),
        (b"\xef\xbb\xbf", ("empty",)),
        (b"\x00" * 100, ("line 1", "not TOML")),
        (DEMO.replace("(invented)", "(erfunden für alle)").encode("latin-1"), ("line 9", "not UTF-8", "save")),
        (DEMO.encode("utf-16"), ("UTF-16", "save it as UTF-8")),
        (b"PK\x03\x04\x00\xff\xfe", ("not UTF-8",)),
        (b"# nothing but a comment\n", ("10 faults", "system: is missing; write [[system]]")),
    ],
    ids=["empty", "blank", "mark only", "nil bytes", "latin-1", "UTF-16", "packed", "comment"],
)
def test_files_that_hold_no_plan_are_refused(tmp_path: Path, content: bytes, words: tuple[str, ...]) -> None:
    path = tmp_path / "plan.toml"
    path.write_bytes(content)
    said = refused(path)
    assert all(word in said for word in words), said


def test_a_file_of_a_hundred_megabytes_is_not_even_opened(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    assert "the file has 100.0 MB, a plan has less than 1 MB" in refused(path)


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    assert "is a folder; name the plan file in it" in refused(tmp_path)
    assert "there is no file" in refused(tmp_path / "plan.toml")
    assert "cannot be read" in refused(tmp_path / ("x" * 5_000))
    (tmp_path / "file").write_text("x")
    assert "cannot be read" in refused(tmp_path / "file" / "plan.toml")
    os.mkfifo(tmp_path / "pipe")
    assert "not a file that holds text" in refused(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    assert "cannot be read" in refused(tmp_path / "loop")


def test_the_template_is_a_plan_as_it_stands() -> None:
    assert TEMPLATE.startswith("#:schema ./plan.schema.json\n")
    found = read_text(TEMPLATE, "template")
    assert estimate(found, draws=50).notes == estimate(found, draws=50).notes
    words = TEMPLATE.lower()
    for model in (
        Plan,
        *(type(getattr(found.plan, part)) for part in ("field", "crop", "slurry", "weather", "prices")),
        *(
            Band,
            BandTarget,
            Steering,
            Design,
            DesignFactor,
            Farm,
            Supply,
            Contractor,
            Limit,
            Tractor,
            Machine,
            Pass,
            System,
        ),
    ):
        for name, field in model.model_fields.items():
            assert (field.alias or name) in words, name
    for word in (*MACHINE_KINDS, *SLURRY_KINDS):
        assert word.split(", ")[-1] in words, word


@pytest.mark.parametrize(
    "alternative",
    [
        ('dose = "30 t/ha"', 'dose = "3200 US gal/ac"'),
        ('dose = "30 t/ha"', 'dose = "30 m3/ha"'),
        ('power = "120 kW" ', 'engine_power = "140 kW" '),
        ('row_spacing = "75 cm"', 'row_spacing = "30 in"'),
        ('refill = "6 +/- 2 min"', 'filling = "4.5 m3/min"'),
        ('nitrogen = "1.20 +/- 0.25 EUR/kg"', 'nitrogen = "1.20 EUR/kg N"'),
        ('ammoniacal_n = "1.9 +/- 0.2 kg NH4-N/t"', 'ammoniacal_n = "2.4 kg NH4/t"'),
        ('kind = "dairy cattle"', 'kind = "Fattening  Pig"'),
    ],
    ids=lambda pair: pair[1],
)
def test_what_the_template_says_would_do_does(alternative: tuple[str, str]) -> None:
    assert alternative[0] in TEMPLATE
    estimate(read_text(TEMPLATE.replace(*alternative, 1)), draws=10)


def test_contents_of_dry_matter_come_to_the_same_as_those_of_fresh_slurry() -> None:
    fresh = TEMPLATE.replace("7 +/- 0.5 %", "10 %").replace("3.6 +/- 0.3 kg", "4 kg").replace("1.9 +/- 0.2 kg", "2 kg")
    dry = fresh.replace('basis = "fresh"', 'basis = "dry"').replace('"4 kg N/t"', '"40 g N/kg"')
    dry = dry.replace('"2 kg NH4-N/t"', '"2 % N"').replace('"1.4 kg P2O5/t"', '"14 kg P2O5/t"')
    dry = dry.replace('"3.8 kg K2O/t"', '"38 g K2O/kg"')
    first, second = (estimate(read_text(text), draws=1) for text in (fresh, dry))
    for name in ("total_n", "ammoniacal_n", "phosphorus", "potassium"):
        assert second.sheet[name] == pytest.approx(first.sheet[name]), name


@pytest.mark.parametrize("texture", sorted(TEXTURES))
@pytest.mark.parametrize("surface", ["hard", "firm", "tilled", "soft"])
def test_every_soil_and_surface_has_its_rows(texture: str, surface: str) -> None:
    text = TEMPLATE.replace('texture = "loam"', f'texture = "{texture}"').replace('"230 kW"', '"400 kW"')
    text = text.replace('surface = "firm"', f'surface = "{surface}"').replace('"120 kW"', '"300 kW"')
    estimate(read_text(text), draws=3)


@pytest.mark.parametrize("kind", sorted(MACHINE_KINDS))
@pytest.mark.parametrize("drive", ["two wheel drive", "tracks"])
def test_every_kind_of_machine_and_drive_has_its_rows(kind: str, drive: str) -> None:
    machine = 'rows = 4\nstrip_width = "25 cm"\ntine_width = "4 cm"\nmass = "4 t"\ntank = "4 m3"\nrefill = "5 min"'
    text = TEMPLATE.replace('kind = "seedbed combination"\nwidth = "5.0 m"', f'kind = "{kind}"\n{machine}')
    text = text.replace("120 kW", "300 kW").replace('drive = "front wheel assist"', f'drive = "{drive}"')
    estimate(read_text(text), draws=3)


def _paths(value: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    children = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [here, *(path for key, child in children for path in _paths(child, (*here, key)))]


_DOCUMENT = tomllib.loads(DEMO)
_PATHS = [path for path in _paths(_DOCUMENT) if path]


def _changed(changes: list[tuple[tuple[Any, ...], str, Any]]) -> dict[str, Any]:
    document = copy.deepcopy(_DOCUMENT)
    for path, how, value in changes:
        parent: Any = document
        for part in path[:-1]:
            try:
                parent = parent[part]
            except (KeyError, IndexError, TypeError):
                break
        else:
            try:
                if how == "drop":
                    del parent[path[-1]]
                elif how == "double" and isinstance(parent, list):
                    parent.append(parent[path[-1]])
                elif how == "swap":
                    parent[path[-1]] = _at(path if not isinstance(value, tuple) else value)
                else:
                    parent[path[-1]] = value if not isinstance(value, tuple) else ""
            except (KeyError, IndexError, TypeError):
                pass
    return document


def _at(path: tuple[Any, ...]) -> Any:
    value: Any = _DOCUMENT
    for part in path:
        value = value[part]
    return copy.deepcopy(value)


CHANGES = st.lists(
    st.tuples(
        st.sampled_from(_PATHS),
        st.sampled_from(["drop", "double", "swap", "set"]),
        st.one_of(st.sampled_from(_STRANGE), st.text(max_size=8), st.sampled_from(_PATHS)),
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=150, deadline=None)
@given(CHANGES)
def test_odd_plans_are_read_or_refused_and_nothing_else(changes: list[tuple[tuple[Any, ...], str, Any]]) -> None:
    text = toml_of(_changed(changes))
    try:
        found = read_text(text, "plan.toml", FOLDER)
        estimate(found, draws=2)
    except PlanFaults as faults:
        told = faults.faults
    else:
        assert isinstance(found, Read)
        return
    assert told
    assert all(fault.what and str(fault).isprintable() for fault in told)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, len(DEMO)), st.integers(0, 30), st.text(max_size=10))
def test_damaged_texts_are_read_or_refused_and_nothing_else(place: int, gone: int, put: str) -> None:
    text = DEMO[:place] + put + DEMO[place + gone :]
    try:
        found = read_text(text, "plan.toml", FOLDER)
    except PlanFaults as faults:
        told = str(faults)
    else:
        told = f"{found.name}: no fault"
    assert told.startswith("plan.toml: ")
