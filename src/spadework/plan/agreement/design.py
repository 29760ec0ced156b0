"""Whether the layout of a plan can be: kind, blocks, factors and restrictions, and degrees of freedom."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from spadework.plan.faults import Fault, nearest
from spadework.plan.schema.plan import Plan
from spadework.statistics.designs.layouts import Asked, Factor, Restrictions

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["asked_of", "faults"]


def asked_of(plan: Plan) -> Asked | None:
    """Return the layout that a plan asks for; None where it says nothing of it."""
    said = plan.design
    if said is None:
        return None
    systems = Factor("system", tuple(system.name for system in plan.systems))
    return Asked(
        kind=said.kind,
        factors=(systems, *(Factor(f.name, tuple(f.labels), f.within) for f in said.factors)),
        blocks=said.blocks,
        checks=tuple(said.check),
        every=said.every or 0,
        restrictions=Restrictions(tuple(said.apart), said.edge or "", said.borders, tuple(said.order)),
        few=said.few,
    )


def faults(read: Read) -> Iterator[Fault]:
    """Yield everything about the layout that cannot be."""
    from spadework.statistics.designs.faults import what_is_wrong
    from spadework.statistics.designs.randomise import CannotLay, lay

    asked = asked_of(read.plan)
    if asked is None:
        return
    named = {key: names for key, names in (("check", asked.checks), ("apart", asked.restrictions.apart)) if names}
    named |= {"edge": (asked.restrictions.edge,)} if asked.restrictions.edge else {}
    named |= {"order": asked.restrictions.order} if asked.restrictions.order else {}
    labels = asked.factors[0].labels
    if len(set(labels)) < len(labels):
        return  # told of the systems already
    unknown = {key: [name for name in names if name not in labels] for key, names in named.items()}
    for key, names in unknown.items():
        for name in names:
            close = nearest(name, labels) or "; the systems are: " + ", ".join(labels)
            yield read.fault(f'no system is called "{name}"{close}', "design", key)
    if asked.restrictions.borders and read.plan.design is not None and read.plan.design.blocks_lie != "side by side":
        yield read.fault('speaks of blocks that lie side by side; take it out, or set blocks_lie = "side by side"',
                         "design", "borders")  # fmt: skip
    wrong = what_is_wrong(asked)
    if not wrong and asked.restrictions.said():
        try:
            lay(asked, 0)
        except CannotLay as cannot:
            wrong = cannot.faults
    for key, words in wrong:
        if not unknown.get(key):
            yield read.fault(words, "design", key)
