"""What a system is to be set to while it places slurry."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.estimate import Estimate
from spadework.estimate.chain import Chain, Step
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.ranges import FloatArray

__all__ = ["Setting", "settings"]


@dataclass(frozen=True)
class Setting:
    """What a system is to be set to while it places slurry; draws of length one where nothing varies.

    Attributes
    ----------
    name, outfit : str
        Of the system, and of the machines that place its slurry.
    outlets : int or None
        Rows of a row machine, else its tools; None where the plan gives neither.
    outlet_word : str
        What they are called.
    in_rows : bool
        True where every outlet feeds one row of the crop.
    dose_m3_ha, speed_km_h, width_m, flow_m3_min : FloatArray
        As the plan has them.
    load_m3 : FloatArray or None
        Slurry in a load; None where none is carried.
    """

    name: str
    outfit: str
    outlets: int | None
    outlet_word: str
    in_rows: bool
    dose_m3_ha: FloatArray
    speed_km_h: FloatArray
    width_m: FloatArray
    flow_m3_min: FloatArray
    load_m3: FloatArray | None


def settings(estimate: Estimate, system: str | None = None) -> tuple[Setting, ...]:
    """Return the setting of every system that places slurry, or of the one named.

    Raises
    ------
    PlanFaults
        If no system is called so, or it places no slurry.
    """
    chain = Chain(estimate.read)
    placing = {name: i for s, name in enumerate(estimate.systems) if (i := chain.placing_step(s)) is not None}
    if system is not None and system not in placing:
        known = nearest(system, placing) or "; there are: " + ", ".join(placing)
        what = (
            f'system "{system}" places no slurry' if system in estimate.systems else f'no system is called "{system}"'
        )
        raise PlanFaults([Fault("--system", what + known)], estimate.read.name)
    if not placing:
        raise PlanFaults([Fault("", "no system of this plan places slurry")], estimate.read.name)
    wanted = placing if system is None else {system: placing[system]}
    return tuple(_setting(estimate, name, chain.steps[index]) for name, index in wanted.items())


def _setting(estimate: Estimate, name: str, step: Step) -> Setting:
    placer, s = step.placer, step.system
    rows = None if placer is None else placer.rows
    outlets = rows if rows is not None else None if placer is None else placer.tools
    return Setting(
        name,
        " and ".join(machine.name for machine in step.machines) + f", behind {step.tractor.name}",
        outlets,
        "rows" if rows is not None else "outlets",
        rows is not None,
        estimate.dose(s),
        estimate.values("placing_speed", s),
        estimate.values("placing_width", s),
        estimate.values("flow", s),
        estimate.values("load_size", s) if estimate.has("load_size", s) else None,
    )
