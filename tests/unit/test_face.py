"""The soil face: to scale, complete in words, the same bytes every time."""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest

from spadework.present import tone
from spadework.present.face.drawing import Band, Caption, Dig, Face, Loosened, Spread, WheelTrack, soil_face
from spadework.present.face.ground import noise, straws, surface
from spadework.present.face.words import describe, width_of, wrap
from spadework.ranges import ImpossibleValue

SVG = "{http://www.w3.org/2000/svg}"

# Invented figures.
STRIP = Face(
    "Strip with a band",
    "strip tiller with slurry, planter",
    75.0,
    loosened=(Loosened("strip", Spread(22, 20.5, 23.5), 25.0),),
    residue_strip_share=0.08,
    residue_between_share=0.72,
    residue_spread="52 to 64 % of all ground",
    seed_depth_cm=5.0,
    band=Band(Spread(11, 9.6, 12.5), 15.5, 4.5, 4.2),
    gap=Spread(6, 4.6, 7.5),
    firmed_rise_cm=1.5,
    tracks=(WheelTrack(37.5, 52.0, "tractor"),),
    digs=(Dig(1.0, 5.2, 11.5, 19.0), Dig(74.0, 4.6, 12.0, 20.0)),
    captions=(Caption("92", "EUR/ha", "cost", "78 to 110"), Caption("2", "kg N/ha", "lost as ammonia", "1 to 5")),
    note="Invented figures.",
    warnings=("Keep clear of turning parts.",),
)
PLOUGH = Face(
    "Plough",
    "trailing hose, plough",
    75.0,
    loosened=(Loosened("full", Spread(25, 23, 27), 36.0, turned=True),),
    residue_strip_share=0.04,
    residue_between_share=0.04,
    seed_depth_cm=5.0,
    band=Band(Spread(12, 9, 14), 18.0, 6.5, 37.5, shape="buried"),
)
MIXED = Face(
    "Cultivator",
    "trailing hose, cultivator",
    75.0,
    loosened=(Loosened("full", Spread(18, 16, 20)),),
    seed_depth_cm=5.0,
    band=Band(Spread(1, 0, 2), 8.0, 7.0, 37.5, shape="mixed"),
)
BARE = Face("No tillage", "planter", 50.0, band=Band(Spread.exact(0), 0.0, 0.0, 25.0, shape="surface"))
ALL = (STRIP, PLOUGH, MIXED, BARE)


def drawn(face: Face) -> ET.Element:
    return ET.fromstring(soil_face(face))  # noqa: S314


def of(root: ET.Element, name: str) -> list[ET.Element]:
    return [element for element in root.iter() if element.get("class") == name]


def scale_of(root: ET.Element, face: Face) -> float:
    """Units per centimetre across the rows, from the distance of the two seeds."""
    left, right = (float(seed.get("cx", "")) for seed in of(root, "seed"))
    return (right - left) / face.row_spacing_cm


def zero_of(root: ET.Element) -> float:
    (zero,) = of(root, "zero")
    return float(re.match(r"M[\d.]+ ([\d.]+)H", zero.get("d", "")).group(1))  # type: ignore[union-attr]


@pytest.mark.parametrize("face", ALL, ids=lambda face: face.name)
def test_depth_axis_has_the_scale_of_the_rows(face: Face) -> None:
    root = drawn(face)
    heights = [float(re.match(r"M[\d.]+ ([\d.]+)H", tick.get("d", "")).group(1)) for tick in of(root, "tick")]  # type: ignore[union-attr]
    assert heights[0] == pytest.approx(zero_of(root), abs=0.01)
    assert len(heights) >= 3
    for upper, lower in pairwise(heights):
        assert (lower - upper) / 10 == pytest.approx(scale_of(root, face), rel=1e-3)


