"""A quantity: exact, about a middle, or between two limits; from text, to text, into another unit."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Final, Literal

from spadework.quantities._definitions import SUBSTANCES
from spadework.quantities._numbers import NUMBER, QuantityError, clip, plain, read_number
from spadework.quantities._units import Unit, describe, name_substance, read_unit, units_that_do, with_currency

__all__ = ["Kind", "Quantity", "convert", "parse", "rescale", "show"]

Kind = Literal["exact", "about", "between"]

_Z_OF_FOUR_IN_FIVE: Final = 1.2815515655446004
_BEYOND: Final = Fraction(10**300)
_NARROW_SPACE: Final = "\u202f"

_START = re.compile(NUMBER)
_VULGAR = re.compile(NUMBER + r" ?[/\u2044] ?[0-9]")
_BRACKETS = re.compile(r"\(([^()]*)\)(.*)")
_ABOUT = re.compile(rf" ?\+/- ?({NUMBER})(.*)")
_BETWEEN = re.compile(rf"(?: ?\.\. ?| to | ?[\u2013\u2014] ?|-| - )({NUMBER})(.*)")
_LATER_ABOUT = re.compile(rf"(.+?) ?\+/- ?({NUMBER})(.*)")
_LATER_BETWEEN = re.compile(rf"(.+?)(?: ?\.\. ?| to | ?[\u2013\u2014] ?)({NUMBER})(.*)")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in its canonical unit, with what is known of its spread.

    Attributes
    ----------
    value : float
        The middle.
    low, high : float
        The limits; both equal to `value` where `kind` is ``exact``.  For ``about`` they hold four cases of five.
    kind : {"exact", "about", "between"}
        ``about`` is a middle with a half-width either way, ``between`` a range in which all values are equally likely.
    unit : str
        The unit of `value`, `low` and `high`, as people write it.
    text : str
        What the person wrote.
    substance : str
        What the mass is a mass of (P, P2O5, NH4-N ...), where that was said.
    least, most : float
        What the value can be at all, in `unit`: a distribution of it is cut off there.

    Raises
    ------
    QuantityError
        If the numbers are not finite or not in order, if `value` is not the middle, or if they do not fit `kind`.

    Examples
    --------
    >>> dose = Quantity(38.0, 34.0, 42.0, "about", "m3/ha", "38 +/- 4 m3/ha")
    >>> round(dose.sd, 3)
    3.121
    """

    value: float
    low: float
    high: float
    kind: Kind
    unit: str
    text: str
    substance: str = ""
    least: float = -math.inf
    most: float = math.inf

    def __post_init__(self) -> None:
        if not all(math.isfinite(v) for v in (self.value, self.low, self.high)):
            raise QuantityError(f"{clip(self.text)}: the number lies beyond anything that can be measured")
        if not self.low <= self.value <= self.high:
            raise QuantityError(f"{clip(self.text)}: {self.value} does not lie between {self.low} and {self.high}")
        if self.kind not in ("exact", "about", "between"):
            raise QuantityError(f"{clip(self.text)}: kind is exact, about or between, not {clip(self.kind)}")
        if self.kind == "exact" and self.low != self.high:
            raise QuantityError(f"{clip(self.text)}: an exact quantity has no range")
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        if abs((self.high - self.value) - (self.value - self.low)) > slack:
            raise QuantityError(f"{clip(self.text)}: {self.value} is not the middle of {self.low} and {self.high}")

    @property
    def sd(self) -> float:
        """Standard deviation, in `unit`: of the normal distribution (about) or the uniform one (between); else 0."""
        if self.kind == "about":
            return (self.high - self.low) / 2 / _Z_OF_FOUR_IN_FIVE
        return (self.high - self.low) / math.sqrt(12) if self.kind == "between" else 0.0

    @property
    def fraction(self) -> float:
        """The value of a share, 5 % as 0.05."""
        return self.fractions[1]

    @property
    def fractions(self) -> tuple[float, float, float]:
        """The lower limit, the middle and the upper limit of a share, 5 % as 0.05."""
        if self.unit != "%":
            raise QuantityError(f"{clip(self.text)} is kept in {self.unit}; only % has a fraction")
        return self.low / 100, self.value / 100, self.high / 100

    def __str__(self) -> str:
        unit = name_substance(self.unit, self.substance)
        if self.kind == "about":
            with localcontext() as context:
                context.prec = 50
                half = Decimal(repr(self.high)) - Decimal(repr(self.value))
            return f"{_digits(self.value)} +/- {_digits(half)} {unit}"
        if self.kind == "between":
            return f"{_digits(self.low)} to {_digits(self.high)} {unit}"
        return f"{_digits(self.value)} {unit}"


