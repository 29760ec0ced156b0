"""The report of an estimate: one content, written as a self-contained page and as a print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from spadework import __version__
from spadework.estimate import Estimate
from spadework.estimate.chain import Chain
from spadework.estimate.traffic.pressure import Pressures, pressures
from spadework.estimate.traffic.wheels import on_tracks
from spadework.present.charts.spec import unchecked
from spadework.present.document.blocks import Drawing, Report, Section, Text
from spadework.present.face.drawing import soil_face
from spadework.present.face.systems import faces, reach_cm
from spadework.present.face.words import describe
from spadework.present.files import write_bytes
from spadework.present.report.band import band_section
from spadework.present.report.band_course import band_course_section
from spadework.present.report.courses import courses_section, when_section
from spadework.present.report.days import days_section
from spadework.present.report.leaned import caution_section, limits_section, sources_section, told_section
from spadework.present.report.match import match_section, time_section
from spadework.present.report.money import cost_section, overview_section, sureness_section
from spadework.present.report.need import balances_section, gases_section
from spadework.present.report.nitrogen import nitrogen_section
from spadework.present.report.pressure import no_pressure_section, pressure_section, workings_of_pressure
from spadework.present.report.seedbed import seedbed_section
from spadework.present.report.supply import supply_section
from spadework.present.report.views import views_section
from spadework.present.report.water import water_section
from spadework.present.wording import STANDING_LONG, place_line, price_line, terms_line

__all__ = ["build_report", "write_report"]


def build_report(estimate: Estimate, more: Sequence[Section] = ()) -> Report:
    """Return the content of the report; `more` are sections from elsewhere, such as what was measured."""
    tracked = on_tracks(Chain(estimate.read))
    pressed = None if tracked else pressures(estimate)
    sections = (
        overview_section(estimate),
        sureness_section(estimate),
        _face_section(estimate, pressed),
        match_section(estimate),
        time_section(estimate),
        supply_section(estimate),
        no_pressure_section(tracked) if pressed is None else pressure_section(pressed),
        cost_section(estimate),
        views_section(estimate),
        days_section(estimate),
        nitrogen_section(estimate),
        courses_section(estimate),
        when_section(estimate),
        balances_section(estimate),
        gases_section(estimate),
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
        () if pressed is None else (workings_of_pressure(pressed),),
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
        from spadework.present.document.page import page

        ready.append((html, page(report, estimate).encode("utf-8")))
    if pdf is not None:
        from spadework.present.document.paper import printed

        ready.append((pdf, printed(report, estimate)))
    return [write_bytes(path, content) for path, content in ready]


def _face_section(estimate: Estimate, pressed: Pressures | None) -> Section:
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
