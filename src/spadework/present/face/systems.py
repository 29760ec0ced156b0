"""The soil face of every system of an estimate: to scale from the plan, with the estimated figures beneath.

Nothing is drawn that neither the plan nor the estimate knows: no wheel tracks without widths, no slots without a place.
Where a drawing must put something somewhere all the same, the face says so in its note.
"""

from __future__ import annotations

from spadework.estimate import Estimate
from spadework.estimate.chain import Chain
from spadework.estimate.traffic.pressure import Pressures
from spadework.plan.outfits import kind_of
from spadework.present.face.drawing import Band, Caption, Face, Loosened, Spread
from spadework.present.face.systems_press import press_of
from spadework.present.wording import MAIN, STANDING, Main, decimals_for, figure_text, spread_of, unit_of
from spadework.quantities import Quantity

__all__ = ["CAPTIONS", "faces", "reach_cm"]

CAPTIONS = ("cost", "fuel", "rate", "lost_n", "cover")
"""Main figures that stand beneath a face."""
_WORDS = {
    "cost": "cost, all in",
    "fuel": "diesel",
    "rate": "work rate",
    "lost_n": "lost as ammonia",
    "cover": "residue cover",
}
_UNITS = {"cover": "% of ground"}


def faces(estimate: Estimate, pressed: Pressures | None = None) -> tuple[Face, ...]:
    """Return the face of every system, in the order of the plan; with the pressure under its wheels, a wheel stands on it."""
    chain = Chain(estimate.read)
    return tuple(_face(estimate, chain, system, pressed) for system in range(len(estimate.systems)))


def reach_cm(drawn: tuple[Face, ...]) -> float:
    """Return how deep the cuts must reach so that faces side by side reach equally deep [cm]."""
    floors = [26.0]
    for face in drawn:
        floors += [part.depth_cm.high + 4 for part in face.loosened]
        if face.band is not None:
            floors.append(face.band.bottom_cm + 4)
        if face.press is not None:
            floors.append(face.press.deepest_cm + 4)
    return min(120.0, max(floors))


def _face(estimate: Estimate, chain: Chain, system: int, pressed: Pressures | None) -> Face:
    plan = estimate.plan
    banded = estimate.has("gap", system)
    rise = estimate.spread("rise", system).mid if banded else 0.0
    notes: list[str] = []
    band = _band_under_row(estimate, system, notes) if banded else _elsewhere(chain, system, notes)
    loosened = _loosened(estimate, chain, system, rise)
    strips = any(part.shape == "strip" for part in loosened)
    strip, between = (estimate.spread(f"cover_{zone}", system).mid for zone in ("strip", "between"))
    whole = estimate.spread("cover", system)
    if not banded:
        notes.insert(0, "Depths count from the undisturbed surface; how far the ground settles is not modelled.")
    press = None if pressed is None else press_of(pressed, system, rise, notes)
    if plan.invented:
        notes.append("Invented farm and prices.")
    name = estimate.systems[system]
    return Face(
        name,
        plan.systems[system].about or _passes(chain, system),
        plan.crop.row_spacing.value,
        loosened=loosened,
        residue_strip_share=strip if strips else whole.mid,
        residue_between_share=between if strips else whole.mid,
        residue_spread=_percent(whole.low, whole.high),
        seed_depth_cm=_mid(plan.crop.seed_depth) if _sows(chain, system) else 0.0,
        seed=_sows(chain, system),
        band=band,
        gap=_spread(estimate, "gap", system) if banded else None,
        firmed_rise_cm=rise,
        captions=(
            *(_caption(estimate, main, system) for main in MAIN if main.name in CAPTIONS),
            _hardest(estimate, chain, system),
            *_supply(estimate, chain, system),
        ),
        standing=STANDING,
        note=" ".join(notes),
        warnings=tuple(_own_notes(estimate, name)),
        reference="press-wheel track" if banded else "surface",
        press=press,
    )


def _loosened(estimate: Estimate, chain: Chain, system: int, rise: float) -> tuple[Loosened, ...]:
    parts = []
    for index in chain.steps_of(system):
        step = chain.steps[index]
        depth = step.done.depth
        if depth is None or kind_of(step.worker).text("shape") not in {"full", "strip"}:
            continue
        strip = step.strip
        if strip is not None and strip.strip_width is not None:
            below = (
                _spread(estimate, "tine_firmed", system) if estimate.has("tine_firmed", system) else _of(depth, rise)
            )
            floor = strip.tine_width.value if strip.tine_width is not None else 0.0
            parts.append(Loosened("strip", below, strip.strip_width.value, min(floor, strip.strip_width.value)))
        else:
            turned = kind_of(step.worker).text("slurry_lies") == "buried"
            tools = step.worker.tools
            slice_cm = 100.0 * step.width_m / tools if turned and tools else 0.0
            parts.append(Loosened("full", _of(depth, rise), slice_cm, turned=turned))
    return tuple(parts)


