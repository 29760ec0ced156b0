"""The user's own limits held against the estimate: exceeded is a note with the figure, met is no clearance."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from spadework.estimate.desk import Desk
from spadework.quantities import show
from spadework.reference import constants

__all__ = ["limit_notes"]

_FIGURES = {
    "total N from slurry": "total_n_spread",
    "ammoniacal N from slurry": "ammoniacal_n_spread",
    "phosphate from slurry": "phosphorus_spread",
    "available N from slurry": "placing_available",
}


def limit_notes(desk: Desk) -> Iterator[str]:
    """Yield a note for every limit of the plan that the estimate exceeds."""
    plan = desk.chain.plan
    for limit in plan.limits:
        said = f"{limit.source}, {limit.date.isoformat()}; check locally"
        if limit.at_least is not None:
            if plan.field.water_distance.low < limit.at_least.value:
                yield (
                    f"distance to water {plan.field.water_distance.text} is less than the {limit.at_least.text} "
                    f"of your limit ({said})"
                )
        elif limit.at_most is not None:
            most = limit.at_most.value
            if limit.of == "phosphate from slurry" and limit.at_most.substance == "P":
                most *= constants("chemistry")["p2o5_per_p"].value
            ours = float(np.max(np.median(np.atleast_2d(desk.sheet[_FIGURES[limit.of]]), axis=-1)))
            if ours > most:
                yield f"{limit.of}: {show(ours, 'kg/ha')}, more than the {limit.at_most.text} of your limit ({said})"
