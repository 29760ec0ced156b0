"""Photos: what is refused and why, files of cameras, counts by hand, and what is handed on.  All figures are invented."""

from __future__ import annotations

import dataclasses
import datetime as dt
import io
import struct
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from photos_made import ground
from spadework.exchange.photos import Photo, png_of_classes, read_photo
from spadework.findings.photo_cover import Bar, PhotoCover, Strips, Width, cover_of_field, cover_of_photo
from spadework.plan import PlanFaults
from spadework.present.seedbed.photo_table import CLASS_TONES, photo_csv, photo_text, reason_words
from spadework.ranges import ImpossibleValue
from spadework.records.files.photo_counts import PhotoCount, read_photo_counts
from spadework.reference import constants
from spadework.science import seedbed as s
from spadework.science.seedbed.photo import pixels as module
from spadework.science.seedbed.photo.calibration import calibrate
from spadework.science.seedbed.photo.fitness import Fitness, Reason, detail, reasons_against
from spadework.science.seedbed.photo.pixels import GREEN, RESIDUE, SHADOW, SOIL, averaged, classify, shares_of

FIT = Fitness(0.3, 60, 110, 0, 0, 4.2, 0.8, 1.9, 1.2, 1.1, 0.4, 0, 0.02, 0.01)


def photo(picture: NDArray[np.uint8], name: str = "a.jpg") -> Photo:
    return Photo(name, picture, None, None, None)


def jpeg(picture: NDArray[np.uint8], **more: object) -> bytes:
    with io.BytesIO() as held:
        Image.fromarray(picture).save(held, "JPEG", quality=92, **more)
        return held.getvalue()


# -- telling apart ---------------------------------------------------------------------------------------------------


def test_four_plain_fields_are_told_apart() -> None:
    picture = np.empty((200, 400, 3), np.uint8)
    for column, tone in enumerate(((115, 90, 65), (205, 195, 160), (70, 130, 50), (25, 20, 15))):
        picture[:, column * 100 : column * 100 + 100] = tone
    classes = classify(picture, 0.5).classes
    for column, one in enumerate((SOIL, RESIDUE, GREEN, SHADOW)):
        assert (classes[:, column * 100 + 2 : column * 100 + 98] == one).all()


def test_pieces_too_small_to_stop_a_drop_are_soil() -> None:
    picture = np.full((300, 300, 3), (110, 88, 66), np.uint8)
    picture[:, 200:] = (205, 195, 160)
    picture[20:24, 20:24] = picture[100:108, 100:108] = (205, 195, 160)
    classes = classify(picture, 0.5).classes
    assert (classes[20:24, 20:24] == SOIL).all()
    assert (classes[100:108, 100:108] == RESIDUE).all()


def test_bands_of_rows_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    picture = ground(3, 0.4, plants=4).picture
    usual = [classify(picture, pixel_mm).classes for pixel_mm in (0.1, 0.5)]
    monkeypatch.setattr(module, "_BAND_PIXELS", 1_500)
    for pixel_mm, classes in zip((0.1, 0.5), usual, strict=True):
        np.testing.assert_array_equal(classify(picture, pixel_mm).classes, classes)


def test_a_bare_strip_in_slanting_light_is_not_taken_for_poor_light() -> None:
    made = ground(9, 0.8, bare_columns=(0.3, 0.7), slope_of_light=0.6)
    told = classify(made.picture, made.mm_px)
    middle = np.zeros(800, bool)
    middle[320:480] = True
    for columns in (middle, ~middle):
        true = float((made.truth[:, columns] == RESIDUE).mean())
        assert abs(shares_of(told.classes, columns)[RESIDUE] - true) < 0.06


def test_light_is_found_where_classes_are_sharp() -> None:
    picture = np.full((240, 320, 3), (110.0, 88, 66))
    picture[:, ::4] = picture[:, 1::4] = (200, 190, 160)
    light = np.exp(np.linspace(-0.25, 0.25, 320))[None, :, None]
    told = classify(np.clip(picture * light, 0, 255).astype(np.uint8), 0.5)
    assert told.fitness.light_ratio == pytest.approx(np.exp(0.5), rel=0.03)
    assert told.fitness.brightness_ratio == pytest.approx(550 / 3 / 88, rel=0.03)


