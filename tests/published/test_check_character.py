"""Check characters and escaped text held against examples that standards and their users have published."""

from __future__ import annotations

import pytest

from spadework.exchange.calendar_file import _escaped
from spadework.records.sheets.check_character import CHARACTERS, check_character, is_sound

KNOWN = {
    "A12425GABC1234002": ("M", "GRid Standard, the example A1-2425G-ABC1234002-M (ISO/IEC 7064 MOD 37,36); quoted"),
    "B159D8FA01240000": ("K", "ISAN with MOD 37,36, as quoted in open libraries of check characters"),
    "188166C734200000": ("3", "ISAN with MOD 37,36, as quoted in open libraries of check characters"),
    "00000000C36D002B": ("K", "ISAN 0000-0000-C36D-002B-K, as quoted in open libraries of check characters"),
    "RABD": ("A", "Test cases of an open implementation of ISO/IEC 7064:2003; quoted"),
    "X0H": ("X", "Test cases of an open implementation of ISO/IEC 7064:2003; quoted"),
}


@pytest.mark.parametrize("text", KNOWN)
def test_published_check_characters(check, text):
    sign, source = KNOWN[text]
    ours = CHARACTERS.index(check_character(text))
    check(f"value of the check character of {text}", source, CHARACTERS.index(sign), ours, 0)
    assert is_sound(text + sign)


def test_text_of_a_calendar_is_escaped_as_the_standard_shows(check):
    source = "RFC 5545, section 3.3.11, the example of a text of several lines (quoted in open implementations)"
    shown = r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    ours = _escaped("Project XYZ Final Review\nConference Room - 3B\nCome Prepared.")
    check(
        "characters in which the escaped text differs",
        source,
        0,
        sum(a != b for a, b in zip(ours, shown, strict=True)),
        0,
    )
