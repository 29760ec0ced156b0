"""Where the band lies, in words and plain text: size and place, targets and the depth they ask for, sideways."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate import Estimate, Spread
from spadework.estimate.band.place import rows_of_band
from spadework.estimate.chain import Chain
from spadework.plan.schema.band import BandTarget
from spadework.present.table import WIDTH
from spadework.present.wording import day, figure_text, interval_text, spread_of
from spadework.reference import Citation
from spadework.science.band import joins_inside, rows_in_step
from spadework.working import Given, Looked

__all__ = [
    "NO_TRUTH",
    "SIZE",
    "Held",
    "banded",
    "beyond_words",
    "depth_words",
    "held",
    "place_lines",
    "sideways",
    "slope_words",
    "standing_of",
    "step_words",
    "sure_words",
]

SIZE: Final = (
    ("row_litres", "Slurry per metre of row, L", 1.0),
    ("radius", "Radius, if the band were round, cm", 1.0),
    ("half_width", "Half the width of the band, cm", 1.0),
    ("band_top", "Top of the band under the press-wheel track, cm", 1.0),
    ("band_bottom", "Bottom of the band under the press-wheel track, cm", 1.0),
    ("seed_depth", "Seed under the press-wheel track, cm", 1.0),
    ("gap", "Gap from seed to band, cm", 1.0),
    ("tine_depth", "Tine under the undisturbed surface, as planned, cm", 1.0),
    ("capacity", "Room between tine and seed, L per metre of row", 0.1),
    ("overflow", "Slurry that finds no room, L per metre of row", 0.1),
    ("most_dose", "Largest dose that finds room, m3/ha", 1.0),
    ("band_n", "Ammoniacal N in the soil of the fresh band, mg/kg", 1.0),
)
"""Figures of size and place, with their words and the factor to what people read."""
_SIDEWAYS: Final = (
    ("slurry_sd", "Outfit with slurry about its line"),
    ("slurry_drift", "Its tools about their tractor"),
    ("seed_sd", "Planter about its line"),
    ("seed_drift", "Its units about their tractor"),
    ("offset_sd", "All together: seed beside the band"),
    ("join_sd", "Row spacing at a join of the planter"),
    ("shift", "Distance between the two lines, on the whole"),
    ("slurry_hang", "Tools with slurry hang downhill, on the whole"),
    ("seed_hang", "Units of the planter hang downhill, on the whole"),
    ("apart", "Band downhill of the seed, on the whole"),
)
NO_TRUTH: Final = (
    "The targets differ, and none of them is the truth. The share of seeds says how often the estimate falls within a "
    "target: what is not known of the field and the scatter from seed to seed are both in it, and the scatter is mostly "
    "assumed. Dig and measure before the field is sown: a spade face across the row every few hundred metres says more "
    "than this table."
)
_OF: Final = {"gap": "gap", "clearance": "clearance", "top": "top under the press-wheel track"}
_LABEL: Final = 52
_UNDER_CM: Final = 1.0  # less than this is not told as a distance to steer by


@dataclass(frozen=True, slots=True)
class Held:
    """A target, held against one system.

    Attributes
    ----------
    label, theirs, who : str
        What it is, its ends in cm, and who says so.
    found : Spread
        What the target speaks of, for single seeds [cm].
    inside, below, above : float
        Shares of the seeds within, below and above it.
    middle_depth : Spread
        Tine depth for the middle of the target [cm].
    sure_depth : Spread or None
        Tine depth at which most seeds have at least the lower end [cm]; None where it has none.
    axis : str
        ``target`` for published ones, ``own`` for those of the plan.
    """

    label: str
    theirs: str
    who: str
    found: Spread
    inside: float
    below: float
    above: float
    middle_depth: Spread
    sure_depth: Spread | None
    axis: str

    @property
    def shares(self) -> str:
        """Share of the seeds within, below and above, in words."""
        return f"{100 * self.inside:.0f} % (less {100 * self.below:.0f} %, more {100 * self.above:.0f} %)"


def banded(estimate: Estimate) -> list[int]:
    """Return the systems that lay their slurry in a band."""
    return [s for s in range(len(estimate.systems)) if estimate.has("gap", s)]


def held(estimate: Estimate, system: int) -> list[Held]:
    """Return the published and the own targets, held against a system."""
    found = _of_axis(estimate, system, "target")
    return found + (_of_axis(estimate, system, "own") if "own_found" in estimate.sheet.figures else [])


def _of_axis(estimate: Estimate, system: int, axis: str) -> list[Held]:
    sheet = estimate.sheet
    rows = [row for row, owner in enumerate(sheet.axes[axis].systems) if owner == system]
    band = estimate.plan.band
    own = band.targets if axis == "own" and band is not None else []
    result = []
    for number, row in enumerate(rows):
        target = own[number] if own else None
        values = sheet[f"{axis}_found"][row]
        low, high = (float(sheet[f"{axis}_{end}"][row][0]) for end in ("low", "high"))
        below = float(np.mean(values < low))
        inside = float(np.mean(sheet[f"{axis}_inside"][row]))
        result.append(
            Held(
                label=sheet.axes[axis].labels[row] if target is None else f"{_OF[target.of]}, own rule",
                theirs=f"{figure_text(low, 0)} to {figure_text(high, 0)}" if target is None else _ends(target),
                who=_who(estimate, row) if target is None else _whose(target),
                found=spread_of(values),
                inside=inside,
                below=below,
                above=max(0.0, 1 - inside - below),
                middle_depth=spread_of(sheet[f"{axis}_middle_depth"][row]),
                sure_depth=spread_of(sheet[f"{axis}_sure_depth"][row])
                if target is None or target.least is not None
                else None,
                axis=axis,
            )
        )
    return result


def _ends(target: BandTarget) -> str:
    least, most = (figure_text(end.value, 1).removesuffix(".0") if end else "" for end in (target.least, target.most))
    if least and most:
        return f"{least} to {most}"
    return f"at least {least}" if least else f"at most {most}"


def _whose(target: BandTarget) -> str:
    return f"{target.source}, {day(target.date)} [plan]" if target.date else f"{target.source} [plan]"


def _who(estimate: Estimate, row: int) -> str:
    origin = estimate.sheet.figures["target_low"].origin
    assert isinstance(origin, Looked)  # noqa: S101 (the estimate looked it up)
    said: Citation = origin.citations[row]
    return f"{said.source.text} [{said.standing}]"


def standing_of(estimate: Estimate, name: str) -> str:
    """Return where a figure of the sideways scatter comes from, in a word or two."""
    origin = estimate.sheet.figures[name].origin
    if isinstance(origin, Looked):
        return f"table, {origin.citations[0].standing}" if origin.citations else "not given"
    if isinstance(origin, Given):
        return "not given" if "not in the plan" in origin.places[0] else "plan"
    return "worked"


def depth_words(one: Held) -> str:
    """Return the tine depths that a target asks for, in words."""
    sure = f", for its lower end {interval_text(one.sure_depth, 1)}" if one.sure_depth is not None else ""
    return f"for its middle {interval_text(one.middle_depth, 1)}{sure}"


def sideways(estimate: Estimate) -> list[tuple[str, str]]:
    """Return the figures of the sideways place in cm that the estimate holds, with their words."""
    return [(name, words) for name, words in _SIDEWAYS if name in estimate.sheet.figures]


def slope_words(estimate: Estimate, system: int) -> str:
    """Return what a side slope does to the place of the band, and what can be done; nothing where the plan has none."""
    if "apart" not in estimate.sheet.figures:
        return ""
    slope, crab, tow, apart = (estimate.spread(name, system) for name in ("side_slope", "crab", "slurry_tow", "apart"))
    start = (
        f"On a side slope of {interval_text(slope, 1, 100.0)} % what is towed crabs by {interval_text(crab, 1)} degrees"
    )
    start += f" (reckoned with tyres alone); the tools with slurry run {interval_text(tow, 1)} m behind the hitch"
    if abs(apart.mid) < _UNDER_CM:
        return f"{start}. That puts the band less than 1 cm off the seed on the whole."
    way = "downhill" if apart.mid > 0 else "uphill"
    return (
        f"{start}. On the whole the band lies {figure_text(abs(apart.mid), 0)} cm {way} of the seed: steer the planter that "
        "much the same way, or tow both alike, and dig across the slope to see what it is. Passes up and down the slope "
        "do without."
    )


def beyond_words(estimate: Estimate, system: int) -> str:
    """Return how many seeds of a system lie too far beside the band, in a sentence."""
    share, edge = estimate.spread("beyond", system), estimate.spread("harmless", system)
    among = interval_text(share, None, 100.0)
    return (
        f"{among} % of the seeds lie more than {interval_text(edge, 1)} cm beside the band, where roots reach it late "
        f"(that distance: {standing_of(estimate, 'harmless')})."
    )


def step_words(estimate: Estimate, system: int) -> str:
    """Return whether slurry outfit and planter keep step, and where joins fall inside passes of the planter."""
    slurry, seed = rows_of_band(Chain(estimate.read), system)
    if not slurry or not seed:
        return "The plan does not say how many rows both outfits have, so nothing can be said of their joins."
    if rows_in_step(slurry, seed):
        if slurry >= seed:
            return (
                f"Slurry in {slurry} rows and seed in {seed} keep step: where both begin at the same side, no join of the "
                "slurry falls inside a pass of the planter."
            )
        return (
            f"Slurry in {slurry} rows and seed in {seed} keep step: each pass of the planter spans {seed // slurry} passes of "
            f"the slurry, with a join after every {slurry} rows, and meets the error of each of them."
        )
    where = [f"pass {int(number)} after row {int(row)}" for number, row in joins_inside(slurry, seed)]
    return (
        f"Slurry in {slurry} rows and seed in {seed} do not keep step. Joins of the slurry fall inside passes of the "
        f"planter: {', '.join(where)}, and so on. There one planter meets the errors of two slurry passes."
    )


def place_lines(estimate: Estimate, system: int | str | None = None) -> list[str]:
    """Return size, targets, required depth and sideways scatter of the band as lines of plain text.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    system : int or str, optional
        Number or name of the system; every system that bands its slurry if left out.

    Returns
    -------
    list of str
        At most 100 columns wide, without trailing blanks; empty where the system bands nothing.
    """
    number = estimate.systems.index(system) if isinstance(system, str) else system
    chosen = [s for s in banded(estimate) if number is None or s == number]
    out: list[str] = []
    for s in chosen:
        out += ["", f"{estimate.systems[s]}: size and place of the band"]
        for name, words, factor in SIZE:
            out.append(f"  {words:<{_LABEL}}{interval_text(estimate.spread(name, s), None, factor)}")
        out += ["", f"{estimate.systems[s]}: targets, and the depth of the tine that they ask for, cm"]
        for one in held(estimate, s):
            out += _wrapped(f"{one.label}: {one.theirs}", "  ")
            out += _wrapped(f"here, seed by seed {interval_text(one.found, 1)}; within it {one.shares}", "    ")
            out += _wrapped(f"tine {depth_words(one)}", "    ")
            out += _wrapped(one.who, "    ")
        out += ["", *_wrapped(sure_words(estimate)), *_wrapped(NO_TRUTH)]
        out += ["", f"{estimate.systems[s]}: sideways, cm; scatter as standard deviation"]
        for name, words in sideways(estimate):
            shown = interval_text(estimate.spread(name, s), 1)
            out.append(f"  {words:<{_LABEL}}{shown:<22}{standing_of(estimate, name)}")
        for said in (beyond_words(estimate, s), slope_words(estimate, s), step_words(estimate, s)):
            out += _wrapped(said, "  ")
    return [line.rstrip().replace("−", "-").replace("\N{NARROW NO-BREAK SPACE}", " ") for line in out][1:]


def sure_words(estimate: Estimate) -> str:
    """Return what the depth for the lower end of a target means."""
    share = float(estimate.sheet["sure_share"][0])
    return (
        f"The depth for the lower end is the one at which {100 * share:.0f} % of the seeds have at least that much, "
        "for the scatter given; deeper still brings the roots to the band later. Both depths take seed, berm and dose as "
        "they are here and the band straight under the row."
    )


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)
