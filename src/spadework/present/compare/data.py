"""What a comparison found as JSON: every figure behind the print, and every plot as it counted."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from spadework import __version__
from spadework.findings.compare_beside import Beside
from spadework.findings.compare_parts import Finding
from spadework.present.compare.words import sentence
from spadework.present.digs.data import _plain

__all__ = ["compare_json"]


def compare_json(
    found: Sequence[Finding], beside: Mapping[str, Sequence[Beside]], remarks: Sequence[str], *, invented: bool
) -> str:
    """Return findings as JSON text; the same readings give the same text.

    Shares are fractions; what is not known is ``null``; figures of a quantity are in its unit.

    Parameters
    ----------
    found : sequence of Finding
        From :func:`spadework.findings.compare.compare`, one for each quantity.
    beside : Mapping
        Measured held against estimated, by quantity.
    remarks : sequence of str
        Of the reader of the file.
    invented : bool
        True where plan or readings are made up.
    """
    about = {
        "spadework": __version__,
        "invented": invented,
        "remarks": list(remarks),
        "findings": [
            {
                "said": [sentence(one, difference) for difference in one.differences],
                **_plain(one),
                "beside_estimate": _plain(list(beside.get(one.quantity, ()))),
            }
            for one in found
        ],
    }
    return json.dumps(about, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
