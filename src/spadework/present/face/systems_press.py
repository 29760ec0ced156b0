"""The wheel over the soil face: which one is drawn, where it stands against the rows, and the lines under it."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from spadework.estimate.chain import Chain, Step
from spadework.estimate.traffic.pressure import Pressures
from spadework.estimate.traffic.views import Pressing, hangs_on_tank, pressing, section
from spadework.plan.outfits import kind_of
from spadework.present.face.model import Press, PressLine
from spadework.present.wording import figure_text
from spadework.ranges import FloatArray

__all__ = ["LINES_KPA", "names_tyres", "outlines", "press_of", "pressing_hardest"]

LINES_KPA: Final = (50.0, 100.0, 200.0)
"""Stresses that lines are drawn for, our choice."""
_DOWN_CM: Final = 3.0
_ACROSS_CM: Final = 1.5
_DEEPEST_CM: Final = 150.0
_SHALLOW_CM: Final = (0.0, 0.5, 1.0)  # depths close under the surface, where lines are steep
_ASIDE_CM: Final = 75.0  # so far beside a wheel lines are looked for
_FROM: Final = 0.25  # a wheel is looked for from this share of a row spacing right of the left-hand row on

_Outlines = tuple[tuple[tuple[float, float], ...], ...]


def names_tyres(found: Pressures) -> bool:
    """Tell whether the plan names any tyres; where it names none, faces show no wheels."""
    return any(axle.wheels is not None for axle in found.axles)


def pressing_hardest(found: Pressures, system: int) -> Pressing:
    """Return the pass of a system whose wheel is drawn: that which places slurry, or else the one that reaches deepest."""
    own = [one for one in pressing(found) if one.system == system]
    placing = [one for one in own if one.places]
    return max(
        placing or own,
        key=lambda one: (found.middle("line_full", one.deepest), found.middle("stress_50_full", one.deepest)),
    )


def press_of(found: Pressures, system: int, rise_cm: float, notes: list[str]) -> Press | None:
    """Return the wheel that the face of a system shows, with lines of equal stress.

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    system : int
        The system.
    rise_cm : float
        Depth of the surface that the wheel stands on, on the depth axis of the face [cm].
    notes : list of str
        What the reader must know is put here.

    Returns
    -------
    Press or None
        None where the plan names no tyres at all.
    """
    if not names_tyres(found):
        return None
    one = pressing_hardest(found, system)
    axle = found.axles[one.deepest]
    chain = Chain(found.estimate.read)
    spacing = chain.plan.crop.row_spacing.value
    wheels = [100 * place for place in axle.across_m() if place > 0]
    middle = (wheels[0] + wheels[-1]) / 2
    found_lines = _lines(found, one.deepest, wheels, rise_cm)
    tyre_cm = 100 * axle.width_m
    reach = max([wheels[-1] + tyre_cm / 2, *(x for _, every in found_lines for o in every for x, _ in o)]) - middle
    if rows := _rows_of(chain.steps[one.step]):
        at, where = _against_rows(middle, rows, spacing), ""
    else:
        at = max(spacing / 2, 1.5 * spacing - reach - 2)
        where = " Where it runs against the rows does not stand in the plan; it is drawn where there is room."
    shift = at - middle
    lines = tuple(
        PressLine(kpa, tuple(tuple((x + shift, depth) for x, depth in outline) for outline in every))
        for kpa, every in found_lines
    )
    load, contact = (found.middle(name, one.deepest) for name in ("wheel_load_full", "contact_full"))
    tank = ", tank full" if hangs_on_tank(found, one.deepest) else ""
    tyre = "a typical tyre" if axle.wheels is None else "a tyre"
    said = (
        f"{axle.name}, {axle.where} axle{tank}: {figure_text(load, 0)} kN on {tyre} {figure_text(tyre_cm, 0)} cm wide"
    )
    notes.append(
        "The wheel stands on the ground as it was before that pass, and the stress under it is that of the middle of the "
        f"inputs. A stress is no damage.{where}"
    )
    if axle.wheels is None:
        notes.append(f'The plan names no tyres of "{axle.name}"; a typical one stands in, dashed.')
    long = f"{said}, with a mean of {figure_text(contact, 0)} kPa on the ground"
    tyres = tuple((place + shift, tyre_cm) for place in wheels)
    return Press(said, long, tyres, lines, axle.wheels is None)


def _rows_of(step: Step) -> int:
    """Return how many rows the outfit of a pass works, where it is bound to rows; else nil."""
    return next((m.rows for m in step.machines if m.rows and kind_of(m).text("shape") != "carries"), 0)


def _against_rows(middle_cm: float, rows: int, spacing_cm: float) -> float:
    """Return the place of a wheel, right of the left-hand row of a cut that is chosen so that the wheel lies in it.

    Examples
    --------
    >>> _against_rows(105, 8, 75), _against_rows(100, 7, 75)
    (67.5, 25.0)
    """
    first = -(rows - 1) / 2 * spacing_cm
    beyond = (middle_cm - first) % spacing_cm
    return beyond if beyond > _FROM * spacing_cm else beyond + spacing_cm


def _lines(found: Pressures, row: int, wheels_cm: list[float], rise_cm: float) -> list[tuple[float, _Outlines]]:
    """Return the outlines of each stress under the wheels of one side, places to the right of the middle of the outfit."""
    side = max(200 * found.middle("radius_full", row), _ASIDE_CM)
    start, end = wheels_cm[0] - side, wheels_cm[-1] + side
    across = np.linspace(start, end, 2 * math.ceil((end - start) / (2 * _ACROSS_CM)) + 1)
    floor = min(_DEEPEST_CM, 1.15 * found.middle("line_full", row) + 20)
    down = np.array([*_SHALLOW_CM, *np.arange(_DOWN_CM, floor + _DOWN_CM, _DOWN_CM)])
    stress = section(found, row, across.tolist(), down.tolist())
    return [(kpa, outlines(across, down + rise_cm, stress, kpa)) for kpa in LINES_KPA]


def outlines(across_cm: FloatArray, depths_cm: FloatArray, stress_kpa: FloatArray, limit_kpa: float) -> _Outlines:
    """Return closed outlines of the ground in which the stress is above a limit, left to right.

    Parameters
    ----------
    across_cm, depths_cm : ndarray
        Columns and rows of the cut [cm].
    stress_kpa : ndarray
        Stress, shape (depths, columns) [kPa].
    limit_kpa : float
        The limit [kPa].

    Notes
    -----
    In each column the ground above the limit is taken as one stretch, from its first to its last crossing; between points
    of the cut the stress runs straight.  To the sides an outline ends in a point where the largest stress crosses.

    Examples
    --------
    >>> cut = np.array([[0.0, 100.0, 0.0], [0.0, 60.0, 0.0], [0.0, 20.0, 0.0]])
    >>> outlines(np.array([0.0, 1.0, 2.0]), np.array([0.0, 10.0, 20.0]), cut, 40)
    (((0.4, 0.0), (1.0, 15.0), (1.6, 0.0), (1.0, 0.0)),)
    """
    largest = stress_kpa.max(axis=0)
    above = np.concatenate([[False], largest > limit_kpa, [False]])
    starts, ends = np.flatnonzero(~above[:-1] & above[1:]), np.flatnonzero(above[:-1] & ~above[1:])
    found = []
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        lower = [_tip(across_cm, depths_cm, stress_kpa, start, start - 1, limit_kpa)] if start else []
        upper: list[tuple[float, float]] = []
        for column in range(start, end):
            top, floor = _stretch(depths_cm, stress_kpa[:, column], limit_kpa)
            upper.append((float(across_cm[column]), top))
            lower.append((float(across_cm[column]), floor))
        if end < len(across_cm):
            lower.append(_tip(across_cm, depths_cm, stress_kpa, end - 1, end, limit_kpa))
        found.append((*lower, *reversed(upper)))
    return tuple(found)


def _tip(
    across: FloatArray, depths: FloatArray, stress: FloatArray, inside: int, outside: int, limit: float
) -> tuple[float, float]:
    """Return where an outline ends between a column inside it and the next one outside."""
    row = int(stress[:, inside].argmax())
    place = _crossing(across, stress.max(axis=0), inside, outside, limit)
    return place, float(depths[row])


def _stretch(depths: FloatArray, column: FloatArray, limit: float) -> tuple[float, float]:
    """Return the first and last depth at which a column that is above the limit somewhere crosses it."""
    above = np.flatnonzero(column > limit)
    first, last = int(above[0]), int(above[-1])
    top = _crossing(depths, column, first - 1, first, limit) if first else float(depths[0])
    return top, float(depths[-1]) if last == len(column) - 1 else _crossing(depths, column, last, last + 1, limit)


def _crossing(places: FloatArray, values: FloatArray, a: int, b: int, limit: float) -> float:
    share = (limit - values[a]) / (values[b] - values[a])
    return float(places[a] + share * (places[b] - places[a]))
