"""Texts of units: read strictly, reduced to factor and dimensions, named in messages.

The text is taken apart here, so that nothing a person types ever reaches an expression parser.  The algebra of the
pieces is pint's, in a registry that holds our definitions and no others and is built when the first unit is read.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, Final

from spadework.quantities._definitions import (
    ASKED,
    CURRENCIES,
    GROUPS,
    LENGTHS,
    MASSES,
    NAMES,
    SUBSTANCES,
    definitions,
    unit_id,
)
from spadework.quantities._numbers import QuantityError, clip, plain

if TYPE_CHECKING:
    import pint

__all__ = ["Unit", "describe", "name_substance", "read_unit", "units_that_do", "with_currency"]

_MOST_TERMS: Final = 8
_LARGEST_POWER: Final = 4
_ABSOLUTE: Final = ("degC", "degF")
_WORD = re.compile(r"([^0-9^*/()\-]+)(?:\^|\*\*)?(-?[0-9]+)?")
_THOUSANDS = re.compile(r"(1)[ ,']?((?:000)+)|(1)(0*)")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that was read.

    Attributes
    ----------
    text : str
        The unit as it was written.
    factor, offset : Fraction
        A value `v` is ``v * factor + offset`` in the base units.
    dimensions : frozenset
        Pairs of dimension and power.
    absolute : bool
        True for a temperature on a scale, which is not a difference of temperatures.
    currencies : frozenset
        The currency codes named.
    substance : str
        What the mass is a mass of, where the text says so.
    upside : bool
        True where the substance stands below the line, as in EUR/kg N.
    """

    text: str
    factor: Fraction
    offset: Fraction
    dimensions: frozenset[tuple[str, int]]
    absolute: bool
    currencies: frozenset[str]
    substance: str
    upside: bool

    def like(self, other: Unit) -> bool:
        """Tell whether values can be carried over from one unit to the other."""
        return self.dimensions == other.dimensions and self.absolute == other.absolute


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    return pint.UnitRegistry(None, non_int_type=Fraction)


@cache
def _defined(name: str) -> str:
    """Make a unit known to the algebra, after those that its definition names, and return its name there."""
    identity = unit_id(name)
    said = definitions().get(identity, f"[currency_{name}]")
    if not said.startswith("["):
        for other in re.findall(r"[A-Za-z_][A-Za-z_0-9]*", said):
            if other != "offset":
                _defined(other)
    _registry().define(f"{identity} = {said}")
    return identity


@lru_cache(maxsize=2048)
def read_unit(text: str) -> Unit:
    """Read the text of a unit.

    Parameters
    ----------
    text : str
        For example ``"m3/ha"``, ``"lb/1000 US gal"``, ``"kg P2O5/m3"``, ``"EUR/kg N"``, ``"kg ha-1"``.

    Returns
    -------
    Unit
        Factor, offset, dimensions and what else the text says.

    Raises
    ------
    QuantityError
        If a unit is unknown, could mean several things or stands to an odd power, or if the text is ambiguous.

    Examples
    --------
    >>> float(read_unit("m3/ha").factor / read_unit("L/ha").factor)
    1000.0
    """
    flat = re.sub(r"\s*(?:/|\bper\b(?! ?cent))\s*", "/", plain(text).replace("per cent", "percent"))
    if not flat:
        raise QuantityError(f"{clip(text)} is no unit")
    powers: dict[str, int] = {}
    currencies: set[str] = set()
    scale = Fraction(1)
    found: list[tuple[str, bool]] = []
    names: list[str] = []
    mass_above = False
    for place, part in enumerate(flat.split("/")):
        below = place > 0
        grouped = part.startswith("(") and part.endswith(")")
        words = _split(part[1:-1] if grouped else part, text)
        size = _size(words, below, text)
        scale = scale / size if below else scale * size
        terms, substance = _terms(words, text)
        if below and len(terms) > 1 and not grouped:
            raise QuantityError(
                f"{clip(text)} can be read in two ways after the stroke; write a/b/c or a/(b c) to divide by both"
            )
        for name, power in terms:
            powers[name] = powers.get(name, 0) + (-power if below else power)
            if name in CURRENCIES:
                currencies.add(name)
            mass_above = mass_above or (not below and name in MASSES and power > 0)
            names.append(name)
        if substance:
            found.append((substance, below))
    if len(found) > 1:
        raise QuantityError(f"{clip(text)} names two substances; name one")
    substance, upside = found[0] if found else ("", False)
    if upside and mass_above:
        raise QuantityError(f"{clip(text)}: name the substance after the mass above the stroke, as kg N/t")
    if len(names) > _MOST_TERMS:
        raise QuantityError(f"{clip(text)} has too many parts for a unit")
    absolute = len(names) == 1 and names[0] in _ABSOLUTE and powers[names[0]] == 1 and scale == 1
    factor, offset, dimensions = _reduce(powers, absolute)
    return Unit(text, factor * scale, offset, dimensions, absolute, frozenset(currencies), substance, upside)


