"""Whether what a plan says of the place of the band agrees with itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from spadework.plan.faults import Fault

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["faults"]


def faults(read: Read) -> Iterator[Fault]:
    """Yield everything about the user's own targets for the band that does not agree."""
    band = read.plan.band
    for i, target in enumerate(band.targets if band is not None else ()):
        here = ("band", "target", i)
        if target.least is None and target.most is None:
            yield read.fault('a target needs an end: least = "5 cm", most = "7 cm", or both', *here, "least")
        elif target.least is not None and target.most is not None and target.least.value > target.most.value:
            what = f"least, {target.least.text}, is more than most, {target.most.text}; swap them"
            yield read.fault(what, *here, "least")