def test_seed_band_gap_and_digs_lie_where_they_are() -> None:
    root = drawn(STRIP)
    scale, zero = scale_of(root, STRIP), zero_of(root)
    for seed in of(root, "seed"):
        assert (float(seed.get("cy", "")) - zero) / scale == pytest.approx(5.0, abs=0.01)
    for name, top in (("band-widest", 9.6), ("band", 11.0), ("band-surest", 12.5)):
        for band in of(root, name):
            y, height = float(band.get("y", "")), float(band.get("height", ""))
            assert (y - zero) / scale == pytest.approx(top, abs=0.01)
            assert (y + height - zero) / scale == pytest.approx(20.0, abs=0.01)
    (band, _) = of(root, "band")
    assert float(band.get("width", "")) / scale == pytest.approx(8.4, abs=0.01)
    (gap,) = of(root, "gap")
    seed_y, top_y = (float(value) for value in re.findall(r" ([\d.]+)V([\d.]+)", gap.get("d", ""))[0])
    assert (top_y - seed_y) / scale == pytest.approx(6.0, abs=0.01)
    (extent,) = of(root, "gap-range")
    assert float(extent.get("height", "")) / scale == pytest.approx(7.5 - 4.6, abs=0.01)
    dug = [(float(dot.get("cy", "")) - zero) / scale for dot in of(root, "dig")]
    assert dug == pytest.approx([11.5, 19.0, 12.0, 20.0], abs=0.01)


def test_an_offset_band_is_drawn_beside_the_row() -> None:
    assert STRIP.band is not None
    root = drawn(replace(STRIP, band=replace(STRIP.band, offset_cm=3.0)))
    middle = [float(band.get("x", "")) + float(band.get("width", "")) / 2 for band in of(root, "band")]
    seeds = [float(seed.get("cx", "")) for seed in of(root, "seed")]
    scale = scale_of(root, STRIP)
    assert [(m - s) / scale for m, s in zip(middle, seeds, strict=True)] == pytest.approx([3.0, 3.0], abs=0.01)


@pytest.mark.parametrize(("strip", "between"), [(0.0, 0.3), (0.08, 0.72), (0.5, 0.97), (1.0, 1.0), (0.004, 0.02)])
def test_residue_covers_the_stated_share(strip: float, between: float) -> None:
    face = replace(STRIP, residue_strip_share=strip, residue_between_share=between)
    root = drawn(face)
    scale = scale_of(root, face)
    seeds = [float(seed.get("cx", "")) for seed in of(root, "seed")]
    half = 12.5 * scale
    in_strip = beside = 0.0
    ends: list[tuple[float, float]] = []
    for stroke in of(root, "straw"):
        left, right = float(stroke.get("x1", "")), float(stroke.get("x2", ""))
        ends.append((left, right))
        if any(abs((left + right) / 2 - seed) < half for seed in seeds):
            in_strip += right - left
        else:
            beside += right - left
    assert all(a[1] <= b[0] + 0.011 for a, b in pairwise(ends)), "strokes must not overlap"
    assert in_strip / (4 * half) == pytest.approx(strip, abs=0.002)
    assert beside / (2 * (75 * scale - 2 * half)) == pytest.approx(between, abs=0.002)


def test_without_a_strip_residue_lies_over_the_whole_surface() -> None:
    covered = sum(right - left for left, right in straws(PLOUGH))
    assert covered / 150.0 == pytest.approx(0.04)
    with pytest.raises(ValueError, match="no strip is loosened"):
        replace(PLOUGH, residue_strip_share=0.5)


def test_the_surface_is_zero_in_the_press_wheel_track_and_lower_where_nothing_moved() -> None:
    depth = surface(replace(STRIP, tracks=()))
    assert depth(0.0) == depth(75.0) == 0.0
    assert depth(37.5) == depth(-37.5) == 1.5
    assert surface(STRIP)(37.5) > 1.5
    crumbs = surface(PLOUGH)
    assert crumbs(0.0) == 0.0
    assert all(-1.0 <= crumbs(x / 2) <= 0.0 for x in range(-75, 225))


@pytest.mark.parametrize("face", ALL, ids=lambda face: face.name)
def test_the_drawing_stands_alone(face: Face) -> None:
    svg = soil_face(face)
    root = ET.fromstring(svg)  # noqa: S314
    assert root.get("role") == "img"
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    used = set(re.findall(r"url\(#([^)]+)\)", svg)) | set((root.get("aria-labelledby") or "").split())
    assert used <= set(ids)
    assert root.find(f"{SVG}title").text == face.name  # type: ignore[union-attr]
    assert root.find(f"{SVG}desc").text == describe(face)  # type: ignore[union-attr]
    assert "href" not in svg
    assert svg.count("http") == 1, "only the name space"
    for word in ("nan", "inf", "None"):
        assert not re.search(rf'[" ]{word}[" ]', re.sub(r">[^<]*<", "><", svg))