def parse(text: str | float, *units: str, currency: str | None = None, substances: Sequence[str] = ()) -> Quantity:
    """Read a quantity.

    Parameters
    ----------
    text : str
        ``"30 t/ha"``; with a half-width ``"22 +/- 3 L/ha"`` or ``"22 L/ha +/- 10 %"``; with limits ``"18..30 L/ha"`` or
        ``"18 to 30 L/ha"``.  A bare number is taken in order to say what it lacks.
    *units : str
        The canonical units that would do.  The first that measures the same as the text is the unit of the result.
    currency : str, optional
        The currency in whose code prices must be; it stands in the place of EUR in `units`.
    substances : sequence of str, optional
        The substances of which the text must name one; ``""`` among them lets it name none.  Empty: it must name none.

    Returns
    -------
    Quantity
        In one of `units`.

    Raises
    ------
    QuantityError
        Says what was written, what is wrong with it and what would do.

    Examples
    --------
    >>> parse("8 in", "cm").value
    20.32
    >>> parse("22 +/- 3 L/ha", "L/ha").low
    19.0
    >>> parse("1,2 kg P2O5/m3", "kg/m3", substances=("P", "P2O5")).substance
    'P2O5'
    >>> parse("22", "cm")
    Traceback (most recent call last):
    spadework.quantities._numbers.QuantityError: "22" has no unit; write one behind it: cm, mm, m, km, in, ft, yd or mi
    """
    if not units:
        raise TypeError("parse needs at least one unit that would do")
    wanted = [read_unit(with_currency(unit, currency) if currency else unit) for unit in units]
    if not isinstance(text, str):
        raise _no_unit(text, wanted)
    said = _say(text, wanted)
    target = _target(text, said.unit, wanted)
    substance = _substance(text, said.unit, wanted, substances)
    value, low, high = (_carry(v, said.unit, target) for v in (said.value, said.low, said.high))
    return _make(value, low, high, said.kind, target.text, text, substance)


@dataclass(frozen=True, slots=True)
class _Said:
    kind: Kind
    value: Fraction
    low: Fraction
    high: Fraction
    unit: Unit


def _say(text: str, wanted: list[Unit]) -> _Said:
    """Take the text apart into numbers and unit."""
    flat = re.sub(r"^\u2013 ?(?=[0-9])", "-", plain(text))
    if match := _BRACKETS.fullmatch(flat):
        flat = f"{match[1].strip()} {match[2].strip()}"
    if _VULGAR.match(flat):
        raise QuantityError(f"{clip(text)}: write a fraction of a unit with decimals, as 8.5")
    start = _START.match(flat)
    if start is None:
        raise QuantityError(f"{clip(text)} does not begin with a number; write number and unit, as {_example(wanted)}")
    first, rest = read_number(start[0], text), flat[start.end() :]
    second: Fraction | None = None
    kind: Kind = "exact"
    unit_text = later = rest
    if match := _ABOUT.fullmatch(rest):
        kind, second, unit_text = "about", read_number(match[1], text), match[2]
        later = unit_text
        if (behind := re.fullmatch(r" ?% ?([^/*].*)", unit_text)) and behind[1] not in SUBSTANCES:
            raise QuantityError(
                f"{clip(text)}: write the unit first and the share behind, as {_example(wanted)} +/- 10 %"
            )
    elif match := _BETWEEN.fullmatch(rest):
        kind, second, unit_text = "between", read_number(match[1], text), match[2]
        later = unit_text
    elif (match := _LATER_ABOUT.fullmatch(rest)) or (match := _LATER_BETWEEN.fullmatch(rest)):
        kind = "about" if match.re is _LATER_ABOUT else "between"
        unit_text, second, later = match[1], read_number(match[2], text), match[3]
    if not unit_text.strip() or not later.strip():
        raise _no_unit(text, wanted)
    unit = _read(unit_text.strip(), text)
    if second is None:
        return _Said("exact", first, first, first, unit)
    if later is not unit_text:
        second = _in_unit(second, later.strip(), first, unit, kind, text)
    if kind == "between":
        if second < first:
            raise QuantityError(f"{clip(text)} runs from the larger to the smaller; write the smaller one first")
        return _Said(kind, (first + second) / 2, first, second, unit)
    if second < 0:
        raise QuantityError(f"{clip(text)}: the half-width behind +/- cannot be negative")
    return _Said(kind, first, first - second, first + second, unit)


