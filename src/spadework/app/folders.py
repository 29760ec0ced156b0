"""Folders that commands make: a new plan to fill in, the demo comparison, the schema beside them."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

from spadework.plan import Fault, PlanFaults, json_schema
from spadework.present.files import write_bytes, write_text

__all__ = ["SCHEMA_FILE", "demo_folder", "new_folder", "schema_text", "write_new"]

SCHEMA_FILE = "plan.schema.json"
_DEMO = ("plan.toml", "weather.csv", "readings.csv", "field.geojson")


def schema_text() -> str:
    """Return the JSON Schema of a plan as text."""
    return json.dumps(json_schema(), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def new_folder(folder: Path) -> tuple[Path, ...]:
    """Write a commented plan to fill in, and its schema, into a folder.

    Raises
    ------
    PlanFaults
        If the folder holds a plan already: nothing is overwritten.
    """
    plan = folder / "plan.toml"
    if os.path.lexists(plan):
        raise _stop(folder, f"{plan} is there already; nothing was written. Choose another folder")
    template = (files("spadework.plan") / "template.toml").read_bytes()
    return write_bytes(plan, template), write_text(folder / SCHEMA_FILE, schema_text())


def demo_folder(folder: Path) -> Path:
    """Copy the demo comparison into a folder; a plan there that differs is left alone.

    Returns
    -------
    Path
        The plan file.
    """
    contents = {name: (files("spadework.demo") / name).read_bytes() for name in _DEMO}
    for name, content in contents.items():
        path = folder / name
        if os.path.lexists(path) and not _holds(path, content):
            what = f"{path} is there already and is not the demo; nothing was written. Choose another folder"
            raise _stop(folder, what)
    for name, content in contents.items():
        write_bytes(folder / name, content)
    write_text(folder / SCHEMA_FILE, schema_text())
    return folder / "plan.toml"


def write_new(contents: Mapping[Path, bytes]) -> None:
    """Write files that are not there yet; if one is, none is written.

    Raises
    ------
    PlanFaults
        Naming every file that is there already.
    """
    there = [path for path in contents if os.path.lexists(path)]
    if there:
        what = "is there already; nothing was written. Move it away first"
        name, faults = "the command", [Fault(str(path), what) for path in there]
        if len(there) == 1:
            name, faults = str(there[0]), [Fault("", what)]
        raise PlanFaults(faults, name)
    for path, content in contents.items():
        write_bytes(path, content)


def _holds(path: Path, content: bytes) -> bool:
    try:
        return path.read_bytes() == content
    except OSError:
        return False


def _stop(folder: Path, what: str) -> PlanFaults:
    return PlanFaults([Fault("", what)], folder.name or str(folder))
