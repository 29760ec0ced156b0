"""The commands ``spadework harvest`` and ``spadework pool``: plots from weights or a log, and several fields together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.findings.harvest import PlotYields
    from spadework.present.document.blocks import Report

__all__ = ["harvest", "pool"]


def harvest(
    file: Annotated[
        Path | None, typer.Argument(help="CSV or XLSX of weighed strips, or CSV of a yield log.", show_default=False)
    ] = None,
    columns: Annotated[
        Path | None,
        typer.Option("--columns", help="TOML that says what the columns of a log are; with it FILE is a log."),
    ] = None,
    template: Annotated[
        Path | None, typer.Option("--template", help="Write an empty CSV for weighed strips here, nothing else.")
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Sheet of a workbook of weighed strips; the first if left out.")
    ] = None,
    scale_step: Annotated[
        float | None, typer.Option("--scale-step", help="Smallest step that the scale shows, kg.", min=0, max=1000)
    ] = None,
    length_error: Annotated[
        float | None, typer.Option("--length-error", help="Standard error of a length, m.", min=0, max=100)
    ] = None,
    width_error: Annotated[
        float | None, typer.Option("--width-error", help="Standard error of a width, percent.", min=0, max=50)
    ] = None,
    delay: Annotated[
        float | None,
        typer.Option("--delay", help="Time from header to sensor, s; found from the log if left out.", min=0, max=120),
    ] = None,
    moisture: Annotated[
        float | None,
        typer.Option("--moisture", help="Moisture of all plots of a log, percent.", min=0, max=99),
    ] = None,
    standard: Annotated[
        float | None,
        typer.Option(
            "--standard",
            help="State yields at this moisture of grain, or dry matter of forage, too, percent.",
            min=1,
            max=99,
        ),
    ] = None,
    plots: Annotated[Path | None, typer.Option("--plots", help="Write the table of plots to this CSV file.")] = None,
    readings: Annotated[
        Path | None, typer.Option("--readings", help="Write the dry matter of the plots as readings for compare.")
    ] = None,
    points: Annotated[
        Path | None, typer.Option("--points", help="Write every point of a log with its reason to this CSV file.")
    ] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write the page.")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write the print.")] = None,
    json: Annotated[Path | None, typer.Option("--json", help="Write all figures to this file.")] = None,
) -> None:
    """Turn weighed strips, or a yield log, into a table of plots; say what was removed and how sure it is."""
    from spadework.app.targets import clashes
    from spadework.plan import Fault, PlanFaults
    from spadework.present.files import write_text

    given = {"--columns": columns, "--sheet": sheet, "--scale-step": scale_step, "--length-error": length_error,
             "--width-error": width_error, "--delay": delay, "--moisture": moisture, "--standard": standard, "--plots": plots,
             "--readings": readings, "--points": points, "--html": html, "--pdf": pdf, "--json": json}  # fmt: skip
    _together(file, template, given, of_a_log=columns is not None)
    if template is not None:
        from spadework.app.folders import write_new
        from spadework.records.files.harvest import weighed_template

        write_new({template: weighed_template().encode("utf-8")})
        typer.echo(f"wrote {template}")
        return
    if file is None:
        raise PlanFaults([Fault("FILE", "is missing; give weighed strips or a log, or --template")], "the command")
    targets = {
        "--plots": plots,
        "--readings": readings,
        "--points": points,
        "--html": html,
        "--pdf": pdf,
        "--json": json,
    }
    if faults := clashes((file, columns), targets):
        raise PlanFaults(faults, "the command")
    width_share, wet, stated = (None if one is None else one / 100 for one in (width_error, moisture, standard))
    if columns is None:
        text, contents, report = _weighed(file, sheet, scale_step, length_error, width_share, stated)
    else:
        text, contents, report = _logged(file, columns, delay, wet, stated)
    ready = {path: contents[option]() for option, path in targets.items() if path is not None and option in contents}
    typer.echo(text)
    for path, content in ready.items():
        typer.echo(f"wrote {write_text(path, content)}")
    if html is not None or pdf is not None:
        from spadework.present.document.written import write_pages

        for path in write_pages(report(), html, pdf):
            typer.echo(f"wrote {path}")


_Made = tuple[str, Mapping[str, Callable[[], str]], Callable[[], "Report"]]
"""What is printed, what each option writes, and the report; the last two are made when they are wanted."""


def _weighed(
    file: Path,
    sheet: str | None,
    step_kg: float | None,
    length_se_m: float | None,
    width_se_share: float | None,
    standard_share: float | None,
) -> _Made:
    from spadework.findings.harvest import weighed_plots
    from spadework.present.compare.harvest_page import harvest_json, weighed_report
    from spadework.present.compare.harvest_table import plots_csv, weighed_text
    from spadework.records.files.harvest import read_weighed

    strips = read_weighed(file, sheet=sheet)
    found = weighed_plots(
        strips,
        division_kg=step_kg,
        length_se_m=length_se_m,
        width_se_share=width_se_share,
        standard_share=standard_share,
    )
    contents = {
        "--plots": lambda: plots_csv(found),
        "--readings": lambda: _readings(found, "fill in the column system"),
        "--json": lambda: harvest_json(found, strips.remarks, file=strips.file),
    }
    text = weighed_text(found, strips.remarks, file=strips.file)
    return text, contents, lambda: weighed_report(found, strips.remarks, file=strips.file)


def _logged(
    file: Path, columns: Path, delay_s: float | None, moisture_share: float | None, standard_share: float | None
) -> _Made:
    from spadework.findings.harvest import logged_plots
    from spadework.present.compare.harvest_page import harvest_json, logged_report
    from spadework.present.compare.harvest_table import logged_text, plots_csv, removed_csv
    from spadework.records.files.harvest_columns import read_log_columns
    from spadework.records.files.harvest_log import read_log

    said = read_log_columns(columns)
    log = read_log(file, said)
    wanted_s = said.delay_s if delay_s is None else delay_s
    found = logged_plots(
        log, crop=said.crop, delay_s=wanted_s, moisture_share=moisture_share, standard_share=standard_share
    )
    contents = {
        "--plots": lambda: plots_csv(found.yields),
        "--readings": lambda: _readings(found.yields, f"give a [[plot]] with name, system and block in {columns.name}"),
        "--points": lambda: removed_csv(found, log.plot, log.time_s.tolist()),
        "--json": lambda: harvest_json(found.yields, log.remarks, file=log.file, logged=found),
    }
    text = logged_text(found, log.remarks, file=log.file)
    return text, contents, lambda: logged_report(found, log.east_m, log.north_m, log.remarks, file=log.file)


def _readings(found: PlotYields, cure: str) -> str:
    from spadework.plan import Fault, PlanFaults
    from spadework.present.compare.harvest_table import readings_csv

    if without := [plot for plot, system in zip(found.plots, found.systems, strict=True) if not system]:
        some = ", ".join(without[:6]) + (" and others" if len(without) > 6 else "")
        what = f"needs the system of every plot; it is not said of {some}: {cure}"
        raise PlanFaults([Fault("--readings", what)], "the command")
    return readings_csv(found)


def pool(
    file: Annotated[Path, typer.Argument(help="CSV or XLSX with field, difference and se.", show_default=False)],
    way: Annotated[
        str, typer.Option("--way", help="Variance between fields: reml, dersimonian_laird, paule_mandel or fixed.")
    ] = "reml",
    unit: Annotated[str, typer.Option("--unit", help="Unit of the differences, for the print.")] = "t/ha",
    above: Annotated[float | None, typer.Option("--above", help="Difference that pays, in the same unit.")] = None,
    sure: Annotated[float, typer.Option("--sure", help="Confidence of intervals, in percent.", min=50, max=99.9)] = 95,
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Sheet of the workbook; the first that is shown if left out.")
    ] = None,
    svg: Annotated[Path | None, typer.Option("--svg", help="Write the picture of the fields to this file.")] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write the page.")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write the print.")] = None,
    json: Annotated[Path | None, typer.Option("--json", help="Write all figures to this file.")] = None,
) -> None:
    """Say what several fields show together: the mean, how fields differ, and what a new field may show."""
    import math

    from spadework.app.targets import clashes
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.faults import nearest
    from spadework.present.compare.pooling_table import pooling_text, standing_said
    from spadework.present.files import write_text
    from spadework.records.files.pooling import read_differences
    from spadework.statistics.fields.pooling import WAYS, leave_one_out
    from spadework.statistics.fields.pooling import pool as pool_fields

    faults = clashes((file,), {"--svg": svg, "--html": html, "--pdf": pdf, "--json": json})
    if way not in WAYS:
        there = nearest(way, WAYS) or f"; allowed: {', '.join(WAYS)}"
        faults.append(Fault("--way", f'"{way[:40]}" is not known{there}'))
    if above is not None and not (math.isfinite(above) and abs(above) <= 1e6):
        faults.append(Fault("--above", f"is {above:g}; allowed: a number from -1000000 to 1000000"))
    if not 0 < len(unit) <= 12 or not unit.isprintable():
        faults.append(Fault("--unit", "is no unit; allowed: 1 to 12 characters that can be printed"))
    if faults:
        raise PlanFaults(faults, "the command")
    read = read_differences(file, sheet=sheet)
    values = read.difference, read.standard_error
    found = pool_fields(*values, way, confidence_share=sure / 100)
    without = leave_one_out(*values, way, confidence_share=sure / 100) if len(read.fields) > 2 else ()
    typer.echo(pooling_text(read, found, without, unit=unit, limit=above))
    if svg is not None:
        from spadework.present.charts.spec import to_svg
        from spadework.present.compare.pooling_chart import pooling_chart

        spec = pooling_chart(read.fields, *values, found, unit, standing=standing_said(read), limit=above)
        typer.echo(f"wrote {write_text(svg, to_svg(spec))}")
    if html is not None or pdf is not None:
        from spadework.present.compare.pooling_page import pooling_report
        from spadework.present.document.written import write_pages

        for path in write_pages(pooling_report(read, found, without, unit=unit, limit=above), html, pdf):
            typer.echo(f"wrote {path}")
    if json is not None:
        from spadework.present.compare.pooling_page import pooling_json

        text = pooling_json(read, found, without, unit=unit, limit=above)
        typer.echo(f"wrote {write_text(json, text)}")


def _together(file: Path | None, template: Path | None, given: Mapping[str, object], *, of_a_log: bool) -> None:
    """Stop where options were given that do nothing."""
    from spadework.plan import Fault, PlanFaults

    said = [name for name, value in given.items() if value is not None]
    faults = []
    if template is not None:
        faults = [Fault(name, "does nothing beside --template; leave it out") for name in said]
        if file is not None:
            faults.append(Fault("FILE", "is given beside --template; give one of the two"))
    elif of_a_log:
        idle: tuple[str, ...] = ("--sheet", "--scale-step", "--length-error", "--width-error")
        faults = [
            Fault(name, "belongs to weighed strips; leave it out beside --columns") for name in said if name in idle
        ]
    else:
        idle = ("--delay", "--moisture", "--points")
        faults = [
            Fault(name, "belongs to a log; say what its columns are with --columns") for name in said if name in idle
        ]
    if faults:
        raise PlanFaults(faults, "the command")
