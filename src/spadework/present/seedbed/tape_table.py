"""Residue counted along tapes as plain text: cover of systems and plots, whether a cover is shown, and what more it takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from spadework import __version__
from spadework.findings.tape_cover import Cover, PlotCover, SystemCover, TapeCover
from spadework.present.table import wrapped
from spadework.records.sheets.tape_counts import NOT_COUNTED, Tape
from spadework.reference import constants
from spadework.science.seedbed.residue.tape import hits_to_prove

__all__ = ["tape_text"]

_K = constants("transect_practice")
_SIZES: Final = (14, 7, 8, 17, 17, 17, 12)
_FEW: Final = int(_K.places_kansas)


def tape_text(
    found: TapeCover,
    *,
    file: str,
    left_out: Sequence[str] = (),
    limit: float | None = None,
    layout: bool = False,
    invented: bool = False,
) -> str:
    """Return what tapes say as plain text, at most 100 columns wide.

    Parameters
    ----------
    found : TapeCover
        From :func:`spadework.findings.tape_cover.cover_of_tapes`.
    file : str
        Name of the table.
    left_out : sequence of str
        Lines that hold no figures, and why.
    limit : float, optional
        A cover that is to be shown to be passed [1].
    layout : bool
        True where systems are those of a layout, so that their plots can be held against one another.
    invented : bool
        True where the plan says that it is made up.
    """
    sure = f"{100 * found.confidence:g} %"
    out = ["How much residue covers the ground?", *wrapped(f"{file}: {_counted(found)}")]
    if invented:
        out.append("INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice.")
    out += ["", *wrapped(f"Measured along tapes; in brackets the {sure} interval. In per cent of the ground.")]
    for system in found.systems:
        plots = f"{len(system.plots)} plot{'' if len(system.plots) == 1 else 's'}"
        name = f"{system.system}: " if system.system else ""
        out += wrapped(f"{name}{_cover(system.whole)}, {plots}, {system.hits} hits on {system.points} marks", "  ")
    out += ["", *_fooled(found), *(_limit(found, limit) if limit is not None else [])]
    out += ["Plot by plot", *_plots(found), "", f"For {_half(found)} points either way, at the covers found"]
    for system in found.systems:
        out += wrapped(_needed(system), "  ")
    out += ["", "Take note"]
    for note in _notes(found, left_out, layout=layout):
        out += wrapped(note, "  ", "- ")
    out += ["", f"spadework {__version__}"]
    return "\n".join(line.rstrip() for line in out)


def _counted(found: TapeCover) -> str:
    plots = [plot for system in found.systems for plot in system.plots]
    tapes = sum(plot.tapes for plot in plots)
    said = f"{tapes} tape{'' if tapes == 1 else 's'} in {len(plots)} plot{'' if len(plots) == 1 else 's'}"
    named = [system for system in found.systems if system.system]
    return said + (f" of {len(named)} system{'' if len(named) == 1 else 's'}" if named else "")


def _pct(share: float) -> str:
    return f"{100 * share:.0f}"


def _half(found: TapeCover) -> str:
    return f"{100 * found.half_width:g}"


def _cover(cover: Cover) -> str:
    return f"{_pct(cover.cover)} ({_pct(cover.low)} to {_pct(cover.high)})"


def _fooled(found: TapeCover) -> list[str]:
    if not found.fooled:
        return []
    alike: dict[tuple[float | None, float | None], list[Tape]] = {}
    for tape in found.fooled:
        alike.setdefault((tape.marks_m, tape.angle_deg), []).append(tape)
    lines = []
    for (marks, angle), tapes in alike.items():
        where = _lines([tape.line for tape in tapes])
        lines += wrapped(
            f"NOT TO BE RELIED ON, {where}: marks {100 * (marks or 0):g} cm apart at {angle or 0:g} degrees meet the same few "
            "places of every row, so the count hangs on where the tape began, and the interval does not hold that. Count strip "
            "and ground between apart, or lay the tape at another angle or with other marks."
        )
    return [*lines, ""]


def _lines(numbers: Sequence[int]) -> str:
    said = ", ".join(str(number) for number in numbers[:8]) + (" and more" if len(numbers) > 8 else "")
    return f"line{'' if len(numbers) == 1 else 's'} {said}"


def _limit(found: TapeCover, limit: float) -> list[str]:
    lines = [f"Is it more than {100 * limit:g} %?"]
    risk = (1 - found.confidence) / 2
    for system in found.systems:
        whole = system.whole
        if whole.low > limit:
            said = f"shown: the whole interval lies above {100 * limit:g} %"
        elif whole.high <= limit:
            said = f"no: the whole interval lies at or below {100 * limit:g} %"
        else:
            needed = int(hits_to_prove(limit, system.points, risk))
            marks = "no number of hits" if needed > system.points else f"{needed} hits"
            said = (
                f"not shown either way: the interval reaches across it. Of {system.points} marks that fall independently {marks} "
                f"would show it; there are {system.hits}, and residue in patches takes more"
            )
        lines += wrapped(f"{system.system}: {said}" if system.system else f"{said[0].upper()}{said[1:]}", "  ")
    lines += wrapped(
        f"Risk of a wrong claim: {100 * risk:g} % on that side. Whether a cover is enough for a rule is for the local office "
        "to say.",
        "  ",
    )
    return [*lines, ""]


def _plots(found: TapeCover) -> list[str]:
    heads = ["plot", "tapes", "marks", "cover"]
    apart = any(plot.grounds for system in found.systems for plot in system.plots)
    lines = [_line([*heads, *(["strip", "between"] if apart else []), "patchiness"], apart=apart)]
    for system in found.systems:
        if system.system:
            lines += wrapped(system.system, "  ")
        for plot in system.plots:
            lines.append(_line(_cells(plot, apart=apart), apart=apart))
    lines += wrapped(
        "Patchiness: scatter between tapes against that of independent marks, a ratio of variances; about 1 without patches. "
        "A few tapes tell it roughly.",
        "  ",
    )
    return lines


def _cells(plot: PlotCover, *, apart: bool) -> list[str]:
    grounds = [_cover(plot.grounds[name]) if plot.grounds else "-" for name in ("strip", "between")] if apart else []
    patches = "-" if math.isnan(plot.patchiness) else f"{plot.patchiness:.1f}"
    return [plot.plot[: _SIZES[0] - 2], str(plot.tapes), str(plot.points), _cover(plot.whole), *grounds, patches]


def _line(cells: Sequence[str], *, apart: bool) -> str:
    sizes = _SIZES if apart else (*_SIZES[:4], _SIZES[6])
    return "    " + "".join(cell.ljust(size) for cell, size in zip(cells, sizes, strict=True))


def _needed(system: SystemCover) -> str:
    name = f"{system.system}: " if system.system else ""
    each = " on each ground" if all(plot.grounds for plot in system.plots) else ""
    said = f"{name}{system.marks_needed} marks{each}, if they fell independently"
    if not system.marks_needed:
        said = f"{name}where nothing or everything was hit, nobody can tell how many marks it takes"
    points = _pct(system.spread) if not math.isnan(system.spread) else ""
    points += " point" if points == "1" else " points"
    if system.tapes_needed is not None:
        said += f"; by the scatter of these tapes ({points}) {system.tapes_needed} such tapes in a plot{each}"
    elif not math.isnan(system.spread):
        said += f"; these tapes scatter by {points}, too much for any number of them to be of use"
    else:
        said += f"; a second tape in a plot{each} would tell how much more patches take"
    return said


def _notes(found: TapeCover, left_out: Sequence[str], *, layout: bool) -> list[str]:
    notes = [
        f"{system or 'the ground'} was worked in strips, and tapes crossed strips and ground between: evenly spaced marks "
        "mislead there; count the two apart, strip and between in the column place"
        for system in found.unsplit
    ]
    if found.unknown and not found.fooled:
        notes.append(
            f"of the tapes in {_lines([tape.line for tape in found.unknown])} nobody can tell whether the marks kept step with "
            "the rows: write marks_cm and angle_deg, and give --rows or a plan"
        )
    few = [plot for system in found.systems for plot in system.plots if plot.tapes < _FEW * max(1, len(plot.grounds))]
    if few:
        listed = ", ".join(plot.plot for plot in few[:8]) + (" and more" if len(few) > 8 else "")
        notes.append(
            f"fewer than {_FEW} tapes ({'on each ground, ' if few[0].grounds else ''}plot {listed}); the trade takes {_FEW}"
        )
    if any(plot.tapes <= max(1, len(plot.grounds)) for system in found.systems for plot in system.plots):
        notes.append("a single tape knows only the chance of its marks; patches of residue are not in its interval")
    notes.append(
        f"trained readers scored {100 * _K.over_scoring:.0f} points more than a count on photos of the same lines (60 lines, "
        "2021); look straight down, score the point and not the edge, and count no piece under 3 mm"
    )
    if len(found.systems) > 1:
        how = "spadework compare holds the plots against one another" if layout else "that takes plots of a layout"
        notes.append(f"whether systems differ is said by plots, not by marks or tapes: {how}")
    counted = [one for one in left_out if not one.endswith(NOT_COUNTED)]
    if counted:
        notes.append("without figures: " + "; ".join(counted[:6]) + ("; and more" if len(counted) > 6 else ""))
    if len(left_out) > len(counted):
        notes.append(f"prepared lines without a count, left out: {len(left_out) - len(counted)}")
    return notes
