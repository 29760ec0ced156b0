"""A cut across a strip at four moments of a day, drawn as SVG: the darker, the warmer, with temperatures written in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from spadework.estimate.seedbed.answers import MOMENTS, DayCut
from spadework.present import tone
from spadework.present.face.ground import number
from spadework.present.face.words import safe, shown
from spadework.ranges import FloatArray

__all__ = ["cut_words", "warm_cut"]

_WIDE: Final = 800.0
_LEFT: Final = 46.0
_BETWEEN: Final = 44.0
_PANEL: Final = (_WIDE - 2 * _LEFT - _BETWEEN + 20) / 2
_HEAD: Final = 76.0
_TITLE: Final = 40.0
_KEY: Final = 64.0
_TONES: Final = (
    "#fdf6e6", "#f6e3bd", "#ecca93", "#dcae6c", "#c6914f", "#a9763f", "#8a5d33", "#6b472b", "#4c3424", "#2b2018",
)  # fmt: skip
_MOST: Final = 18  # tones that can still be told apart side by side
_STEPS: Final = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
_DEEPEST: Final = 31.0
_AT_CM: Final = (5.0, 20.0)
_ASIDE: Final = 0.80


def warm_cut(cut: DayCut, *, title: str, standing: str = "estimated", prefix: str = "warm-cut") -> str:
    """Return the four moments as SVG, 800 units wide, that says the same in grey.

    Parameters
    ----------
    cut : DayCut
        From :func:`spadework.estimate.seedbed.answers.day_cut`.
    title, standing, prefix : str
        Title, which should say the day; standing of the evidence; what names within the drawing begin with.
    """
    scale = _PANEL / cut.row_spacing_cm
    deep = _DEEPEST * scale
    rows = (len(MOMENTS) + 1) // 2
    tall = _HEAD + rows * (_TITLE + deep) + _KEY
    step, base, tones = _levels(cut.degc)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(_WIDE)}" height="{number(tall)}" '
        f'viewBox="0 0 {number(_WIDE)} {number(tall)}" role="img" aria-labelledby="{prefix}-title {prefix}-desc" '
        f'font-family="{tone.FONTS}" font-size="{number(tone.SMALL)}" fill="{tone.INK}">',
        f'<title id="{prefix}-title">{safe(title)}</title><desc id="{prefix}-desc">{safe(cut_words(cut))}</desc>',
        f'<rect width="{number(_WIDE)}" height="{number(tall)}" fill="{tone.PAPER}"/>',
        _text(_LEFT, 26, title, size=tone.BODY, weight="bold"),
        _text(_LEFT, 48, f"{standing}; °C, mean of the draws; across one row, to one scale; black bar: the strip"),
    ]
    for place, degc in enumerate(cut.degc):
        left = _LEFT + (place % 2) * (_PANEL + _BETWEEN)
        top = _HEAD + (place // 2) * (_TITLE + deep) + _TITLE - 12
        parts += _panel(cut, degc, f"{MOMENTS[place]} h", left, top, scale, step, base, tones)
    parts += _key(_HEAD + rows * (_TITLE + deep) + 8, step, base, tones)
    return "".join((*parts, "</svg>"))


def cut_words(cut: DayCut) -> str:
    """Return what the drawing shows, for those who cannot see it."""
    row = int(np.argmin(np.abs(cut.depth_cm - _AT_CM[0])))
    said = [
        f"at {moment} h {degc[row, 0]:.1f} under the middle of the strip and {degc[row, -1]:.1f} between"
        for moment, degc in zip(MOMENTS, cut.degc, strict=True)
    ]
    return (
        f"Cut across a strip of {shown(cut.strip_width_cm)} cm in rows of {shown(cut.row_spacing_cm)} cm on "
        f"{cut.day.isoformat()}, a sunny day. {_AT_CM[0]:g} cm deep, °C: {'; '.join(said)}."
    )


def _levels(degc: FloatArray) -> tuple[float, float, list[str]]:
    """Return the step from tone to tone and where the first begins, in round degrees, and the tones."""
    low, high = float(degc.min()), float(degc.max())
    step = next((one for one in _STEPS if high < np.floor(low / one) * one + one * _MOST), _STEPS[-1])
    base = float(np.floor(low / step) * step)
    count = int(np.floor((high - base) / step)) + 1
    return step, base, [_between(place / max(count - 1, 1)) for place in range(count)]


def _between(share: float) -> str:
    """Return a tone on the way from the palest to the darkest."""
    at = share * (len(_TONES) - 1)
    low = min(int(at), len(_TONES) - 2)
    pair = [[int(tone[place : place + 2], 16) for place in (1, 3, 5)] for tone in _TONES[low : low + 2]]
    return "#" + "".join(f"{round(a + (at - low) * (b - a)):02x}" for a, b in zip(*pair, strict=True))


def _panel(
    cut: DayCut,
    degc: FloatArray,
    words: str,
    left: float,
    top: float,
    scale: float,
    step: float,
    base: float,
    tones: list[str],
) -> Iterator[str]:
    half = cut.row_spacing_cm / 2
    middle = left + half * scale
    sides = np.concatenate([[0.0], (cut.across_cm[1:] + cut.across_cm[:-1]) / 2, [half]])
    down = np.concatenate([[0.0], (cut.depth_cm[1:] + cut.depth_cm[:-1]) / 2, [_DEEPEST]])
    classes = np.clip(np.floor((degc - base) / step), 0, len(tones) - 1).astype(int)
    yield _text(left, top - 12, words, weight="bold")
    for row in range(len(cut.depth_cm)):
        y, tall = top + down[row] * scale, (down[row + 1] - down[row]) * scale
        ends = np.flatnonzero(np.diff(classes[row])) + 1
        first = [0, *ends.tolist()]
        last = [*ends.tolist(), classes.shape[1]]
        for begin, end in zip(first, last, strict=True):
            fill = tones[classes[row, begin]]
            near, far = sides[begin] * scale, sides[end] * scale
            if begin == 0:
                yield _rect(middle - far, y, 2 * far, tall, fill)
                continue
            yield _rect(middle - far, y, far - near, tall, fill)
            yield _rect(middle + near, y, far - near, tall, fill)
    bar = cut.strip_width_cm * scale
    yield _rect(middle - bar / 2, top - 8, bar, 6, tone.INK)
    for mark in (0, 10, 20, 30):
        yield _text(left - 5, top + mark * scale + 5, str(mark), anchor="end", size=13)
    for depth in _AT_CM:
        row = int(np.argmin(np.abs(cut.depth_cm - depth)))
        for across, column in ((0.0, 0), (-_ASIDE * half, -1), (_ASIDE * half, -1)):
            ink = tone.ink_on(tones[classes[row, column]])
            said = f"{degc[row, column]:.1f}"
            yield _text(
                middle + across * scale, top + depth * scale + 5, said, weight="bold", anchor="middle", colour=ink
            )


def _key(top: float, step: float, base: float, tones: list[str]) -> Iterator[str]:
    wide = min(56.0, (_WIDE - 2 * _LEFT - 190) / len(tones))
    for place, fill in enumerate(tones):
        x = _LEFT + place * wide
        yield (
            f'<rect x="{number(x)}" y="{number(top)}" width="{number(wide)}" height="18" fill="{fill}" '
            f'stroke="{tone.QUIET}" stroke-width="0.6"/>'
        )
    for place in range(0, len(tones) + 1, 1 if wide > 40 else 2):
        yield _text(_LEFT + place * wide, top + 34, f"{base + place * step:g}", anchor="middle", size=13)
    yield _text(_LEFT + len(tones) * wide + 16, top + 14, "°C; depth in cm at the left", size=13)


def _rect(x: float, y: float, wide: float, tall: float, fill: str) -> str:
    # a little larger than it is, so that no light line shows between neighbours
    return f'<rect x="{number(x)}" y="{number(y)}" width="{number(wide + 0.3)}" height="{number(tall + 0.3)}" fill="{fill}"/>'


def _text(
    x: float, y: float, words: str, *, size: float = tone.SMALL, weight: str = "", anchor: str = "", colour: str = ""
) -> str:
    more = (
        (f' font-weight="{weight}"' if weight else "")
        + (f' text-anchor="{anchor}"' if anchor else "")
        + (f' fill="{colour}"' if colour else "")
    )
    return f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}"{more}>{safe(words)}</text>'