def test_many_faces_share_a_page() -> None:
    ids = [set(re.findall(r' id="([^"]+)"', soil_face(face))) for face in (*ALL, replace(STRIP, note="other"))]
    assert sum(map(len, ids)) == len(set.union(*ids))
    assert 'id="left-title"' in soil_face(STRIP, prefix="left")
    for prefix in ("", "1a", 'a"b', "a b"):
        with pytest.raises(ValueError, match="prefix"):
            soil_face(STRIP, prefix=prefix)


def test_the_same_face_gives_the_same_bytes_in_another_process() -> None:
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]); from test_face import STRIP, MIXED, soil_face;"
        "sys.stdout.buffer.write((soil_face(STRIP) + soil_face(MIXED)).encode())"
    )
    folder = __file__.rpartition("/")[0]
    found = subprocess.run([sys.executable, "-c", code, folder], capture_output=True, check=True).stdout
    assert found.decode() == soil_face(STRIP) + soil_face(MIXED)


def test_all_is_said_in_words() -> None:
    said = describe(STRIP)
    for words in (
        "two rows 75 cm apart",
        "strip tiller with slurry, planter",
        "25 cm wide under each row is loosened to 22 cm (20.5 to 23.5)",
        "press-wheel track lies 1.5 cm above the undisturbed surface",
        "8 % of the strip, 72 % between strips (52 to 64 % of all ground)",
        "Seed at 5 cm",
        "top at 11 cm (9.6 to 12.5) and its bottom at 20 cm",
        "gap from seed to band top is 6 cm (4.6 to 7.5)",
        "2 measured digs",
        "cost: 92 EUR/ha, 78 to 110",
        "Standing: estimated",
        "Caution: Keep clear of turning parts",
    ):
        assert words in said
    assert "turned under between 12 cm (9 to 14) and 24.5 cm" in describe(PLOUGH)
    assert "mixed into the ground from 1 cm (0 to 2) down to 15 cm" in describe(MIXED)
    assert "Slurry lies on the surface" in describe(BARE)
    assert "not loosened" in describe(BARE)


def test_figures_keep_their_ranges_and_the_standing_is_stamped() -> None:
    texts = ["".join(element.itertext()) for element in drawn(STRIP).iter(f"{SVG}text")]
    assert "estimated" in texts
    assert "gap 6 cm (4.6 to 7.5)" in texts
    assert any(text.endswith("22 cm (20.5 to 23.5)") for text in texts)
    assert "78 to 110" in texts
    assert "0 = press-wheel track" in texts
    assert len(of(drawn(STRIP), "warning")) == 1


def boxes(root: ET.Element) -> list[tuple[float, float, float, float, str]]:
    """Left, right, top, bottom of every line of type that is not turned."""
    found = []
    turned = {id(text) for group in root.iter(f"{SVG}g") if group.get("transform") for text in group.iter(f"{SVG}text")}
    for text in root.iter(f"{SVG}text"):
        if id(text) in turned:
            continue
        size = float(text.get("font-size", str(tone.SMALL)))
        # The estimate runs a little wide; a fifth off the height leaves out the space between lines.
        words = "".join(text.itertext())
        wide = 0.95 * width_of(words, size, bold=text.get("font-weight") == "bold")
        x, y = float(text.get("x", "")), float(text.get("y", ""))
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.get("text-anchor", "start")]
        found.append((left, left + wide, y - 0.75 * size, y + 0.2 * size, words))
    return found


@pytest.mark.parametrize(
    "face",
    [
        *ALL,
        replace(
            STRIP, tracks=tuple(WheelTrack(x, 40.0, "a tanker with a long name") for x in (0.0, 20.0, 40.0, 100.0))
        ),
        replace(STRIP, loosened=(*STRIP.loosened, Loosened("full", Spread(6, 5, 7)))),
        replace(STRIP, name="A long name of a system " * 6, standing="strips: replicated, not randomised, one season"),
        replace(STRIP, captions=STRIP.captions * 4, warnings=("Word " * 60,) * 2),
        replace(STRIP, row_spacing_cm=45.0),
    ],
    ids=range(9),
)
def test_no_line_of_type_runs_over_another_or_off_the_sheet(face: Face) -> None:
    found = boxes(drawn(face))
    for left, right, _, _, words in found:
        assert left >= 0, words
        assert right <= 800, words
    for i, one in enumerate(found):
        for other in found[i + 1 :]:
            apart = one[1] <= other[0] or other[1] <= one[0] or one[3] <= other[2] or other[3] <= one[2]
            assert apart, f"{one[4]!r} runs over {other[4]!r}"


