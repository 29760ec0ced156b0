"""A plan laid out: which plot widths its machines fit, how its layout is drawn, and where every plot lies on its field."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from spadework.layout.ground import Host
from spadework.layout.lines import Job, Needs, driving, needs
from spadework.layout.pegs import PegTable, pegs
from spadework.layout.place import CannotPlace, Placed, Rules, place
from spadework.layout.tools import Outfit, outfits_of, set_of
from spadework.layout.widths import PlotWidth, plot_widths
from spadework.plan import Fault, Layout, PlanFaults
from spadework.reference import constants

if TYPE_CHECKING:
    from spadework.plan import Read
    from spadework.statistics.designs.randomise import Laid

__all__ = ["Asked", "Told", "Widths", "doses_of", "drawn_of", "laid_out", "rules_of", "widths_of"]

_WIDEST_M: Final = 200.0


@dataclass(frozen=True)
class Asked:
    """What goes before the plan.

    Attributes
    ----------
    width_m : float or None
        Plot width [m].
    heading_deg : float or None
        Heading of the rows from A to B, clockwise from north [degree].
    seed : int or None
        Number the layout is drawn from.
    change : callable or None
        Makes the changes by hand in a layout that is placed.
    """

    width_m: float | None = None
    heading_deg: float | None = None
    seed: int | None = None
    change: Callable[[Placed], Placed] | None = None


@dataclass(frozen=True)
class Widths:
    """The plot widths of a plan.

    Attributes
    ----------
    outfits : tuple
        Each system with its outfits.
    all : tuple of PlotWidth
        Those that were looked at, best first.
    taken : PlotWidth or None
        The one that plan or command takes.
    """

    outfits: tuple[tuple[str, tuple[Outfit, ...]], ...]
    all: tuple[PlotWidth, ...]
    taken: PlotWidth | None

    @property
    def shown(self) -> PlotWidth:
        """The one that is taken, or else the best."""
        return self.taken or self.all[0]


@dataclass(frozen=True)
class Told:
    """What is known of a layout beyond its shapes.

    Attributes
    ----------
    question : str
        Of the comparison.
    invented : bool
        True where the plan is made up.
    row_spacing_m : float
        Row to row [m].
    outfits : tuple
        Each system with its outfits.
    jobs : tuple of Job
        What is driven.
    needs : tuple of Needs
        Of every system.
    table : PegTable
        The pegs.
    widths : tuple of PlotWidth
        All that were looked at, best first.
    seed_from : str
        Where the seed comes from.
    water_from : str
        Where the distance to water comes from.
    fresh_t_ha : float
        Yield that is expected, as it comes off the field [t/ha].
    more : tuple of str
        Where field file and plan do not agree.
    """

    question: str
    invented: bool
    row_spacing_m: float
    outfits: tuple[tuple[str, tuple[Outfit, ...]], ...]
    jobs: tuple[Job, ...]
    needs: tuple[Needs, ...]
    table: PegTable
    widths: tuple[PlotWidth, ...]
    seed_from: str
    water_from: str
    fresh_t_ha: float
    more: tuple[str, ...] = ()


def widths_of(seen: Read, width_m: float | None = None) -> Widths:
    """Return the plot widths that the machines of a plan fit.

    Parameters
    ----------
    seen : Read
        A checked plan.
    width_m : float, optional
        Plot width in place of the plan's [m].

    Raises
    ------
    PlanFaults
        If nothing sows by rows, no plot holds the header, or the width asked for is no whole number of passes.
    """
    plan, rules = seen.plan, constants("layout_rules")
    said, design = plan.layout or Layout(), plan.design
    outfits, spacing = outfits_of(plan), plan.crop.row_spacing.value / 100.0
    planters = [one for one in set_of(outfits) if "seed" in one.places and one.rows is not None]
    if not planters:
        what = "no machine that sows says its rows; give the planter rows = 8, so that plots are whole passes of it"
        raise PlanFaults([Fault("machine", what)], seen.name)
    guard = int(rules["guard_rows"].value) if said.guard_rows is None else said.guard_rows
    header = planters[0].width_m if said.header is None else said.header.value
    if header < spacing:
        what = f"{header:g} m is narrower than a row ({spacing:g} m); give the working width of the header"
        raise PlanFaults([seen.fault(what, "layout", "header")], seen.name)
    wanted = None if design is None or design.plot_width is None else design.plot_width.value
    if width_m is not None:
        wanted = width_m
        if not spacing <= wanted <= _WIDEST_M:
            what = f"{wanted:g} m cannot be; allowed: {spacing:g} to {_WIDEST_M:g} m"
            raise PlanFaults([Fault("--width", what)], "the command")
    found = plot_widths(
        set_of(outfits),
        spacing,
        header,
        guard_rows=guard,
        most_m=max(rules["width_most_m"].value, wanted or 0.0),
        tramline_m=None if said.tramline is None else said.tramline.value,
        spray_gauge_m=rules["spray_gauge_m"].value if said.spray_gauge is None else said.spray_gauge.value,
        plots=len(plan.systems),
    )
    if not found:
        what = f"no plot up to {rules['width_most_m'].value:g} m holds a header of {header:g} m and {guard} guard rows a side"
        raise PlanFaults([Fault("layout", what + "; take fewer guard rows or a narrower header")], seen.name)
    if wanted is None:
        return Widths(outfits, found, None)
    taken = next((one for one in found if abs(one.width_m - wanted) < 0.005), None)
    if taken is None:
        near = sorted(found, key=lambda one: abs(one.width_m - wanted))[:3]
        widths = ", ".join(f"{one.width_m:g} m" for one in sorted(near, key=lambda one: one.width_m))
        what = f"{wanted:g} m is no whole number of planter passes with room for header and guard; nearest: {widths}"
        if width_m is not None:
            raise PlanFaults([Fault("--width", what)], "the command")
        raise PlanFaults([seen.fault(what, "design", "plot_width")], seen.name)
    return Widths(outfits, found, taken)


def drawn_of(seen: Read, seed: int | None = None) -> tuple[Laid, str]:
    """Return the layout of a plan as it is drawn, and where its seed comes from.

    Raises
    ------
    PlanFaults
        If the plan says nothing of the layout, or there is no seed.
    """
    from spadework.plan.agreement.design import asked_of
    from spadework.statistics.designs.randomise import lay

    asked, said = asked_of(seen.plan), seen.plan.design
    if asked is None or said is None:
        what = 'says nothing of the layout; write [design] with kind = "complete blocks" and blocks = 4'
        raise PlanFaults([Fault("design", what)], seen.name)
    if seed is not None:
        return lay(asked, seed), "from the command"
    if said.seed is None:
        what = "is missing; a layout on the field needs one, so that it can be drawn again: spadework blocks draws one"
        raise PlanFaults([Fault("design: seed", what)], seen.name)
    return lay(asked, said.seed), "from the plan"


def rules_of(seen: Read, host: Host, width: PlotWidth) -> tuple[Rules, str]:
    """Return the distances that a layout keeps, and where the one to water comes from.

    Raises
    ------
    PlanFaults
        If the field file shows water and the plan gives no distance to keep from it.
    """
    plan, table = seen.plan, constants("layout_rules")
    said, design = plan.layout or Layout(), plan.design

    def of(name: str, key: str) -> float:
        given = getattr(said, name)
        return float(table[key].value if given is None else given.value)

    turning = of("turning", "turning_m")
    if said.turning is None and plan.field.headland is not None:
        turning = plan.field.headland.value
    limits = [
        (one.at_least.value, one) for one in plan.limits if one.of == "distance to water" and one.at_least is not None
    ]
    water, water_from = 0.0, ""
    if said.water is not None:
        water, water_from = said.water.value, "from the plan"
    elif limits:
        water, strictest = max(limits, key=lambda one: one[0])
        water_from = f"the plan's limit of {strictest.date} ({strictest.source.rstrip('.')})"
    elif host.water:
        what = (
            "the field file shows water, but the plan gives no distance to keep from it; look up what applies locally and "
            'write water = "10 m" here, or a [[limit]] of "distance to water"'
        )
        raise PlanFaults([seen.fault(what, "layout")], seen.name)
    given = None if design is None or design.plot_length is None else design.plot_length.value
    said_lie = design is not None and "blocks_lie" in design.model_fields_set
    rules = Rules(
        turning_m=turning,
        lane_m=of("lane", "lane_m"),
        side_m=of("side", "side_m"),
        obstacle_m=of("obstacle", "obstacle_m"),
        water_m=water,
        ends_m=of("ends", "ends_m"),
        length_m=table["length_m"].value if given is None else given,
        least_m=min(table["length_least_m"].value, given or float("inf")),
        lie=design.blocks_lie if design is not None and said_lie else "as they fit",
        over_m=width.reach_m(),
        slurry_over_m=width.reach_m("slurry"),
    )
    return rules, water_from


def laid_out(seen: Read, host: Host, asked: Asked | None = None) -> tuple[Placed, Told]:
    """Return where every plot of a plan lies on its field, with everything that is said of it.

    Parameters
    ----------
    seen : Read
        A checked plan.
    host : Host
        Its field.
    asked : Asked, optional
        What goes before the plan.

    Raises
    ------
    PlanFaults
        If it cannot be laid out, with what would help.
    """
    asked = asked or Asked()
    plan, table = seen.plan, constants("layout_rules")
    widths = widths_of(seen, asked.width_m)
    laid, seed_from = drawn_of(seen, asked.seed)
    rules, water_from = rules_of(seen, host, widths.shown)
    _same_place(seen, host)
    said = plan.layout or Layout()
    heading = said.heading if asked.heading_deg is None else asked.heading_deg
    try:
        placed = place(host, laid, widths.shown, rules, heading)
    except CannotPlace as cannot:
        raise PlanFaults([Fault("design", str(cannot))], seen.name) from None
    if asked.change is not None:
        placed = asked.change(placed)
    doses = doses_of(seen)
    jobs = driving(placed, widths.outfits, doses)
    set_up = table["set_up_m"].value if said.set_up is None else said.set_up.value
    told = Told(
        plan.question,
        plan.invented,
        plan.crop.row_spacing.value / 100.0,
        widths.outfits,
        jobs,
        needs(placed, jobs, doses, plan.crop.population.value, set_up, table["spare_share"].value),
        pegs(placed),
        widths.all,
        seed_from,
        water_from,
        100.0 * plan.crop.expected_yield.value / plan.crop.dry_matter.value,
    )
    return placed, replace(told, more=tuple(_disagreements(seen, placed)))


def _same_place(seen: Read, host: Host) -> None:
    """Stop where latitude and longitude of the outline stand in the wrong order for the latitude of the plan."""
    said, frame = seen.plan.weather.latitude, host.frame
    if said is None or frame.latitude_deg is None or frame.longitude_deg is None:
        return
    if abs(frame.latitude_deg - said) > 1 >= abs(frame.longitude_deg - said):
        what = (
            f"the outline lies at latitude {frame.latitude_deg:.2f}, longitude {frame.longitude_deg:.2f}; the weather of the "
            f"plan is of latitude {said:g}: are they swapped? GeoJSON and KML write longitude first, then latitude"
        )
        raise PlanFaults([Fault("field", what)], "the field file")


def _disagreements(seen: Read, placed: Placed) -> list[str]:
    """Return where the outline and the plan say different things."""
    plan, host, out = seen.plan, placed.host, []
    planned = plan.field.area.value
    if abs(host.area_ha - planned) > 0.05 * planned:
        out.append(f"The outline holds {host.area_ha:.2f} ha, the plan says {planned:g} ha: check which is meant.")
    said, latitude = plan.weather.latitude, host.frame.latitude_deg
    if said is not None and latitude is not None and abs(latitude - said) > 1:
        out.append(f"The outline lies at latitude {latitude:.2f}, the weather is of {said:g}: check which is meant.")
    if host.water:
        nearest = min(plot.polygon.distance(water) for plot in placed.plots for water in host.water)
        nearest = max(0.0, nearest - placed.rules.slurry_over_m)
        if nearest < plan.field.water_distance.low - 0.5:
            out.append(
                f"Slurry comes as near as {nearest:.0f} m to water of the field file; the plan says that the nearest lies "
                f"{plan.field.water_distance.text} away, and limits are held against that: correct water_distance."
            )
    return out


def doses_of(seen: Read) -> dict[str, float]:
    """Return the middle dose of every system that places slurry [m3/ha]."""
    import numpy as np

    from spadework.estimate import estimate
    from spadework.estimate.chain import Chain

    found, chain = estimate(seen, draws=100), Chain(seen)
    return {
        name: float(np.median(found.dose(s)))
        for s, name in enumerate(found.systems)
        if chain.placing_step(s) is not None
    }
