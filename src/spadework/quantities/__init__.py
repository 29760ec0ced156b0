"""Text to number in one canonical unit, and back: ``"30 t/ha"``, ``"22 +/- 3 L/ha"``, ``"8 in"``."""

from spadework.quantities._numbers import QuantityError
from spadework.quantities._quantity import Quantity, convert, parse, show
from spadework.quantities._substances import as_substance, to_mass, to_volume
from spadework.quantities._units import units_that_do

__all__ = [
    "Quantity",
    "QuantityError",
    "as_substance",
    "convert",
    "parse",
    "show",
    "to_mass",
    "to_volume",
    "units_that_do",
]
