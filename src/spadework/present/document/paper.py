"""The report as a print: A4, typeset without a network and with the same type on every machine."""

from __future__ import annotations

import json
import tempfile
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from spadework.estimate import Estimate
from spadework.present.charts.spec import to_pdf
from spadework.present.document.blocks import Block, Drawing, Grid, Items, Text
from spadework.present.document.workings import trail_of
from spadework.present.wording import MAIN

if TYPE_CHECKING:
    from spadework.present.document.blocks import Report

__all__ = ["PrintFault", "printed"]

_WORKED = ("fuel", "cost", "loss_share", "gap")
"""Figures whose working is printed; the command prints the others."""

_MM_PER_UNIT = 0.2125
"""All drawings are printed to one scale, so that their type, 12 units and more, is as large everywhere: 7 points."""
_WIDEST_MM = 174.0
_FLOATS_MM = 75.0
"""A drawing up to so high goes to the foot of a page where it would leave a gap; a higher one stays in its place."""


class PrintFault(RuntimeError):  # noqa: N818 (its own word)
    """The typesetting left something out, such as a glyph or a font; a defect of ours."""


def printed(report: Report, estimate: Estimate | None = None) -> bytes:
    """Return a report as PDF.

    Parameters
    ----------
    report : Report
        From :func:`spadework.present.report.content.build_report`.
    estimate : Estimate, optional
        The estimate that it was built from; a few workings are put at the end.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    import typst

    with tempfile.TemporaryDirectory(prefix="spadework-print-") as name:
        folder = Path(name)
        content = {
            "question": report.question,
            "place": report.place,
            "standing": report.standing,
            "invented": report.invented,
            "facts": list(report.facts),
            "sections": [
                {
                    "key": section.key,
                    "title": section.title,
                    "blocks": [_block(block, folder) for block in section.blocks],
                }
                for section in report.sections
            ],
            "workings": [] if estimate is None else _workings(estimate),
        }
        (folder / "report.json").write_text(json.dumps(content, ensure_ascii=False), "utf-8")
        template = folder / "print.typ"
        template.write_text((files("spadework.present") / "templates" / "print.typ").read_text("utf-8"), "utf-8")
        pdf, warnings = typst.compile_with_warnings(
            str(template), root=str(folder), ignore_system_fonts=True, timestamp=0
        )
    if warnings:
        raise PrintFault("; ".join(str(warning) for warning in warnings))
    result: bytes = pdf
    return result


def _block(block: Block, folder: Path) -> dict[str, Any]:
    if isinstance(block, Text):
        return {"is": "text", "text": block.text, "kind": block.kind}
    if isinstance(block, Items):
        return {"is": "items", "items": [list(item) for item in block.items]}
    if isinstance(block, Grid):
        rows = [[{"text": c.shown, "mark": c.mark} for c in row] for row in block.rows]
        return {
            "is": "grid",
            "caption": block.caption,
            "head": list(block.head),
            "rows": rows,
            "widths": list(block.widths),
            "note": block.note,
            "prose": block.prose,
        }
    return _drawing(block, folder)


def _drawing(drawing: Drawing, folder: Path) -> dict[str, Any]:
    file = f"{drawing.name}.pdf"
    (folder / file).write_bytes(to_pdf(drawing.svg))
    return {
        "is": "drawing",
        "file": file,
        "alt": drawing.alt,
        "width": min(_WIDEST_MM, _MM_PER_UNIT * drawing.width),
        "stays": _MM_PER_UNIT * drawing.height > _FLOATS_MM,
    }


def _workings(estimate: Estimate) -> list[dict[str, Any]]:
    titles = {main.name: main.title for main in MAIN}
    found = []
    for name in _WORKED:
        system = next((s for s in range(len(estimate.systems)) if estimate.has(name, s)), None)
        if system is None:
            continue
        steps = [
            {
                "label": s.label,
                "result": s.result,
                "formula": s.formula,
                "numbers": s.numbers,
                "source": "; ".join(t for t in (s.source, s.where) if t),
            }
            for s in trail_of(estimate, name, system)
        ]
        found.append(
            {
                "title": f"{titles[name]}: {estimate.systems[system]}",
                "steps": steps,
                "command": f"spadework estimate {estimate.read.name} --working {name}",
            }
        )
    return found
