"""Every quantity of a plan at its least and at its most: an estimate of finite figures, or faults in words."""

from __future__ import annotations

import copy
import typing
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from plans.everything import EVERYTHING, FROM_FILE
from plans.faulty import DEMO
from plans.write import toml_of
from spadework.estimate import estimate
from spadework.plan import Plan, PlanFaults, read_text
from spadework.plan.measures import Measure

FOLDER = Path(str(files("spadework.demo")))
WITHOUT_END = {"break_even"}
"""Figures that are infinite where something never pays."""
Place = tuple[str | int, ...]


def known(model: Any) -> Iterator[tuple[str, str, Measure | None, Any]]:
    """Yield every key of a model with its name there, what a quantity under it must be, and the model inside it."""
    for name, field in model.model_fields.items():
        waiting, inner, measure = [field.annotation, *field.metadata], None, None
        while waiting:
            one = waiting.pop()
            if isinstance(one, Measure):
                measure = one
            elif hasattr(one, "model_fields"):
                inner = one
            waiting += [*typing.get_args(one), *getattr(one, "__metadata__", ())]
        yield name, field.alias or name, measure, inner


def measures(model: Any, value: Any, here: Place = ()) -> Iterator[tuple[Place, Measure]]:
    """Yield the place of every quantity that stands in a plan, with what it must be."""
    for _, key, measure, inner in known(model):
        if key not in value:
            continue
        if measure is not None and isinstance(value[key], list):
            yield from (((*here, key, i), measure) for i in range(len(value[key])))
        elif measure is not None:
            yield (*here, key), measure
        elif inner is not None and isinstance(value[key], list):
            for i, entry in enumerate(value[key]):
                yield from measures(inner, entry, (*here, key, i))
        elif inner is not None:
            yield from measures(inner, value[key], (*here, key))


def schema_keys(model: Any, here: Place = ()) -> Iterator[Place]:
    """Yield every key under which a quantity may stand."""
    for _, key, measure, inner in known(model):
        if measure is not None:
            yield (*here, key)
        elif inner is not None:
            yield from schema_keys(inner, (*here, key))


def named(place: Place) -> Place:
    return tuple(part for part in place if isinstance(part, str))


def _places() -> dict[Place, Measure]:
    """Return the places of quantities; of what is kept on every machine in the same way, one place."""
    found: dict[Place, Measure] = {}
    seen: set[Place] = set()
    for place, measure in (*measures(Plan, EVERYTHING), *measures(Plan, FROM_FILE)):
        if place in found or (place[-1] in {"price", "years", "hours"} and named(place) in seen):
            continue
        seen.add(named(place))
        found[place] = measure
    return found


PLACES = _places()


def changed(place: Place, text: str) -> str:
    """Return the plan that holds everything with another text at one place."""
    document = copy.deepcopy(EVERYTHING if place in dict(measures(Plan, EVERYTHING)) else FROM_FILE)
    parent: Any = document
    for part in place[:-1]:
        parent = parent[part]
    parent[place[-1]] = text
    return toml_of(document)


def quantity(measure: Measure, value: float) -> str:
    unit = measure.units[0]
    substance = measure.substances[-1] if measure.substances else ""
    return f"{value:.9g} {unit.replace('kg', f'kg {substance}', 1) if substance else unit}"


def test_writing_a_plan_as_toml_changes_nothing() -> None:
    assert read_text(toml_of(EVERYTHING), folder=FOLDER).plan == Plan.model_validate(EVERYTHING)
    assert read_text(DEMO, folder=FOLDER).plan.question == EVERYTHING["question"]


def test_the_plan_that_holds_everything_reaches_every_quantity_and_can_be_estimated() -> None:
    assert {named(place) for place in PLACES} == set(schema_keys(Plan))
    for plan in (EVERYTHING, FROM_FILE):
        assert estimate(read_text(toml_of(plan), folder=FOLDER), draws=20).sheet.figures


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
            assert not np.isnan(figure.values).any(), name
            assert name in WITHOUT_END or np.isfinite(figure.values).all(), name
        return
    assert told
    for fault in told:
        assert fault.line is not None, fault
        assert fault.key, fault
        assert "`" not in fault.what, fault


@pytest.mark.parametrize("place", PLACES, ids=lambda place: ".".join(map(str, place)))
def test_quantities_beyond_their_limits(place: Place) -> None:
    measure = PLACES[place]
    with pytest.raises(PlanFaults) as caught:
        read_text(changed(place, quantity(measure, measure.high * 1.01)), folder=FOLDER)
    assert [f.what for f in caught.value.faults if "cannot be" in f.what and "allowed: " in f.what]
