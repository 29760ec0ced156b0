"""What is wrong with a value of a plan, said in the words of the trade instead of those of the readers underneath."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from spadework.plan.faults import nearest
from spadework.plan.schema.plan import Plan

__all__ = ["spoken", "what_is_wrong", "why_no_toml"]

_LISTS: Final = {
    "analysis": "analyses",
    "system": "systems",
    "pass": "passes",
    "machine": "machines",
    "tractor": "tractors",
    "limit": "limits",
    "supply": "supplies",
    "contractor": "contractors",
    "target": "targets",
    "wheels": "axles",
    "factor": "factors",
}
_INSIDE: Final = {
    "pass": "system.pass",
    "analysis": "slurry.analysis",
    "target": "band.target",
    "factor": "design.factor",
}
_LONGEST: Final = 60


def what_is_wrong(kind: str, message: str, path: Sequence[str | int], about: Mapping[str, Any], found: Any) -> str:
    """Return what is wrong with a value and what would do.

    Parameters
    ----------
    kind, message : str
        The kind of fault and the words of the reader underneath.
    path : sequence of str and int
        Key of the value.
    about : mapping
        What the reader says of the limits that were crossed.
    found : object
        What stands in the plan.
    """
    if kind == "missing":
        return "is missing" + _help(path)
    if kind == "extra_forbidden":
        return "is no key that is known here" + (nearest(str(path[-1]), _keys_at(path[:-1])) or _known(path[:-1]))
    if kind == "value_error":
        return str(about.get("error", message))
    if kind == "literal_error":
        words = about.get("expected", "").replace("' or '", "', '").replace("'", '"')
        return f"{_shown(found)} will not do; one of {words}"
    if kind in {"too_short", "too_long", "string_too_short", "string_too_long"}:
        return _size(kind, path, about)
    if kind in {"model_type", "dict_type", "model_attributes_type"}:
        key = next((part for part in reversed(path) if isinstance(part, str)), "")
        brackets = f"[[{key}]]" if isinstance(path[-1], int) else f"[{key}]"
        return f"must be a table of keys, written under {brackets}"
    if kind == "list_type":
        if path[-1] in _LISTS:
            return f"must be a list; write [[{_table_at(path)}]] above each"
        return f"must be a list; write {path[-1]} = [{_shown(found)}]"
    return f"{_shown(found)} will not do; {_would_do(kind, message, path)}"


def _table_at(path: Sequence[str | int]) -> str:
    """Return how the table of a list is written; wheels stand under tractors and under machines."""
    key = str(path[-1])
    return f"{path[0]}.{key}" if key == "wheels" else _INSIDE.get(key, key)


def _would_do(kind: str, message: str, path: Sequence[str | int]) -> str:
    start = kind.split("_", 1)[0]
    if start == "datetime":
        return "write the time as 2026-04-20T09:00:00+02:00, without quotes"
    if start == "date":
        return "write the date as 2026-03-31, without quotes"
    if start == "bool":
        return "write true or false, without quotes"
    if start == "string" and "pattern" in kind:
        return 'write three capital letters, e.g. currency = "EUR"'
    if start == "string":
        return 'write text, in double quotes: "..."'
    if start in {"int", "float", "finite", "greater", "less"}:
        schema = _schema_at(path)
        number = "a whole number" if schema.get("type") == "integer" else "a number"
        if "minimum" in schema and "maximum" in schema:
            number += f" from {schema['minimum']:g} to {schema['maximum']:g}"
        return f"write {number}, without quotes"
    return message[0].lower() + message[1:]


def _size(kind: str, path: Sequence[str | int], about: Mapping[str, Any]) -> str:
    least, most = about.get("min_length"), about.get("max_length")
    if kind == "string_too_short":
        return "is empty"
    if kind == "string_too_long":
        return f"is longer than {most} characters"
    number = about.get("actual_length")
    what = _LISTS.get(str(path[-1]), "entries" if number != 1 else "entry")
    what = what.removesuffix("es" if what == "passes" else "s") if number == 1 else what
    edge = f"at least {least} needed" if kind == "too_short" else f"no more than {most} possible"
    return f"there {'is' if number == 1 else 'are'} {number} {what}; {edge}"


def _shown(found: Any) -> str:
    if isinstance(found, dt.date | dt.time):
        return found.isoformat()
    if isinstance(found, bool):
        return str(found).lower()
    text = repr(found).replace("'", '"')
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


def _help(path: Sequence[str | int]) -> str:
    key = str(path[-1])
    field = _field_at(path)
    if field is None:
        return ""
    if key in _LISTS:
        return f"; write [[{_table_at(path)}]] and its keys under it"
    if _model_at(path) is not None:
        return f"; write [{key}] and its keys under it"
    schema = _schema_at(path)
    example = (schema.get("examples") or schema.get("enum") or [None])[0]
    about = field.description or ""
    shown = f', e.g. {key} = "{example}"' if example else ""
    return shown + (f" ({about[0].lower()}{about[1:]})" if about else "")


def _known(path: Sequence[str | int]) -> str:
    keys = _keys_at(path)
    return "; known: " + ", ".join(keys) if keys else ""


def _model_at(path: Sequence[str | int]) -> Any:
    model: Any = Plan
    for part in path:
        if isinstance(part, int):
            continue
        field = _by_key(model).get(part)
        if field is None:
            return None
        kinds = [field.annotation, *getattr(field.annotation, "__args__", ())]
        model = next((kind for kind in kinds if hasattr(kind, "model_fields")), None)
        if model is None:
            return None
    return model


def _by_key(model: Any) -> Mapping[str, Any]:
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _keys_at(path: Sequence[str | int]) -> list[str]:
    model = _model_at(path)
    return sorted(_by_key(model)) if model else []


def _field_at(path: Sequence[str | int]) -> Any:
    model = _model_at(path[:-1])
    return _by_key(model).get(str(path[-1])) if model else None


def _schema_at(path: Sequence[str | int]) -> Mapping[str, Any]:
    model = _model_at(path[:-1])
    if model is None:
        return {}
    found: Mapping[str, Any] = model.model_json_schema(by_alias=True).get("properties", {}).get(str(path[-1]), {})
    return found if "anyOf" not in found else found["anyOf"][0]


def spoken(path: Sequence[str | int], raw: Mapping[str, Any] | None = None) -> str:
    """Return a key path as a person says it, with the names that `raw` holds.

    Examples
    --------
    >>> spoken(("system", 2, "pass", 0, "depth"))
    'system 3, pass 1, depth'
    """
    parts: list[str] = []
    here: Any = raw
    for part in path:
        here = _inside(here, part)
        if isinstance(part, int) and parts:
            name = here.get("name") if isinstance(here, dict) else None
            parts[-1] += f" {part + 1}" + (f' "{name[:_LONGEST]}"' if isinstance(name, str) else "")
        else:
            key = str(part)
            parts.append(key if len(key) <= _LONGEST else key[: _LONGEST - 3] + "...")
    return ", ".join(parts)


def _inside(here: Any, part: str | int) -> Any:
    try:
        return here[part]
    except (KeyError, IndexError, TypeError):
        return None


_QUOTES: Final = 'text stands in double quotes, e.g. depth = "22 cm"'
_TOML: Final = (
    (r"illegal character '\\n'", f"a text is not closed on this line; {_QUOTES}"),
    (r"unterminated string", f"a text is not closed; {_QUOTES}"),
    (r"cannot overwrite a value|cannot mutate", "this key stands twice in its table; keep one of the two"),
    (
        r"cannot declare|cannot redefine",
        "this table stands twice; tables of which there are many are written [[machine]]",
    ),
    (r"illegal character|invalid character '\\r'", "a character here cannot be printed; write the line again by hand"),
    (r"declaration", "the name of a table stands in brackets, e.g. [field]"),
    (r"hex value|escape", "a backslash in a text begins a sign of its own; write two of them, or a stroke /"),
    (r"after a key|invalid statement|initial character", "every line is a key, an equals sign and a value"),
    (r"invalid value|after a statement|unclosed|closing", f'{_QUOTES}; a list as ["a", "b"]; a date as 2026-03-31'),
)


def why_no_toml(message: str, text: str) -> tuple[str, int | None]:
    """Return why a text is no TOML, in the words of a person, and the line.

    Parameters
    ----------
    message : str
        What the reader of TOML said.
    text : str
        The text.
    """
    if number := re.search(r"integer string conversion", message) and re.search(r"[0-9]{1000}", text):
        return "a number here has thousands of digits", text.count("\n", 0, number.start()) + 1
    what, _, place = message.partition(" (at ")
    line = None
    if place.startswith("line "):
        line = int(place.removeprefix("line ").split(",")[0])
    elif "end of document" in place:
        line = text.rstrip().count("\n") + 1
    help_ = next((words for pattern, words in _TOML if re.search(pattern, what, re.IGNORECASE)), _QUOTES)
    return f"this is not TOML: {help_} ({what[0].lower()}{what[1:]})", line
