"""The band under the row as a page of its own: the weeks with their drawings, size and place, cautions, workings."""

from __future__ import annotations

from spadework import __version__
from spadework.estimate import Estimate
from spadework.present.band.weeks_words import Weeks
from spadework.present.document.blocks import Report, Section
from spadework.present.document.page import page
from spadework.present.report.band import band_section
from spadework.present.report.band_course import weeks_blocks
from spadework.present.report.leaned import caution_section
from spadework.present.wording import STANDING_LONG, place_line

__all__ = ["band_page"]


def band_page(estimate: Estimate, found: list[Weeks]) -> str:
    """Return the page; the same estimate gives the same text.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    found : list of Weeks
        From :func:`spadework.present.band.weeks_words.weeks_of`, one for each system to be shown.
    """
    weeks = Section("overview", "What does it do to the seed?", weeks_blocks(found))
    sections = (weeks, band_section(estimate), caution_section())
    facts = (
        f"{found[0].course.inputs.draws} of {estimate.draws} draws for the weeks, seed {estimate.seed}",
        f"spadework {__version__}",
    )
    report = Report(
        "What does the band under the row do to the seed, and when can it be sown over?",
        place_line(estimate),
        STANDING_LONG,
        estimate.plan.invented,
        facts,
        tuple(section for section in sections if section is not None),
    )
    return page(report, estimate)
