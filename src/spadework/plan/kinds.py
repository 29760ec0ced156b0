"""Closed lists of trade words in a plan, read from the reference tables that know what each word means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from spadework.plan.faults import nearest
from spadework.reference import load

__all__ = ["MACHINE_KINDS", "SLURRY_KINDS", "TEXTURES", "Kind"]


def _labels(table: str) -> Mapping[str, str]:
    return {row.label: key for key, row in load(table).items()}


MACHINE_KINDS: Final = _labels("machine_kinds")
SLURRY_KINDS: Final = _labels("slurry_kinds")
TEXTURES: Final = _labels("texture_class")


@dataclass(frozen=True, slots=True)
class Kind:
    """A word out of a closed list; the model holds the key of its row."""

    what: str
    words: Mapping[str, str] = field(hash=False)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read the word; pydantic reports what :meth:`read` raises."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """List the words for an editor."""
        return {"type": "string", "enum": sorted(self.words)}

    def read(self, raw: Any) -> str:
        """Return the key of the row that `raw` names, by label or by key."""
        if isinstance(raw, str):
            word = " ".join(raw.split()).lower()
            known = {label.lower(): key for label, key in self.words.items()}
            if word in known:
                return known[word]
            if raw in self.words.values():
                return raw
            hint = nearest(word, self.words) or "; known: " + ", ".join(sorted(self.words))
            raise ValueError(f'"{raw[:60]}" is no {self.what} that is known here{hint}')
        raise ValueError(f"write the {self.what} as text; known: " + ", ".join(sorted(self.words)))
