"""Every quantity of a plan at its least and at its most: an estimate of finite figures, or faults in words."""

from __future__ import annotations

import copy
import tomllib
import typing
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from plans.faulty import DEMO
from plans.write import toml_of
from spadework.estimate import estimate
from spadework.plan import Plan, PlanFaults, read_text
from spadework.plan.measures import Measure

FOLDER = Path(str(files("spadework.demo")))
DOCUMENT = tomllib.loads(DEMO)
Place = tuple[str | int, ...]


def measures(model: Any, value: Any, here: Place = ()) -> Iterator[tuple[Place, Measure]]:
    """Yield the place of every quantity that stands in a plan, with what it must be."""
    for name, field in model.model_fields.items():
        key = field.alias or name
        if key not in value:
            continue
        waiting, inner = [field.annotation, *field.metadata], None
        while waiting:
            one = waiting.pop()
            if isinstance(one, Measure):
                yield (*here, key), one
            elif hasattr(one, "model_fields"):
                inner = one
            waiting += [*typing.get_args(one), *getattr(one, "__metadata__", ())]
        if inner is not None and isinstance(value[key], list):
            for i, entry in enumerate(value[key]):
                yield from measures(inner, entry, (*here, key, i))
        elif inner is not None:
            yield from measures(inner, value[key], (*here, key))


PLACES = dict(measures(Plan, DOCUMENT))


def changed(place: Place, text: str) -> str:
    """Return the demo plan with another text at one place."""
    document = copy.deepcopy(DOCUMENT)
    parent: Any = document
    for part in place[:-1]:
        parent = parent[part]
    parent[place[-1]] = text
    return toml_of(document)


def quantity(measure: Measure, value: float) -> str:
    unit = measure.units[0]
    substance = measure.substances[-1] if measure.substances else ""
    return f"{value:.9g} {unit.replace('kg', f'kg {substance}', 1) if substance else unit}"


def test_the_demo_plan_holds_quantities_of_all_kinds() -> None:
    assert len(PLACES) > 80
    assert toml_of(DOCUMENT)
    assert read_text(toml_of(DOCUMENT), folder=FOLDER).plan == read_text(DEMO, folder=FOLDER).plan


@pytest.mark.parametrize("edge", ["least", "most"])
@pytest.mark.parametrize("place", PLACES, ids=lambda place: ".".join(map(str, place)))
def test_quantities_at_their_limits(place: Place, edge: str) -> None:
    measure = PLACES[place]
    least = measure.high * 1e-3 if measure.above else measure.low
    text = changed(place, quantity(measure, least if edge == "least" else measure.high))
    try:
        found = estimate(read_text(text, folder=FOLDER), draws=1)
    except PlanFaults as faults:
        told = faults.faults
    else:
        for name, figure in found.sheet.figures.items():
            assert np.isfinite(figure.values).all(), name
        return
    assert told
    assert all(fault.what for fault in told)


@pytest.mark.parametrize("place", PLACES, ids=lambda place: ".".join(map(str, place)))
def test_quantities_beyond_their_limits(place: Place) -> None:
    measure = PLACES[place]
    with pytest.raises(PlanFaults) as caught:
        read_text(changed(place, quantity(measure, measure.high * 1.01)), folder=FOLDER)
    assert [f.what for f in caught.value.faults if "cannot be" in f.what and "allowed: " in f.what]
