"""The card for the driver: one page that says what to change, unit by unit, in large type; print and HTML.

At the top stands what can be read in the cab in ten seconds: the verdict, and a box for each unit.

Date, names and a tick are filled in by hand: the card knows neither who dug nor who re-set the machine.
"""

from __future__ import annotations

import dataclasses
import json
import re
import tempfile
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from spadework import __version__
from spadework.findings.digs import Dug
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.charts.spec import to_pdf, to_svg
from spadework.present.digs.charts import digs_chart, digs_chart_words, digs_face
from spadework.present.digs.glance import boxes, columns_of, key_of, verdict_of
from spadework.present.digs.words import CARE, STANDING_DIGS, changes, count_of, doubts, headline, units_text
from spadework.present.document.blocks import Drawing
from spadework.present.document.page import inline_svg
from spadework.present.document.paper import PrintFault
from spadework.present.face.drawing import Face, soil_face
from spadework.present.tone import css_variables

if TYPE_CHECKING:
    import jinja2

__all__ = ["card_html", "card_pdf"]

_TITLE: Final = "What to change"
_MOVING: Final = "Turning shafts and moving parts"
_BLANKS: Final = ("Date", "Field or plot", "Dug by", "Re-set by")
_SHORT: Final = 8  # sentences that still stand in the largest type
_LAYOUTS: Final = (
    (1.15, 98, True),
    (1.12, 72, True),
    (1.05, 58, True),
    (1.05, 0, True),
    (1.0, 0, True),
    (0.9, 0, True),
    (0.9, 0, False),
)
"""Size of type, height of the drawing in mm (0 for none) and whether units have boxes, from roomy to tight: the first that
fits one page is taken.
"""
_MOST: Final = 18  # and those that still stand on the page; a worse machine wants the whole print


def _content(found: Dug, machine: str, invented: bool) -> dict[str, Any]:
    do = list(changes(found))
    look = list(doubts(found))
    missing = []
    if found.not_dug:
        missing.append(f"{units_text(found.not_dug)[0].upper()}{units_text(found.not_dug)[1:]}: not dug.")
    missing += [
        "Anywhere but where the holes were: other ground, other speed, other plots.",
        "Dose and evenness of the outlets, spacing of the seeds, state of the soil.",
    ]
    if len(do) > _MOST:
        do = [*do[: _MOST - 1], f"And {len(do) - _MOST + 1} more units: see the whole print."]
    low, high = found.window_cm
    moving = next(c for c in CAUTIONS if c.title == _MOVING)
    return {
        "title": _TITLE,
        "machine": machine,
        "invented": invented,
        "headline": headline(found),
        "verdict": verdict_of(found),
        "boxes": [dataclasses.asdict(box) for box in boxes(found)],
        "columns": columns_of(found),
        "key": key_of(found),
        "changes": do or ([] if found.verdict == "leave" else ["Nothing to re-set that these digs bear out."]),
        "large": len(do) <= _SHORT,
        "tick": bool(do),
        "look": look,
        "after": "After re-setting: drive on at working speed, dig again in the units that were changed and in two others."
        if do
        else "",
        "facts": f"{count_of(found.gap.digs, 'dig')} with a gap in {found.gap.units} of {found.rows} units, {found.file}. "
        f"Wanted: gap {low:g} to {high:g} cm, seed {found.seed_depth_cm:g} cm under the press-wheel track. "
        "Units counted from the left, seen forwards.",
        "missing": missing,
        "care": [CARE, f"{moving.title}. {moving.text}", DEFER],
        "blanks": list(_BLANKS),
        "standing": f"{STANDING_DIGS[0].upper()}{STANDING_DIGS[1:]}.",
        "version": f"spadework {__version__}",
    }


def card_pdf(found: Dug, *, machine: str, invented: bool) -> bytes:
    """Return the card as a PDF of one page.

    Parameters
    ----------
    found : Dug
        From :func:`spadework.findings.digs.find_digs`.
    machine : str
        Its name, as people call it.
    invented : bool
        True where digs or machine are made up.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    import typst

    content = _content(found, machine, invented)
    content |= {"drawing": "", "alt": ""}
    with tempfile.TemporaryDirectory(prefix="spadework-card-") as name:
        folder = Path(name)
        template = folder / "card.typ"
        template.write_text((files("spadework.present") / "templates" / "dig_card.typ").read_text("utf-8"), "utf-8")
        if found.gap.digs and content["large"]:
            content |= {"drawing": "digs.pdf", "alt": digs_chart_words(found)}
            (folder / "digs.pdf").write_bytes(to_pdf(to_svg(digs_chart(found, title="The digs, unit by unit"))))
        every = content["boxes"]
        for scale, height, boxed in _LAYOUTS:
            content |= {"scale": scale, "height": height, "boxes": every if boxed else []}
            (folder / "card.json").write_text(json.dumps(content, ensure_ascii=False), "utf-8")
            pdf, warnings = typst.compile_with_warnings(
                str(template), root=str(folder), ignore_system_fonts=True, timestamp=0
            )
            if warnings:
                raise PrintFault("; ".join(str(warning) for warning in warnings))
            if len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1:
                break
    result: bytes = pdf
    return result


def card_html(found: Dug, *, machine: str, invented: bool, planned: Face | None = None) -> str:
    """Return the card as one HTML page without script or network, with the digs drawn beneath.

    Parameters
    ----------
    found, machine, invented
        As for :func:`card_pdf`.
    planned : Face, optional
        Face of the system that was dug, over which the digs are drawn.
    """
    drawings = []
    if found.gap.digs:
        spec = digs_chart(found, title="The digs, unit by unit")
        drawings.append(inline_svg(Drawing("digs", to_svg(spec), digs_chart_words(found))))
    if np.any(np.isfinite(found.top_cm + found.seed_cm) & (found.settings == found.setting)):
        face = digs_face(found, planned=planned, name=machine)
        drawings.append(inline_svg(Drawing("face-digs", soil_face(face, prefix="face-digs"), "")))
    return _template().render(card=_content(found, machine, invented), colours=css_variables(), drawings=drawings)


@cache
def _template() -> jinja2.Template:
    import jinja2

    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string((files("spadework.present") / "templates" / "dig_card.html.j2").read_text("utf-8"))
