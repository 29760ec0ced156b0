"""Grip: the slip at which the driven wheels of a tractor give a pull, and the power that the axle spends on it.

The wheel equations of Brixius (1987) are read backwards here: pull and load are known, the slip is sought.  All driven
wheels together count as one wheel with the mobility number of the ground.  Load that the pull or the hitch shifts from
one axle to the other by leverage is left out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.science.machinery.pull.traction import gross_traction_brixius
from spadework.working import equation

__all__ = [
    "NoGrip",
    "axle_power_brixius",
    "driven_load",
    "hitch_mass",
    "most_pull_ratio_brixius",
    "pto_power_for_axle",
    "pull_ratio",
    "slip_for_pull_brixius",
    "wheel_pull",
]

_K = reference.constants("traction_brixius")
_PHYSICS = reference.constants("physics")
_STEPS = 5
_ROUNDING = 1e-12


class NoGrip(ImpossibleValue):
    """A pull that the ground does not give at any slip: the wheels dig in, and no power helps."""

    def __init__(self, ratio: float, most: float) -> None:
        super().__init__("pull_ratio", f"{ratio:.6g}", -np.inf, most, "")
        self.ratio, self.most = ratio, most

    def __str__(self) -> str:
        cure = "it takes more load on them, less pull, or firmer ground"
        return f"{super().__str__()}: the driven wheels find no grip for this pull; {cure}"


@equation(
    "(tractor_t * driven_share + hitch_t) * g_n", unit="kN", source="physics", locator="weight", constants=(_PHYSICS,)
)
def driven_load(tractor_t: ArrayLike, driven_share: ArrayLike, hitch_t: ArrayLike) -> FloatArray:
    """Load on the driven wheels.

    Parameters
    ----------
    tractor_t : array_like
        Mass of the tractor with ballast and mounted implements [t], above 0 to 60.
    driven_share : array_like
        Share of that mass on the driven wheels [1], above 0 to 1; table ``tractor_grip``.
    hitch_t : array_like
        Mass of a drawn machine that rests on the hitch [t], 0 to 40; taken to rest on the driven wheels as a whole.

    Returns
    -------
    FloatArray
        Load [kN], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(driven_load(8, 1, 2.4), 1))
    102.0
    """
    tractor = require("tractor_t", tractor_t, 0, 60, "t", above=True)
    share = require("driven_share", driven_share, 0, 1, above=True)
    return (tractor * share + require("hitch_t", hitch_t, 0, 40, "t")) * _PHYSICS.g_n


@equation("drawn_t * hitch_share", unit="t", source="physics", locator="share of a mass")
def hitch_mass(drawn_t: ArrayLike, hitch_share: ArrayLike) -> FloatArray:
    """Mass of a drawn machine that rests on the tractor.

    Hitch and axles have limits of their own: the plates of both machines and the local road rules decide.

    Parameters
    ----------
    drawn_t : array_like
        Mass of the drawn machine with its load [t], 0 to 100.
    hitch_share : array_like
        Share of it on the hitch [1], 0 to 0.4; table ``tractor_grip``.

    Returns
    -------
    FloatArray
        Mass [t], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(hitch_mass(20, 0.12), 2))
    2.4
    """
    return require("drawn_t", drawn_t, 0, 100, "t") * require("hitch_share", hitch_share, 0, 0.4)


@equation(
    "pull_n / 1000 + tractor_t * g_n * (slope_share + (1 - driven_share) * rolling_coefficient)"
    " / sqrt(1 + slope_share**2)",
    unit="kN",
    source="physics",
    locator="forces on a slope",
    constants=(_PHYSICS,),
)
def wheel_pull(
    pull_n: ArrayLike,
    tractor_t: ArrayLike,
    driven_share: ArrayLike,
    rolling_coefficient: ArrayLike,
    slope_share: ArrayLike,
) -> FloatArray:
    """Pull that the driven wheels must give beyond their own motion resistance.

    It is made of the pull behind, the tractor's own weight along the slope and the rolling of its undriven axle.

    Parameters
    ----------
    pull_n : array_like
        Pull of tools and drawn machines [N], -1 000 000 to 1 000 000; negative where they push.
    tractor_t : array_like
        Mass of the tractor with ballast and mounted implements [t], above 0 to 60.
    driven_share : array_like
        Share of that mass on the driven wheels [1], above 0 to 1.
    rolling_coefficient : array_like
        Motion resistance per load of wheels that are not driven [1], 0 to 1.
    slope_share : array_like
        Rise per distance on the level, uphill positive [1], -1 to 1.

    Returns
    -------
    FloatArray
        Pull [kN], in the broadcast shape of the arguments; negative where the tractor is pushed.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(wheel_pull(30000, 8, 1, 0.06, 0.05), 2))
    33.92
    """
    pull = require("pull_n", pull_n, -1e6, 1e6, "N")
    tractor = require("tractor_t", tractor_t, 0, 60, "t", above=True)
    share = require("driven_share", driven_share, 0, 1, above=True)
    rolling = require("rolling_coefficient", rolling_coefficient, 0, 1)
    slope = require("slope_share", slope_share, -1, 1)
    return pull / 1000 + tractor * _PHYSICS.g_n * (slope + (1 - share) * rolling) / np.sqrt(1 + slope**2)


@equation("wheel_pull_kn / driven_load_kn", unit="1", source="physics", locator="definition")
def pull_ratio(wheel_pull_kn: ArrayLike, driven_load_kn: ArrayLike) -> FloatArray:
    """Pull of the driven wheels per load on them.

    Parameters
    ----------
    wheel_pull_kn : array_like
        Pull that the wheels must give [kN], -2000 to 2000.
    driven_load_kn : array_like
        Load on the driven wheels [kN], above 0 to 1000.

    Returns
    -------
    FloatArray
        Pull per load [1], in the broadcast shape of the arguments; negative where the tractor is pushed.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(pull_ratio(40, 100))
    0.4
    """
    pull = require("wheel_pull_kn", wheel_pull_kn, -2000, 2000, "kN")
    return pull / require("driven_load_kn", driven_load_kn, 0, 1000, "kN", above=True)


def _curve(number: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return, per load, the largest thrust by slip and the drag per slip; and the slip of the largest net pull."""
    thrust = -_K.k_gross * np.expm1(-_K.k_wheel * number)
    drag = _K.k_slip_resistance / np.sqrt(number)
    return thrust, drag, np.maximum(0, np.log(thrust * _K.k_slip / drag) / _K.k_slip)


