"""What is said of a layout, on the screen and on paper: widths, needs, pegs, remarks and cautions, as words and tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from spadework.layout.from_plan import Told
from spadework.layout.place import Placed, plot_ground
from spadework.layout.weighed import least_area_m2, step_share
from spadework.layout.widths import PlotWidth, wheeled_rows
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.reference import constants

__all__ = ["care", "join_words", "peg_rows", "remarks", "rows_words", "weighed_words", "wheel_words", "width_line"]

_CARE_FOR: Final = ("Overhead lines", "Turning shafts and moving parts", "Water and weather", "Alone in the field")


def width_line(one: PlotWidth) -> str:
    """Return what speaks for and against a plot width, in one line."""
    if not one.works:
        bad = next(fit for fit in one.fits if not fit.works)
        return f"does not work: {bad.outfit.name}: {bad.words}"
    said = []
    if one.joins:
        said.append("join in the measured rows after row " + ", ".join(map(str, one.joins)))
    over = [fit for fit in one.fits if fit.goes == "guard"]
    if over:
        worst = max(over, key=lambda fit: fit.over_m)
        said.append(
            f"{len(over)} outfit{'' if len(over) == 1 else 's'} over onto guard rows, up to {worst.over_m / 2:.2f} m"
            + (" (close to the measured rows)" if one.near else "")
        )
    if one.spraying is not None and one.spraying.hit:
        said.append(
            f"tramline in the measured rows of {one.spraying.hit} plot{'' if one.spraying.hit == 1 else 's'} a block"
        )
    return "; ".join(said) or "nothing left over"


def join_words(one: PlotWidth, widths: Sequence[PlotWidth]) -> str:
    """Return why two passes meet in the measured rows of a plot width, and what would avoid it; empty where none do."""
    if not one.joins:
        return ""
    spacing = one.width_m / one.rows
    header = (one.last_row - one.first_row + 1) // one.header_passes
    said = (
        f"Why a join is measured: the header takes {header} rows at once; between the guard rows of {one.width_m:g} m lie "
        f"at most {one.clear_rows} without a join. Without it: "
    )
    ways = [f"a header of up to {one.clear_rows * spacing:g} m ({one.clear_rows} rows)"] if one.clear_rows else []
    free = min((other.width_m for other in widths if other.works and not other.joins and not other.near), default=None)
    if free is not None:
        ways.append(f"plots of {free:g} m")
    return said + (", or ".join(ways) or "fewer guard rows, or a planter with more rows") + "."


def rows_words(placed: Placed) -> str:
    """Return what the drawing of one plot shows."""
    width = placed.width
    said = (
        f"Every plot has {width.rows} rows, {width.width_m:g} m. Rows {width.first_row} to {width.last_row} are measured, "
        f"in {width.header_passes} pass{'' if width.header_passes == 1 else 'es'} of the header; {placed.rules.ends_m:g} m at "
        "each end are left out. "
    )
    if width.joins:
        joins = ", ".join(map(str, width.joins))
        said += (
            f"Passes meet inside the measured rows after row {joins}: measure that spacing in every plot, and count the two rows "
            "beside it apart. "
        )
    if uneven := [fit.outfit.name for fit in width.fits if fit.outfit.rows is not None and fit.passes % 2]:
        said += (
            f"Plots that a driver starts at B (see the driver's page): read the units of {' and '.join(uneven)} from the other "
            "side of each pass. "
        )
    if width.spraying is not None:
        hit = f"{width.spraying.hit or 'no'} plot{'' if width.spraying.hit == 1 else 's'}"
        said += (
            f"Tramlines: the first {width.spraying.first_m:.2f} m from the left edge of each block; "
            f"{hit} of a block with wheels in the measured rows. "
        )
    return said + "Left is left when looking from A to B."


def weighed_words(placed: Placed, told: Told) -> str:
    """Return what lies on the scale for one plot, and whether its step counts."""
    rules, width = constants("layout_rules"), placed.width
    step, most = rules["scale_step_kg"].value, rules["scale_error_share"].value
    across = (width.last_row - width.first_row + 1) * width.width_m / width.rows
    along = min(plot.length_m for plot in placed.plots) - 2 * placed.rules.ends_m
    if along <= 0:
        return (
            "Nothing of a plot is measured: the ends that are left out are as long as the plot. Give ends in [layout]."
        )
    area = across * along
    share = step_share(step, area, told.fresh_t_ha)
    said = (
        f"Weighed: {across:g} x {along:.0f} m of each plot, {area:.0f} m2, about {area * told.fresh_t_ha / 10_000:.1f} t as it "
        f"comes off the field; a scale that reads in {step:g} kg is good to {100 * share:.2g} % of it. "
    )
    if share > most:
        needed = least_area_m2(step, most, told.fresh_t_ha)
        said += (
            f"For {100 * most:g} % it would take {needed:.0f} m2: longer plots, more header passes, or a finer scale. "
        )
    return said.rstrip()


def wheel_words(placed: Placed, told: Told) -> tuple[str, ...]:
    """Return, for each system, which measured rows lie under a wheel before the crop is up, and of which outfit."""
    width, out = placed.width, []
    for system, outfits in told.outfits:
        wheeled: dict[int, list[str]] = {}
        for outfit in outfits:
            fit = next(one for one in width.fits if one.outfit == outfit)
            for row in wheeled_rows(width.rows, told.row_spacing_m, fit):
                if width.first_row <= row <= width.last_row:
                    wheeled.setdefault(row, []).append(outfit.name)
        free = [row for row in range(width.first_row, width.last_row + 1) if row not in wheeled]
        rows, clear = (", ".join(map(str, some)) or "none" for some in (sorted(wheeled), free))
        if not free:
            out.append(f"{system}: before the crop is up, every measured row under a wheel")
            continue
        out.append(f"{system}: before the crop is up, measured rows {rows} under a wheel; {clear} under none")
    return tuple(out)


def remarks(placed: Placed, told: Told) -> tuple[str, ...]:
    """Return what the layout leans on."""
    rules, host = placed.rules, placed.host
    out = [
        *placed.remarks,
        *host.told,
        *told.more,
        f"Seed {placed.laid.seed}, {told.seed_from}; the same seed, plan and field give the same layout.",
        f"Kept: {rules.turning_m:g} m to turn at each end, {rules.side_m:g} m from the edge of the field, "
        f"{rules.obstacle_m:g} m from obstacles, {rules.lane_m:g} m lane."
        + (
            f" Machines go up to {rules.over_m:.2f} m over a border: they stay in the field and as far from obstacles."
            if rules.over_m
            else ""
        ),
    ]
    ground = plot_ground(host, rules)
    out.append(
        f"Plots may lie on {ground.area / 10_000:.2f} of {host.area_ha:.2f} ha: the rest is too near to edge, obstacles or water."
    )
    if not placed.width.works:
        out.append(f"The plot width of {placed.width.width_m:g} m {width_line(placed.width)}.")
    if host.water:
        out.append(
            f"Kept from water: {rules.water_m:g} m, {told.water_from}. Measure it on the spot and check what applies locally."
        )
    else:
        out.append("The field file shows no water: look for ditches, drains, springs and wells before the first load.")
    edge = "along an edge of the field" if placed.along_edge else "along no edge of the field"
    out.append(f"Heading {placed.heading_deg:.2f} degrees from true north at the middle of the field, {edge}.")
    if any(not outfit.tracks_known for _, some in told.outfits for outfit in some):
        table = constants("layout_rules")
        gauge, tyre = table["tractor_gauge_m"].value, table["tyre_width_m"].value
        out.append(f"Where the plan gives no wheels, usual ones are taken: {gauge:g} m gauge, {tyre:g} m tyres.")
    if any(job.too_long for job in told.jobs):
        out.append(
            "For some outfits a full tank does not last over one pass: shorten the plots, or plan where it stops."
        )
    return tuple(out)


def peg_rows(told: Told, placed: Placed) -> list[list[str]]:
    """Return the pegs as cells: peg, plots, two tapes, side, check, east, north, latitude, longitude, remark."""
    frame, out = placed.host.frame, []
    for peg in told.table.pegs:
        place = ["", ""]
        if frame.placed:
            longitude, latitude = frame.degrees(peg.east_m, peg.north_m)  # type: ignore[arg-type]
            place = [f"{float(latitude):.7f}", f"{float(longitude):.7f}"]
        remark = ", ".join(
            words for words, said in ((f"is {peg.same_as}", peg.same_as), ("flat angle", peg.weak)) if said
        )
        out.append(
            [
                peg.name,
                " ".join(map(str, peg.marks)),
                f"{peg.from_first_m:.2f}",
                f"{peg.from_second_m:.2f}",
                "left" if peg.left_of_line else "right",
                f"{peg.check_m:.2f}" if peg.check_m else "",
                f"{peg.east_m:.2f}",
                f"{peg.north_m:.2f}",
                *place,
                remark,
            ]
        )
    return out


def care() -> tuple[str, ...]:
    """Return the cautions for work on the field."""
    said = [f"{caution.title}. {caution.text}" for caution in CAUTIONS if caution.title in _CARE_FOR]
    return (
        *said,
        "Ask for cables and pipes before a peg goes into the ground; take the pegs out before the first machine.",
        DEFER,
    )
