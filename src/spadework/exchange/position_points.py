"""Positions of a log while it is read."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

__all__ = ["Points"]


@dataclass
class Points:
    """Positions while they are read; times are seconds since 1970, or since midnight where the log has no date."""

    time: list[float] = field(default_factory=list)
    latitude: list[float] = field(default_factory=list)
    longitude: list[float] = field(default_factory=list)
    speed: list[float] = field(default_factory=list)
    course: list[float] = field(default_factory=list)
    fix: list[int] = field(default_factory=list)
    tools: list[float] = field(default_factory=list)
    piece: list[int] = field(default_factory=list)
    dated: bool = True
    remarks: list[str] = field(default_factory=list)

    def add(
        self, time: float, latitude: float, longitude: float, *, speed: float = np.nan, course: float = np.nan,
        fix: int = -1, tools: float = np.nan, piece: int = 0,
    ) -> None:  # fmt: skip
        """Keep one position; what the log does not say is left out."""
        self.time.append(time)
        self.latitude.append(latitude)
        self.longitude.append(longitude)
        self.speed.append(speed)
        self.course.append(course)
        self.fix.append(fix)
        self.tools.append(tools)
        self.piece.append(piece)