def _band_under_row(estimate: Estimate, system: int, notes: list[str]) -> Band:
    top = _spread(estimate, "band_top", system)
    centre = estimate.spread("band_centre", system).mid
    half_height, half_width = (estimate.spread(name, system).mid for name in ("half_height", "half_width"))
    floor = centre + half_height
    if top.high > floor:
        notes.append(
            f"The top of the band may lie as deep as {figure_text(top.high, 1)} cm; it is drawn down to its floor."
        )
        top = Spread(min(top.mid, floor), min(top.low, floor), floor)
    return Band(top, centre, half_height, half_width)


def _elsewhere(chain: Chain, system: int, notes: list[str]) -> Band | None:
    """Return slurry that lies in no band under the row, as far as the plan says where it is."""
    placed = chain.placing_step(system)
    if placed is None:
        notes.append("This system places no slurry.")
        return None
    step, half = chain.steps[placed], chain.plan.crop.row_spacing.value / 2
    lies = kind_of(step.placer).text("slurry_lies") if step.placer is not None else "surface"
    if lies == "slots" and chain.covering_step(system) is None:
        notes.append("The slurry lies in shallow slots that do not follow the rows; they are not drawn.")
        return None
    if lies in {"surface", "slots"}:
        covering = chain.covering_step(system)
        if covering is None:
            return Band(Spread.exact(0.0), 0.0, 0.0, half, shape="surface")
        step = chain.steps[covering]
        lies = kind_of(step.worker).text("slurry_lies")
    depth = step.done.depth
    if depth is None:
        notes.append("How deep the slurry is mixed in does not stand in the plan; it is not drawn.")
        return None
    floor = _mid(depth)
    if lies == "buried":
        notes.append(
            "How deep the plough lays the slurry is not modelled; it is drawn over the lower half of the furrow."
        )
        return Band(Spread.exact(floor / 2), 0.75 * floor, 0.25 * floor, half, shape="buried")
    return Band(Spread.exact(0.0), floor / 2, floor / 2, half, shape="mixed")


def _caption(estimate: Estimate, main: Main, system: int) -> Caption:
    every = [estimate.spread(main.name, s) for s in range(len(estimate.systems))]
    places = decimals_for(every, main.factor)
    spread = every[system]
    low, high = (figure_text(v * main.factor, places) for v in (spread.low, spread.high))
    unit = _UNITS.get(main.name) or unit_of(main, estimate)
    between = f"{low} to {high}" if spread.low < spread.high else ""
    return Caption(figure_text(spread.mid * main.factor, places), unit, _WORDS[main.name], between)


def _hardest(estimate: Estimate, chain: Chain, system: int) -> Caption:
    """Return how far the hardest pass loads its tractor."""
    rows = chain.steps_of(system)
    loads = {row: spread_of(estimate.sheet["work_load"][row]) for row in rows}
    row = max(rows, key=lambda one: loads[one].mid)
    load, slip, step = loads[row], spread_of(estimate.sheet["slip"][row]), chain.steps[row]
    low, high = (figure_text(100 * v, 0) for v in (load.low, load.high))
    between = f"{low} to {high}; " if load.low < load.high else ""
    return Caption(
        figure_text(100 * load.mid, 0),
        "% load",
        f"{step.tractor.name}, {step.worker.name}",
        f"{between}slip {figure_text(100 * slip.mid, 0)} %",
    )


def _supply(estimate: Estimate, chain: Chain, system: int) -> list[Caption]:
    """Return how much slurry an hour reaches the outfit, and who waits."""
    index = chain.placing_step(system)
    if index is None:
        return []
    step = chain.steps[index]
    rate = spread_of(estimate.dose(system) * estimate.sheet["pass_rate"][index])
    label = f"slurry, {step.done.supply or chain.way(index)}"
    low, high = (figure_text(v, 0) for v in (rate.low, rate.high))
    waits = [
        f"{who} wait{'s' if who == 'outfit' else ''} {figure_text(100 * estimate.spread(name, system).mid, 0)} %"
        for axis in ("fed", "contained")
        for who, name in (("outfit", f"{axis}_spreader_waits"), ("feeders", f"{axis}_feeder_waits"))
        if estimate.has(name, system)
    ]
    between = f"{low} to {high}" if rate.low < rate.high else ""
    return [Caption(figure_text(rate.mid, 0), "m3/h", label, "; ".join([between, *waits]).strip("; "))]


def _own_notes(estimate: Estimate, name: str) -> list[str]:
    found = []
    for note in estimate.notes:
        for joint in (": ", ", "):
            if note.startswith(name + joint):
                text = note.removeprefix(name + joint)
                found.append(text[:1].upper() + text[1:])
                break
    return found


def _passes(chain: Chain, system: int) -> str:
    return ", ".join(chain.steps[index].worker.name for index in chain.steps_of(system))


def _sows(chain: Chain, system: int) -> bool:
    return any("seed" in chain.steps[index].done.places for index in chain.steps_of(system))


def _spread(estimate: Estimate, name: str, system: int) -> Spread:
    found = estimate.spread(name, system)
    return Spread(found.mid, found.low, found.high)


def _of(quantity: Quantity, rise: float) -> Spread:
    return Spread(_mid(quantity) + rise, quantity.low + rise, quantity.high + rise)


def _mid(quantity: Quantity) -> float:
    return quantity.value


def _percent(low: float, high: float) -> str:
    return f"{figure_text(100 * low, 0)} to {figure_text(100 * high, 0)} % of all ground" if low < high else ""
