"""The command ``spadework compare``: an empty table of readings, and what the readings say of the systems."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from spadework.findings.compare_beside import Beside
    from spadework.findings.compare_parts import Better, Finding
    from spadework.plan import Read
    from spadework.records.files.readings import Readings

__all__ = ["compare", "compare_page", "found_of"]

_YIELDS = ("dm_yield", "yield", "grain_yield")


def compare(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    file: Annotated[Path | None, typer.Argument(help="CSV or XLSX of the readings.", show_default=False)] = None,
    quantity: Annotated[
        list[str] | None, typer.Option("--quantity", help="Only this quantity; may be given again. All if left out.")
    ] = None,
    margin: Annotated[
        str | None, typer.Option("--margin", help='Loss that would be borne, e.g. "0.8 t/ha"; that of the plan else.')
    ] = None,
    better: Annotated[
        Literal["more", "less"] | None,
        typer.Option("--better", help="Which way is better, where the name of the quantity does not say."),
    ] = None,
    factor: Annotated[
        list[str] | None, typer.Option("--factor", help="A further factor, where the plan has no layout.")
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Sheet of the workbook; the first that is shown if left out.")
    ] = None,
    sure: Annotated[
        float, typer.Option("--sure", help="Confidence of all intervals, in percent.", min=50, max=99.9)
    ] = 95,
    html: Annotated[Path | None, typer.Option("--html", help="Write the page.")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write the print.")] = None,
    json: Annotated[Path | None, typer.Option("--json", help="Write all figures to this file.")] = None,
    template: Annotated[
        Path | None, typer.Option("--template", help="Write an empty table for the layout: a .csv or .xlsx file.")
    ] = None,
) -> None:
    """Say what the readings of the plots tell of the systems; or write an empty table for them."""
    from spadework.plan import Fault, PlanFaults, read

    if (file is None) == (template is None):
        what = "give a file of readings, or --template FILE for an empty table" if file is None else (
            "writes an empty table, and a file of readings is given as well; give one of the two"
        )  # fmt: skip
        raise PlanFaults([Fault("" if file is None else "--template", what)], "the command")
    with_file = {"--margin": margin, "--better": better, "--factor": factor, "--sheet": sheet, "--html": html,
                 "--pdf": pdf, "--json": json}  # fmt: skip
    idle = [name for name, value in with_file.items() if value]
    if file is None and idle:
        raise PlanFaults(
            [Fault(name, "belongs to a file of readings; give it as well") for name in idle], "the command"
        )
    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    if file is None:
        if template is not None:
            typer.echo(f"wrote {_write_template(seen, template, quantity or ())}")
        return
    from spadework.present.compare.data import compare_json
    from spadework.present.compare.page import compare_report
    from spadework.present.compare.table import compare_text
    from spadework.present.document.written import write_pages
    from spadework.present.files import write_text

    readings, found, beside = found_of(
        seen,
        file,
        quantity or (),
        margin=margin,
        better=better or "",
        factors=factor or (),
        sheet=sheet,
        sure=sure / 100,
    )
    for number, one in enumerate(found):
        last = number == len(found) - 1
        remarks = readings.remarks if last else ()
        text = compare_text(one, beside=beside[one.quantity], remarks=remarks, invented=seen.plan.invented)
        typer.echo(text if last else text + "\n\n" + "-" * 100 + "\n")
    report = compare_report(found, seen.plan, beside, readings.remarks)
    for path in write_pages(report, html, pdf):
        typer.echo(f"wrote {path}")
    if json is not None:
        text = compare_json(found, beside, readings.remarks, invented=seen.plan.invented)
        typer.echo(f"wrote {write_text(json, text)}")


def compare_page(plan: Path, file: Path, html: Path) -> Path:
    """Write the page of a file of readings, all quantities, and return its path."""
    from spadework.plan import read
    from spadework.present.compare.page import compare_report
    from spadework.present.document.written import write_pages

    seen = read(plan)
    readings, found, beside = found_of(seen, file)
    return write_pages(compare_report(found, seen.plan, beside, readings.remarks), html, None)[0]


def found_of(
    seen: Read,
    file: Path,
    quantities: Sequence[str] = (),
    *,
    margin: str | None = None,
    better: Better = "",
    factors: Sequence[str] = (),
    sheet: str | None = None,
    sure: float = 0.95,
) -> tuple[Readings, tuple[Finding, ...], Mapping[str, tuple[Beside, ...]]]:
    """Return the readings of a file, a finding for each quantity, and what stands beside it in the estimate."""
    from spadework.findings.compare import compare as compare_systems
    from spadework.findings.compare_beside import KNOWN, better_of
    from spadework.findings.compare_beside import beside as beside_estimate
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.agreement.design import asked_of
    from spadework.records.files.readings import read_readings

    asked = asked_of(seen.plan)
    if asked is not None and factors:
        what = f"the layout of {seen.name} says what is compared; declare the factor there"
        raise PlanFaults([Fault("--factor", what)], "the command")
    names = tuple(f.name for f in asked.factors[1:]) if asked is not None else tuple(name.lower() for name in factors)
    systems = [system.name for system in seen.plan.systems]
    readings = read_readings(file, systems, factors=names, sheet=sheet)
    wanted = tuple(dict.fromkeys(name.lower() for name in quantities)) or tuple(readings.units)
    for name in wanted:
        readings.unit_of(name)
    margins = _margins(seen, readings, wanted, margin)
    found = tuple(
        compare_systems(
            readings,
            name,
            baseline=seen.plan.baseline,
            design=asked,
            margin=margins.get(name),
            better=better or better_of(name),
            confidence=sure,
        )
        for name in wanted
    )
    beside: dict[str, tuple[Beside, ...]] = dict.fromkeys(wanted, ())
    if any(name in KNOWN and KNOWN[name].figure for name in wanted):
        from spadework.estimate import estimate

        made = estimate(seen)
        beside = {one.quantity: beside_estimate(one, made) for one in found}
    return readings, found, beside


def _margins(seen: Read, readings: Readings, wanted: Sequence[str], margin: str | None) -> dict[str, float]:
    """Return the margin of every quantity that has one: that of the command, else that of the plan for the yield."""
    from spadework.plan import Fault, PlanFaults
    from spadework.quantities import QuantityError, parse
    from spadework.records.files.readings import PLAIN_UNIT

    if margin is not None:
        for name in wanted:
            unit = readings.units[name]
            try:
                value = float(margin) if unit == PLAIN_UNIT else parse(margin, unit).value
            except ValueError as error:
                wrong = error
                continue
            if value > 0:
                return {name: value}
            wrong = QuantityError(f'"{margin}" is not more than nought')
        raise PlanFaults([Fault("--margin", f"fits none of {', '.join(wanted)}: {wrong}")], "the command")
    said = seen.plan.design.margin if seen.plan.design is not None else None
    out: dict[str, float] = {}
    for name in wanted:
        if said is None or name not in _YIELDS or readings.units[name] == PLAIN_UNIT:
            continue
        if said.unit == "%":
            out[name] = said.fraction * _baseline_mean(seen, readings, name)
            continue
        try:
            out[name] = parse(said.text, readings.units[name]).value
        except QuantityError:
            continue
    return {name: value for name, value in out.items() if value > 0}


def _baseline_mean(seen: Read, readings: Readings, name: str) -> float:
    import numpy as np

    own = readings.values[name][readings.labels["system"] == seen.plan.baseline]
    own = own[np.isfinite(own)]
    return float(own.mean()) if own.size else 0.0


def _write_template(seen: Read, path: Path, quantities: Sequence[str]) -> Path:
    from spadework.app.folders import write_new
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.agreement.design import asked_of
    from spadework.records.files.readings_template import USUAL, readings_csv, readings_xlsx
    from spadework.statistics.designs.randomise import lay

    asked = asked_of(seen.plan)
    if asked is None or seen.plan.design is None:
        what = (
            'is missing; the table lists the plots as they lie. Write kind = "complete blocks", blocks = 4 and a seed'
        )
        raise PlanFaults([Fault("design", what)], seen.name)
    seed = seen.plan.design.seed
    if seed is None:
        what = "is missing; the table lists the plots as they were drawn. spadework blocks draws one: write it into the plan"
        raise PlanFaults([Fault("design: seed", what)], seen.name)
    if bare := [name for name in quantities if "[" not in name]:
        what = f'"{bare[0]}" lacks its unit; write it behind the name, e.g. "dm_yield [t/ha]"'
        raise PlanFaults([Fault("--quantity", what)], "the command")
    laid = lay(asked, seed)
    wanted = tuple(quantities) or USUAL
    if path.suffix.lower() == ".xlsx":
        content = readings_xlsx(laid, wanted)
    elif path.suffix.lower() == ".csv":
        content = readings_csv(laid, wanted).encode("utf-8")
    else:
        raise PlanFaults([Fault("--template", "must end in .csv or .xlsx")], "the command")
    write_new({path: content})
    return path
