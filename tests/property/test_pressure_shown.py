"""Lines of equal stress under wheels, whatever the load: as deep as the exact formula says, each within the weaker one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.present.face.systems_press import outlines
from spadework.science.traffic import depth_of_stress, stress_section

LOADS = st.floats(5, 90)
CONTACTS = st.floats(60, 400)
FACTORS = st.sampled_from([4.0, 5.0, 6.0])
ACROSS = np.linspace(-120, 120, 161)
DOWN = np.array([0.0, 0.5, 1.0, *np.arange(3.0, 150.0, 3.0)])


def cut(load_kn: float, contact_kpa: float, factor: float) -> np.ndarray:
    radius = float(np.sqrt(load_kn / (np.pi * contact_kpa)))
    return stress_section([contact_kpa], radius, [0.0], 0.0, ACROSS / 100, 0.0, DOWN, factor)


@settings(max_examples=25, deadline=None)
@given(LOADS, CONTACTS, FACTORS)
def test_as_deep_as_the_exact_formula(load: float, contact: float, factor: float) -> None:
    (outline,) = outlines(ACROSS, DOWN, cut(load, contact, factor), 50)
    theirs = float(depth_of_stress(load, contact, 50, factor))
    assert max(depth for _, depth in outline) == pytest.approx(min(theirs, DOWN[-1]), abs=0.8)


@settings(max_examples=25, deadline=None)
@given(LOADS, CONTACTS, FACTORS)
def test_a_stronger_stress_lies_within_a_weaker(load: float, contact: float, factor: float) -> None:
    stress = cut(load, contact, factor)
    (weak,) = outlines(ACROSS, DOWN, stress, 40)
    (strong,) = outlines(ACROSS, DOWN, stress, 55)
    for place in (0, 1):
        least, most = min(p[place] for p in weak), max(p[place] for p in weak)
        assert least <= min(p[place] for p in strong)
        assert max(p[place] for p in strong) <= most


@settings(max_examples=25, deadline=None)
@given(LOADS, CONTACTS, FACTORS)
def test_left_is_as_right(load: float, contact: float, factor: float) -> None:
    (outline,) = outlines(ACROSS, DOWN, cut(load, contact, factor), 50)
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)
    assert left == pytest.approx(-right, abs=1e-6)
