"""From one way of stating a nutrient to another, and between mass and volume: always on request, never by itself."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final, Protocol

from spadework.quantities._definitions import MASSES, NAMES
from spadework.quantities._numbers import QuantityError, clip
from spadework.quantities._quantity import Quantity, convert, rescale
from spadework.quantities._units import read_unit

__all__ = ["PAIRS", "Valued", "as_substance", "to_mass", "to_volume"]

PAIRS: Final[Mapping[str, tuple[str, str]]] = {
    "P2O5": ("P", "p2o5_per_p"),
    "K2O": ("K", "k2o_per_k"),
    "MgO": ("Mg", "mgo_per_mg"),
    "CaO": ("Ca", "cao_per_ca"),
    "SO3": ("S", "so3_per_s"),
    "NH4": ("NH4-N", "nh4_per_nh4_n"),
    "NH3": ("NH3-N", "nh3_per_nh3_n"),
    "NO3": ("NO3-N", "no3_per_no3_n"),
    "N2O": ("N2O-N", "n2o_per_n2o_n"),
}
"""Compound: the element it holds, and the name of the factor from the element's mass to the compound's."""

_VOLUME_OF: Final[Mapping[str, str]] = {"t": "m3", "kg": "L", "g": "mL"}
_MASS_OF: Final[Mapping[str, str]] = {volume: mass for mass, volume in _VOLUME_OF.items()}


class Valued(Protocol):
    """Anything with a number in ``value``, as an entry of a reference table."""

    @property
    def value(self) -> float:
        """The number."""


def as_substance(quantity: Quantity, substance: str, factors: Mapping[str, float] | Mapping[str, Valued]) -> Quantity:
    """Return `quantity` stated as another substance that holds the same element.

    Parameters
    ----------
    quantity : Quantity
        A mass of something, or something per mass of something (a price per kg P), that names its substance.
    substance : str
        ``"P2O5"``, ``"P"``, ``"NH4-N"`` ...
    factors : mapping
        The factors of :data:`PAIRS` by name, as numbers or as entries of the reference table ``chemistry``.

    Returns
    -------
    Quantity
        In the same unit, of `substance`.

    Raises
    ------
    QuantityError
        If the quantity names no substance, or one that is not the other in another form.

    Examples
    --------
    >>> from spadework.quantities import parse
    >>> p = parse("0.50 kg P/m3", "kg/m3", substances=("P", "P2O5"))
    >>> str(as_substance(p, "P2O5", {"p2o5_per_p": 2.29}))
    '1.145 kg P2O5/m3'
    """
    held = quantity.substance
    if held == substance:
        return quantity
    if not held:
        raise QuantityError(
            f"{clip(quantity.text)} does not say what it is a mass of; it cannot be stated as {substance}"
        )
    if substance in PAIRS and PAIRS[substance][0] == held:
        factor = _factor(factors, PAIRS[substance][1])
    elif held in PAIRS and PAIRS[held][0] == substance:
        factor = 1 / _factor(factors, PAIRS[held][1])
    else:
        raise QuantityError(f"{clip(quantity.text)}: {held} and {substance} are not two forms of the same thing")
    if _carrier(quantity.unit) > 0:
        factor = 1 / factor
    return rescale(quantity, factor, quantity.unit, substance)


def _factor(factors: Mapping[str, float] | Mapping[str, Valued], name: str) -> Fraction:
    found = factors[name]
    return Fraction(repr(float(found if isinstance(found, (int, float)) else found.value)))


def _carrier(unit: str) -> int:
    """Return which part of the unit, counted by strokes, holds the mass that a substance is named after."""
    parts = unit.split("/")
    return next((i for i, part in enumerate(parts) if NAMES.get(part) in MASSES), 0)


def to_volume(quantity: Quantity, density: Quantity | float) -> Quantity:
    """Return a mass of slurry as its volume: t/ha as m3/ha, kg/t as kg/m3, EUR/t as EUR/m3, kg as L.

    The last mass of the unit is the one that becomes a volume.

    Parameters
    ----------
    quantity : Quantity
        In a unit with t, kg or g.
    density : Quantity or float
        A mass per volume, or a number in t/m3; above 0.  Only its middle is used: the limits of the result are those of
        `quantity`, and the spread of the density is drawn where the draws are made.

    Returns
    -------
    Quantity
        In the unit with m3 for t, L for kg, mL for g.

    Raises
    ------
    QuantityError
        If the unit has no such mass, or if it is the mass of a substance rather than of slurry.

    Examples
    --------
    >>> from spadework.quantities import parse
    >>> str(to_volume(parse("41 t/ha", "t/ha"), parse("1025 kg/m3", "t/m3")))
    '40 m3/ha'
    """
    return _exchange(quantity, density, _VOLUME_OF, "mass")


def to_mass(quantity: Quantity, density: Quantity | float) -> Quantity:
    """Return a volume of slurry as its mass: m3/ha as t/ha, kg/m3 as kg/t, EUR/m3 as EUR/t, L as kg.

    See :func:`to_volume`, whose inverse it is.

    Raises
    ------
    QuantityError
        If the unit has no m3, L or mL.

    Examples
    --------
    >>> from spadework.quantities import parse
    >>> str(to_mass(parse("40 m3/ha", "m3/ha"), 1.025))
    '41 t/ha'
    """
    return _exchange(quantity, density, _MASS_OF, "volume")


def _exchange(quantity: Quantity, density: Quantity | float, exchange: Mapping[str, str], what: str) -> Quantity:
    parts = quantity.unit.split("/")
    place = next((i for i in reversed(range(len(parts))) if parts[i] in exchange), None)
    if place is None:
        raise QuantityError(
            f"{clip(quantity.text)} has no {what} in {', '.join(exchange)} that a density could exchange"
        )
    if what == "mass" and quantity.substance and place == _carrier(quantity.unit):
        raise QuantityError(f"{clip(quantity.text)}: a mass of {quantity.substance} is not a mass of slurry")
    ratio = _density(density)
    if (what == "mass") == (place == 0):
        ratio = 1 / ratio
    parts[place] = exchange[parts[place]]
    return rescale(quantity, ratio, read_unit("/".join(parts)).text, quantity.substance)


def _density(density: Quantity | float) -> Fraction:
    t_m3 = convert(density, "t/m3").value if isinstance(density, Quantity) else float(density)
    if not 0 < t_m3 < float("inf"):
        raise QuantityError(f"a density of {t_m3} t/m3 cannot be; it must be above 0")
    return Fraction(repr(t_m3))
