"""The check character at the end of a mark: it tells a slip of the pen before a sample is booked to the wrong plot.

The scheme is ISO/IEC 7064, MOD 37,36: letters and figures, one check character out of the same.  It finds every single wrong
character and nearly every pair that changed places.
"""

from __future__ import annotations

from typing import Final

__all__ = ["CHARACTERS", "check_character", "is_sound"]

CHARACTERS: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""What a mark may hold, each at the place of its value."""
_ALL: Final = len(CHARACTERS)


def check_character(text: str) -> str:
    """Return the check character of letters and figures.

    Parameters
    ----------
    text : str
        Capital letters and figures, one or more.

    Raises
    ------
    ValueError
        If it holds anything else, or nothing.

    Notes
    -----
    Hybrid system of ISO/IEC 7064 for 36 characters: a product is carried from character to character, added to modulo 36
    and doubled modulo 37; the check character brings the last sum to 1.

    Examples
    --------
    >>> check_character("A12425GABC1234002")
    'M'
    """
    product = _carried(text)
    return CHARACTERS[(_ALL + 1 - product) % _ALL]


def is_sound(text: str) -> bool:
    """Tell whether the last character is the check character of those before it.

    Examples
    --------
    >>> is_sound("A12425GABC1234002M"), is_sound("A12425GABC1234020M"), is_sound("")
    (True, False, False)
    """
    if len(text) < 2 or any(character not in CHARACTERS for character in text):
        return False
    return check_character(text[:-1]) == text[-1]


def _carried(text: str) -> int:
    if not text:
        raise ValueError("a check character needs one character or more before it")
    product = _ALL
    for character in text:
        if character not in CHARACTERS:
            raise ValueError(f'"{character}" is neither a figure nor a capital letter')
        product = ((product + CHARACTERS.index(character)) % _ALL or _ALL) * 2 % (_ALL + 1)
    return product
