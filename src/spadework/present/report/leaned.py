"""The parts of the report that say what it cannot tell, what it leaned on, and what to take care of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from spadework.estimate import Estimate
from spadework.estimate.limits import Held, held_limits
from spadework.estimate.workings.explain import number
from spadework.plan import Machine, Tractor
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.document.blocks import Block, Cell, Grid, Items, Section, Text, anchor
from spadework.present.wording import day, interval_text, price_line
from spadework.quantities import Quantity
from spadework.reference import STANDINGS, Citation, load, sources
from spadework.working import Given, Worked

__all__ = ["caution_section", "limits_section", "sources_section", "told_section"]

_ORDER = ("memory", "choice", "quoted", "read")
_MARKED = {"memory": "TO BE CHECKED", "choice": "OUR CHOICE", "quoted": "second-hand", "read": "read in the source"}


def limits_section(estimate: Estimate) -> Section:
    """Return what the estimate cannot say, and the user's own limits, which it never clears."""
    invented = (
        (("Nothing here is a real farm.", "Field, machines, slurry and prices are made up."),)
        if estimate.plan.invented
        else ()
    )
    items = (
        *invented,
        ("Yield is the same for all systems.", "That is an assumption, not a finding: no estimate here can tell the "
         "systems apart by what they harvest, and a few per cent of yield can outweigh all the costs above."),
        ("Nothing was measured.", "No plot was laid out, dug or harvested for these figures. They rest on models, on "
         "tables of other people's machines, soils and trials, and on what stands in the plan."),
        ("It is no promise for a farm.", "Another soil, another spring, another driver: another figure. The ranges "
         "hold what is uncertain in the inputs; they do not hold what the models leave out, such as wheel damage, "
         "delays by weather, weeds, slugs and the crop that follows."),
        ("It clears nothing as legal.", "Rules on slurry, nitrogen, water and roads differ by place and year."),
    )  # fmt: skip
    blocks: list[Block] = [Items(items)]
    if estimate.plan.limits:
        rows = tuple(_limit(estimate, held) for held in held_limits(estimate.plan, estimate.sheet))
        head = ("what", "your limit", "here, largest of the systems", "as of", "your source", "")
        note = "Only what exceeds your own limit is pointed out. What does not exceed it is not thereby allowed."
        blocks.append(
            Grid("Your own limits; check locally", head, rows, (1.2, 1.2, 1.4, 1.0, 1.7, 1.0), prose=True, note=note)
        )
    else:
        blocks.append(Text("The plan names no limits, so none was looked at. Check locally.", "warning"))
    return Section("limits", "What this cannot tell", blocks)


def _limit(estimate: Estimate, held: Held) -> tuple[Cell, ...]:
    ours, link = held.ours, ""
    if held.figure and held.system is not None:
        ours = f"{interval_text(estimate.spread(held.figure, held.system))} kg/ha"
        link = anchor(held.figure, held.system)
    check = Cell("exceeded; check locally", mark="warning") if held.exceeded else Cell("check locally")
    limit = held.limit
    said = (Cell(day(limit.date)), Cell(limit.source))
    return (Cell(limit.of), Cell(held.theirs), Cell(ours, link), *said, check)


def told_section(estimate: Estimate) -> Section:
    """Return what the plan said, with its line, and what was taken where the plan says nothing."""
    plan = estimate.plan
    rows: list[tuple[Cell, ...]] = []
    for part in ("field", "crop", "slurry", "weather", "prices"):
        rows.append((Cell(part, mark="lead"), Cell(""), Cell("")))
        rows += [
            (Cell(key.replace("_", " ")), Cell(text), Cell(estimate.read.place(part, key)))
            for key, text in _texts(getattr(plan, part))
        ]
    head = ("", "as written", "where in the plan")
    blocks: list[Block] = [
        Text(f"{price_line(estimate)}. A +/- in the plan is read as the range that holds four cases out of five."),
        Grid("What the plan says", head, tuple(rows), (1.2, 1.8, 1.6), prose=True),
        _owned(estimate),
    ]
    if taken := tuple(_taken(estimate)):
        blocks.append(
            Grid("What was taken where the plan says nothing", ("", "taken", "why"), taken, (2, 1, 2), prose=True)
        )
    return Section("leaned", "What it leaned on", blocks)


