"""Warmth and emergence as a page of their own: the section of the report, the drying of the ground, cautions."""

from __future__ import annotations

from spadework import __version__
from spadework.estimate import Estimate
from spadework.present.document.blocks import Report, Section
from spadework.present.document.page import page
from spadework.present.report.leaned import caution_section
from spadework.present.report.seedbed import seedbed_blocks
from spadework.present.report.water import water_section
from spadework.present.seedbed.words import Seedbed
from spadework.present.wording import STANDING_LONG, place_line

__all__ = ["seedbed_page"]


def seedbed_page(estimate: Estimate, found: Seedbed) -> str:
    """Return the page; the same estimate gives the same text."""
    warm = Section("overview", "Is the strip really warmer?", seedbed_blocks(estimate, found))
    facts = (
        f"{found.warmth.draws} of {estimate.draws} draws for the weeks, seed {estimate.seed}",
        f"spadework {__version__}",
    )
    standing = "estimated: models, and loggers in some zones" if found.fits else STANDING_LONG
    sections = (warm, water_section(estimate), caution_section())
    report = Report(
        "How warm is the seedbed of each system, and when do the plants come up?",
        place_line(estimate),
        standing,
        estimate.plan.invented,
        facts,
        tuple(section for section in sections if section is not None),
    )
    return page(report, estimate)
