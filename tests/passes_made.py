"""Functions of a pass and its tractor, called by the names of the parts of both."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import fields
from typing import Any

from spadework.ranges import FloatArray
from spadework.working import equation_of

ANY_LIMITS = {"rated_pto_kw": 100.0, "slip_most_share": 0.25}


def call(function: Callable[..., Any], **given: Any) -> FloatArray:
    return function(**equation_of(function).gathered(given))


def names_of(function: Callable[..., Any]) -> set[str]:
    takes = equation_of(function).takes
    parts = {part.name for kind in takes.values() for part in fields(kind)}
    return parts | (set(inspect.signature(function).parameters) - set(takes))
