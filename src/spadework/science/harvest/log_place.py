"""Places of a log: degrees to metres about the middle of a field, passes, and which way they went."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, calibrated, require
from spadework.reference import constants
from spadework.working import equation

__all__ = ["metres_from_middle", "numbered_passes", "pass_heading"]

_K = constants("yield_log")


@equation(
    "east: difference of longitude times the radius of the parallel; north: difference of latitude times the radius of the "
    "meridian, both of the ellipsoid at the middle",
    unit="m",
    source="wgs84",
    in_words=True,
)
def metres_from_middle(
    latitude_deg: ArrayLike, longitude_deg: ArrayLike, middle_latitude_deg: ArrayLike, middle_longitude_deg: ArrayLike
) -> FloatArray:
    """Metres east and north of the middle of a field.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude of each point, north positive [deg], -85 to 85.
    longitude_deg : array_like
        Longitude of each point, east positive [deg], -180 to 180.
    middle_latitude_deg : array_like
        Latitude of the middle [deg], -85 to 85.
    middle_longitude_deg : array_like
        Longitude of the middle [deg], -180 to 180.

    Returns
    -------
    ndarray
        East and north [m], shape (2, ...) before the shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The ground is taken for a plane that touches at the middle.  At 1 km east and 1 km north of it, at 50
    degrees, that is off by 0.2 m; the error
    grows with the square of the distance.  Farther than 2 km away it is noted.

    Examples
    --------
    >>> metres_from_middle(50.001, 8.001, 50, 8).round(2).tolist()
    [71.7, 111.23]
    """
    latitude = require("latitude_deg", latitude_deg, -85, 85, "deg")
    longitude = require("longitude_deg", longitude_deg, -180, 180, "deg")
    at = np.radians(require("middle_latitude_deg", middle_latitude_deg, -85, 85, "deg"))
    middle = require("middle_longitude_deg", middle_longitude_deg, -180, 180, "deg")
    flat = _K.flattening * (2 - _K.flattening)
    root = np.sqrt(1 - flat * np.sin(at) ** 2)
    across = (longitude - middle + 180) % 360 - 180
    east = np.radians(across) * _K.semi_major_m * np.cos(at) / root
    north = (np.radians(latitude) - at) * _K.semi_major_m * (1 - flat) / root**3
    found = np.stack(np.broadcast_arrays(east, north))
    calibrated("metres_from_middle", "distance from the middle", np.hypot(*found), 0, _K.place_reach_m, "m")
    return found


@equation(
    "a new pass begins where the header goes down, the strip changes or the log is silent for longer than gap_s",
    unit="1",
    source="choice",
    in_words=True,
)
def numbered_passes(time_s: ArrayLike, header_down: ArrayLike, strip: ArrayLike, gap_s: ArrayLike) -> NDArray[np.int64]:
    """Return the number of the pass that each record belongs to.

    Parameters
    ----------
    time_s : array_like
        Time of each record [s], never falling; one row.
    header_down : array_like
        1 where the header is down, else 0 [1].
    strip : array_like
        Name of the strip that each record lies in [any].
    gap_s : array_like
        Silence that ends a pass [s], more than 0.

    Returns
    -------
    ndarray
        Pass from 0 on, in the order of time; -1 where the header is up.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> numbered_passes([0, 1, 2, 3, 4], [1, 1, 0, 1, 1], ["a"] * 5, 5).tolist()
    [0, 0, -1, 1, 1]
    """
    time = require("time_s", time_s, -1e12, 1e12, "s")
    down = require("header_down", header_down, 0, 1) >= _K.header_down
    names = np.asarray(strip)
    longest = float(require("gap_s", gap_s, 0, 600, "s", above=True))
    begins = down.copy()
    if time.size > 1:
        same = down[:-1] & (names[1:] == names[:-1]) & (np.diff(time) <= longest)
        begins[1:] &= ~same
    return np.where(down, np.cumsum(begins) - 1, -1).astype(np.int64)


@equation(
    "direction from the first to the last place of each pass, counted from the east against the clock",
    unit="rad",
    source="physics",
    in_words=True,
)
def pass_heading(east_m: ArrayLike, north_m: ArrayLike, pass_number: ArrayLike) -> FloatArray:
    """Direction in which each pass was driven.

    Parameters
    ----------
    east_m : array_like
        Metres east of each record [m]; one row in the order of time.
    north_m : array_like
        Metres north of each record [m].
    pass_number : array_like
        Pass of each record from 0 on [1]; negative where it belongs to none.

    Returns
    -------
    ndarray
        Direction of each pass [rad], -pi to pi; not a number where a pass did not move.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> pass_heading([0, 10, 10, 0], [0, 0, 5, 5], [0, 0, 1, 1]).round(3).tolist()
    [0.0, 3.142]
    """
    east, north = require("east_m", east_m, -1e7, 1e7, "m"), require("north_m", north_m, -1e7, 1e7, "m")
    number = require("pass_number", pass_number, -1, 1e9).astype(np.int64)
    count = int(number.max()) + 1 if number.size else 0
    found = np.full(count, np.nan)
    for one in range(count):
        mine = np.flatnonzero(number == one)
        if not mine.size:
            continue
        step = east[mine[-1]] - east[mine[0]], north[mine[-1]] - north[mine[0]]
        if np.hypot(*step) > 0:
            found[one] = np.arctan2(step[1], step[0])
    return found
