"""The report as one HTML page: drawings, style and workings within it, no script, no network."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from spadework.present.document.blocks import Drawing, Grid, Items, Text
from spadework.present.document.workings import shared_trail, system_chapters
from spadework.present.tone import css_variables

if TYPE_CHECKING:
    import jinja2
    from markupsafe import Markup

    from spadework.estimate import Estimate
    from spadework.present.document.blocks import Report

__all__ = ["inline_svg", "page"]


def page(report: Report, estimate: Estimate | None = None) -> str:
    """Return the page.

    Parameters
    ----------
    report : Report
        From :func:`spadework.present.report.content.build_report`.
    estimate : Estimate, optional
        The estimate that it was built from; its workings are put at the end.
    """
    return _template().render(
        report=report,
        colours=css_variables(),
        worked_out=estimate is not None,
        chapters=system_chapters(estimate, report.beside) if estimate is not None else (),
        shared=shared_trail(estimate, report.beside) if estimate is not None else None,
        baseline=estimate.plan.baseline if estimate is not None else "",
        draws=estimate.draws if estimate is not None else 0,
    )


def inline_svg(drawing: Drawing) -> Markup:
    """Return a drawing as it may stand in a page: without a namespace address, with its text alternative.

    A drawing that brings its own title and description keeps them.
    """
    from markupsafe import Markup, escape

    svg = re.sub(r'\sxmlns(?::\w+)?="[^"]*"', "", drawing.svg)
    head, sign, rest = svg.partition(">")
    if "aria-labelledby" not in head:
        head = re.sub(r'\s(?:role|aria-label|aria-roledescription)="[^"]*"', "", head)
        width = re.search(r'\swidth="([\d.]+)"', head)
        head = re.sub(r'\s(?:width|height)="[^"]*"', "", head)
        size = f' style="max-width:{width[1]}px"' if width else ""
        head += f' role="img" aria-label="{escape(drawing.alt)}"{size}'
        # The parts of a chart name themselves to screen readers one by one; the alternative says it in one piece.
        rest = re.sub(r'\s(?:role|aria-label|aria-roledescription|aria-hidden)="[^"]*"', "", rest)
    return Markup(head + sign + rest)  # noqa: S704 (our own drawings; every text in them is escaped where they are made)


@cache
def _template() -> jinja2.Template:
    import jinja2

    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.tests |= {
        "drawing": lambda block: isinstance(block, Drawing),
        "grid": lambda block: isinstance(block, Grid),
        "items": lambda block: isinstance(block, Items),
        "text": lambda block: isinstance(block, Text),
    }
    environment.filters["inline"] = inline_svg
    return environment.from_string((files("spadework.present") / "templates" / "page.html.j2").read_text("utf-8"))
