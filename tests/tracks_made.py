"""Tracks that are made from a plan of runs and turns, so that every time in them is known.  All invented."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Made:
    time_s: Array
    east_m: Array
    north_m: Array
    tools: Array
    working_s: float
    turning_s: float
    turns: int
    runs: int
    area_ha: float


def rectangle(
    length_m: float = 400.0,
    breadth_m: float = 200.0,
    width_m: float = 6.0,
    speed_km_h: float = 10.0,
    turn_s: float = 25.0,
    *,
    rate_hz: float = 1.0,
    noise_m: float = 0.02,
    seed: int = 1,
    stop_in_turn: tuple[int, float] | None = None,
    stop_in_run: tuple[int, float] | None = None,
    angle_deg: float = 0.0,
    reverse: bool = False,
    loop: bool = False,
    runs: int | None = None,
) -> Made:
    """Runs up and down, the last one pushed inwards so that it ends at the edge; turns are half circles, or loops of three
    arcs, driven in so many seconds whatever their size."""
    speed = speed_km_h / 3.6
    whole = runs if runs is not None else int(np.ceil(breadth_m / width_m - 1e-9))
    places = np.minimum((np.arange(whole) + 0.5) * width_m, breadth_m - width_m / 2)
    way: list[tuple[float, Array, Array, float]] = []  # lasting, x, y of the corners of the way, tools
    for i, x in enumerate(places):
        ends = (0.0, length_m) if i % 2 == 0 else (length_m, 0.0)
        if stop_in_run and stop_in_run[0] == i:
            half = length_m / 2
            way.append((half / speed, np.full(2, x), np.array([ends[0], half]), 1.0))
            way.append((stop_in_run[1], np.full(2, x), np.full(2, half), 0.0))
            way.append((half / speed, np.full(2, x), np.array([half, ends[1]]), 1.0))
        else:
            way.append((length_m / speed, np.full(2, x), np.array(ends), 1.0))
        if i + 1 == whole:
            break
        apart = places[i + 1] - x
        out = 1.0 if i % 2 == 0 else -1.0
        radius = apart / 2
        if loop:
            radius = 6.0
            lean = np.arccos((radius + apart / 2) / (2 * radius))
            first = np.linspace(0, lean, 50)
            second = np.linspace(-lean, np.pi + lean, 300)
            rise = 2 * radius * np.sin(lean)
            xs = np.concatenate(
                [x - radius + radius * np.cos(first), x + apart / 2 - radius * np.cos(second),
                 x + apart + radius - radius * np.cos(first[::-1])]
            )  # fmt: skip
            ys = np.concatenate([radius * np.sin(first), rise + radius * np.sin(second), radius * np.sin(first[::-1])])
        else:
            around = np.linspace(0, np.pi, 200)
            xs, ys = x + radius - radius * np.cos(around), radius * np.sin(around)
        ys = ends[1] + out * ys
        if stop_in_turn and stop_in_turn[0] == i:
            half = xs.size // 2
            way.append((turn_s / 2, xs[:half], ys[:half], 0.0))
            way.append((stop_in_turn[1], np.full(2, xs[half]), np.full(2, ys[half]), 0.0))
            way.append((turn_s / 2, xs[half:], ys[half:], 0.0))
        else:
            way.append((turn_s, xs, ys, 0.0))
    begins = np.concatenate([[0.0], np.cumsum([piece[0] for piece in way])])
    time = np.arange(0, begins[-1] + 1e-9, 1 / rate_hz)
    x, y, tools = np.empty(time.size), np.empty(time.size), np.empty(time.size)
    for (lasting, xs, ys, down), begin in zip(way, begins, strict=False):
        mine = (time >= begin - 1e-9) & (time <= begin + lasting + 1e-9)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(xs), np.diff(ys)))])
        at = (time[mine] - begin) / lasting * along[-1]
        x[mine] = np.interp(at, along, xs) if along[-1] else xs[0]
        y[mine] = np.interp(at, along, ys) if along[-1] else ys[0]
        tools[mine] = down
    random = np.random.default_rng(seed)
    x, y = x + random.normal(0, noise_m, x.size), y + random.normal(0, noise_m, y.size)
    turn = np.radians(angle_deg)
    x, y = x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)
    if reverse:
        time, x, y, tools = time[-1] - time[::-1], x[::-1], y[::-1], tools[::-1]
    return Made(
        time, x, y, tools, whole * length_m / speed, (whole - 1) * turn_s, whole - 1, whole,
        length_m * (places[-1] - places[0] + width_m) / 10_000,
    )  # fmt: skip


def degrees(east_m: Array, north_m: Array, latitude: float = 56.0, longitude: float = 9.0) -> tuple[Array, Array]:
    """Places on a ball near enough for a field: what a receiver would show, to a hundredth of a metre."""
    flat = 1 / 298.257223563
    squared = flat * (2 - flat)
    root = np.sqrt(1 - squared * np.sin(np.radians(latitude)) ** 2)
    up, over = 6_378_137 * (1 - squared) / root**3, 6_378_137 / root * np.cos(np.radians(latitude))
    return latitude + np.degrees(north_m / up), longitude + np.degrees(east_m / over)


def gpx(made: Made, *, begin: str = "2026-04-20T08:00:00", fix: str = "", pieces: int = 1) -> str:
    import datetime as dt

    start = dt.datetime.fromisoformat(begin)
    latitude, longitude = degrees(made.east_m, made.north_m)
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk>',
    ]
    for part in np.array_split(np.arange(made.time_s.size), pieces):
        out.append("<trkseg>")
        for k in part:
            time = (start + dt.timedelta(seconds=float(made.time_s[k]))).isoformat(timespec="milliseconds")
            told = f"<fix>{fix}</fix>" if fix else ""
            out.append(
                f'<trkpt lat="{latitude[k]:.8f}" lon="{longitude[k]:.8f}"><ele>40</ele><time>{time}Z</time>{told}</trkpt>'
            )
        out.append("</trkseg>")
    return "\n".join([*out, "</trk></gpx>"])


def sentence(body: str) -> str:
    total = 0
    for sign in body:
        total ^= ord(sign)
    return f"${body}*{total:02X}"


def nmea(made: Made, *, clock_s: float = 28_800.0, date: str = "200426", quality: int = 4) -> str:
    latitude, longitude = degrees(made.east_m, made.north_m)
    out = []
    for k, time in enumerate(made.time_s):
        at = (clock_s + time) % 86_400
        clock = f"{int(at // 3600):02d}{int(at // 60 % 60):02d}{at % 60:05.2f}"
        place = f"{_minutes(latitude[k], 2)},N,{_minutes(longitude[k], 3)},E"
        out.append(sentence(f"GNGGA,{clock},{place},{quality},12,0.8,40.0,M,40.0,M,1.0,0001"))
        out.append(sentence(f"GNRMC,{clock},A,{place},0.0,0.0,{date if at >= clock_s else ''},,,R"))
    return "\r\n".join([*out, ""])


def _minutes(value: float, digits: int) -> str:
    whole = int(value)
    return f"{whole:0{digits}d}{(value - whole) * 60:010.7f}"


def day_of_work(seed: int = 3, noise_m: float = 0.02) -> Made:
    """A morning on an invented field: in by the road, headlands first, then up and down, filling twice and one stoppage."""
    random = np.random.default_rng(seed)
    corners: list[tuple[float, float, float, float, float]] = []  # x, y, speed of the way there, then standing, tools

    def go(x: float, y: float, speed_km_h: float, stand: float = 0.0, tools: float = 0.0) -> None:
        corners.append((x, y, speed_km_h / 3.6, stand, tools))

    go(-400, -60, 1)
    go(-40, -30, 20)
    go(-10, 3, 12)
    for y, back in ((3.0, False), (9.0, True)):
        go(108 if not back else -8, y, 8.0, tools=1)
        go(112 if not back else -12, y + 3, 5)
        go(108 if not back else -8, y + 6, 5)
    for k in range(16):
        x, up = 3 + 5.9 * k, k % 2 == 0
        low, high = 12.0, 262.0
        go(x, low if up else high, 5)
        if k == 9:
            go(x, 150, 8 + random.normal(0, 0.1), stand=32, tools=1)
        go(x, high if up else low, 8 + random.normal(0, 0.1), tools=1)
        end = high if up else low
        side = 1 if up else -1
        for angle in np.linspace(0.2, np.pi - 0.2, 8):
            go(x + 2.95 - 2.95 * np.cos(angle), end + side * 8 * np.sin(angle), 4.5,
               stand=240 if k in (4, 11) and 1.2 < angle < 1.5 else 0)  # fmt: skip
    xs, ys, time, tools = [corners[0][0]], [corners[0][1]], [0.0], [0.0]
    for x, y, speed, stand, down in corners[1:]:
        far = float(np.hypot(x - xs[-1], y - ys[-1]))
        if far > 0:
            xs, ys, tools = [*xs, x], [*ys, y], [*tools, down]
            time.append(time[-1] + far / speed)
        if stand:
            xs, ys, tools = [*xs, x], [*ys, y], [*tools, 0.0]
            time.append(time[-1] + stand)
    at = np.arange(0, time[-1], 1.0)
    leg = np.minimum(np.searchsorted(time, at, "right"), len(time) - 1)
    east, north = np.interp(at, time, xs), np.interp(at, time, ys)
    east, north = east + random.normal(0, noise_m, at.size), north + random.normal(0, noise_m, at.size)
    return Made(at, east, north, np.array(tools)[leg], float("nan"), float("nan"), 15, 18, float("nan"))
