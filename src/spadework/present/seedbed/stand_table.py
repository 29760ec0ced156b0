"""Stand counts as plain text for a terminal."""

from __future__ import annotations

from spadework import __version__
from spadework.findings.stand import StandFound, Standing
from spadework.present.table import wrapped
from spadework.present.wording import figure_text
from spadework.ranges import collecting
from spadework.science.seedbed.emergence.counts import emerged_of_sown

__all__ = ["stand_text"]

_SIZES = (6, 8, 9, 30, 24, 12)


def stand_text(
    found: StandFound, *, file: str, row_spacing_cm: float, sown_per_ha: float | None = None, invented: bool = False
) -> str:
    """Return the stand of every row unit, the low ones by name, and what that does to the systems.

    Parameters
    ----------
    found : StandFound
        From :func:`spadework.findings.stand.find_stand`.
    file : str
        Name of the table.
    row_spacing_cm : float
        That was reckoned with.
    sown_per_ha : float, optional
        Seeds per hectare of the plan.
    invented : bool
        True where the plan says that it is made up.
    """
    sure = f"{100 * found.confidence_share:g} %"
    out = [
        "The stand, row unit by row unit",
        *wrapped(f"{file}: {found.places} places, rows {row_spacing_cm:g} cm apart"),
    ]
    if invented:
        out.append("INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice.")
    if found.doubts:
        out += ["", "Check first: these counts are unlikely, and what is said below stands on them"]
        for doubt in found.doubts:
            out += wrapped(doubt, "  ", "- ")
    out += ["", f"Measured. In brackets the {sure} interval of the count by chance alone.", ""]
    head = ("unit", "plants", "metres", "plants/ha", "against the others", "below in")
    out.append(_line(head))
    for one in found.units:
        ratio = f"{one.ratio:.2f} ({one.low:.2f} to {one.high:.2f})"
        mark = "  LOW" if one.is_low else ""
        cells = (
            str(one.unit), str(one.stand.plants), f"{one.stand.length_m:g}", _per_ha(one.stand), ratio,
            f"{one.low_in} of {found.places}{mark}",
        )  # fmt: skip
        out.append(_line(cells))
    out += ["", *wrapped(_verdict(found))]
    out += ["", f"All units: {_per_ha(found.all)} plants/ha"]
    if found.low_units:
        s = "s" if len(found.low_units) > 1 else ""
        out.append(f"Without unit{s} {_listed(found.low_units)}: {_per_ha(found.without_low)} plants/ha")
    if sown_per_ha is not None:
        out += wrapped(_of_sown(found.all, sown_per_ha))
    if found.systems:
        out += ["", "By system: all units" + ("; without the low ones" if found.low_units else "")]
        for system in found.systems:
            said = f"{system.name}: {_per_ha(system.stand)}"
            if found.low_units:
                said += f"; {_per_ha(system.without_low)}"
            out += wrapped(said, "  ")
        out += wrapped(
            "These intervals hold the chance of counting only. Whether systems differ is said by plots, not by plants: a "
            "replicated comparison of the plots' stands has to say it."
        )
    out += ["", "Take note"]
    scatter = "more" if found.scatter > 1 else "less"
    for note in (
        *found.remarks,
        f"units scatter {figure_text(found.scatter, 1)} times what chance would make, {scatter} than chance alone; planters set "
        "seeds more evenly than chance, so the intervals of counts are rather too wide",
        "units are numbered on the machine from the left, seen forwards; on the way back they lie the other way round",
    ):
        out += wrapped(note, "  ", "- ")
    out += ["", f"spadework {__version__}"]
    return "\n".join(line.rstrip() for line in out).replace("−", "-").replace("\N{NARROW NO-BREAK SPACE}", " ")


def _verdict(found: StandFound) -> str:
    if not found.low_units:
        return "No unit stands lower than the others by more than the scatter allows."
    low = [one for one in found.units if one.is_low]
    said = "; ".join(f"unit {one.unit} stands at {100 * one.ratio:.0f} % of the others" for one in low)
    cost = 100 * (1 - found.all.per_ha / found.without_low.per_ha)
    if found.by_places:
        what = ", in all places alike. That is a fault of the machine, not of a system: it takes"
    else:
        what = " in what was counted. That may be the machine or the place; a second block tells. It takes"
    it = "it" if len(low) == 1 else "them"
    return (
        f"{said[:1].upper()}{said[1:]}{what} {cost:.0f} % off the stand of all that was sown, and more off a harvest of few "
        f"rows with {it}. Look at {'that unit' if len(low) == 1 else 'those units'}, say it with the result, and give the stand "
        f"with and without {it}; never drop a row in silence."
    )


def _of_sown(stand: Standing, sown_per_ha: float) -> str:
    with collecting():  # more plants than seeds is told here
        up = 100 * float(emerged_of_sown(stand.per_ha, sown_per_ha))
    sown = _thousands(sown_per_ha)
    if stand.low > sown_per_ha:
        return (
            f"That is {up:.0f} % of the {sown} seeds/ha in the plan: more plants than seeds. Check the counts, the row spacing, "
            "and what the planter was set to."
        )
    return f"Of {sown} seeds/ha in the plan {up:.0f} % stand."


def _per_ha(stand: Standing) -> str:
    return f"{_thousands(stand.per_ha)} ({_thousands(stand.low)} to {_thousands(stand.high)})"


def _thousands(value: float) -> str:
    return figure_text(round(value, -2), 0)


def _listed(units: tuple[int, ...]) -> str:
    return ", ".join(map(str, units))


def _line(cells: tuple[str, ...]) -> str:
    return "".join(f"{cell:<{size}}" for cell, size in zip(cells, _SIZES, strict=True))