def _in_unit(second: Fraction, later: str, first: Fraction, unit: Unit, kind: Kind, text: str) -> Fraction:
    """Return the second number, which has a unit of its own, in the unit of the first."""
    other = _read(later, text)
    if kind == "about" and later == "%":
        if unit.absolute or (unit.dimensions == other.dimensions and unit.factor == other.factor):
            raise QuantityError(f"{clip(text)}: a share of what? Write the half-width in {unit.text}")
        return abs(first) * second / 100
    difference = kind == "about" and unit.absolute and not other.absolute and unit.dimensions == other.dimensions
    if not (unit.like(other) or difference) or other.substance not in ("", unit.substance):
        raise QuantityError(f"{clip(text)}: {clip(later)} and {clip(unit.text)} do not measure the same")
    if kind == "about":
        return second * other.factor / unit.factor
    return (second * other.factor + other.offset - unit.offset) / unit.factor


def _read(unit_text: str, text: str) -> Unit:
    try:
        return read_unit(unit_text)
    except QuantityError as fault:
        reason = str(fault).removeprefix(clip(unit_text)).removeprefix(":").lstrip()
        raise QuantityError(f"{clip(text)}: {reason}") from None


def _no_unit(text: object, wanted: list[Unit]) -> QuantityError:
    do = [said for unit in wanted for said in units_that_do(unit.text)]
    do = list(dict.fromkeys(do))
    names = do[0] if len(do) == 1 else ", ".join(do[:-1]) + f" or {do[-1]}"
    return QuantityError(f"{clip(text)} has no unit; write one behind it: {names}")


def _example(wanted: list[Unit]) -> str:
    return clip(f"12 {wanted[0].text}")


def _target(text: str, unit: Unit, wanted: list[Unit]) -> Unit:
    for target in wanted:
        if unit.like(target):
            return target
    needed = frozenset(code for target in wanted for code in target.currencies)
    if needed and unit.currencies and not unit.currencies & needed:
        raise QuantityError(
            f"{clip(text)} is in {', '.join(sorted(unit.currencies))}, {', '.join(sorted(needed))} is needed; "
            "currencies are never converted here, so write the price in the one needed"
        )
    kinds = list(dict.fromkeys(describe(target) for target in wanted))
    do = list(dict.fromkeys(said for target in wanted for said in units_that_do(target.text)))
    message = f"{clip(text)} is {describe(unit)}; needed is {' or '.join(kinds)}: {', '.join(do)}"
    if any(_as_mass(unit) == _as_mass(target) and unit.dimensions != target.dimensions for target in wanted):
        message += " (mass and volume are exchanged only by way of a density)"
    if re.search(r"(?<![A-Za-z])N(?![A-Za-z])", unit.text) and not unit.substance:
        message += " (N alone is the newton; nitrogen is named after a mass, as kg N)"
    raise QuantityError(message)


def _as_mass(unit: Unit) -> set[tuple[str, int]]:
    return {("mass" if name == "volume" else name, power) for name, power in unit.dimensions}


def _substance(text: str, unit: Unit, wanted: list[Unit], allowed: Sequence[str]) -> str:
    if unit.substance in (allowed or ("",)):
        return unit.substance
    names = [name for name in allowed if name]
    if not names:
        raise QuantityError(f"{clip(text)} names {unit.substance}; no substance is to be named here")
    do = " or ".join(names)
    if not unit.substance:
        raise QuantityError(
            f"{clip(text)}: of what? Say {do}, as {clip(f'12 {name_substance(wanted[0].text, names[0])}')}"
        )
    raise QuantityError(f"{clip(text)} names {unit.substance}; needed is {do}" + (" or none" if "" in allowed else ""))