def _net(number: FloatArray, slip: FloatArray) -> FloatArray:
    """Return the net pull per load."""
    thrust, drag, _ = _curve(number)
    rest = _K.k_gross_rest - _K.k_rolling - 1 / number
    return rest - thrust * np.expm1(-_K.k_slip * slip) - drag * slip


@equation(
    "the smaller slip at which gross traction less motion resistance per load, both after Brixius, equals pull_ratio "
    "on ground of this wheel_number; nil where wheels without slip already give as much",
    unit="1",
    source="brixius_1987",
    locator="net traction, solved for the slip",
    in_words=True,
)
def slip_for_pull_brixius(pull_ratio: ArrayLike, wheel_number: ArrayLike) -> FloatArray:
    """Slip at which driven wheels give a pull.

    Parameters
    ----------
    pull_ratio : array_like
        Pull per load on the driven wheels [1], -10000 to what the ground gives.
    wheel_number : array_like
        Mobility number of wheel and ground [1], above 0 to 1000; table ``rolling``.

    Returns
    -------
    FloatArray
        Slip [1], in the broadcast shape of the arguments; 0 to 1.

    Raises
    ------
    NoGrip
        If a pull is larger than the ground gives at any slip.
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    NT/W = 0.88 (1 - e^(-0.1 Bn)) (1 - e^(-7.5 s)) - 1/Bn - 0.5 s / sqrt(Bn), Brixius (1987), solved for the smaller s.
    Counted down from the slip of the largest pull it reads e^x - 1 - x = m, on every ground; Newton's method falls onto
    its root from e^x = 1 + m + sqrt(2 m), which is never below.  Five steps: within 1e-10 of the load.

    Up to -1/Bn wheels without slip do: the tractor coasts or is pushed, and its slip is nil.

    Examples
    --------
    >>> slip_for_pull_brixius([0.4059, 0.2, -0.1], 55).round(3).tolist()
    [0.09, 0.039, 0.0]
    """
    ratio = require("pull_ratio", pull_ratio, -1e4, 1e4)
    number = require("wheel_number", wheel_number, 0, 1000, above=True)
    ratio, number = np.broadcast_arrays(ratio, number)
    _, drag, peak = _curve(number)
    most = _net(number, peak)
    beyond = ratio - most
    if (beyond > _ROUNDING).any():
        worst = int(beyond.argmax())
        raise NoGrip(float(ratio.flat[worst]), float(most.flat[worst]))
    rolling = _net(number, np.zeros_like(peak))
    coasting = ratio <= rolling
    sought = np.where(coasting, rolling, ratio)
    m = np.maximum(0, _K.k_slip / drag * (most - sought))  # below nil only by rounding, see above
    x = np.log1p(m + np.sqrt(2 * m))
    for _ in range(_STEPS):
        grown = np.expm1(x)
        x = x - np.divide(grown - x - m, grown, out=np.zeros_like(x), where=grown > 0)
    return np.where(coasting, 0.0, np.maximum(0, peak - x / _K.k_slip))