def test_fractions_and_bytes_are_the_same_picture() -> None:
    picture = ground(4, 0.3, high=200, wide=240).picture
    np.testing.assert_array_equal(classify(picture / 255, 0.5).classes, classify(picture, 0.5).classes)


@pytest.mark.parametrize("tone", [(0, 0, 0), (255, 255, 255), (60, 140, 50), (120, 95, 70)])
def test_a_plain_picture_is_refused_and_does_not_fail(tone: tuple[int, int, int]) -> None:
    told = classify(np.full((600, 600, 3), tone, np.uint8), 0.5)
    assert reasons_against(told.fitness)
    assert np.isfinite(shares_of(told.classes)).all()
    cover, _ = cover_of_photo(photo(np.full((600, 600, 3), tone, np.uint8)), Width(30), Strips(10, 30))
    assert not cover.fit
    assert "no cover" in photo_text([cover], None, Strips(10, 30))


@pytest.mark.parametrize(
    "picture",
    [
        np.zeros((40, 40), np.uint8),
        np.zeros((40, 40, 4), np.uint8),
        np.zeros((10, 400, 3), np.uint8),
        np.full((40, 40, 3), 1.5),
    ],
)
def test_what_is_no_picture_is_an_error(picture: NDArray[np.uint8]) -> None:
    with pytest.raises(ImpossibleValue, match="picture"):
        classify(picture, 0.5)


@pytest.mark.parametrize("pixel_mm", [0, -1, float("nan"), 101])
def test_an_impossible_pixel_is_an_error(pixel_mm: float) -> None:
    with pytest.raises(ImpossibleValue, match="pixel_mm"):
        averaged(np.zeros((40, 40, 3), np.uint8), pixel_mm)


def test_shares_of_no_pixels_are_an_error() -> None:
    with pytest.raises(ImpossibleValue, match="pixels"):
        shares_of(np.zeros((4, 4), np.uint8), np.zeros(4, bool))


# -- fitness ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "value", "key"),
    [
        ("pixel_mm", 0.6, "widest_mm_px"),
        ("short_side_cm", 20, "short_side_cm"),
        ("median", 30, "darkest_median"),
        ("median", 230, "brightest_median"),
        ("black_share", 0.1, "black_share"),
        ("white_share", 0.03, "white_share"),
        ("class_distance", 2.7, "class_distance"),
        ("class_distance", float("nan"), "class_distance"),
        ("brightness_ratio", 1.2, "brightness_ratio"),
        ("glint_share", 0.01, "glint_share"),
        ("sharpness", 0.05, "sharpness"),
        ("shadow_share", 0.2, "shadow_share"),
        ("green_share", 0.6, "green_share"),
        ("light_ratio", 4, "light_ratio"),
        ("patch_ratio", 1.5, "patch_ratio"),
    ],
)
def test_each_limit_speaks_alone(name: str, value: float, key: str) -> None:
    assert reasons_against(FIT) == ()
    (reason,) = reasons_against(dataclasses.replace(FIT, **{name: value}))
    assert reason.key == key
    words = reason_words(reason)
    assert words.isascii()
    assert "allowed: " in words or key in ("glint_share",)


def test_limits_themselves_pass() -> None:
    limits = constants("photo_limits")
    for key, name in (("widest_mm_px", "pixel_mm"), ("sharpness", "sharpness"), ("class_distance", "class_distance")):
        assert reasons_against(dataclasses.replace(FIT, **{name: limits[key].value})) == ()


@pytest.mark.parametrize(
    ("more", "key"),
    [
        ({"blur_mm": 2.0}, "sharpness"),
        ({"exposure": 0.3}, "darkest_median"),
        ({"exposure": 2.6}, "white_share"),
        ({"moist": "wet"}, "glint_share"),
        ({"slope_of_light": 1.3}, "light_ratio"),
        ({"soil": (170.0, 150.0, 125.0)}, "class_distance"),
    ],
)
def test_poor_pictures_are_refused_for_the_right_reason(more: dict[str, object], key: str) -> None:
    made = ground(8, 0.4, high=520, wide=640, **more)  # type: ignore[arg-type]
    assert key in {reason.key for reason in reasons_against(classify(made.picture, made.mm_px).fitness)}


