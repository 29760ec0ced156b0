"""Impossible values and values outside a model's calibration.

One error and one note serve the whole project.  A value that cannot be (a negative depth, a cover of 130 %) raises
:class:`ImpossibleValue`.  A value that can be, but that a model was never fitted to, is carried into the result as an
:class:`Outside` note.  Nothing is clipped in silence.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["FloatArray", "ImpossibleValue", "Outside", "OutsideCalibration", "calibrated", "collecting", "require"]

FloatArray = NDArray[np.float64]


class ImpossibleValue(ValueError):  # noqa: N818 (its own word)
    """A value that cannot be, with the name of the parameter, what was found and what is allowed."""

    def __init__(self, parameter: str, found: str, low: float, high: float, unit: str) -> None:
        self.parameter, self.found, self.low, self.high, self.unit = parameter, found, low, high, unit
        super().__init__(f"`{parameter}` is {found} {unit}".rstrip() + f"; allowed: {_allowed(low, high, unit)}")


class OutsideCalibration(UserWarning):
    """A model was used outside the range it was fitted to."""


@dataclass(frozen=True, slots=True)
class Outside:
    """A note that `model` was used outside the range of `parameter` that it was fitted to."""

    model: str
    parameter: str
    found_low: float
    found_high: float
    low: float
    high: float
    unit: str

    def __str__(self) -> str:
        found = _number(self.found_low)
        if self.found_high != self.found_low:
            found += f" to {_number(self.found_high)}"
        return (
            f"{self.model}: {self.parameter} {found} {self.unit}".rstrip()
            + f" lies outside {_allowed(self.low, self.high, self.unit)}, the range it was fitted to"
        )


_notes: ContextVar[list[Outside] | None] = ContextVar("spadework_outside_notes", default=None)


@contextmanager
def collecting() -> Iterator[list[Outside]]:
    """Collect the notes of all models called inside the block, each once, instead of warning about them."""
    notes: list[Outside] = []
    token = _notes.set(notes)
    try:
        yield notes
    finally:
        _notes.reset(token)


def require(
    parameter: str, value: ArrayLike, low: float, high: float, unit: str = "", *, above: bool = False
) -> FloatArray:
    """Return `value` as an array of floats, or raise if any of it is impossible.

    Parameters
    ----------
    parameter : str
        The name that the caller knows the value by.
    value : array_like
        Any shape.  NaN and infinity are impossible.
    low, high : float
        Smallest and largest possible value, in `unit`.
    unit : str
        Unit, for the message.
    above : bool
        True where `low` itself is impossible.

    Raises
    ------
    ImpossibleValue
        Names parameter, value, allowed range and unit.

    Examples
    --------
    >>> float(require("depth_cm", 22, 0, 120, "cm"))
    22.0
    >>> require("depth_cm", -5, 0, 120, "cm")
    Traceback (most recent call last):
    spadework.ranges.ImpossibleValue: `depth_cm` is -5 cm; allowed: 0 to 120 cm
    """
    array = np.asarray(value, dtype=np.float64)
    bad = ~((array > low if above else array >= low) & (array <= high))
    if bad.any():
        raise ImpossibleValue(parameter, _number(float(array[bad].flat[0])), low, high, unit)
    return array


def calibrated(model: str, parameter: str, value: ArrayLike, low: float, high: float, unit: str = "") -> None:
    """Note that `model` is used outside `low` to `high` of `parameter`, if it is.

    Inside :func:`collecting` the note is kept; elsewhere it is an :class:`OutsideCalibration` warning.
    """
    array = np.asarray(value, dtype=np.float64)
    found_low, found_high = float(array.min()), float(array.max())
    if found_low >= low and found_high <= high:
        return
    note = Outside(model, parameter, found_low, found_high, low, high, unit)
    notes = _notes.get()
    if notes is None:
        warnings.warn(str(note), OutsideCalibration, stacklevel=3)
    elif note not in notes:
        notes.append(note)


def _allowed(low: float, high: float, unit: str) -> str:
    if high == np.inf:
        text = f"{_number(low)} or more"
    elif low == -np.inf:
        text = f"{_number(high)} or less"
    else:
        text = f"{_number(low)} to {_number(high)}"
    return f"{text} {unit}".rstrip()


def _number(value: float) -> str:
    return f"{value:.6g}"
