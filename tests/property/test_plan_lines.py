"""The index of lines agrees with the standard reader of TOML, whatever stands between the keys."""

from __future__ import annotations

import json
import tomllib
from typing import Any

from hypothesis import example, given
from hypothesis import strategies as st

from spadework.plan.lines import Path, line_of, lines_of_keys

BARE = st.text("abcXYZ019_-", min_size=1, max_size=6)
ODD = st.text(st.characters(min_codepoint=32, max_codepoint=0x2030, exclude_categories=["Cs", "Cc"]), max_size=6)
NAMES = st.one_of(BARE, BARE, BARE, ODD)
LONG = st.lists(st.sampled_from(["a", "\n", "[x]", "b = 1", "#", "''", '""', " ", "\u2028", "]]", "{"]), max_size=6)
COMMENTS = st.sampled_from(["", " # a = 1", ' # [x] "', " # '''", "  #}]"])


@st.composite
def values(draw: st.DrawFn, depth: int = 0) -> str:
    """Draw the text of a value, with everything in it that looks like something else."""
    plain = ["1", "-2.5", "true", "2026-03-01", "nan", '"# no comment"', "'[no] table'", r'"a\"b = 1"', '"""a""b"""']
    kinds = ["plain", "long", "literal"] + (["list", "inline"] if depth < 2 else [])
    kind = draw(st.sampled_from(kinds))
    if kind == "long":
        return '"""' + "".join(draw(LONG)).replace('"', "'") + draw(st.sampled_from(['"""', r'\""""', '"""""']))
    if kind == "literal":
        return "'''" + "".join(draw(LONG)).replace("'", '"') + draw(st.sampled_from(["'''", "''''"]))
    if kind == "list":
        entries = draw(st.lists(values(depth=depth + 1), max_size=3))
        gap = draw(st.sampled_from([", ", ",\n", ", # [\n  "]))
        return "[" + gap.join(entries) + draw(st.sampled_from(["]", "\n]"]))
    if kind == "inline":
        return "{" + ", ".join(f"k{i} = {draw(values(depth=depth + 1))}" for i in range(draw(st.integers(0, 2)))) + "}"
    return draw(st.sampled_from(plain))


@st.composite
def documents(draw: st.DrawFn) -> tuple[str, dict[Path, int]]:
    """Draw a document, and the lines on which its headers and keys were put."""
    blocks: list[str] = []
    put: list[tuple[Path, str]] = []
    counts: dict[str, int] = {}

    def key_line(here: Path, name: str) -> None:
        parts = [name, *draw(st.lists(BARE, max_size=1))]
        said = draw(st.sampled_from([".", " . "])).join(_written(draw, part) for part in parts)
        indent = draw(st.sampled_from(["", "  ", "\t"]))
        put.append(((*here, *parts), f"{indent}{said} = {draw(values())}{draw(COMMENTS)}"))

    for number in range(draw(st.integers(0, 3))):
        key_line((), f"top{number}{draw(NAMES)}")
    for number in range(draw(st.integers(0, 4))):
        name = draw(st.sampled_from(["list", "list", f"table{number}{draw(BARE)}"]))
        listed = name == "list"
        here: Path = (name, counts.setdefault(name, -1) + 1) if listed else (name,)
        counts[name] = counts.get(name, -1) + 1
        header = f"[[{name}]]" if listed else f"[ {_written(draw, name)} ]"
        put.append((here, header + draw(COMMENTS)))
        for place in range(draw(st.integers(0, 2))):
            key_line(here, f"key{place}{draw(NAMES)}")
        if listed:
            for place in range(draw(st.integers(0, 2))):
                put.append(((*here, "pass", place), "  [[list.pass]]"))
                key_line((*here, "pass", place), "deep")
    lines: dict[Path, int] = {}
    for path, text in put:
        blocks += [""] * draw(st.integers(0, 1)) + (["# [x] = 1"] if draw(st.booleans()) else [])
        lines[path] = "\n".join([*blocks, ""]).count("\n") + 1
        blocks.append(text)
    return "\n".join([*blocks, ""]), lines


def _written(draw: st.DrawFn, part: str) -> str:
    ways = [json.dumps(part, ensure_ascii=draw(st.booleans()))]
    if part and all(c.isascii() and (c.isalnum() or c in "_-") for c in part):
        ways += [part, part]
    if "'" not in part:
        ways.append(f"'{part}'")
    return draw(st.sampled_from(ways))


def at(document: Any, path: Path) -> Any:
    """Return what stands at a path, or raise."""
    for part in path:
        document = document[part]
    return document


@given(documents())
def test_every_key_is_found_where_it_was_put(drawn: tuple[str, dict[Path, int]]) -> None:
    text, put = drawn
    document = tomllib.loads(text)
    found = lines_of_keys(text)
    assert {path: found.get(path) for path in put} == put
    for path in found:
        at(document, path)  # nothing is found that is not there
    top = {path[0] for path in found}
    assert top == set(document)


@given(documents())
def test_line_ends_of_other_systems_change_nothing(drawn: tuple[str, dict[Path, int]]) -> None:
    text, put = drawn
    other = text.replace("\n", "\r\n")
    assert lines_of_keys(other) == lines_of_keys(text)
    assert {path: line_of(path, lines_of_keys(other)) for path in put} == put


@given(st.text("[]{}=.#'\"\\ \n\r\tab1-\u2028", max_size=60))
@example("[[a]]\n[[a.b]]\n[a.b.c]\n")
@example("a.b = 1\na.c = '''\nx = 1'''\n")
@example('a = """\\""""""\nb = 1')
@example("a = []\n\n[b]")
def test_whatever_the_reader_of_toml_takes_is_walked_to_its_end(text: str) -> None:
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    found = lines_of_keys(text)
    assert {path[0] for path in found} == set(document)
    for path, line in found.items():
        at(document, path)
        assert 1 <= line <= text.count("\n") + 1


def test_a_missing_key_has_the_line_of_the_nearest_table() -> None:
    lines = lines_of_keys('a = 1\n[field]\nname = "x"\n[[system]]\n\n[[system.pass]]\n')
    assert line_of(("field", "area"), lines) == 2
    assert line_of(("system", 0, "pass", 0, "depth"), lines) == 6
    assert line_of(("system", 0, "pass", 3, "depth"), lines) == 6
    assert line_of(("system",), lines) == 4
    assert line_of(("weather",), lines) is None


def test_a_long_document_is_walked_in_one_go() -> None:
    text = "".join(f'[[machine]]\nname = "m{i}"\nlist = [1, 2]\n' for i in range(20_000))
    lines = lines_of_keys(text)
    assert lines[("machine", 19_999, "list")] == 60_000
