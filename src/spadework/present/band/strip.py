"""The band over the weeks as a strip of cuts across two rows, drawn as SVG.

The left row shows the ammoniacal N and what is near a limit, the right row the nitrate that has come of it; both hold both.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.band.cut import Cut
from spadework.present import tone
from spadework.present.face.ground import number
from spadework.present.face.words import safe, shown, width_of
from spadework.ranges import FloatArray

__all__ = ["STRIP_DAYS", "band_strip", "outline", "strip_words"]

STRIP_DAYS: Final = (0, 7, 14, 28, 42)
"""Days since the slurry, from the top of the strip down."""
_WIDE: Final = 800.0
_LEFT: Final = 92.0
_RIGHT: Final = 18.0
_HEAD: Final = 98.0
_KEY: Final = 92.0
_BETWEEN: Final = 16.0
_BELOW_CM: Final = 5.0
_N_LEVELS: Final = ((0.10, "#d6c6ab"), (0.25, "#b39e80"), (0.50, "#84705c"), (0.75, "#52423a"))
_LIMITS: Final = ((0.5, "watch", "7 4", 2.0), (1.0, "risk", "", 3.2))


@dataclass(frozen=True)
class _Sheet:
    cut: Cut
    scale: float
    deepest: float

    def x(self, across: float) -> float:
        return _LEFT + (across + self.cut.row_cm / 2) * self.scale

    @property
    def tall(self) -> float:
        return self.deepest * self.scale


def band_strip(cut: Cut, *, title: str, standing: str = "estimated", prefix: str = "band-strip") -> str:
    """Return the strip of cuts as SVG, 800 units wide, that says the same in grey.

    Parameters
    ----------
    cut : Cut
        From :func:`spadework.estimate.band.cut.cut_of`.
    title, standing, prefix : str
        Title; standing of the evidence; what names within the drawing begin with.
    """
    scale = (_WIDE - _LEFT - _RIGHT) / (2 * cut.row_cm)
    deepest = cut.top_cm + 2 * cut.half_height_cm + _BELOW_CM
    sheet = _Sheet(cut, scale, float(np.ceil(deepest / 5) * 5))
    tall = _HEAD + len(cut.days) * (sheet.tall + _BETWEEN) + _KEY
    words = safe(strip_words(cut))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(_WIDE)}" height="{number(tall)}" '
        f'viewBox="0 0 {number(_WIDE)} {number(tall)}" role="img" aria-labelledby="{prefix}-title {prefix}-desc" '
        f'font-family="{tone.FONTS}" font-size="{number(tone.SMALL)}" fill="{tone.INK}">',
        f'<title id="{prefix}-title">{safe(title)}</title><desc id="{prefix}-desc">{words}</desc>',
        f'<rect width="{number(_WIDE)}" height="{number(tall)}" fill="{tone.PAPER}"/>',
        _text(_LEFT, 26, title, size=tone.BODY, weight="bold"),
        _text(
            _LEFT, 48, f"{standing}; middle of all inputs, nothing of their scatter; cut across two rows, to one scale"
        ),
    ]
    for across, words in ((0.0, "ammonium, and limits"), (cut.row_cm, "nitrate, no rain reckoned")):
        parts.append(_text(sheet.x(across), _HEAD - 10, words, weight="bold", anchor="middle"))
    for place in range(len(cut.days)):
        parts += _panel(sheet, place, _HEAD + place * (sheet.tall + _BETWEEN))
    parts += _key(_HEAD + len(cut.days) * (sheet.tall + _BETWEEN) + 12)
    return "".join((*parts, "</svg>"))


def strip_words(cut: Cut) -> str:
    """Return what the strip shows, for those who cannot see it."""
    said = [
        f"Cuts across two rows {shown(cut.row_cm)} cm apart, seed {shown(cut.seed_cm)} cm and top of the fresh band "
        f"{shown(cut.top_cm)} cm under the press-wheel track."
    ]
    for day, severity, share, nitrate in zip(
        cut.days, cut.severity, cut.nitrogen_share, cut.nitrate_share, strict=True
    ):
        near = [f"{word} {_reach(cut, severity, level)}" for level, word, _, _ in _LIMITS if (severity >= level).any()]
        limits = ", ".join(near) if near else "nowhere near half of a limit"
        quarter = _top_of(cut.depth_cm, share, 0.25)
        line = "a quarter of the fresh N is found nowhere" if quarter is None else (
            f"a quarter of the fresh N up to {shown(quarter)} cm under the track"
        )  # fmt: skip
        top = _top_of(cut.depth_cm, nitrate, _N_LEVELS[0][0])
        made = "" if top is None else f"; nitrate over a tenth of it up to {shown(top)} cm"
        said.append(f"Day {day}: {limits}; {line}{made}.")
    return " ".join(said)


def outline(
    depth_cm: FloatArray, across_cm: FloatArray, values: FloatArray, level: float
) -> list[list[tuple[float, float]]]:
    """Return outlines of where `values` reach `level`, as half widths at depths, from the top down.

    For fields that fall off from the row to the middle between rows, as those of a band do.

    Examples
    --------
    >>> outline(np.array([1.0, 2.0, 3.0]), np.array([0.5, 1.5]), np.array([[0.0, 0], [1, 0], [0, 0]]), 0.5)
    [[(1.5, 0.0), (2.0, 1.0), (2.5, 0.0)]]
    """
    middle = values[:, 0]
    inside = middle >= level
    edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(np.int8)))
    found = []
    for first, behind in edges.reshape(-1, 2).tolist():
        points = []
        if first > 0:
            points.append((_crossing(depth_cm, middle, first - 1, first, level), 0.0))
        for row in range(first, behind):
            line = values[row]
            out = np.flatnonzero(line < level)
            if not len(out):
                width = float(across_cm[-1] + (across_cm[1] - across_cm[0]) / 2)
            else:
                at = int(out[0])
                width = _crossing(across_cm, line, at - 1, at, level)
            points.append((float(depth_cm[row]), width))
        if behind < len(depth_cm):
            points.append((_crossing(depth_cm, middle, behind - 1, behind, level), 0.0))
        found.append(points)
    return found


def _crossing(at: FloatArray, values: FloatArray, one: int, other: int, level: float) -> float:
    share = (level - values[one]) / (values[other] - values[one])
    return float(at[one] + share * (at[other] - at[one]))


def _panel(sheet: _Sheet, place: int, top: float) -> Iterator[str]:
    cut = sheet.cut
    left, right = sheet.x(-cut.row_cm / 2), sheet.x(1.5 * cut.row_cm)
    yield (
        f'<rect x="{number(left)}" y="{number(top)}" width="{number(right - left)}" height="{number(sheet.tall)}" '
        f'fill="{tone.UNDISTURBED}" stroke="{tone.INK}" stroke-width="1"/>'
    )
    yield _text(left - 12, top + 18, f"day {cut.days[place]}", weight="bold", anchor="end")
    for depth in range(0, int(sheet.deepest) + 1, 10):
        y = top + depth * sheet.scale
        yield f'<path d="M{number(left - 6)} {number(y)}h6" stroke="{tone.INK}" stroke-width="1"/>'
        if depth:
            unit = " cm" if depth == 10 else ""
            yield _text(left - 10, min(y + 5, top + sheet.tall), f"{depth}{unit}", anchor="end")
    for row, share in ((0.0, cut.nitrogen_share[place]), (cut.row_cm, cut.nitrate_share[place])):
        for level, colour in _N_LEVELS:
            for points in outline(cut.depth_cm, cut.across_cm, share, level):
                yield f'<path d="{_shape(sheet, points, row, top)}" fill="{colour}"/>'
    for row in (0.0, cut.row_cm):
        yield (
            f'<ellipse cx="{number(sheet.x(row))}" cy="{number(top + (cut.top_cm + cut.half_height_cm) * sheet.scale)}" '
            f'rx="{number(cut.half_width_cm * sheet.scale)}" ry="{number(cut.half_height_cm * sheet.scale)}" fill="none" '
            f'stroke="{tone.INK}" stroke-width="1" stroke-dasharray="1 4" stroke-linecap="round"/>'
        )
    yield from _near(sheet, place, top)
    for row in (0.0, cut.row_cm):
        x, seed, band = sheet.x(row), top + cut.seed_cm * sheet.scale, top + cut.top_cm * sheet.scale
        if band > seed:
            yield (
                f'<path d="M{number(x)} {number(seed)}V{number(band)}" stroke="{tone.INK}" stroke-width="1.3" '
                'stroke-dasharray="3 3"/>'
            )
        yield (
            f'<ellipse cx="{number(x)}" cy="{number(seed)}" rx="6" ry="4.4" fill="{tone.SEED}" stroke="{tone.INK}" '
            'stroke-width="1.6"/>'
        )


def _near(sheet: _Sheet, place: int, top: float) -> Iterator[str]:
    """Draw half a limit and a limit of the seed about the left row, each with its word."""
    cut = sheet.cut
    severity = cut.severity[place]
    drawn = [(cut.nitrogen_share[place], _N_LEVELS[0][0]), (severity, _LIMITS[0][0])]
    lines = [line for values, level in drawn for line in outline(cut.depth_cm, cut.across_cm, values, level)]
    clear = max([cut.half_width_cm, *(wide for line in lines for _, wide in line)])
    for level, word, dash, wide in _LIMITS:
        for number_of, points in enumerate(outline(cut.depth_cm, cut.across_cm, severity, level)):
            shape = _shape(sheet, points, 0.0, top)
            for colour, more in ((tone.PAPER, 2.0), (tone.ACCENT, 0.0)):
                line = f' stroke-dasharray="{dash}"' if dash and not more else ""
                yield f'<path d="{shape}" fill="none" stroke="{colour}" stroke-width="{number(wide + more)}"{line}/>'
            if number_of == 0:
                y = top + (cut.top_cm + cut.half_height_cm) * sheet.scale + (14 if word == "watch" else -6)
                yield _text(sheet.x(clear) + 7, y, word, colour=tone.ACCENT, weight="bold")


def _shape(sheet: _Sheet, points: list[tuple[float, float]], row: float, top: float) -> str:
    right = [(sheet.x(row + wide), top + depth * sheet.scale) for depth, wide in points]
    left = [(sheet.x(row - wide), top + depth * sheet.scale) for depth, wide in reversed(points)]
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in (*right, *left)) + "Z"


def _key(top: float) -> Iterator[str]:
    head = "of the fresh N:"
    yield _text(_LEFT, top + 12, head)
    x = _LEFT + _beyond(head)
    for level, colour in _N_LEVELS:
        yield (
            f'<rect x="{number(x)}" y="{number(top)}" width="22" height="14" fill="{colour}" stroke="{tone.INK}" '
            'stroke-width=".6"/>'
        )
        words = f"over {level:.0%}".replace("%", " %")
        yield _text(x + 28, top + 12, words)
        x += 28 + _beyond(words)
    y = top + 36
    x = _LEFT
    for word, says, dash, wide in (
        ("watch", "half of a limit of the seed", "7 4", 2.0),
        ("risk", "a limit of the seed", "", 3.2),
    ):
        line = f' stroke-dasharray="{dash}"' if dash else ""
        yield (f'<path d="M{number(x)} {number(y)}h34" stroke="{tone.ACCENT}" stroke-width="{number(wide)}"{line}/>')
        yield _text(x + 42, y + 5, f"{word}: {says}")
        x += 42 + _beyond(f"{word}: {says}")
    y = top + 60
    yield (
        f'<path d="M{number(_LEFT)} {number(y - 5)}h34" stroke="{tone.INK}" stroke-width="1" stroke-dasharray="1 4" '
        'stroke-linecap="round"/>'
    )
    yield _text(_LEFT + 42, y, "edge of the fresh band; dashed down from the seed: the way of the first root")


def _beyond(words: str) -> float:
    """Return how far the next thing stands behind words, so that wider faces do not run into it."""
    return 1.1 * width_of(words, tone.SMALL) + 14


def _text(
    x: float, y: float, words: str, *, size: float = tone.SMALL, weight: str = "", anchor: str = "", colour: str = ""
) -> str:
    more = (
        (f' font-weight="{weight}"' if weight else "")
        + (f' text-anchor="{anchor}"' if anchor else "")
        + (f' fill="{colour}"' if colour else "")
    )
    return f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}"{more}>{safe(words)}</text>'


def _top_of(depth: FloatArray, values: FloatArray, level: float) -> float | None:
    inside = np.flatnonzero(values[:, 0] >= level)
    if not len(inside):
        return None
    first = int(inside[0])
    return float(depth[0]) if first == 0 else _crossing(depth, values[:, 0], first - 1, first, level)


def _reach(cut: Cut, severity: FloatArray, level: float) -> str:
    top = _top_of(cut.depth_cm, severity, level)
    return "" if top is None else f"up to {shown(top)} cm under the track"
