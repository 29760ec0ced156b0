"""Reads a plan file: bytes to text to values to a checked :class:`Plan`, with every fault at once."""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from spadework.plan.agreement import parts as agreement
from spadework.plan.as_read import Read
from spadework.plan.faults import Fault, PlanFaults
from spadework.plan.lines import Path as KeyPath
from spadework.plan.lines import line_of, lines_of_keys
from spadework.plan.measures import CURRENCY
from spadework.plan.schema.plan import Plan
from spadework.plan.wording import spoken, what_is_wrong, why_no_toml
from spadework.quantities import QuantityError, units_that_do

__all__ = ["LARGEST_FILE", "read", "read_text"]

LARGEST_FILE = 1_000_000
"""Bytes; a plan is a page or ten of text."""


def read(path: Path) -> Read:
    """Read and check a plan file.

    Raises
    ------
    PlanFaults
        With every fault that was found.
    """
    raw = _bytes(path)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise PlanFaults([_encoding_fault(raw, error.start)], path.name) from None
    return read_text(text, path.name, path.parent)


def _bytes(path: Path) -> bytes:
    """Return what the file holds, or raise with what keeps it from being read."""
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            what = f"{path} is a folder; name the plan file in it"
        elif not stat.S_ISREG(about.st_mode):
            what = f"{path} is not a file that holds text"
        elif about.st_size > LARGEST_FILE:
            size, most = about.st_size / 1e6, LARGEST_FILE / 1e6
            what = f"the file has {size:.1f} MB, a plan has less than {most:.0f} MB; is it the right file?"
        else:
            return path.read_bytes()
    except FileNotFoundError:
        what = f"there is no file {path}; `spadework new FOLDER` writes a plan to fill in"
    except (OSError, ValueError) as error:
        what = f"the file cannot be read ({getattr(error, 'strerror', None) or error})"
    raise PlanFaults([Fault("", what)], path.name)


def _encoding_fault(raw: bytes, place: int) -> Fault:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return Fault("", "the file is UTF-16 text; save it as UTF-8 (in most editors under 'save as')")
    what = "a character here is not UTF-8; save the file as UTF-8 text (in most editors under 'save as')"
    return Fault("", what, raw[:place].count(b"\n") + 1)


def read_text(text: str, name: str = "the plan", folder: Path = Path()) -> Read:
    """Read and check the text of a plan; see :func:`read`."""
    if not text.strip():
        raise PlanFaults([Fault("", "the file is empty; `spadework new FOLDER` writes a plan to fill in")], name)
    try:
        raw = tomllib.loads(text)
    except RecursionError:
        raise PlanFaults([Fault("", "brackets stand inside brackets too many times over")], name) from None
    except ValueError as error:  # TOMLDecodeError, and whole numbers of thousands of digits
        what, line = why_no_toml(str(error), text)
        raise PlanFaults([Fault("", what, line)], name) from None
    lines = lines_of_keys(text)
    try:
        plan = Plan.model_validate(raw, context={"currency": _currency(raw)})
    except ValidationError as error:
        raise PlanFaults(_faults(error, lines, raw), name) from None
    except RecursionError:
        raise PlanFaults([Fault("", "tables stand inside tables too many times over")], name) from None
    result = Read(plan, name, folder, lines, text)
    if faults := agreement.faults(result):
        raise PlanFaults(faults, name)
    return result


def _currency(raw: Mapping[str, Any]) -> str:
    """Return the currency of the plan; where it names none that is known, the first that a price is written in."""
    prices = raw.get("prices")
    said = prices.get("currency", CURRENCY) if isinstance(prices, dict) else CURRENCY
    codes = [said] if isinstance(said, str) else []
    if isinstance(prices, dict):
        codes += re.findall(r"\b[A-Z]{3}\b", " ".join(price for price in prices.values() if isinstance(price, str)))
    return next((code for code in codes if re.fullmatch("[A-Z]{3}", code) and _in_use(code)), CURRENCY)


def _in_use(code: str) -> bool:
    try:
        return bool(units_that_do(code))
    except QuantityError:
        return False


def _faults(error: ValidationError, lines: Mapping[KeyPath, int], raw: Mapping[str, Any]) -> list[Fault]:
    found = []
    for item in error.errors(include_url=False):
        path = tuple(item["loc"])
        what = what_is_wrong(item["type"], item["msg"], path, item.get("ctx") or {}, item.get("input"))
        found.append(Fault(spoken(path, raw), what, line_of(path, lines)))
    return found