def _texts(part: BaseModel) -> Iterator[tuple[str, str]]:
    for key in type(part).model_fields:
        value = getattr(part, key)
        if isinstance(value, BaseModel):
            yield key, "; ".join(f"{inner.replace('_', ' ')} {text}" for inner, text in _texts(value))
        elif value is not None and value != []:
            yield key, _text(value)


def _text(value: Any) -> str:
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(map(_text, value))
    return value.replace("_", " ") if isinstance(value, str) else str(value)


def _owned(estimate: Estimate) -> Grid:
    things: list[Tractor | Machine] = [*estimate.plan.tractors, *estimate.plan.machines]
    rows = []
    for thing in things:
        label = load("machine_kinds")[thing.kind].label if isinstance(thing, Machine) else "tractor"
        size = next(
            (
                f"{value.text if isinstance(value, Quantity) else value}{' rows' if key == 'rows' else ''}"
                for key in ("power", "engine_power", "rows", "width", "tank")
                if (value := getattr(thing, key, None)) is not None
            ),
            "",
        )
        rows.append(
            tuple(Cell(t) for t in (thing.name, label, size, thing.price.text, thing.years.text, thing.hours.text))
        )
    head = ("", "kind", "size", "list price, new", "kept for", "used")
    return Grid("Tractors and machines in the plan", head, tuple(rows), (1.4, 1.5, 0.8, 1.0, 0.8, 1.0), prose=True)


def _taken(estimate: Estimate) -> Iterator[tuple[Cell, ...]]:
    for figure in estimate.sheet.figures.values():
        origin = figure.origin
        if not isinstance(origin, Given) or figure.over or any(", line " in place for place in origin.places):
            continue
        value = f"{number(figure.values)} {figure.unit if figure.unit != '1' else ''}"
        yield Cell(figure.label, anchor(figure.name, None)), Cell(value), Cell("; ".join(origin.places))


def sources_section(estimate: Estimate) -> Section:
    """Return every table row and formula that a figure leans on, the least certain first."""
    groups: dict[tuple[str, str, str, str], dict[str, Citation]] = {}
    for citation in estimate.sheet.citations():
        key = (citation.standing, citation.table, citation.vintage, citation.source.key)
        groups.setdefault(key, {})[f"{citation.row}.{citation.column}"] = citation
    blocks: list[Block] = [
        Text(
            "Every number from outside the plan is a row of a table. What is marked TO BE CHECKED was written down from "
            "memory and not held against its source again; what is marked OUR CHOICE has no source."
        )
    ]
    for standing in _ORDER:
        rows = [
            (
                Cell(f"{table} ({vintage})"),
                Cell("; ".join(dict.fromkeys(c.label for c in cited.values()))),
                Cell(_publication(tuple(cited.values()))),
            )
            for (found, table, vintage, _), cited in sorted(groups.items())
            if found == standing
        ]
        if rows:
            caption = f"{_MARKED[standing]}: {STANDINGS[standing]}"
            head = ("table (vintage)", "rows that were used", "source")
            blocks.append(Grid(caption, head, tuple(rows), (1.2, 1.9, 2.2), prose=True))
    blocks.append(Grid("Formulas", ("formula of", "where to find it"), tuple(_formulas(estimate)), (2, 2), prose=True))
    blocks.append(
        Text(
            "Print any of these tables row by row: spadework sources TABLE, for example spadework sources fuel_grisso.",
            "small",
        )
    )
    return Section("sources", "Where the numbers come from", blocks)


def _publication(cited: tuple[Citation, ...]) -> str:
    places = dict.fromkeys(citation.locator for citation in cited if citation.locator)
    return "; ".join([cited[0].source.text, *places])


def _formulas(estimate: Estimate) -> Iterator[tuple[Cell, ...]]:
    known: dict[str, dict[str, set[str]]] = {}
    for figure in estimate.sheet.figures.values():
        if isinstance(figure.origin, Worked):
            rooms = known.setdefault(sources()[figure.origin.equation.source].text, {})
            rooms.setdefault(figure.origin.module.removeprefix("spadework."), set()).add(figure.origin.function)
    for text in sorted(known):
        rooms = known[text]
        yield Cell(text), Cell("; ".join(f"{room}: {', '.join(sorted(rooms[room]))}" for room in sorted(rooms)))


def caution_section() -> Section:
    """Return the cautions."""
    return Section(
        "care", "Take care", [Items(tuple((c.title + ".", c.text) for c in CAUTIONS)), Text(DEFER, "warning")]
    )
