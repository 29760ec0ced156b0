"""Writes a nested value as TOML, for tests that change a plan as data."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from typing import Any

__all__ = ["toml_of"]


def toml_of(document: Mapping[str, Any]) -> str:
    """Return a document as TOML, each key of the top on a line of its own."""
    return "\n".join(f"{json.dumps(key)} = {_value(value)}" for key, value in document.items()) + "\n"


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {_value(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return json.dumps(value) if isinstance(value, str | bool) else str(value)
