"""Draft: the pull that an implement or a drawn machine asks of the tractor.

The forms are those of the American standard for machinery data.  Its parameters vary by implement and soil and carry a
range of 15 to 50 %, so they are arguments; look them up in the table ``draft_asae_d497``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["draft_asae_d497", "draft_towed", "drawbar_power", "rolling_coefficient_brixius"]

_WHEEL = reference.constants("traction_brixius")
_PHYSICS = reference.constants("physics")


@equation(
    "soil_factor * (a + b * speed_km_h + c * speed_km_h**2) * units * depth_cm",
    unit="N",
    source="asae_d497",
    locator="clause 4.1",
)
def draft_asae_d497(
    soil_factor: ArrayLike,
    a: ArrayLike,
    b: ArrayLike,
    c: ArrayLike,
    units: ArrayLike,
    speed_km_h: ArrayLike,
    depth_cm: ArrayLike,
) -> FloatArray:
    """Draft of a tillage or seeding implement on level ground.

    Parameters
    ----------
    soil_factor : array_like
        Factor of the texture, fine, medium or coarse [1], above 0 to 2.
    a : array_like
        Draft parameter A [N per unit and cm], 0 to 20000.
    b : array_like
        Draft parameter B [N per unit and cm and km/h], 0 to 5000.
    c : array_like
        Draft parameter C [N per unit and cm and (km/h)2], 0 to 1000.
    units : array_like
        Tools, rows or metres of width, as the row of the table counts them [1], 0 to 500.
    speed_km_h : array_like
        Speed at work [km/h], 0 to 30.
    depth_cm : array_like
        Working depth [cm], above 0 to 120; 1 for seeders and minor tools, whose draft the table does not tie to depth.

    Returns
    -------
    FloatArray
        Draft [N], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    D = F (A + B S + C S^2) W T, clause 4.1 and Table 1 of ASAE D497.7; the fits behind it are those of Harrigan & Rotz
    (1995).  Average conditions only: moisture, wear and setting are in the printed range, not in the formula.  Nothing
    was changed.

    Examples
    --------
    A mouldboard plough of 2.0 m in medium soil, 25 cm deep at 7 km/h:

    >>> float(round(draft_asae_d497(0.70, 652, 0, 5.1, 2.0, 7, 25), 1))
    31566.5
    """
    factor = require("soil_factor", soil_factor, 0, 2, above=True)
    level = require("a", a, 0, 20_000, "N per unit and cm")
    linear = require("b", b, 0, 5_000, "N per unit and cm and km/h")
    square = require("c", c, 0, 1_000, "N per unit and cm and (km/h)2")
    count = require("units", units, 0, 500)
    speed = require("speed_km_h", speed_km_h, 0, 30, "km/h")
    depth = require("depth_cm", depth_cm, 0, 120, "cm", above=True)
    return factor * (level + linear * speed + square * speed**2) * count * depth


@equation(
    "1000 * mass_t * g_n * ((1 - hitch_share) * rolling_coefficient + slope_share) / sqrt(1 + slope_share**2)",
    unit="N",
    source="physics",
    locator="forces on a slope",
    constants=(_PHYSICS,),
)
def draft_towed(
    mass_t: ArrayLike, rolling_coefficient: ArrayLike, slope_share: ArrayLike, hitch_share: ArrayLike
) -> FloatArray:
    """Pull needed to keep a drawn machine rolling.

    Parameters
    ----------
    mass_t : array_like
        Mass of the drawn machine with its load [t], 0 to 100.
    rolling_coefficient : array_like
        Motion resistance per load [1], 0 to 1.
    slope_share : array_like
        Rise per distance on the level, uphill positive [1], -1 to 1.
    hitch_share : array_like
        Share of the mass that rests on the tractor [1], 0 to 0.4; table ``tractor_grip``.

    Returns
    -------
    FloatArray
        Pull [N], in the broadcast shape of the arguments; negative where the machine would run downhill by itself.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Rolling resistance counts on the mass that the machine's own wheels carry, the slope on all of it: weight times (own
    share x rolling resistance x cosine + sine) of the slope's angle, whose tangent is the slope.  Physics.  A negative
    pull means that the machine pushes the tractor; brakes are not part of this.

    Examples
    --------
    A tanker of 28 t on firm soil, all of it on its own wheels, and with an eighth of it on the hitch:

    >>> draft_towed(28, 0.05818, 0, [0, 0.125]).round().tolist()
    [15975.0, 13978.0]
    """
    mass = require("mass_t", mass_t, 0, 100, "t")
    own = 1 - require("hitch_share", hitch_share, 0, 0.4)
    rolling = require("rolling_coefficient", rolling_coefficient, 0, 1)
    slope = require("slope_share", slope_share, -1, 1)
    return 1000 * mass * _PHYSICS.g_n * (own * rolling + slope) / np.sqrt(1 + slope**2)


@equation(
    "1 / wheel_number + k_rolling",
    unit="1",
    source="brixius_1987",
    locator="motion resistance at no slip",
    constants=(_WHEEL,),
)
def rolling_coefficient_brixius(wheel_number: ArrayLike) -> FloatArray:
    """Motion resistance per load of an unpowered wheel.

    Parameters
    ----------
    wheel_number : array_like
        Mobility number of wheel and ground [1], above 0 to 1000; typical values by surface stand in table ``rolling``.

    Returns
    -------
    FloatArray
        Rolling coefficient [1], in the shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the argument lies outside its range.

    Notes
    -----
    1 / Bn + 0.04: the motion resistance of Brixius (1987) with the slip set to nil.  Fitted on bias-ply tyres.

    Examples
    --------
    >>> float(round(rolling_coefficient_brixius(55), 5))
    0.05818
    """
    return 1 / require("wheel_number", wheel_number, 0, 1000, above=True) + _WHEEL.k_rolling


@equation("draft_n * speed_km_h / 3600", unit="kW", source="physics", locator="force times speed")
def drawbar_power(draft_n: ArrayLike, speed_km_h: ArrayLike) -> FloatArray:
    """Power at the drawbar.

    Parameters
    ----------
    draft_n : array_like
        Pull [N], -1 000 000 to 1 000 000; negative where the machine pushes.
    speed_km_h : array_like
        Speed over the ground [km/h], 0 to 60.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Force times speed; 3600 turns N km/h into kW.

    Examples
    --------
    >>> float(round(drawbar_power(31566.5, 7), 2))
    61.38
    """
    pull = require("draft_n", draft_n, -1e6, 1e6, "N")
    return pull * require("speed_km_h", speed_km_h, 0, 60, "km/h") / 3600