def test_the_smallest_type_is_eight_points_on_sixteen_centimetres() -> None:
    sizes = {float(size) for face in ALL for size in re.findall(r'font-size="([\d.]+)"', soil_face(face))}
    points_per_unit = 16 / 2.54 * 72 / 800
    assert min(sizes) * points_per_unit >= 8


def test_hostile_words_stay_words() -> None:
    face = replace(STRIP, name='<script>"&\x00\x0b', note="x" * 5000, warnings=("</svg>",))
    root = drawn(face)
    assert root.find(f".//{SVG}script") is None


def test_faces_side_by_side_reach_equally_deep() -> None:
    counts = [
        len(of(ET.fromstring(soil_face(face, to_depth_cm=45.0)), "tick"))  # noqa: S314
        for face in (STRIP, PLOUGH, MIXED)
    ]
    assert counts == [5, 5, 5]
    with pytest.raises(ImpossibleValue):
        soil_face(STRIP, to_depth_cm=0.0)


def test_impossible_faces_are_told() -> None:
    with pytest.raises(ImpossibleValue, match="residue_strip_share"):
        replace(STRIP, residue_strip_share=1.2)
    with pytest.raises(ImpossibleValue, match="row_spacing_cm"):
        replace(STRIP, row_spacing_cm=0.0)
    with pytest.raises(ImpossibleValue, match="width_cm"):
        replace(STRIP, row_spacing_cm=20.0)
    with pytest.raises(ImpossibleValue):
        Spread(float("nan"), 0.0, 1.0)
    with pytest.raises(ValueError, match="low, mid, high"):
        Spread(5.0, 6.0, 7.0)
    with pytest.raises(ValueError, match="shape"):
        Loosened("half", Spread.exact(5.0))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="shape"):
        Band(Spread.exact(5.0), 6.0, 1.0, 1.0, shape="square")  # type: ignore[arg-type]
    with pytest.raises(ImpossibleValue, match="top_cm"):
        Band(Spread.exact(25.0), 6.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="lies above"):
        Dig(0.0, 5.0, 12.0, 10.0)
    with pytest.raises(ValueError, match="a gap needs"):
        replace(MIXED, gap=Spread.exact(3.0))
    with pytest.raises(ImpossibleValue):
        Loosened("strip", Spread.exact(20.0))


def test_noise_is_even_and_fixed() -> None:
    values = noise("evenness", 4000)
    assert sum(values) / 4000 == pytest.approx(0.5, abs=0.02)
    assert 0 <= min(values) < 0.01
    assert 0.99 < max(values) < 1
    assert noise("evenness", 10) == values[:10]


def test_long_words_are_broken() -> None:
    lines = wrap("x" * 100, 10.0, 80.0)
    assert "".join(lines) == "x" * 100
    assert all(width_of(line, 10.0) <= 80.0 for line in lines)
    assert wrap("", 10.0, 80.0) == []


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (W3C Recommendation 2023, definition "relative luminance")."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2 (definition "contrast ratio"); 4.5 is asked of text, 3 of graphics."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_tones_can_be_read_and_told_apart_in_grey() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    for ink in (tone.INK, tone.QUIET, tone.ACCENT, tone.WARNING):
        assert contrast(ink, tone.PAPER) >= 4.5
    for part in tone.PART_TONES:
        assert contrast(tone.ink_on(part), part) >= 4.5
    for left, right in pairwise(tone.PART_TONES):
        assert contrast(left, right) >= 2
    assert contrast(tone.SLURRY, tone.LOOSENED) >= 4.5
    assert contrast(tone.STRAW_DARK, tone.PAPER) >= 3
    assert contrast(tone.UNDISTURBED, tone.LOOSENED) >= 1.4


def test_css_carries_the_palette() -> None:
    css = tone.css_variables()
    assert css.startswith(":root {")
    for name in ("--paper", "--ink", "--accent", "--fonts"):
        assert f"  {name}: " in css
    assert "--touch: 2.75rem" in css  # 44 px at the usual 16 px
