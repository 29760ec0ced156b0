"""Formulas as they stand in a worked example: in names, with numbers and units, and so rounded that they multiply out."""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any, Final

import numpy as np

from spadework.quantities import show

__all__ = ["LEAF_DIGITS", "WORKED_DIGITS", "evaluate", "figure", "fitting", "in_names", "in_numbers", "spread", "tied"]

WORKED_DIGITS: Final = 4
"""Significant digits of a worked figure."""
LEAF_DIGITS: Final = 6
"""Significant digits of a figure of the plan or of a table, as far as it has them."""
_MORE: Final = 8
_NARROW: Final = "\N{NARROW NO-BREAK SPACE}"
_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z_0-9]*")
_LONG: Final = re.compile(r"(?<![\w.])\d{5,}(?![\w.])")
_BETWEEN: Final[Mapping[type[ast.AST], Callable[[Any, Any], Any]]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
}
_KNOWN: Final[Mapping[str, Any]] = {
    word: getattr(np, word)
    for word in ("exp", "log", "sqrt", "where", "minimum", "maximum", "ceil", "floor", "abs", "pi")
}


def figure(value: float, digits: int = WORKED_DIGITS) -> str:
    r"""Return a number with so many significant digits, but nothing cut before the point, and a true minus.

    Examples
    --------
    >>> figure(38709.4), figure(-2.26449), figure(0.5)
    ('38\u202f709', '−2.264', '0.5')
    """
    whole = math.floor(math.log10(abs(value))) + 1 if value else 1
    return show(value, "", max(digits, whole)).replace("-", "−")


def spread(low: float, mid: float, high: float, unit: str = "", digits: int = 3) -> str:
    """Return ``mid unit (low to high)``, or the figure with its unit where nothing varies.

    Examples
    --------
    >>> spread(30.13, 38.24, 47.0, "kN"), spread(6.0, 6.0, 6.0)
    ('38.2 kN (30.1 to 47)', '6')
    """
    shown = [show(value, "", digits).strip() for value in (low, mid, high)]
    middle = tied(shown[1], unit)
    return middle if low == high else f"{middle} ({shown[0]} to {shown[2]})"


def tied(shown: str, unit: str) -> str:
    """Return a printed number with its unit, if it has one."""
    return f"{shown} {unit}".rstrip()


def in_names(text: str) -> str:
    """Return a formula of Python's arithmetic as it is written by hand.

    Examples
    --------
    >>> in_names("rf1 * (a - b)**2 / 3600")
    'rf1 × (a − b)² / 3600'
    """
    text = re.sub(r"\*\*2(?![\d.])", "²", text)
    text = re.sub(r"\*\*3(?![\d.])", "³", text)
    return text.replace("**", "^").replace(" * ", " × ").replace("*", " × ").replace(" - ", " − ")


def in_numbers(text: str, known: Mapping[str, str], units: Mapping[str, str]) -> str:
    r"""Return a formula with printed numbers in the place of names, each with its unit.

    Units are left out altogether where one of them is a phrase rather than a sign, and always in an exponent.

    Examples
    --------
    >>> in_numbers("dose / density**2", {"dose": "30", "density": "1.02"}, {"dose": "t/ha", "density": "t/m3"})
    '30 t/ha ÷ (1.02 t/m3)²'
    """
    bare = any(" " in units.get(name, "") for name in known)

    def put(found: re.Match[str]) -> str:
        name = found[0]
        if name not in known:
            return name
        exponent = text[: found.start()].rstrip().endswith("**")
        shown = tied(known[name], "" if bare or exponent else units.get(name, ""))
        raised = text[found.end() :].lstrip().startswith("**")
        return f"({shown})" if shown.startswith("−") or (raised and " " in shown) else shown

    text = _LONG.sub(lambda found: f"{int(found[0]):,}".replace(",", _NARROW), text)
    return in_names(_NAME.sub(put, text)).replace(" / ", " ÷ ")


def evaluate(text: str, known: Mapping[str, float]) -> float:
    """Return the value of a formula with numbers in the place of names.

    Examples
    --------
    >>> evaluate("maximum(0, need - given / 2)", {"need": 150.0, "given": 100.0})
    100.0
    """
    with np.errstate(all="ignore"):
        return float(_value(_tree(text), known))


def fitting(
    values: Sequence[float], digits: Sequence[int], compute: Callable[[Sequence[float]], float], result: float
) -> tuple[str, ...]:
    """Return printed numbers from which `compute` comes to the printed result.

    Each number has at first its own digits; where a difference of like numbers or a high power needs more, all of them
    are given more, one by one, until what is printed multiplies out to half a unit of the last printed digit.

    Parameters
    ----------
    values : sequence of float
        The numbers in full.
    digits : sequence of int
        Significant digits to begin with.
    compute : callable
        From numbers to the result.
    result : float
        The result in full.

    Examples
    --------
    >>> fitting([100.04, 99.016], [4, 4], lambda v: v[0] - v[1], 1.024)
    ('100.04', '99.016')
    """
    target = _read(figure(result))
    room = _half_unit(result) * (1 + 1e-9)
    shown: tuple[str, ...] = ()
    for more in range(_MORE + 1):
        shown = tuple(figure(v, d + more) for v, d in zip(values, digits, strict=True))
        try:
            if abs(compute([_read(text) for text in shown]) - target) <= room:
                break
        except ZeroDivisionError:
            continue
    return shown


def _half_unit(value: float) -> float:
    """Return half a unit of the last digit that :func:`figure` prints."""
    if not value:
        return 1e-12
    last = min(math.floor(math.log10(abs(value))) + 1 - WORKED_DIGITS, 0)
    return float(0.5 * 10.0**last)


def _read(shown: str) -> float:
    return float(shown.replace(_NARROW, "").replace("−", "-"))


@lru_cache(maxsize=1024)
def _tree(text: str) -> ast.expr:
    return ast.parse(text, mode="eval").body


def _value(node: ast.expr, known: Mapping[str, float]) -> Any:
    if isinstance(node, ast.Constant):
        return node.value
    if isinstance(node, ast.Name):
        return known[node.id] if node.id in known else _KNOWN[node.id]
    if isinstance(node, ast.BinOp):
        return _BETWEEN[type(node.op)](_value(node.left, known), _value(node.right, known))
    if isinstance(node, ast.UnaryOp):
        value = _value(node.operand, known)
        return -value if isinstance(node.op, ast.USub) else value
    if isinstance(node, ast.Compare):
        return _BETWEEN[type(node.ops[0])](_value(node.left, known), _value(node.comparators[0], known))
    if isinstance(node, ast.Call):
        return _value(node.func, known)(*_arguments(node, known))
    raise TypeError(f"a formula cannot hold {ast.unparse(node)}")


def _arguments(node: ast.Call, known: Mapping[str, float]) -> Iterator[Any]:
    return (_value(argument, known) for argument in node.args)
