"""A made-up harvest log whose truth is known: delay, smear, turns with the header up, two systems in strips.  All invented."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

WIDTH = 6.0
SPEED = 1.6


@dataclass
class Made:
    time_s: np.ndarray
    east_m: np.ndarray
    north_m: np.ndarray
    flow_kg_s: np.ndarray
    speed_m_s: np.ndarray
    width_m: np.ndarray
    moisture_share: np.ndarray
    header_down: np.ndarray
    strip: np.ndarray
    true_t_ha: dict[str, float]

    def arrays(self) -> tuple[np.ndarray, ...]:
        return (
            self.time_s,
            self.east_m,
            self.north_m,
            self.flow_kg_s,
            self.speed_m_s,
            self.width_m,
            self.moisture_share,
            self.header_down,
            self.strip,
        )


def ground(east: np.ndarray, north: np.ndarray) -> np.ndarray:
    """Return the fertility of the ground: waves of some tens of metres about 48 t/ha."""
    return 48 + 4 * np.sin(2 * np.pi * east / 90 + 0.04 * north) + 2 * np.sin(2 * np.pi * east / 37 + 1)


def made_log(
    *,
    delay_s: float = 12.0,
    smear_s: float = 2.0,
    passes: int = 6,
    length_m: float = 300.0,
    seed: int = 1,
    effect: float = 6.0,
) -> Made:
    """Return a log: passes to and fro, every second one of the system that yields more by `effect`."""
    random = np.random.default_rng(seed)
    rows: list[tuple[float, float, float, float, str]] = []
    east = north = 0.0
    for number in range(passes):
        way = 1 if number % 2 == 0 else -1
        east, north = (0.0 if way > 0 else length_m), WIDTH * number
        speed = SPEED
        done = 0.0
        while done <= length_m:
            rows.append((east + way * done, north, speed, 1.0, f"{'AB'[number % 2]}{number // 2 + 1}"))
            speed = float(np.clip(speed + random.normal(0, 0.02), 1.4, 1.8))
            done += speed
        rows += [
            (east + way * (length_m + 3 * np.sin(turn / 25 * np.pi)), north + WIDTH * turn / 25, 1.0, 0.0, "turn")
            for turn in range(25)
        ]
    x, y, v, down = (np.array([row[k] for row in rows], float) for k in range(4))
    strip = np.array([row[4] for row in rows])
    time = np.arange(x.size, dtype=float)
    truth = ground(x, y) + np.where(np.char.startswith(strip, "B"), effect, 0.0)
    cut = np.where(down > 0, truth * v * WIDTH / 10, 0.0)
    lag = np.arange(60.0)
    kernel = np.exp(-0.5 * ((lag - delay_s) / smear_s) ** 2) if smear_s else (lag == delay_s).astype(float)
    flow = np.convolve(cut, kernel / kernel.sum())[: x.size]
    flow = np.maximum(flow + np.where(flow > 0.5, random.normal(0, 0.3, x.size), 0.0), 0.0)
    names = [name for name in np.unique(strip) if name != "turn"]
    area = v * WIDTH
    true = {str(n): float((truth * area)[strip == n].sum() / area[strip == n].sum()) for n in names}
    moisture = np.clip(0.67 + random.normal(0, 0.01, x.size), 0, 1)
    return Made(time, x, y, flow, v, np.full(x.size, WIDTH), moisture, down, strip, true)