def _split(part: str, text: str) -> list[str]:
    words = [w for w in re.split(r"[ *]+", part.replace("**", "^")) if w]
    if not words or "(" in part or ")" in part:
        raise QuantityError(f"{clip(text)} is no unit; write it like m3/ha")
    return words


def _size(words: list[str], below: bool, text: str) -> Fraction:
    """Take a leading 1000, as in lb/1000 US gal, off `words`."""
    head = words[0]
    if not head[0].isdigit():
        return Fraction(1)
    while len(words) > 1 and re.fullmatch("000", words[1]):
        head += words.pop(1)
    match = _THOUSANDS.fullmatch(head)
    if match is None or len(head) > 9 or not below or len(words) == 1:
        raise QuantityError(
            f"{clip(text)}: a number inside a unit can only be a power of ten below the stroke, as in lb/1000 US gal"
        )
    del words[0]
    return Fraction(re.sub(r"[ ,']", "", head))


def _terms(words: list[str], text: str) -> tuple[list[tuple[str, int]], str]:
    terms: list[tuple[str, int]] = []
    substance = ""
    place = 0
    while place < len(words):
        pair = " ".join(words[place : place + 2])
        if pair in NAMES and place + 1 < len(words):
            terms.append((NAMES[pair], 1))
            place += 2
            continue
        word = words[place]
        carrier = bool(terms) and not substance and (terms[-1][0] in MASSES or terms[-1][0] == "%")
        if word in SUBSTANCES and carrier:
            substance = SUBSTANCES[word]
            if terms[-1][0] == "%" and substance in ("DM", "FM"):
                raise QuantityError(
                    f'{clip(text)}: write the share alone, as "6.5 %"; the key says what it is a share of'
                )
        else:
            terms.append(_term(word, text))
        place += 1
    return terms, substance


def _term(word: str, text: str) -> tuple[str, int]:
    match = _WORD.fullmatch(word)
    if word in SUBSTANCES and word not in NAMES and word not in ASKED:
        raise QuantityError(f"{clip(text)}: name the substance right after a mass, as kg {word}/ha")
    if match is None:
        raise QuantityError(f"{clip(text)}: cannot read {clip(word)} as a unit")
    spelled, digits = match.groups()
    name = _name(spelled, text)
    if digits and (len(digits) > 2 or not 1 <= abs(int(digits)) <= _LARGEST_POWER):
        raise QuantityError(f"{clip(text)}: no unit of the trade stands to the power {clip(digits)}")
    power = int(digits or 1)
    if name in LENGTHS and abs(power) > 1:
        if abs(power) > 3:
            raise QuantityError(f"{clip(text)}: no unit of the trade stands to the power {power}")
        return f"{name}{abs(power)}", 1 if power > 0 else -1
    return name, power


def _name(spelled: str, text: str) -> str:
    if spelled in NAMES:
        return NAMES[spelled]
    if spelled == "€":
        return "EUR"
    if spelled in CURRENCIES:
        return spelled
    asked = spelled if spelled in ASKED or len(spelled) == 1 else spelled.lower()
    if asked in ASKED:
        raise QuantityError(f"{clip(text)}: {spelled} is not clear: {ASKED[asked]}")
    same = [name for name in (*NAMES, *sorted(CURRENCIES)) if name.lower() == spelled.lower()]
    near = same or difflib.get_close_matches(spelled[:30], list(NAMES), n=2, cutoff=0.5)
    hint = f"; did you mean {' or '.join(near)}?" if near else ""
    raise QuantityError(f"{clip(text)}: {clip(spelled)} is not a unit known here{hint}")