@pytest.mark.parametrize(("factor", "wide"), [(0.17, 0.2), (0.17, 0.5), (0.35, 0.2), (0.35, 0.5), (0.5, 0.5)])
@pytest.mark.parametrize("aim", [0.2, 0.4, 0.7])
def test_the_shade_of_a_person_is_refused_or_does_little(aim: float, factor: float, wide: float) -> None:
    made = ground(8, aim, high=520, wide=640)
    picture = made.picture.copy()
    edge = int(640 * wide)
    picture[:, :edge] = (picture[:, :edge] * factor).astype(np.uint8)
    told = classify(picture, 0.5)
    shares = shares_of(told.classes)
    if factor < 0.2:
        assert shares[SHADOW] == pytest.approx(wide, abs=0.02)
    assert reasons_against(told.fitness) or abs(shares[RESIDUE] - made.cover) < 0.06


def test_glints_are_small_and_pale_residue_is_not() -> None:
    dark = np.full((300, 300, 3), 60, np.uint8)
    dark[::30, ::30] = 255
    assert detail(dark, 0.5)[1] == pytest.approx(1 / 900, rel=0.1)
    dark[:, 100:140] = 250
    assert detail(dark, 0.5)[1] < 1 / 900
    assert detail(np.full((64, 64, 3), 9, np.uint8), 0.5) == (0.0, 0.0)


# -- numbers ---------------------------------------------------------------------------------------------------------


def test_numbers_refuse_what_cannot_be() -> None:
    for call in (
        lambda: s.otsu_threshold([1, 2], [0, 0]),
        lambda: s.otsu_threshold([1, 2, 3], [1, 2]),
        lambda: s.otsu_threshold([2, 1], [1, 2]),
        lambda: s.excess_green_over_red(0, 0, 0),
        lambda: s.excess_green_over_red(300, 0, 0),
        lambda: s.pixel_from_bar(50, 0, 0),
        lambda: s.pixel_from_width(0, 100),
        lambda: s.in_strip(0, 0, 80, 75),
        lambda: s.cover_beside_plants(0.8, 0.4),
        lambda: s.grid_count_se(51, 50),
        lambda: s.corrected_mean_se(0.1, 0.1, 9, 8),
        lambda: s.deming_slope([0.1, 0.2], [0.1, 0.2], 1),
        lambda: calibrate([0.2] * 4, [0.2] * 4, [0.04] * 4, [0.2] * 9, 0.95),
        lambda: calibrate([0.2] * 6, [0.2] * 5, [0.04] * 6, [0.2] * 9, 0.95),
        lambda: calibrate([0.2] * 6, [0.2] * 6, [0.04] * 6, [0.2] * 5, 0.95),
    ):
        with pytest.raises(ImpossibleValue):
            call()


def test_numbers_keep_shapes_and_edges() -> None:
    assert s.pixel_from_width([30, 60], [[1000], [2000]]).shape == (2, 2)
    assert s.deming_slope(np.ones((4, 5)) * [1, 2, 3, 4, 5], np.ones((4, 5)) * [1, 2, 3, 4, 6], 1).shape == (4,)
    assert np.isnan(s.deming_slope([1, 2, 3], [1, 1, 1], 1))
    assert float(s.class_distance([1, 2, 3], [0, 5, 0], 2)) == 0
    assert float(s.class_distance([1, 2], [5, 5], 1)) == np.inf
    assert float(s.parted_share([1, 2, 3], [0, 5, 0])) == 0
    assert float(s.otsu_threshold([0, 1, 2, 3], [5, 0, 0, 5])) == 1


def test_counts_that_do_not_differ_give_no_slope() -> None:
    found = calibrate([0.2, 0.25, 0.3, 0.22, 0.28], [0.25] * 5, [0.04] * 5, [0.2, 0.25, 0.3, 0.22, 0.28], 0.95)
    assert np.isnan(found.slope)


# -- files -----------------------------------------------------------------------------------------------------------


