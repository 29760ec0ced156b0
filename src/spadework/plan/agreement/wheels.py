"""Whether the wheels of tractors and machines can be, and carry the whole of what stands on them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from spadework.plan.faults import Fault
from spadework.plan.schema.wheels import Wheels

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["faults"]


def faults(read: Read) -> Iterator[Fault]:
    """Yield everything about wheels that does not agree."""
    for i, tractor in enumerate(read.plan.tractors):
        for k, wheels in enumerate(tractor.wheels):
            if wheels.axle == "middle":
                what = 'a tractor has axle = "front" and axle = "rear"'
                yield read.fault(what, "tractor", i, "wheels", k, "axle")
        if tractor.wheels and tractor.drive == "tracks":
            what = 'has tyres, but drive = "tracks"; write drive = "four wheel drive" or leave the wheels out'
            yield read.fault(what, "tractor", i, "wheels")
        if len(tractor.wheels) == 1:
            other = "rear" if tractor.wheels[0].axle == "front" else "front"
            what = f'the {other} axle is missing; write [[tractor.wheels]] with axle = "{other}" as well'
            yield read.fault(what, "tractor", i, "wheels")
        yield from _axles(read, tractor.wheels, "tractor", i)
        shares = [wheels.share for wheels in tractor.wheels]
        known = [share.fraction for share in shares if share is not None]
        if len(known) == 2 and abs(sum(known) - 1) > 0.005:
            what = f"the axles carry {100 * sum(known):.0f} % of the tractor together; give shares that make 100 %"
            yield read.fault(what, "tractor", i, "wheels", 0, "share")
    for i, machine in enumerate(read.plan.machines):
        if machine.wheels and machine.mass is None:
            what = (
                'a machine on wheels of its own needs mass = "4 t"; leave the wheels out where the tractor carries it'
            )
            yield read.fault(what, "machine", i, "mass")
        yield from _axles(read, machine.wheels, "machine", i)
        known = [wheels.share.fraction for wheels in machine.wheels if wheels.share is not None]
        if sum(known) > 1.0005:
            what = f"the axles carry {100 * sum(known):.0f} % of the machine; no more than 100 % is there"
            yield read.fault(what, "machine", i, "wheels", 0, "share")
        elif known and len(known) < len(machine.wheels):
            missing = next(k for k, wheels in enumerate(machine.wheels) if wheels.share is None)
            what = 'give the share of every axle, e.g. share = "44 %", or of none'
            yield read.fault(what, "machine", i, "wheels", missing, "share")


def _axles(read: Read, axles: Sequence[Wheels], table: str, index: int) -> Iterator[Fault]:
    seen: set[str] = set()
    for k, wheels in enumerate(axles):
        here = (table, index, "wheels", k)
        if wheels.axle in seen:
            yield read.fault(f"the {wheels.axle} axle stands here twice; give each its own", *here, "axle")
        seen.add(wheels.axle)
        if wheels.tyre_width.value >= wheels.tyre_diameter.value:
            what = f"a tyre {wheels.tyre_width.text} wide and {wheels.tyre_diameter.text} high is none; check both"
            yield read.fault(what, *here, "tyre_width")
        if wheels.tyre_width.value > 100 * wheels.gauge.value:
            what = (
                f"tyres of {wheels.tyre_width.text} at a gauge of {wheels.gauge.text} run into one another; check both"
            )
            yield read.fault(what, *here, "gauge")
        if wheels.apart is not None and wheels.count == 2:
            yield read.fault("apart is the distance of twins; give count = 4 or leave it out", *here, "apart")
        elif wheels.apart is not None and wheels.apart.value < wheels.tyre_width.value:
            what = f"twins of {wheels.tyre_width.text} at {wheels.apart.text} run into one another; check both"
            yield read.fault(what, *here, "apart")