def _reduce(powers: dict[str, int], absolute: bool) -> tuple[Fraction, Fraction, frozenset[tuple[str, int]]]:
    """Return factor, offset and dimensions of a product of units, as pint works them out."""
    import pint

    registry = _registry()
    terms = {
        ("delta_" if name in _ABSOLUTE and not absolute else "") + _defined(name): power
        for name, power in powers.items()
        if power
    }
    unit = registry.Unit(pint.util.UnitsContainer(terms))
    one = registry.Quantity(Fraction(1), unit).to_base_units()
    factor, offset = Fraction(one.magnitude), Fraction(0)
    if absolute:
        offset = Fraction(registry.Quantity(Fraction(0), unit).to_base_units().magnitude)
        factor -= offset
    powers_of: Mapping[str, Any] = unit.dimensionality
    dimensions = frozenset((name.strip("[]"), int(power)) for name, power in powers_of.items())
    return factor, offset, dimensions


@cache
def _groups() -> dict[tuple[frozenset[tuple[str, int]], bool], tuple[str, tuple[str, ...]]]:
    found: dict[tuple[frozenset[tuple[str, int]], bool], tuple[str, tuple[str, ...]]] = {}
    for words, units in GROUPS:
        for said in units:
            unit = read_unit(said)
            found.setdefault((unit.dimensions, unit.absolute), (words, units))
    return found


def _group(unit: Unit) -> tuple[str, tuple[str, ...]] | None:
    dimensions = frozenset(("currency_EUR" if n.startswith("currency_") else n, p) for n, p in unit.dimensions)
    general = re.sub("|".join(unit.currencies) or "EUR", "EUR", unit.text)
    named = (group for group in GROUPS if general in group[1])
    group = next(named, None) or _groups().get((dimensions, unit.absolute))
    if group is None or not unit.currencies:
        return group
    code = next(iter(unit.currencies))
    return group[0], tuple(with_currency(said, code) for said in group[1])


def describe(unit: Unit) -> str:
    """Return in words what a unit measures.

    Examples
    --------
    >>> describe(read_unit("US gal/ac"))
    'a volume per area'
    """
    group = _group(unit)
    return group[0] if group else f"a quantity in {unit.text}"


def units_that_do(unit: str) -> list[str]:
    """Return the units that would do where `unit` is needed, `unit` first, metric and customary.

    Raises
    ------
    QuantityError
        If `unit` is not known.

    Examples
    --------
    >>> units_that_do("m3/ha")
    ['m3/ha', 'L/ha', 'US gal/ac', 'imp gal/ac']
    """
    group = _group(read_unit(unit))
    return [unit, *(said for said in (group[1] if group else ()) if said != unit)]


def with_currency(unit: str, code: str) -> str:
    """Return `unit` with the currency `code` in the place of EUR.

    Examples
    --------
    >>> with_currency("EUR/L", "GBP")
    'GBP/L'
    """
    return re.sub(r"\bEUR\b", code, unit)


_MASS_WORD = re.compile(
    "(?<![A-Za-z])(?:"
    + "|".join(sorted((s for s, n in NAMES.items() if n in MASSES), key=len, reverse=True))
    + ")(?![A-Za-z])"
)


def name_substance(unit: str, substance: str) -> str:
    """Return `unit` with the substance named after its mass, or after the % sign.

    Raises
    ------
    QuantityError
        If the unit has no mass to name a substance after.

    Examples
    --------
    >>> name_substance("kg/m3", "P2O5"), name_substance("EUR/kg", "N"), name_substance("lb/1000 US gal", "N")
    ('kg P2O5/m3', 'EUR/kg N', 'lb N/1000 US gal')
    """
    if not substance:
        return unit
    match = _MASS_WORD.search(unit)
    end = match.end() if match else unit.find("%") + 1
    if not end:
        raise QuantityError(f"{clip(unit)} has no mass that could be one of {substance}")
    return f"{unit[:end]} {substance}{unit[end:]}"