@equation(
    "k_gross * (1 - exp(-k_wheel * wheel_number)) * (1 - exp(-k_slip * minimum(slip_share, maximum(0, log(k_gross"
    " * (1 - exp(-k_wheel * wheel_number)) * k_slip * sqrt(wheel_number) / k_slip_resistance) / k_slip))))"
    " + k_gross_rest - 1 / wheel_number - k_rolling - k_slip_resistance * minimum(slip_share, maximum(0, log(k_gross"
    " * (1 - exp(-k_wheel * wheel_number)) * k_slip * sqrt(wheel_number) / k_slip_resistance) / k_slip))"
    " / sqrt(wheel_number)",
    unit="1",
    source="brixius_1987",
    locator="net traction",
    constants=(_K,),
)
def most_pull_ratio_brixius(wheel_number: ArrayLike, slip_share: ArrayLike) -> FloatArray:
    """Largest pull per load that driven wheels give at no more than a slip.

    Parameters
    ----------
    wheel_number : array_like
        Mobility number of wheel and ground [1], above 0 to 1000.
    slip_share : array_like
        Largest slip that one still works with [1], 0 to 1.

    Returns
    -------
    FloatArray
        Pull per load [1], in the broadcast shape of the arguments; negative where the wheels cannot move themselves.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Net traction per load of Brixius (1987) at this slip, or at the slip of the largest pull,
    s = ln(0.88 (1 - e^(-0.1 Bn)) 7.5 sqrt(Bn) / 0.5) / 7.5, where that is smaller: beyond it more slip pulls less.

    Examples
    --------
    >>> most_pull_ratio_brixius([80, 55, 40, 20], 0.25).round(2).tolist()
    [0.72, 0.71, 0.69, 0.57]
    """
    number = require("wheel_number", wheel_number, 0, 1000, above=True)
    slip = require("slip_share", slip_share, 0, 1)
    return _net(number, np.minimum(slip, _curve(number)[2]))


@equation(
    "driven_load_kn * (k_gross * (1 - exp(-k_wheel * wheel_number)) * (1 - exp(-k_slip * slip_share)) + k_gross_rest)"
    " * speed_km_h / (3.6 * (1 - slip_share))",
    unit="kW",
    source="brixius_1987",
    locator="gross traction times speed of the wheel",
    constants=(_K,),
)
def axle_power_brixius(
    driven_load_kn: ArrayLike, wheel_number: ArrayLike, slip_share: ArrayLike, speed_km_h: ArrayLike
) -> FloatArray:
    """Power that the driven axles spend.

    Parameters
    ----------
    driven_load_kn : array_like
        Load on the driven wheels [kN], above 0 to 1000.
    wheel_number : array_like
        Mobility number of wheel and ground [1], above 0 to 1000.
    slip_share : array_like
        Slip [1], 0 to 0.95; :func:`slip_for_pull_brixius`.
    speed_km_h : array_like
        Speed over the ground [km/h], 0 to 60.

    Returns
    -------
    FloatArray
        Power at the axles [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Thrust times the speed of the wheel's rim, v / (1 - s); so it is never below pull times speed.  At no slip the
    equation keeps a thrust of 0.04 of the load, which overstates the power of a tractor that is pushed downhill.

    Examples
    --------
    >>> float(round(axle_power_brixius(80, 55, 0.09, 7), 1))
    80.4
    """
    load = require("driven_load_kn", driven_load_kn, 0, 1000, "kN", above=True)
    slip = require("slip_share", slip_share, 0, 0.95)
    speed = require("speed_km_h", speed_km_h, 0, 60, "km/h")
    return load * gross_traction_brixius(1.0, wheel_number, slip) * speed / (3.6 * (1 - slip))


@equation("axle_kw / axle_per_pto", unit="kW", source="asae_d497", locator="Fig. 1, axle power per take-off power")
def pto_power_for_axle(axle_kw: ArrayLike, axle_per_pto: ArrayLike) -> FloatArray:
    """Power at the power take-off that stands behind a power at the axles.

    Parameters
    ----------
    axle_kw : array_like
        Power at the driven axles [kW], 0 to 100 000.
    axle_per_pto : array_like
        Axle power per power at the power take-off [1], above 0 to 1; table ``tractor_grip``.

    Returns
    -------
    FloatArray
        Power at the power take-off [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(pto_power_for_axle(80.4, 0.96), 2))
    83.75
    """
    axle = require("axle_kw", axle_kw, 0, 1e5, "kW")
    return axle / require("axle_per_pto", axle_per_pto, 0, 1, above=True)