def test_pixels_time_and_place_are_read_and_nothing_is_written(tmp_path: Path) -> None:
    picture = np.zeros((40, 60, 3), np.uint8)
    picture[:, :30] = (200, 40, 40)
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned by a quarter to the right
    exif.get_ifd(0x8769).update({36867: "2031:05:14 09:41:07", 36881: "+02:00"})
    exif.get_ifd(0x8825).update({1: "S", 2: (33.0, 30.0, 36.0), 3: "W", 4: (70.0, 15.0, 0.0)})
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(picture, exif=exif))
    before = path.read_bytes()
    found = read_photo(path)
    assert found.picture.shape == (60, 40, 3)
    assert found.picture[10, 20, 0] > 150 > 60 > found.picture[50, 20, 0]
    assert found.taken == dt.datetime(2031, 5, 14, 9, 41, 7, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    assert found.latitude == pytest.approx(-33.51)
    assert found.longitude == pytest.approx(-70.25)
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("taken", "offset", "expected"),
    [
        ("2031:05:14 09:41:07", None, dt.datetime(2031, 5, 14, 9, 41, 7)),
        ("2031:13:14 09:41:07", "+02:00", None),
        ("    :  :     :  :  ", None, None),
        ("2031:05:14 09:41:07", "+99:00", dt.datetime(2031, 5, 14, 9, 41, 7)),
        (
            "2031:05:14 09:41:07",
            "-03:30",
            dt.datetime(2031, 5, 14, 9, 41, 7, tzinfo=dt.timezone(-dt.timedelta(hours=3.5))),
        ),
    ],
)
def test_times_that_are_odd_count_as_not_said(
    tmp_path: Path, taken: str, offset: str | None, expected: dt.datetime | None
) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8769)[36867] = taken
    if offset is not None:
        exif.get_ifd(0x8769)[36881] = offset
    exif.get_ifd(0x8825).update({1: "N", 2: (133.0, 0.0, 0.0), 3: "Q", 4: (10.0, 0.0, 0.0)})
    (tmp_path / "a.jpg").write_bytes(jpeg(np.zeros((40, 40, 3), np.uint8), exif=exif))
    found = read_photo(tmp_path / "a.jpg")
    assert found.taken == expected
    assert found.latitude is None
    assert found.longitude is None


@pytest.mark.parametrize("form", ["PNG", "TIFF", "JPEG"])
def test_three_forms_are_read(tmp_path: Path, form: str) -> None:
    picture = ground(1, 0.3, high=64, wide=64, jpeg=None).picture
    Image.fromarray(picture).save(tmp_path / "a.dat", form)
    assert np.abs(read_photo(tmp_path / "a.dat").picture.astype(int) - picture).mean() < 6


def bomb(side: int) -> bytes:
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    parts = b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in ((b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 1000)), (b"IEND", b""))
    )
    return b"\x89PNG\r\n\x1a\n" + parts


def broken(tmp_path: Path, which: str) -> Path:
    path = tmp_path / "a.jpg"
    sound = jpeg(ground(1, 0.3, high=200, wide=240).picture)
    grey, deep = io.BytesIO(), io.BytesIO()
    Image.new("L", (50, 50)).save(grey, "PNG")
    Image.fromarray(np.zeros((50, 50), np.uint16)).save(deep, "TIFF")
    content = {
        "cut": sound[: len(sound) // 2],
        "head only": sound[:30],
        "text": b"photo;hits;points\n",
        "empty": b"",
        "large": bomb(8_000),
        "bomb": bomb(60_000),
        "grey": grey.getvalue(),
        "16 bits": deep.getvalue(),
        "half a PNG": bomb(100)[:-20],
    }
    if which == "folder":
        path.mkdir()
    elif which != "missing":
        path.write_bytes(content[which])
    return path


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("cut", "broken or was cut off"),
        ("head only", "no photo|broken"),
        ("text", "is no photo that can be read; allowed: JPEG, PNG or TIFF"),
        ("empty", "holds nothing"),
        ("large", "has 64 million pixels; allowed: up to 60 million pixels"),
        ("bomb", "million pixels|far too many pixels"),
        ("grey", "holds no colours"),
        ("16 bits", "holds no colours"),
        ("half a PNG", "broken or was cut off"),
        ("folder", "is no file"),
        ("missing", "there is no such file"),
    ],
)
def test_files_that_are_not_sound_are_told_in_plain_words(tmp_path: Path, which: str, words: str) -> None:
    with pytest.raises(PlanFaults, match=words):
        read_photo(broken(tmp_path, which))


