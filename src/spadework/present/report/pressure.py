"""The part of the report on what presses on the soil: wheels, stress in depth, limits, and ground that is driven on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from spadework.estimate.traffic.pressure import TRACKS, Pressures
from spadework.estimate.traffic.told import as_estimate
from spadework.estimate.traffic.views import Limit, Pressing, held, thumb_limit
from spadework.present.charts.pressure import profile_chart, run_chart
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Beside, Block, Cell, Drawing, Grid, Items, Section, Text, anchor
from spadework.present.face.systems_press import pressing_hardest
from spadework.present.machines.pressure_facts import (
    CAREFUL,
    COLUMNS,
    NO_DAMAGE,
    cells,
    chosen_passes,
    class_words,
    classes,
    driven_rows,
    formulas,
    held_texts,
    leaned_on,
    limit_words,
    notes,
    profiles,
    runs,
    wheel_words,
)
from spadework.present.wording import INTERVAL, STANDING, figure_text

__all__ = ["no_pressure_section", "pressure_section", "workings_of_pressure"]

_PRINTED: Final = (*(name for name, _ in COLUMNS), "line_full")


def pressure_section(found: Pressures, limit: Limit | None = None) -> Section:
    """Return wheel loads, contact, stress in depth, limits and wheeled shares of every system and pass.

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    limit : Limit, optional
        A limit that a person set; the rule of thumb if left out.
    """
    systems = range(len(found.estimate.systems))
    passes = chosen_passes(found, systems)
    limit = limit or thumb_limit()
    blocks: list[Block] = [
        Text(NO_DAMAGE),
        *_profiles(found, passes, limit),
        _wheels(found, passes),
        _held(found, limit),
        _classes(found, limit),
        *_runs(found),
        _driven(found),
        Text("Take note", "title"),
        Items(tuple(("", f"{note[:1].upper()}{note[1:]}.") for note in notes(found))),
        *(Text(text, "warning") for text in CAREFUL),
        Text("Where the numbers come from", "title"),
        *_sources(found),
    ]
    return Section("pressure", "What presses on the soil?", blocks)


def no_pressure_section(tracked: Sequence[str]) -> Section:
    """Return the same section where tractors stand on tracks, which are named: why there is nothing to say."""
    listed = ", ".join(f'"{name}"' for name in tracked)
    return Section("pressure", "What presses on the soil?", [Text(NO_DAMAGE), Text(f"{listed} {TRACKS}.")])


def workings_of_pressure(found: Pressures) -> Beside:
    """Return the figures of the section whose workings stand at the end of the page."""
    return Beside("What presses on the soil", as_estimate(found), _PRINTED)


def _profiles(found: Pressures, passes: list[Pressing], limit: Limit) -> list[Block]:
    blocks: list[Block] = []
    every = profiles(found, passes)
    upto = max((point[3] for curves in every for curve in curves for point in curve.points), default=0.0)
    for number, curves in enumerate(every, 1):
        mark = (limit.stress_kpa, limit.depth_cm, f"{limit.stress_kpa:g} kPa at {limit.depth_cm:g} cm")
        title = "How deep the stress reaches"
        spec = profile_chart(curves, mark, title=title, upto=upto, standing=STANDING, interval=INTERVAL)
        said = []
        for curve in curves:
            at = {point[0]: figure_text(point[1], 0) for point in curve.points}
            said.append(
                f"{curve.words[0]} ({curve.words[1]}): {at[10]} kPa at 10 cm, {at[30]} at 30 cm, {at[50]} at 50 cm"
            )
        alt = f"{title}: lines of stress against depth. {'; '.join(said)}."
        blocks.append(Drawing(f"pressure-depth-{number}", to_svg(spec), alt))
    return blocks


def _wheels(found: Pressures, passes: list[Pressing]) -> Grid:
    rows: list[tuple[Cell, ...]] = []
    wide = len(COLUMNS) + 2
    before = -1
    for one in passes:
        if one.system != before:
            rows.append((Cell(found.estimate.systems[one.system], mark="lead"), *(Cell("") for _ in range(wide))))
            before = one.system
        share = f"{100 * found.driven.passes[one.step]:.0f} %"
        name = f"{one.number} {one.name}: {wheel_words(found, one.deepest)}"
        shown = zip(cells(found, one.deepest), _PRINTED, strict=True)
        rows.append((Cell(name), *(Cell(text, anchor(figure, one.system)) for text, figure in shown), Cell(share)))
    stress = f"{_limit_kpa(found):g}"
    head = (
        "pass: axle that reaches deepest",
        *(words for _, words in COLUMNS),
        f"above {stress} kPa to, cm",
        "driven on",
    )
    note = (
        "Full, empty: load of one wheel. Contact and stresses with the tank full; stresses straight below the middle of the "
        "wheel, depths from the surface that it stands on. Driven on: share of the ground by this pass, headlands left out."
    )
    caption = "Wheels of every pass"
    return Grid(caption, head, tuple(rows), (2.3, 1, 1, 1.1, 1.1, 1, 1, 1, 0.7), note=note)


def _limit_kpa(found: Pressures) -> float:
    return float(found.sheet["stress_limit"].ravel()[0])


def _held(found: Pressures, limit: Limit) -> Grid:
    hardest = [pressing_hardest(found, system) for system in range(len(found.estimate.systems))]
    rows = []
    for text in held_texts(found, limit, hardest):
        name = f"{found.estimate.systems[text.one.system]}: {wheel_words(found, text.one.deepest)}"
        system, thumb = text.one.system, limit.thumb
        shown = (
            Cell(text.stress, anchor(f"stress_{limit.depth_cm:g}_full", system) if thumb else ""),
            Cell(text.verdict),
            Cell(text.load, anchor("wheel_load_full", system)),
            Cell(text.keeps),
            Cell(text.line, anchor("line_full", system) if thumb else ""),
        )
        rows.append((Cell(name), *shown))
    head = (
        "",
        f"at {limit.depth_cm:g} cm, kPa",
        "the limit",
        "wheel load, kN",
        "load that keeps it, kN",
        "above it down to, cm",
    )
    note = "The load that keeps it: of one wheel, on the same mean contact stress. No limit says that a soil is harmed or not."
    return Grid(f"Against a limit: {limit_words(limit)}", head, tuple(rows), (2.4, 1, 1.2, 1, 1, 1), note=note)


def _classes(found: Pressures, limit: Limit) -> Grid:
    systems = range(len(found.estimate.systems))
    stresses = [held(found, pressing_hardest(found, s).deepest, limit).stress_kpa for s in systems]
    rows = [
        (Cell(label), Cell(f"{low:g} to {high:g}"), *(Cell(class_words(stress, low, high)) for stress in stresses))
        for label, low, high in classes()
    ]
    head = ("strength of the soil", "kPa", *found.estimate.systems)
    note = (
        "Classes of the strength of soil (precompression stress), recalled. Each is a wide band, strength falls as the soil gets "
        "wetter, and formulas from texture explain about two fifths of its scatter; measure your own subsoil."
    )
    caption = f"Stress at {limit.depth_cm:g} cm against classes of soil strength: below, within or above the band"
    return Grid(caption, head, tuple(rows), (1.4, 0.9, *(1.0 for _ in systems)), note=note)


def _runs(found: Pressures) -> list[Block]:
    every, curves = runs(found, range(len(found.estimate.systems)))
    if not curves:
        return [Text("No tanker drives on the field with its load in any system, so no load falls along the run.")]
    title = "Wheel load along the run, as the tank empties"
    spec = run_chart(curves, title=title, standing=STANDING, interval=INTERVAL)
    said = [
        f"{curve.words[0]} ({wheel_words(found, one.row)}): {figure_text(curve.points[0][1], 0)} kN full, "
        f"{figure_text(curve.points[-1][1], 0)} kN empty, {curve.words[1]}"
        for one, curve in zip(every, curves, strict=True)
    ]
    field = found.estimate.plan.field
    note = (
        f"A run of the field is {field.length.text} long. Where it starts with a full tank the ground feels the full load, "
        "not the mean of the run."
    )
    return [Drawing("pressure-run", to_svg(spec), f"{title}: falling lines. {'; '.join(said)}."), Text(note, "small")]


def _driven(found: Pressures) -> Grid:
    rows = tuple(tuple(Cell(text) for text in row) for row in driven_rows(found))
    head = ("", "by chance, once or more", "twice or more", "from one side, once or more", "twice or more")
    note = (
        "By chance: the tracks of the passes fall as they fall. From one side: every pass begins at the same side of the field "
        "and keeps its width, wheels counted one by one. Headlands, turns, feeders and harvest come on top."
    )
    return Grid("Share of the ground that is driven on", head, rows, (1.4, 1, 1, 1, 1), note=note)


def _sources(found: Pressures) -> list[Block]:
    rows = tuple((Cell(mark), Cell(what), Cell(text)) for mark, what, text in leaned_on(found))
    head = ("mark", "table: rows", "source")
    lines = tuple((Cell(text), Cell(names)) for text, names in formulas(found))
    return [
        Grid("Table rows", head, rows, (0.8, 2.2, 2), prose=True),
        Grid("Formulas", ("formula of", "functions"), lines, (2, 2), prose=True),
    ]