def _carry(value: Fraction, source: Unit, target: Unit) -> Fraction:
    return (value * source.factor + source.offset - target.offset) / target.factor


def _make(value: Fraction, low: Fraction, high: Fraction, kind: Kind, unit: str, text: str, substance: str) -> Quantity:
    """Build a quantity whose limits follow from two printed numbers, so that its own text reads back to it."""
    if any(v and not 1 / _BEYOND <= abs(v) <= _BEYOND for v in (value, low, high)):
        raise QuantityError(f"{clip(text)}: the number lies beyond anything that can be measured")
    if kind == "exact":
        middle = float(value)
        return Quantity(middle, middle, middle, kind, unit, text, substance)
    top = float(high)
    if kind == "between":
        bottom = float(low)
        middle = float((Fraction(repr(bottom)) + Fraction(repr(top))) / 2)
        return Quantity(min(max(middle, bottom), top), bottom, top, kind, unit, text, substance)
    middle = float(value)
    bottom = float(2 * Fraction(repr(middle)) - Fraction(repr(top)))
    return Quantity(middle, bottom, top, kind, unit, text, substance)


def rescale(quantity: Quantity, factor: Fraction, unit: str, substance: str) -> Quantity:
    """Return `quantity` times `factor`, in `unit`, of `substance`; its text stays what the person wrote."""
    value, low, high = (Fraction(v) * factor for v in (quantity.value, quantity.low, quantity.high))
    return _make(value, low, high, quantity.kind, unit, quantity.text, substance)


def convert(quantity: Quantity, unit: str) -> Quantity:
    """Return `quantity` in another unit that measures the same.

    Raises
    ------
    QuantityError
        If `unit` is unknown, measures something else, is of another currency or names another substance.

    Examples
    --------
    >>> round(convert(parse("30 m3/ha", "m3/ha"), "US gal/ac").value, 1)
    3207.2
    """
    source, target = read_unit(quantity.unit), read_unit(unit)
    if target.substance:
        raise QuantityError(f"{clip(unit)}: leave the substance out; {quantity} keeps its own")
    _target(str(quantity), source, [target])
    value, low, high = (_carry(Fraction(v), source, target) for v in (quantity.value, quantity.low, quantity.high))
    return _make(value, low, high, quantity.kind, unit, quantity.text, quantity.substance)


def show(value: float, unit: str, digits: int = 3) -> str:
    """Return a value for people: so many significant digits, thousands parted from 10 000 on, then the unit.

    Parameters
    ----------
    value : float
        In `unit`; finite.
    unit : str
        Printed as it is.
    digits : int
        Significant digits, 1 or more; zeros at the end of the decimals are left out.

    Raises
    ------
    QuantityError
        If `value` is not finite or `digits` is below 1.

    Examples
    --------
    >>> show(29.934, "m3/ha"), show(3207.2, "US gal/ac", digits=2)
    ('29.9 m3/ha', '3200 US gal/ac')
    """
    if not math.isfinite(value) or digits < 1:
        raise QuantityError(f"cannot show {value} {unit} with {digits} digits".replace("  ", " "))
    with localcontext() as context:
        context.prec = digits
        rounded = +Decimal(repr(float(value)))
    text = _digits(rounded)
    whole, point, decimals = text.partition(".")
    if "e" not in text and len(whole.lstrip("-")) > 4:
        whole = f"{int(whole):,}".replace(",", _NARROW_SPACE)
    return f"{whole}{point}{decimals} {unit}".rstrip()


def _digits(value: float | Decimal) -> str:
    """Return a number without superfluous zeros, with a power of ten only where it is very large or small."""
    number = Decimal(repr(value)) if isinstance(value, float) else value
    if not number:
        return "0"
    if not -9 <= number.adjusted() <= 15:
        mantissa, _, exponent = f"{number:e}".partition("e")
        return f"{_trim(mantissa)}e{int(exponent)}"
    return _trim(f"{number:f}")


def _trim(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text
