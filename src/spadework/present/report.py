"""The report of an estimate: one content, written as a self-contained page and as a print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from spadework import __version__
from spadework.estimate import Estimate
from spadework.estimate.pressure import Pressures, pressures
from spadework.present.charts import unchecked
from spadework.present.face import soil_face
from spadework.present.face_words import describe
from spadework.present.faces import faces, reach_cm
from spadework.present.files import write_bytes
from spadework.present.report_band import band_section
from spadework.present.report_band_course import band_course_section
from spadework.present.report_blocks import Drawing, Section, Text
from spadework.present.report_courses import courses_section, when_section
from spadework.present.report_days import days_section
from spadework.present.report_leaned import caution_section, limits_section, sources_section, told_section
from spadework.present.report_match import match_section, time_section
from spadework.present.report_money import cost_section, overview_section, sureness_section
from spadework.present.report_need import balances_section, gases_section
from spadework.present.report_nitrogen import nitrogen_section
from spadework.present.report_pressure import pressure_section
from spadework.present.report_seedbed import seedbed_section
from spadework.present.report_supply import supply_section
from spadework.present.report_views import views_section
from spadework.present.report_water import water_section
from spadework.present.wording import STANDING_LONG, place_line, price_line, terms_line

__all__ = ["Report", "build_report", "write_report"]


@dataclass(frozen=True)
class Report:
    """What page and print show alike.

    Attributes
    ----------
    question, place, standing : str
        For the head.
    invented : bool
        True where the plan says that it is made up.
    facts : tuple of str
        Prices, draws, seed, version.
    sections : tuple of Section
        In the order in which they are read.
    """

    question: str
    place: str
    standing: str
    invented: bool
    facts: tuple[str, ...]
    sections: tuple[Section, ...]


def build_report(estimate: Estimate, more: Sequence[Section] = ()) -> Report:
    """Return the content of the report; `more` are sections from elsewhere, such as what was measured."""
    pressed = pressures(estimate)
    sections = (
        overview_section(estimate),
        _face_section(estimate, pressed),
        match_section(estimate),
        time_section(estimate),
        supply_section(estimate),
        pressure_section(pressed),
        cost_section(estimate),
        views_section(estimate),
        days_section(estimate),
        nitrogen_section(estimate),
        courses_section(estimate),
        when_section(estimate),
        balances_section(estimate),
        gases_section(estimate),
        sureness_section(estimate),
        band_section(estimate),
        band_course_section(estimate),
        seedbed_section(estimate),
        water_section(estimate),
        *more,
        limits_section(estimate),
        told_section(estimate),
        sources_section(estimate),
        caution_section(),
    )
    made = (f"{estimate.draws} draws, seed {estimate.seed}", f"spadework {__version__}")
    facts = (price_line(estimate), terms_line(estimate), *made)
    return Report(
        estimate.plan.question,
        place_line(estimate),
        STANDING_LONG,
        estimate.plan.invented,
        facts,
        tuple(section for section in sections if section is not None),
    )


def write_report(
    estimate: Estimate, html: Path | None, pdf: Path | None, *, more: Sequence[Section] = ()
) -> list[Path]:
    """Write the report as a page, as a print, or as both.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    html, pdf : Path or None
        Where to write the page and the print; None leaves one out.
    more : sequence of Section
        Sections from elsewhere, such as what was measured.

    Returns
    -------
    list of Path
        The files that were written.

    Raises
    ------
    CannotWrite
        If a file cannot be written.  Both are made before the first is written, so that one that cannot be made leaves
        the other as it was.

    Notes
    -----
    The same estimate gives the same bytes of the page.  The page needs no network and no script.
    """
    with unchecked():
        report = build_report(estimate, more)
    ready: list[tuple[Path, bytes]] = []
    if html is not None:
        from spadework.present.report_page import page

        ready.append((html, page(report, estimate).encode("utf-8")))
    if pdf is not None:
        from spadework.present.report_print import printed

        ready.append((pdf, printed(report, estimate)))
    return [write_bytes(path, content) for path, content in ready]


def _face_section(estimate: Estimate, pressed: Pressures) -> Section:
    drawn = faces(estimate, pressed)
    depth = reach_cm(drawn)
    blocks = [
        Drawing(f"face-{number}", soil_face(face, prefix=f"face-{number}", to_depth_cm=depth), describe(face))
        for number, face in enumerate(drawn)
    ]
    intro = Text(
        "A cut through the ground across two rows, to one scale, as the plan and the estimate have it after sowing."
    )
    return Section("ground", "What does it look like in the ground?", [intro, *blocks])
