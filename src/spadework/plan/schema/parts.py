"""What every table of a plan is made of: text of one line, and keys that are all known."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, StringConstraints

from spadework.quantities import QuantityError, units_that_do

__all__ = ["Currency", "Name", "Part", "Sentence", "one_line"]


def one_line(text: str) -> str:
    """Return a text with single spaces; refuse characters that a screen or print cannot show."""
    text = " ".join(text.split())
    if not text.isprintable():
        code = next(ord(character) for character in text if not character.isprintable())
        raise ValueError(f"holds a character that cannot be printed (number {code}); write it again by hand")
    return text


def _known_currency(code: str) -> str:
    try:
        units_that_do(code)
    except QuantityError:
        raise ValueError(f'"{code}" is no currency in use; write its three letters, e.g. "EUR"') from None
    return code


Name = Annotated[str, StringConstraints(min_length=1, max_length=60), AfterValidator(one_line)]
Sentence = Annotated[str, StringConstraints(max_length=400), AfterValidator(one_line)]
Currency = Annotated[str, StringConstraints(pattern="^[A-Z]{3}$"), AfterValidator(_known_currency)]


class Part(BaseModel):
    """A table of the plan."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True, strict=True, allow_inf_nan=False)
