"""The commands ``spadework harvest`` and ``spadework pool``: plots from weights or a log, and several fields together."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

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
    plots: Annotated[Path | None, typer.Option("--plots", help="Write the table of plots to this CSV file.")] = None,
    points: Annotated[
        Path | None, typer.Option("--points", help="Write every point of a log with its reason to this CSV file.")
    ] = None,
) -> None:
    """Turn weighed strips, or a yield log, into a table of plots; say what was removed and how sure it is."""
    from spadework.plan import Fault, PlanFaults
    from spadework.present.files import write_text

    given = {"--columns": columns, "--sheet": sheet, "--scale-step": scale_step, "--length-error": length_error,
             "--width-error": width_error, "--delay": delay, "--moisture": moisture, "--plots": plots,
             "--points": points}  # fmt: skip
    _together(file, template, given, of_a_log=columns is not None)
    if template is not None:
        from spadework.app.folders import write_new
        from spadework.records.files.harvest import weighed_template

        write_new({template: weighed_template().encode("utf-8")})
        typer.echo(f"wrote {template}")
        return
    if file is None:
        raise PlanFaults([Fault("FILE", "is missing; give weighed strips or a log, or --template")], "the command")
    from spadework.findings.harvest import logged_plots, weighed_plots
    from spadework.present.compare.harvest_table import logged_text, plots_csv, removed_csv, weighed_text

    if columns is None:
        from spadework.records.files.harvest import read_weighed

        strips = read_weighed(file, sheet=sheet)
        share = None if width_error is None else width_error / 100
        found = weighed_plots(strips, division_kg=scale_step, length_se_m=length_error, width_se_share=share)
        typer.echo(weighed_text(found, strips.remarks, file=strips.file))
    else:
        from spadework.records.files.harvest_columns import read_log_columns
        from spadework.records.files.harvest_log import read_log

        said = read_log_columns(columns)
        log = read_log(file, said)
        wet = None if moisture is None else moisture / 100
        logged = logged_plots(log, crop=said.crop, delay_s=said.delay_s if delay is None else delay, moisture_share=wet)
        found = logged.yields
        typer.echo(logged_text(logged, log.remarks, file=log.file))
        if points is not None:
            typer.echo(f"wrote {write_text(points, removed_csv(logged, log.plot, log.time_s.tolist()))}")
    if plots is not None:
        typer.echo(f"wrote {write_text(plots, plots_csv(found))}")


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
) -> None:
    """Say what several fields show together: the mean, how fields differ, and what a new field may show."""
    import math

    from spadework.plan import Fault, PlanFaults
    from spadework.plan.faults import nearest
    from spadework.present.compare.pooling_table import pooling_text, standing_said
    from spadework.present.files import write_text
    from spadework.records.files.pooling import read_differences
    from spadework.statistics.fields.pooling import WAYS, leave_one_out
    from spadework.statistics.fields.pooling import pool as pool_fields

    faults = []
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
