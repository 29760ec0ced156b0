"""The printed formula of every model is the formula that it computes."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from spadework import science
from spadework.ranges import ImpossibleValue, collecting
from spadework.reference import sources
from spadework.working import Equation, equations

ALLOWED = {
    "exp": np.exp,
    "log": np.log,
    "sqrt": np.sqrt,
    "where": np.where,
    "minimum": np.minimum,
    "maximum": np.maximum,
    "ceil": np.ceil,
    "floor": np.floor,
    "abs": np.abs,
    "pi": np.pi,
}
RANGES: tuple[tuple[str, float, float], ...] = (
    ("heat_j_m3_k$", 1.1e6, 3e6),
    ("^dry$|^fine$|^thick_residue$", 0, 1),
    ("layer_m$", 0.05, 0.2),
    ("range_root_factor", 0.1, 0.3),
    ("clear_ratio", 0.4, 0.95),
    ("^pressure_kpa$", 80, 105),
    ("idle_l_h", 0.01, 0.05),
    ("^concentration$", 3, 6),
    ("^balance$", 2, 4),
    ("loss_share_day", 0.001, 0.03),
    ("ballast_kg_kw", 40, 100),
    ("^soil_factor$", 0.4, 1),
    ("hitch_share", 0.02, 0.3),
    ("slope_share", -0.1, 0.1),
    ("side_hold_per_deg", 0.05, 0.3),
    ("dry_matter_share", 0.02, 0.2),
    ("roughness_m", 0.001, 0.05),
    ("height_m$", 1, 10),
    ("^c1$", 0.8, 1.0),
    ("^c2$", 0.05, 0.12),
    ("^c3$", 0, 0.003),
    ("tyre_width", 0.3, 0.9),
    ("tyre_diameter", 1.2, 2.0),
    ("cone_index", 300, 2000),
    ("deflection", 0.1, 0.3),
    ("section_height", 0.3, 0.6),
    ("am_ha_kg", 0.0003, 0.0006),
    ("mass_kg_ha", 500, 4000),
    ("per_pct", 0.02, 0.05),
    ("abatement_now", 0.7, 0.9),
    ("abatement_4h", 0.4, 0.6),
    ("abatement_24h", 0.1, 0.3),
    ("no_effect_h", 26, 40),
    ("delay_h", 0.5, 22),
    ("gwp", 250, 300),
    ("co2e_kg_gj|co2_kg_gj", 70, 75),
    ("energy_mj_kg", 40, 45),
    ("density_kg_l", 0.8, 0.9),
    ("temperature_degc", 1, 39),
    ("pka", 9, 10),
    ("ph", 6, 9),
    ("_share$|share_", 0.05, 0.95),
    ("speed_reduction_pct", 0, 5),
    ("soil_factor|ratio|per_pto|factor|multiplier", 1.0, 1.2),
    ("interest", 0.02, 0.08),
    ("years", 5, 12),
    ("hours_from", 10, 90),
    ("hours_to", 100, 900),
    ("hours_per_year", 100, 900),
    ("depth_cm|top_cm|seed", 5, 20),
    ("half_height|radius|aspect", 1, 4),
    ("density", 1.0, 1.3),
    ("particle", 2.6, 2.7),
    ("width_m|_m$", 1, 12),
    ("speed", 4, 9),
    ("sows|placed|driven|never|in_slot", 0, 1),
    ("", 0.5, 5),
)


def _modules() -> None:
    for info in pkgutil.walk_packages(science.__path__, science.__name__ + "."):
        importlib.import_module(info.name)


_modules()
FUNCTIONS = {f"{f.__module__}.{f.__name__}": (f, said) for f, said in equations().items()}


def _public() -> list[tuple[str, Callable[..., Any]]]:
    found = []
    for room in ("machinery", "slurry", "band", "seedbed", "traffic", "harvest"):
        package = importlib.import_module(f"spadework.science.{room}")
        found += [(f"{room}.{name}", getattr(package, name)) for name in package.__all__]
    return found


@pytest.mark.parametrize("name", [name for name, thing in _public() if inspect.isfunction(thing)])
def test_every_public_function_declares_its_formula(name: str) -> None:
    assert dict(_public())[name] in equations()


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_formula_is_what_the_function_computes(name: str) -> None:
    function, said = FUNCTIONS[name]
    assert said.source in sources()
    if said.in_words:
        assert " " in said.text
        return
    names = set(re.findall(r"[A-Za-z_][A-Za-z_0-9]*", said.text))
    arguments = set(inspect.signature(function).parameters)
    constants = {key for table in said.constants for key in table}
    assert names <= arguments | constants | set(ALLOWED), names - arguments - constants - set(ALLOWED)
    done = sum(_holds(function, said, np.random.default_rng(seed)) for seed in range(400))
    assert done >= 20, "too few valid inputs found"


def _holds(function: Callable[..., Any], said: Equation, random: np.random.Generator) -> bool:
    inputs = {}
    for name, argument in inspect.signature(function).parameters.items():
        low, high = next((low, high) for pattern, low, high in RANGES if re.search(pattern, name))
        if random.random() < 0.3:
            low, high = low / 10, high * 3
        inputs[name] = float(random.uniform(low, high))
        del argument
    try:
        with collecting(), np.errstate(all="ignore"):
            ours = np.asarray(function(**inputs))
    except ImpossibleValue:
        return False
    known = {key: table[key].value for table in said.constants for key in table}
    with np.errstate(all="ignore"):
        printed = eval(said.text, {"__builtins__": {}}, {**ALLOWED, **known, **inputs})  # noqa: S307 (our own formulas)
    np.testing.assert_allclose(ours, printed, rtol=1e-9, atol=1e-12)
    return True
