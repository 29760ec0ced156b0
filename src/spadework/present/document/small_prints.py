"""Typesetting of small prints: a template of this package and the words that go into it, to PDF."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

from spadework.present.document.paper import PrintFault

__all__ = ["typeset"]


def typeset(template: str, contents: Mapping[str, str]) -> bytes:
    """Return the PDF of a template, typeset without a network and with the same type on every machine.

    Parameters
    ----------
    template : str
        Name of a file among the templates.
    contents : Mapping
        Files that it reads, by name.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    import typst

    with tempfile.TemporaryDirectory(prefix="spadework-print-") as name:
        folder = Path(name)
        for file, text in contents.items():
            (folder / file).write_text(text, "utf-8")
        main = folder / template
        main.write_text((files("spadework.present") / "templates" / template).read_text("utf-8"), "utf-8")
        pdf, warnings = typst.compile_with_warnings(str(main), root=str(folder), ignore_system_fonts=True, timestamp=0)
    if warnings:
        raise PrintFault("; ".join(str(warning) for warning in warnings))
    result: bytes = pdf
    return result
