"""Numbers as people write them, read without a guess.

A point or a comma may mark the decimals, and spaces, thin spaces or apostrophes may part the thousands.  What can be
read in two ways ("1,234") is asked about.  Numbers are kept as exact fractions until a unit has been applied.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from typing import Final

__all__ = ["LONGEST", "NUMBER", "QuantityError", "clip", "plain", "read_number"]

LONGEST: Final = 200
_LARGEST_EXPONENT: Final = 400

NUMBER: Final = r"[+-]?(?:[0-9]+(?:[ '.,][0-9]+)*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?"
"""Pattern of anything that looks like one number; :func:`read_number` decides whether it is one."""

_PARTS = re.compile(r"([+-]?)([0-9 '.,]+)(?:[eE]([+-]?[0-9]+))?")
_PLAIN = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+")
_SPACED = re.compile(r"[0-9]{1,3}(?:([ '])[0-9]{3})(?:\1[0-9]{3})*(?:[.,][0-9]+)?")
_COMMAS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+|[0-9]{1,3}(?:,[0-9]{3}){2,}")
_POINTS = re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+|[0-9]{1,3}(?:\.[0-9]{3}){2,}")
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_RAISED_AFTER_DIGIT = re.compile(r"[0-9][\u00b2\u00b3\u00b9\u2070-\u209c\u00bc-\u00be\u2150-\u215e]")


class QuantityError(ValueError):
    """A text that is no quantity of the kind needed: what was written, what is wrong with it, what would do."""


def clip(text: object) -> str:
    """Return `text` in quotation marks, cut where it is long, for a message.

    Examples
    --------
    >>> clip("8 in")
    '"8 in"'
    """
    said = str(text)
    said = said if len(said) <= 60 else said[:57] + "..."
    return '"' + "".join(c if c.isprintable() else "?" for c in said) + '"'


def plain(text: str) -> str:
    """Return `text` with typographic spaces, signs and raised or lowered digits replaced by plain ones.

    Raises
    ------
    QuantityError
        If the text is too long, or has a raised digit or a vulgar fraction right after a digit.

    Examples
    --------
    >>> plain("12 \u00b1 1 m\u00b3/ha")
    '12 +/- 1 m3/ha'
    """
    if len(text) > LONGEST:
        raise QuantityError(f"{clip(text)} is too long for a quantity ({len(text)} characters; at most {LONGEST})")
    if _RAISED_AFTER_DIGIT.search(text):
        raise QuantityError(f"{clip(text)} has a raised digit or a fraction right after a number; write it out, as 8.5")
    flat = unicodedata.normalize("NFKC", text)
    flat = flat.replace("\u2212", "-").replace("\u2019", "'").replace("\u00b7", "*").replace("\u22c5", "*")
    flat = re.sub(r"\u00b1|\+/-|\+-|\+/\u2013", " +/- ", flat)
    return re.sub(r"\s+", " ", flat).strip()


def read_number(written: str, whole: str) -> Fraction:
    """Return the number that `written`, a match of :data:`NUMBER`, stands for.

    Parameters
    ----------
    written : str
        The number alone, out of :func:`plain` text.
    whole : str
        All that the person wrote, for the message.

    Returns
    -------
    Fraction
        The exact value.

    Raises
    ------
    QuantityError
        If the marks in the number can be read in two ways or in none, or if it is beyond any measure.

    Examples
    --------
    >>> read_number("95 000", "95 000 plants/ha"), read_number("6,5", "6,5 %")
    (Fraction(95000, 1), Fraction(13, 2))
    """
    match = _PARTS.fullmatch(written)
    if match is None:
        raise QuantityError(f"{clip(whole)}: cannot read {clip(written)} as a number; write it like 1234.5")
    sign, digits, exponent = match.groups()
    if _TWO_WAYS.fullmatch(digits):
        first, last = digits.split(",")
        raise QuantityError(
            f"{clip(whole)}: {digits} can be read in two ways; "
            f"write {first}{last} or {first} {last} for the large number, {first}.{last} for the small one"
        )
    if _PLAIN.fullmatch(digits):
        bare = digits.replace(",", ".")
    elif _SPACED.fullmatch(digits):
        bare = digits.replace(" ", "").replace("'", "").replace(",", ".")
    elif _COMMAS.fullmatch(digits):
        bare = digits.replace(",", "")
    elif _POINTS.fullmatch(digits):
        bare = digits.replace(".", "").replace(",", ".")
    else:
        raise QuantityError(
            f"{clip(whole)}: cannot read {digits} as one number; write it like 1234.5, 1 234.5 or 1234,5 "
            "(a range as 18..30)"
        )
    if exponent and (len(exponent) > 5 or abs(int(exponent)) > _LARGEST_EXPONENT):
        raise QuantityError(f"{clip(whole)}: the number lies beyond anything that can be measured")
    return Fraction(f"{sign}{bare}e{exponent or 0}")
