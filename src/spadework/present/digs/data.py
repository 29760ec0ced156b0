"""What digs say as JSON: every figure behind the print, and every dig as it counted."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass
from typing import Any, Final

import numpy as np

from spadework import __version__
from spadework.findings.digs import Dug
from spadework.findings.dug_machine import RowMachine, Wanted

__all__ = ["digs_json"]

_DIGITS: Final = 10
"""Of a figure; more is noise of the arithmetic."""


def digs_json(found: Dug, machine: RowMachine, asked: Wanted, remarks: tuple[str, ...], *, invented: bool) -> str:
    """Return what digs say as JSON text; the same digs give the same text.

    Names end in their unit; shares are fractions; what is not known is ``null``.

    Parameters
    ----------
    found : Dug
        From :func:`spadework.findings.digs.find_digs`.
    machine, asked : RowMachine, Wanted
        The machine, and what its band was held against.
    remarks : tuple of str
        Of the reader of the file.
    invented : bool
        True where the plan is made up.
    """
    about = {
        "standing": found.standing,
        "spadework": __version__,
        "invented": invented,
        "machine": _plain(machine),
        "wanted": _plain(asked),
        "remarks": list(remarks),
        "found": _plain(found),
    }
    return json.dumps(about, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, np.ndarray | np.generic):
        return _plain(value.tolist())
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, float):
        return float(f"{value:.{_DIGITS}g}") if math.isfinite(value) else None
    return value
