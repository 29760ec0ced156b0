"""Text that a spreadsheet would take for a formula, made harmless on the way out and read back as it was."""

from __future__ import annotations

from typing import Final

__all__ = ["GUARD", "guarded", "unguarded"]

GUARD: Final = "'"
"""Sign in front of a text that a spreadsheet would work out."""
_STARTS: Final = frozenset(("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", GUARD))


def guarded(text: str) -> str:
    """Return a text with a sign in front where a spreadsheet would take it for a formula.

    Blanks in front do not hide a formula.

    Examples
    --------
    >>> guarded("=1+1"), guarded("row 3"), guarded("'tis wet")
    ("'=1+1", 'row 3', "''tis wet")
    """
    first = text[:1]
    if first in _STARTS or (first.isspace() and text.lstrip()[:1] in _STARTS):
        return GUARD + text
    return text


def unguarded(text: str) -> str:
    """Return what :func:`guarded` was given.

    Examples
    --------
    >>> unguarded(guarded("=1+1")), unguarded("'tis wet")
    ('=1+1', "'tis wet")
    """
    rest = text.removeprefix(GUARD)
    return rest if rest != text and guarded(rest) == text else text
