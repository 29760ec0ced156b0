"""On which line of a TOML file a key stands.

The standard reader of TOML gives values without places.  This index walks a text that the standard reader has accepted,
statement by statement, follows its table headers and notes every key, so that a fault can name its line.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping

__all__ = ["Path", "line_of", "lines_of_keys"]

Path = tuple[str | int, ...]

_TEXT = r'"(?:\\.|[^"\\\n])*"' + r"|'[^'\n]*'"
_LONG_TEXT = r'"""(?:\\.|[^\\])*?"""' + '"{0,2}' + r"|'''.*?'''" + "'{0,2}"
_KEY_PART = re.compile(rf"[ \t]*([A-Za-z0-9_-]+|{_TEXT})[ \t]*(\.?)")
_BETWEEN = re.compile(r"(?:[ \t\r\n]|#[^\n]*)+")
_IN_VALUE = re.compile(rf"""({_LONG_TEXT}|{_TEXT}|\#[^\n]*)|([\[{{])|([\]}}])|(\n)|[^"'\#\[\]{{}}\n]+""", re.DOTALL)


def lines_of_keys(text: str) -> Mapping[Path, int]:
    r"""Return the line, counted from 1, of every table header and key of a TOML file.

    Tables that stand only in the names of others, and lists of tables as a whole, have the line where they first show.
    Keys inside braces and entries of lists are left to the key that holds them.

    Examples
    --------
    >>> lines = lines_of_keys('[field]\narea = "6 ha"\n[[system]]\n[[system.pass]]\ndepth = "20 cm"\n')
    >>> lines[("field", "area")], lines[("system", 0, "pass", 0, "depth")]
    (2, 5)
    """
    starts = [0, *(match.end() for match in re.finditer("\n", text))]
    said: dict[Path, int] = {}
    implied: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    here: Path = ()
    place = _past_blanks(text, 0)
    while place < len(text):
        line = bisect_right(starts, place)
        brackets = 2 if text.startswith("[[", place) else 1 if text[place] == "[" else 0
        parts, after = _key(text, place + brackets)
        if not parts:
            break
        if brackets:
            here = _table(parts, brackets == 2, counts, implied, line)
            said.setdefault(here, line)
            place = after + brackets
        else:
            for end in range(1, len(parts)):
                implied.setdefault((*here, *parts[:end]), line)
            said.setdefault((*here, *parts), line)
            place = _behind_value(text, after)
        place = _past_blanks(text, place)
    return {**implied, **said}


def line_of(path: Path, lines: Mapping[Path, int]) -> int | None:
    """Return the line of a key; of the nearest table around it where the key itself is missing."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


def _table(parts: Path, listed: bool, counts: dict[Path, int], implied: dict[Path, int], line: int) -> Path:
    """Return the path of the table that a header opens, with the place in each list of tables that it goes through."""
    here: Path = ()
    for i, part in enumerate(parts):
        here = (*here, part)
        if listed and i == len(parts) - 1:
            counts[here] = counts.get(here, -1) + 1
        implied.setdefault(here, line)
        if here in counts:
            here = (*here, counts[here])
    return here


def _key(text: str, place: int) -> tuple[Path, int]:
    """Read a key, dotted or not, and return its parts and where it ends."""
    parts: list[str] = []
    while match := _KEY_PART.match(text, place):
        part = match[1]
        if part[0] == '"':
            part = tomllib.loads(f"key = {part}")["key"]
        elif part[0] == "'":
            part = part[1:-1]
        parts.append(part)
        place = match.end()
        if not match[2]:
            break
    return tuple(parts), place


def _behind_value(text: str, place: int) -> int:
    """Return where the value ends whose equals sign stands at `place`."""
    depth = 0
    while match := _IN_VALUE.match(text, place):
        place = match.end()
        if match[2]:
            depth += 1
        elif match[3]:
            depth -= 1
        elif match[4] and depth <= 0:
            break
    return place


def _past_blanks(text: str, place: int) -> int:
    match = _BETWEEN.match(text, place)
    return match.end() if match else place