def test_without_the_packages_it_says_how_to_get_them(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setitem(sys.modules, "PIL", None)
    with pytest.raises(PlanFaults, match=r'get them with: pip install "spadework\[photo\]"'):
        read_photo(tmp_path / "a.jpg")


def test_a_map_of_classes_is_read_back(tmp_path: Path) -> None:
    classes = np.array([[SOIL, RESIDUE], [GREEN, SHADOW]], np.uint8).repeat(8, 0).repeat(8, 1)
    (tmp_path / "m.png").write_bytes(png_of_classes(classes, CLASS_TONES))
    with Image.open(tmp_path / "m.png") as opened:
        back = np.asarray(opened.convert("RGB"))
    for one, tone in CLASS_TONES.items():
        assert (back[classes == one] == tone).all()
    grey = [np.dot(CLASS_TONES[one], (0.3, 0.59, 0.11)) for one in (SHADOW, GREEN, SOIL, RESIDUE)]
    assert min(np.diff(grey)) > 30


# -- counts ----------------------------------------------------------------------------------------------------------


def counts(tmp_path: Path, text: str, by_zone: bool = False) -> tuple[PhotoCount, ...]:
    (tmp_path / "c.csv").write_text(text, "utf-8")
    return read_photo_counts(tmp_path / "c.csv", ["a.jpg", "b.jpg"], by_zone=by_zone)


def test_counts_are_read(tmp_path: Path) -> None:
    assert counts(tmp_path, "photo;hits;points\na.jpg;30;100\nb.jpg;12;90\n") == (
        PhotoCount("a.jpg", "", 30, 100),
        PhotoCount("b.jpg", "", 12, 90),
    )
    zoned = counts(tmp_path, "photo,zone,hits,points\na.jpg,strip,3,60\na.jpg,between,40,60\n", True)
    assert [one.zone for one in zoned] == ["strip", "between"]


def test_all_faults_of_counts_at_once(tmp_path: Path) -> None:
    text = "photo;zone;hits;points\nc.jpg;;3;100\na.jpg;;120;100\na.jpg;;4;100\nb.jpg;strip;4;20\n"
    with pytest.raises(PlanFaults) as told:
        counts(tmp_path, text)
    said = str(told.value)
    for words in (
        "line 2, column photo",
        "none of the photos that were named",
        "120 of 100 marks cannot be",
        "stands in line 3 already",
        "20 cannot be; allowed: 50 to 10000",
        "but no strip was named",
    ):
        assert words in said
    with pytest.raises(PlanFaults, match="column zone: is missing"):
        counts(tmp_path, "photo;hits;points\na.jpg;3;100\n", True)
    with pytest.raises(PlanFaults, match="is empty; allowed: strip or between"):
        counts(tmp_path, "photo;zone;hits;points\na.jpg;;3;100\n", True)
    with pytest.raises(PlanFaults, match="there is no such file; write one with the columns photo, hits, points"):
        read_photo_counts(tmp_path / "none.csv", ["a.jpg"], by_zone=False)


# -- covers ----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def pictures() -> list[Photo]:
    return [photo(ground(60 + i, 0.2 + 0.06 * i, high=500, wide=520).picture, f"{i}.jpg") for i in range(7)]


@pytest.fixture(scope="module")
def covers(pictures: list[Photo]) -> list[PhotoCover]:
    return [cover_of_photo(one, Width(26), None)[0] for one in pictures]


def test_bar_and_width_say_the_same(pictures: list[Photo]) -> None:
    by_width, _ = cover_of_photo(pictures[0], Width(26), None)
    by_bar, _ = cover_of_photo(pictures[0], Bar(20, 320, -240), None)
    assert by_width.pixel_mm == by_bar.pixel_mm == 0.5
    assert by_width.cover == by_bar.cover


def test_strips_are_weighted_by_their_area() -> None:
    made = ground(9, 0.7, bare_columns=(0.36, 0.64), high=600, wide=1200)
    found, classes = cover_of_photo(photo(made.picture), Width(60), Strips(20, 75))
    inside = np.abs((np.arange(1200) + 0.5) / 20 - 30) <= 10
    assert found.strip_cover == pytest.approx(float((classes[:, inside] == RESIDUE).mean()))
    assert found.cover == pytest.approx(20 / 75 * found.strip_cover + 55 / 75 * found.between_cover)
    assert found.strip_cover < 0.25 < 0.5 < found.between_cover
    moved, _ = cover_of_photo(photo(made.picture), Width(60), Strips(20, 75, 105.0))
    assert moved.strip_cover == pytest.approx(found.strip_cover)


@pytest.mark.parametrize("offset", [13.0, 67.5])
def test_a_picture_without_enough_of_a_zone_is_refused(pictures: list[Photo], offset: float) -> None:
    found, _ = cover_of_photo(pictures[3], Width(26), Strips(20, 75, offset))
    assert "zone_share" in {reason.key for reason in found.reasons}


def test_fewer_than_five_counts_give_no_cover_of_the_field(covers: list[PhotoCover]) -> None:
    assert all(one.fit for one in covers)
    few = [PhotoCount(f"{i}.jpg", "", 30, 100) for i in range(4)]
    found = cover_of_field(covers, few, None)
    assert found.calibration is None
    text = photo_text(covers, found, None)
    assert "LOOKED ONLY" in text
    assert "No cover of the field: 4 photos that give a cover counted; fewer than 5 give none" in " ".join(text.split())
    enough = cover_of_field(covers, [*few, PhotoCount("4.jpg", "", 40, 100)], None)
    assert enough.calibration is not None
    assert (enough.calibration.counted, enough.calibration.photos) == (5, 7)
    text = photo_text(covers, enough, None)
    assert "LOOKED ONLY" not in text
    assert "corrected by 5 counts by hand" in text


def test_counts_of_refused_photos_are_left_out_and_told(covers: list[PhotoCover]) -> None:
    covers = list(covers)
    covers[0] = dataclasses.replace(covers[0], reasons=(Reason("sharpness", 0.01, 0.1),))
    found = cover_of_field(covers, [PhotoCount(f"{i}.jpg", "", 30, 100) for i in range(6)], None)
    assert found.calibration is not None
    assert (found.calibration.counted, found.calibration.photos) == (5, 6)
    assert found.left_out == (("0.jpg", "it gives no cover"),)
    assert "the count of 0.jpg was left out: it gives no cover" in photo_text(covers, found, None)
    assert photo_csv(covers).splitlines()[1].startswith('0.jpg;;;;0.5;;;;;;;looked;"blurred: ')


def test_zones_counted_by_hand_are_weighted_and_so_are_their_errors(covers: list[PhotoCover]) -> None:
    strips = Strips(20, 75)
    zoned = [
        PhotoCount(f"{i}.jpg", zone, hits, 100) for i in range(6) for zone, hits in (("strip", 10), ("between", 50))
    ]
    found = cover_of_field(covers, zoned[:-1], strips)
    assert found.left_out == (("5.jpg", "counted only in: strip"),)
    assert found.calibration is not None
    hand = 20 / 75 * 0.10 + 55 / 75 * 0.50
    mean = np.mean([one.cover for one in covers[:5]])
    assert found.calibration.bias == pytest.approx(mean - hand)
    theirs = np.hypot(20 / 75 * 0.3 / np.sqrt(99), 55 / 75 * 0.5 / np.sqrt(99))
    assert found.calibration.grid_se == pytest.approx(theirs)


def test_a_slope_that_is_not_one_is_told(covers: list[PhotoCover]) -> None:
    covers = [dataclasses.replace(one, cover=0.2 + 0.05 * i) for i, one in enumerate(covers)]
    hits = [20, 32, 39, 51, 60, 69, 81]
    found = cover_of_field(covers, [PhotoCount(f"{i}.jpg", "", n, 100) for i, n in enumerate(hits)], None)
    assert "single photos must not be compared" in " ".join(photo_text(covers, found, None).split())


def test_an_interval_that_passes_nil_is_cut_off_and_says_so(covers: list[PhotoCover]) -> None:
    covers = [
        dataclasses.replace(one, cover=value) for one, value in zip(covers, (0, 0.1, 0, 0.2, 0, 0.1, 0), strict=True)
    ]
    found = cover_of_field(covers, [PhotoCount(f"{i}.jpg", "", n, 100) for i, n in enumerate((0, 2, 9, 1, 4, 0))], None)
    assert "(0 to " in photo_text(covers, found, None)
    assert "cut off at what can be" in photo_text(covers, found, None)


def test_every_reason_has_words() -> None:
    from spadework.present.seedbed.photo_table import _REASONS
    from spadework.science.seedbed.photo import fitness

    used = {key for key, _ in (*fitness._AT_LEAST, *fitness._AT_MOST)} | {"zone_share"}
    assert used == set(_REASONS)
    assert used <= set(constants("photo_limits"))
